//! What is drawn, and what is concluded of readings that no simulator had to work out.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]

use chacha20::ChaCha20Rng;
use chacha20::rand_core::{Rng as _, SeedableRng as _};

use super::outcome::{DrawnTolerance, WindowFit};
use super::readings::Gathered;
use super::sampler::SetSampler;
use crate::circuit::model::Circuit;
use crate::circuit::walk::Seen;
use crate::netlist::Netlist;
use crate::procedure::{SpreadShape, read_circuit};
use crate::quantity::{Dimension, Quantity};
use crate::window::Bounds;

const NETLIST: &str = "A stage (invented)\n.model qn NPN(is=1e-14 bf=100)\nV1 vp 0 10\nR1 vp c 1k\nR2 c 0 1k\nRV1 c b 1k\n\
    Q1 c b 0 qn\nX2 vp half\n.subckt half a\nR1 a 0 1k\n.ends\n";

fn sampler(tolerances: &str, seed: u64) -> SetSampler {
    let text = format!(
        "format: 1\ncircuit: A stage (invented)\nrehearses: base\nnetlist: stage.cir\nsources: {{plus: {{element: V1}}}}\n\
         points: {{}}\nreadings: {{}}\ncontrols: {{bias: {{element: RV1, at: 1 kohm}}}}\ntolerances: {{{tolerances}}}\n\
         parts: {{R1: {{kind: resistor}}, R2: {{kind: resistor}}, RV1: {{kind: resistor}}, Q1: {{kind: transistor}}}}\n"
    );
    let netlist = Netlist::read(NETLIST).unwrap();
    SetSampler::of(&Circuit { file: read_circuit(&text).unwrap(), netlist }, seed)
}

fn names(sampler: &SetSampler) -> Vec<String> {
    sampler.told().into_iter().map(|drawn| drawn.name).collect()
}

/// RFC 8439, A.1, test vector 1: the first bytes of the key stream of a key of zeros.
#[test]
fn the_generator_is_the_cipher_of_its_standard() {
    let mut generator = ChaCha20Rng::from_seed([0; 32]);
    let words = [generator.next_u32(), generator.next_u32()].map(u32::to_le_bytes);
    assert_eq!(words, [[0x76, 0xb8, 0xe0, 0xad], [0xa0, 0xf1, 0x3d, 0x90]]);
}

#[test]
fn a_kind_is_all_its_parts_but_what_a_control_sets_and_a_part_goes_before_its_kind() {
    let all =
        sampler("R1: {within: 1 %}, resistor: {within: 5 %}, transistor.bf: {within: 50 %}", 1);
    assert_eq!(names(&all), ["R1", "R2", "X2.R1", "Q1.bf"]);
    assert_eq!(
        all.told().iter().map(|drawn| drawn.within).collect::<Vec<_>>(),
        [0.01, 0.05, 0.05, 0.5]
    );
    let later = sampler("resistor: {within: 5 %}, r1: {within: 1 %}", 1);
    assert!((later.told()[0].within - 0.01).abs() < 1e-12, "whichever comes first");
    let mains = sampler("mains: {within: 10 %, moves: [mains]}", 1);
    let off = mains.draw(3);
    assert!(mains.values(&off).is_empty() && off[0].abs() <= 0.1);
    assert!((mains.mains(&off) - off[0]).abs() < 1e-12 && (200.0 * off[0]).fract().abs() < 1e-9);
}

#[test]
fn a_set_is_the_same_by_its_seed_and_number_alone_and_another_is_another() {
    let (one, other) =
        (sampler("resistor: {within: 5 %}", 7), sampler("resistor: {within: 5 %}", 8));
    let again = sampler("resistor: {within: 5 %}", 7);
    let late = again.draw(9_999);
    assert_eq!(one.draw(12), again.draw(12), "whatever was drawn before");
    assert_ne!(one.draw(12), one.draw(13));
    assert_ne!(one.draw(12), other.draw(12));
    assert_ne!(late, one.draw(12));
    // What is declared behind it changes nothing of what stands before.
    let more = sampler("resistor: {within: 5 %}, transistor.bf: {within: 50 %}", 7);
    assert_eq!(one.draw(12)[..], more.draw(12)[..3]);
}

/// The mean, the standard deviation and the farthest of many draws.
fn drawn(shape: &str) -> [f64; 3] {
    let sampler = sampler(&format!("R1: {{within: 30 %, shape: {shape}}}"), 1);
    let all: Vec<f64> = (0..40_000).map(|number| sampler.draw(number)[0]).collect();
    let mean = all.iter().sum::<f64>() / 40_000.0;
    let spread = all.iter().map(|off| (off - mean).powi(2)).sum::<f64>() / 40_000.0;
    [mean, spread.sqrt(), all.iter().fold(0.0, |most, off| off.abs().max(most))]
}

/// Of an even spread the deviation is its half width over the root of three; of a bell that is cut at three deviations it is 0.98658 of one.
#[test]
fn both_shapes_have_the_spread_that_they_should_and_end_at_the_tolerance() {
    for (shape, due) in [("even", 0.3 / 3_f64.sqrt()), ("bell", 0.1 * 0.986_58)] {
        let [mean, deviation, farthest] = drawn(shape);
        assert!(mean.abs() < 4.0 * due / 200.0, "{shape}: mean {mean}");
        assert!((deviation / due - 1.0).abs() < 0.015, "{shape}: {deviation}, not {due}");
        assert!(farthest <= 0.3 && farthest > 0.29, "{shape}: {farthest}");
    }
}

fn volts(value: f64) -> Quantity {
    Quantity::from_f64(value, Dimension::VOLTAGE).unwrap()
}

fn seen(value: f64, bounds: Bounds) -> Seen {
    Seen { step: "a".to_owned(), value: volts(value), bounds, unit: None, is_guarded: false }
}

/// What is told of a reading that rises with the first of two parts, in 401 sets from 4 V to 6 V.
fn told(bounds: impl Fn(f64) -> Bounds, is_guarded: bool) -> super::ReadingSpread {
    let first = Seen { is_guarded, ..seen(5.0, bounds(5.0)) };
    let mut gathered = Gathered::of(&first);
    let mut sets = Vec::new();
    for number in 0..=400_u32 {
        let value = 4.0 + f64::from(number) / 200.0;
        gathered.add(sets.len(), &seen(value, bounds(value)));
        sets.push(vec![value.powi(3), f64::from(number * 7919 % 401)]);
    }
    let drawn = ["R1", "R2"].map(|name| DrawnTolerance {
        name: name.to_owned(),
        within: 0.05,
        shape: SpreadShape::Even,
    });
    gathered.told(&drawn, &sets).unwrap()
}

#[test]
fn a_reading_has_its_spread_its_room_and_what_moves_it() {
    let told = told(|_| Bounds::between(volts(0.0), volts(7.0)).unwrap(), false);
    let near = |value: f64, due: f64| assert!((value - due).abs() < 1e-9, "{value}, not {due}");
    near(told.low, 4.05);
    near(told.median, 5.0);
    near(told.high, 5.95);
    // Two volts to the nearer limit, 0.95 to the end of the spread.
    near(told.room.unwrap(), 2.0 / 0.95);
    let mover = told.mover.unwrap();
    assert_eq!((mover.name.as_str(), told.fit), ("R1", WindowFit::Fits));
    near(mover.correlation, 1.0);
    assert!(!told.is_moving);
}

#[test]
fn a_window_is_too_tight_or_too_wide_by_what_sound_sets_read() {
    let at_most = |limit: f64| told(move |_| Bounds::at_most(volts(limit)), false);
    let tight = at_most(5.9);
    assert_eq!((tight.outside.count, tight.fit), (20, WindowFit::TooTight));
    // Two of 401 may be chance: the lower end of the interval is 0.06 %.
    assert_eq!((at_most(5.991).outside.count, at_most(5.991).fit), (2, WindowFit::Fits));
    assert_eq!(at_most(14.0).fit, WindowFit::Fits);
    assert_eq!(at_most(15.0).fit, WindowFit::TooWide);
    let guarded = told(|_| Bounds::at_most(volts(15.0)), true);
    assert_eq!(guarded.fit, WindowFit::Fits, "what is guarded is there for overloads");
    // By its own limits each is in the middle, whatever the spread.
    let moving =
        told(|value| Bounds::between(volts(value - 0.1), volts(value + 0.1)).unwrap(), false);
    assert_eq!((moving.outside.count, moving.fit, moving.room), (0, WindowFit::Fits, None));
    assert!(moving.is_moving);
    let recorded = told(|_| Bounds { record_only: true, ..Bounds::at_most(volts(4.0)) }, false);
    assert_eq!((recorded.outside.count, recorded.fit), (0, WindowFit::RecordOnly));
}
