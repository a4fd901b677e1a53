//! The steady state against a circuit simulator, exact solutions and what must hold for any supply.
//!
//! Beside each worked value stands how sure it is: "recomputed" was worked out independently with a numerical library,
//! "from memory, recomputed" is a book's printed answer that was not looked up but falls out of its inputs.
#![expect(clippy::unwrap_used, reason = "a test fails loudly")]

use std::f64::consts::{FRAC_PI_2, PI};

use proptest::prelude::*;

use super::diode::DiodeString;
use super::{Diode, Junction, Load, Rail, RailSupply, SupplyError, Topology, rules, secondary};
use crate::physics::root::falling_root;

const SIMULATED: &str = include_str!("../../../tests/data/rails.csv");

fn bridge() -> RailSupply {
    RailSupply {
        topology: Topology::Bridge,
        secondary_v: 24.0,
        winding_ohm: 0.5,
        mains_hz: 50.0,
        diode: Diode::Junction(Junction::ONE_AMP_SILICON),
        reservoir_f: 4.7e-3,
        load: Load::Resistance(57.494),
    }
}

/// A row of the table: its text and its columns by name.
struct RailRow {
    line: &'static str,
    names: Vec<&'static str>,
}

impl RailRow {
    fn text(&self, name: &str) -> &'static str {
        let at = self.names.iter().position(|other| *other == name).unwrap();
        self.line.split(',').nth(at).unwrap()
    }

    fn number(&self, name: &str) -> f64 {
        self.text(name).parse().unwrap()
    }

    fn supply(&self) -> RailSupply {
        RailSupply {
            topology: match self.text("topology") {
                "split" => Topology::SplitRails,
                "single" => Topology::Bridge,
                other => panic!("unknown topology {other}"),
            },
            secondary_v: self.number("vsec_rms"),
            winding_ohm: self.number("rw_ohm"),
            mains_hz: self.number("f_hz"),
            reservoir_f: self.number("c_uf") * 1e-6,
            load: match self.text("load") {
                "cc" => Load::Current(self.number("load_nominal_a")),
                "r" => Load::Resistance(self.number("load_ohm")),
                other => panic!("unknown load {other}"),
            },
            ..bridge()
        }
    }
}

fn simulated() -> Vec<RailRow> {
    let mut lines = SIMULATED.lines();
    let names: Vec<&str> = lines.next().unwrap().split(',').collect();
    lines.map(|line| RailRow { line, names: names.clone() }).collect()
}

type RailColumn = (&'static str, f64, fn(&Rail) -> f64);

/// Columns of the table, how far off they may be, and where they are in a rail.
const COLUMNS: [RailColumn; 7] = [
    ("v_avg", 0.02, |rail| rail.average_v),
    ("v_peak", 0.02, |rail| rail.peak_v),
    ("v_min", 0.02, |rail| rail.valley_v),
    ("ripple_pp", 0.05, Rail::ripple_v),
    ("i_winding_rms", 0.05, |rail| rail.winding_rms_a),
    ("i_winding_peak", 0.05, |rail| rail.winding_peak_a),
    ("load_avg_a", 0.02, |rail| rail.load_a),
];

#[test]
fn every_simulated_rail_is_met() {
    let rows = simulated();
    assert_eq!(rows.len(), 55, "rows of the table");
    let rails: Vec<Rail> = rows.iter().map(|row| row.supply().steady().unwrap()).collect();
    for (name, tolerance, of) in COLUMNS {
        let deviations = rows.iter().zip(&rails);
        let deviations = deviations.map(|(row, rail)| {
            let want = row.number(name);
            ((of(rail) / want - 1.0).abs(), row.line)
        });
        let (worst, row) = deviations.max_by(|a, b| a.0.total_cmp(&b.0)).unwrap();
        assert!(worst < tolerance, "{name} is {:.2} % off in {row}", 100.0 * worst);
    }
}

/// The simulator's own negative rail, and the hand rules printed beside its results.
#[test]
fn the_table_holds_symmetry_and_the_hand_rules() {
    for row in simulated() {
        let supply = row.supply();
        if row.text("topology") == "split" {
            assert!((row.number("v_neg_avg") + row.number("v_avg")).abs() < 1e-3, "{}", row.line);
        }
        let peak = rules::off_load_peak_v(supply.secondary_v, supply.topology, 0.7);
        near(peak, row.number("hand_peak"), 1e-3, row.line);
        let load_a = row.number("load_avg_a");
        let ripple = rules::ripple_v(load_a, supply.mains_hz, supply.reservoir_f, supply.topology);
        near(ripple, row.number("hand_ripple"), 1e-3, row.line);
        assert!(supply.steady().unwrap().ripple_v() < ripple, "{}", row.line);
    }
}

fn near(got: f64, want: f64, relative: f64, what: &str) {
    assert!((got / want - 1.0).abs() < relative, "{what}: {got}, not {want}");
}

/// No winding resistance and ideal diodes: the reservoir follows the crest exactly. Peak, ripple, mean, valley and
/// the angles of conduction: recomputed.
#[test]
fn exact_solutions_without_source_resistance_are_met() {
    let ideal = RailSupply { winding_ohm: 0.0, diode: Diode::Drop(0.0), ..bridge() };
    let cases = [
        (
            "40.4264 V crest, bridge, 10 mF, 20 ohm, 50 Hz",
            RailSupply {
                secondary_v: 40.4264 / 2.0_f64.sqrt(),
                reservoir_f: 10e-3,
                load: Load::Resistance(20.0),
                ..ideal
            },
            [1.78380, 39.55876, 38.64260, 90.912 - 72.916],
        ),
        (
            "230 V bridge, 100 uF, 1 kohm, 50 Hz",
            RailSupply {
                secondary_v: 230.0,
                reservoir_f: 100e-6,
                load: Load::Resistance(1e3),
                ..ideal
            },
            [26.938, 312.280, 298.331, 91.823 - 66.518],
        ),
        (
            "100 V crest, half wave, 83.333 uF, 10 kohm, 60 Hz",
            RailSupply {
                topology: Topology::HalfWave,
                secondary_v: 50.0 * 2.0_f64.sqrt(),
                mains_hz: 60.0,
                reservoir_f: 1e-3 / 12.0,
                load: Load::Resistance(10e3),
                ..ideal
            },
            [1.91840, 99.0480, 98.0816, 11.423],
        ),
    ];
    for (what, supply, [ripple, average, valley, conduction]) in cases {
        let rail = supply.steady().unwrap();
        near(rail.ripple_v(), ripple, 1e-3, what);
        near(rail.average_v, average, 1e-4, what);
        near(rail.valley_v, valley, 1e-4, what);
        near(rail.conduction_deg, conduction, 0.02, what);
    }
}

/// Ratio of the average to the crest for a reservoir without ripple (recomputed): source over load, two pulses, one.
const LARGE_RESERVOIR: [(f64, f64, f64); 5] = [
    (0.005, 0.96006, 0.93764),
    (0.01, 0.93764, 0.90354),
    (0.02, 0.90354, 0.85291),
    (0.05, 0.83221, 0.75180),
    (0.10, 0.75180, 0.64546),
];

/// Average rail over the crest for a reservoir large enough to leave no ripple, with ideal diodes.
///
/// cos φ, where tan φ - φ = (π/p) Rs/RL, p pulses a cycle, φ half the conduction angle: the charge of the tips of a
/// sine through `source_ohm` against the charge into `load_ohm` (derived by setting the two integrals equal).
fn large_reservoir_ratio(source_ohm: f64, load_ohm: f64, topology: Topology) -> f64 {
    let wanted = PI / topology.pulses() * source_ohm / load_ohm;
    falling_root(0.0, FRAC_PI_2, 1e-14, |phi| wanted - (phi.tan() - phi)).cos()
}

#[test]
fn the_large_reservoir_limit_is_met_by_rule_and_by_solver() {
    for (source, two_pulses, one_pulse) in LARGE_RESERVOIR {
        for (topology, ratio) in [(Topology::Bridge, two_pulses), (Topology::HalfWave, one_pulse)] {
            let rule = large_reservoir_ratio(source, 1.0, topology);
            near(rule, ratio, 1e-5, "rule");
            let supply = RailSupply {
                topology,
                secondary_v: 100.0,
                winding_ohm: source * 100.0,
                diode: Diode::Drop(0.0),
                reservoir_f: 0.1,
                load: Load::Resistance(100.0),
                ..bridge()
            };
            let crest = 100.0 * 2.0_f64.sqrt();
            near(supply.steady().unwrap().average_v / crest, ratio, 1e-3, "solver");
        }
    }
}

/// Full wave with a finite reservoir (recomputed to about three digits): source over load, omega R C; average over
/// crest, ripple over crest, winding RMS and peak over load current, degrees of conduction.
#[test]
fn finite_reservoirs_with_source_resistance_are_met() {
    let table = [
        (0.01, 10.0, [0.886, 0.204, 2.12, 5.86, 50.0]),
        (0.01, 31.4, [0.930, 0.0723, 2.28, 6.55, 41.8]),
        (0.05, 10.0, [0.817, 0.164, 1.77, 3.95, 69.5]),
        (0.05, 31.4, [0.8305, 0.0539, 1.79, 4.02, 67.6]),
    ];
    for (source, omega_rc, wanted) in table {
        let supply = RailSupply {
            secondary_v: 100.0,
            winding_ohm: source * 100.0,
            diode: Diode::Drop(0.0),
            reservoir_f: omega_rc / (std::f64::consts::TAU * 50.0 * 100.0),
            load: Load::Resistance(100.0),
            ..bridge()
        };
        let rail = supply.steady().unwrap();
        let crest = 100.0 * 2.0_f64.sqrt();
        let got = [
            rail.average_v / crest,
            rail.ripple_v() / crest,
            rail.winding_rms_a / rail.load_a,
            rail.winding_peak_a / rail.load_a,
            rail.conduction_deg,
        ];
        for (got, wanted) in got.into_iter().zip(wanted) {
            near(got, wanted, 0.01, &format!("source {source}, omega RC {omega_rc}"));
        }
    }
}

/// Sedra and Smith's peak-rectifier example: half wave, 100 V crest, 60 Hz, 10 kohm, 2 V of ripple (from memory,
/// recomputed).
#[test]
fn the_text_book_peak_rectifier_comes_out() {
    near(rules::ripple_v(0.01, 60.0, 83.333e-6, Topology::HalfWave), 2.0, 1e-4, "ripple");
}

/// 1.8 x the load current fits a source of 5 % of the load, where the solver gives 1.79.
#[test]
fn the_makers_current_rule_fits_a_source_of_a_twentieth() {
    near(rules::makers_secondary_a(1.0), 1.79, 0.01, "makers' rule");
}

/// A bridge and each of the two rails of a tapped winding differ by one drop; a centre tap shares the pulses out.
#[test]
fn topologies_relate_as_their_circuits_do() {
    let with =
        |topology| RailSupply { topology, diode: Diode::Drop(0.0), ..bridge() }.steady().unwrap();
    let (whole, split, tap) =
        (with(Topology::Bridge), with(Topology::SplitRails), with(Topology::CentreTap));
    near(split.average_v, whole.average_v, 1e-9, "split rail");
    near(split.winding_rms_a, whole.winding_rms_a, 1e-9, "split winding");
    near(tap.winding_rms_a * 2.0_f64.sqrt(), whole.winding_rms_a, 1e-9, "tapped winding");
    assert!(with(Topology::HalfWave).ripple_v() > 1.7 * whole.ripple_v());
}

#[test]
fn off_load_the_rail_is_the_crest() {
    let off_load = RailSupply { load: Load::Current(0.0), ..bridge() };
    near(off_load.steady().unwrap().peak_v, 24.0 * 2.0_f64.sqrt(), 1e-9, "junction");
    let dropping = RailSupply { diode: Diode::Drop(0.7), ..off_load };
    let by_hand = rules::off_load_peak_v(24.0, Topology::Bridge, 0.7);
    near(dropping.steady().unwrap().average_v, by_hand, 1e-9, "constant drop");
}

#[test]
fn a_load_beyond_the_winding_gets_what_there_is() {
    let rail = RailSupply { load: Load::Current(1e3), ..bridge() }.steady().unwrap();
    assert!(rail.average_v < 1e-9, "{rail:?}");
    // The mean of a rectified sine less about 0.95 V a diode, into the winding and the diodes' own resistance.
    let mean = std::f64::consts::FRAC_2_PI * 24.0 * 2.0_f64.sqrt() - 2.0 * 0.95;
    near(rail.load_a, mean / (0.5 + 2.0 * 0.034), 0.03, "load current");
}

#[test]
fn a_hot_junction_raises_the_rail() {
    let hot = Junction { celsius: 100.0, ..Junction::ONE_AMP_SILICON };
    let hot = RailSupply { diode: Diode::Junction(hot), ..bridge() };
    assert!(hot.steady().unwrap().average_v > bridge().steady().unwrap().average_v + 0.1);
}

#[test]
fn values_no_supply_can_have_are_refused_by_name() {
    let cases = [
        (RailSupply { secondary_v: 0.0, ..bridge() }, "secondary voltage"),
        (RailSupply { secondary_v: f64::NAN, ..bridge() }, "secondary voltage"),
        (RailSupply { winding_ohm: -1.0, ..bridge() }, "winding resistance"),
        (RailSupply { mains_hz: f64::INFINITY, ..bridge() }, "mains frequency"),
        (RailSupply { reservoir_f: 0.0, ..bridge() }, "reservoir"),
        (RailSupply { load: Load::Current(-0.1), ..bridge() }, "load current"),
        (RailSupply { load: Load::Resistance(0.0), ..bridge() }, "load resistance"),
        (RailSupply { diode: Diode::Drop(f64::NAN), ..bridge() }, "diode drop"),
        (RailSupply { diode: Diode::Drop(20.0), ..bridge() }, "drop 40 V"),
    ];
    for (supply, name) in cases {
        let error: SupplyError = supply.steady().unwrap_err();
        assert!(error.to_string().contains(name), "{error}");
    }
}

fn any_supply() -> impl Strategy<Value = RailSupply> {
    let topology = prop::sample::select(vec![
        Topology::HalfWave,
        Topology::CentreTap,
        Topology::Bridge,
        Topology::SplitRails,
    ]);
    // The load as a share of the secondary over ten times the winding's resistance: up to a heavily loaded winding.
    let decades = (-4.0..-1.0_f64, 0.6..2.5_f64, -3.0..-0.5_f64, -2.5..0.0_f64);
    (topology, decades, any::<bool>(), any::<bool>()).prop_map(
        |(topology, (farads, volts, drop_share, load_share), resistive, constant_drop)| {
            let secondary_v = 10.0_f64.powf(volts);
            let winding_ohm = 10.0_f64.powf(drop_share) * secondary_v;
            let load_a = 10.0_f64.powf(load_share) * 0.1 * secondary_v / winding_ohm;
            RailSupply {
                topology,
                secondary_v,
                winding_ohm,
                mains_hz: 50.0,
                diode: if constant_drop {
                    Diode::Drop(0.7)
                } else {
                    Diode::Junction(Junction::ONE_AMP_SILICON)
                },
                reservoir_f: 10.0_f64.powf(farads),
                load: if resistive {
                    Load::Resistance(secondary_v / load_a)
                } else {
                    Load::Current(load_a)
                },
            }
        },
    )
}

/// The same supply with so many times the load.
fn loaded(supply: RailSupply, times: f64) -> RailSupply {
    let load = match supply.load {
        Load::Current(ampere) => Load::Current(ampere * times),
        Load::Resistance(ohm) => Load::Resistance(ohm / times),
    };
    RailSupply { load, ..supply }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn a_rail_stays_between_nothing_and_the_crest(supply in any_supply()) {
        let rail = supply.steady().unwrap();
        let crest = rules::off_load_peak_v(supply.secondary_v, supply.topology, 0.0);
        prop_assert!(0.0 <= rail.valley_v && rail.valley_v <= rail.average_v);
        prop_assert!(rail.average_v <= rail.peak_v && rail.peak_v <= crest * (1.0 + 1e-9));
        prop_assert!(rail.conduction_deg > 0.0 && rail.conduction_deg <= 180.0);
        prop_assert!(rail.charging_rms_a >= rail.load_a && rail.winding_peak_a >= rail.charging_rms_a);
    }

    #[test]
    fn where_the_search_begins_does_not_matter(supply in any_supply(), like in any_supply()) {
        let (rail, like) = (supply.steady().unwrap(), like.steady().unwrap());
        let again = supply.steady_near(Some(&like)).unwrap();
        let crest = rules::off_load_peak_v(supply.secondary_v, supply.topology, 0.0);
        prop_assert!((again.average_v - rail.average_v).abs() < 1e-8 * crest, "{rail:?} {again:?}");
        prop_assert!((again.winding_rms_a / rail.winding_rms_a - 1.0).abs() < 1e-5, "{rail:?} {again:?}");
    }

    #[test]
    fn more_load_lowers_the_rail(supply in any_supply()) {
        let (light, heavy) = (supply.steady().unwrap(), loaded(supply, 1.5).steady().unwrap());
        prop_assert!(heavy.average_v < light.average_v || light.average_v <= 0.0, "{light:?} {heavy:?}");
    }

    /// Up to a rail that has lost a third of its volts; past that the winding limits the pulses.
    #[test]
    fn ripple_rises_with_load_and_falls_with_the_reservoir(supply in any_supply()) {
        let rail = supply.steady().unwrap();
        let heavy = loaded(supply, 1.5).steady().unwrap();
        let crest = rules::off_load_peak_v(supply.secondary_v, supply.topology, 0.0);
        let larger = RailSupply { reservoir_f: 2.0 * supply.reservoir_f, ..supply }.steady().unwrap();
        prop_assume!(heavy.average_v > crest * 0.67);
        prop_assert!(heavy.ripple_v() > rail.ripple_v(), "{rail:?} {heavy:?}");
        prop_assert!(larger.ripple_v() < rail.ripple_v(), "{rail:?} {larger:?}");
    }

    #[test]
    fn what_the_winding_gives_is_accounted_for(supply in any_supply()) {
        let rail = supply.steady().unwrap();
        let spent = rail.load_w + rail.winding_w + rail.diode_w;
        prop_assert!((spent / rail.source_w - 1.0).abs() < 2e-3, "{rail:?}");
        prop_assert!(rail.diode_w > 0.0);
        let asked = match supply.load {
            Load::Current(ampere) => ampere,
            Load::Resistance(ohm) => rail.average_v / ohm,
        };
        prop_assert!(rail.valley_v <= 0.0 || (rail.load_a / asked - 1.0).abs() < 2e-3, "{rail:?}");
    }

    #[test]
    fn the_hand_ripple_is_never_exceeded(supply in any_supply()) {
        let rail = supply.steady().unwrap();
        let bound = rules::ripple_v(rail.load_a, supply.mains_hz, supply.reservoir_f, supply.topology);
        let constant = matches!(supply.load, Load::Current(_));
        prop_assert!(!constant || rail.ripple_v() <= bound * (1.0 + 1e-6), "{rail:?}, {bound}");
    }
}

proptest! {
    #[test]
    fn hand_rules_rise_and_fall_as_the_circuit_does(
        topology in any_supply().prop_map(|supply| supply.topology),
        (volts, drop) in (5.0..100.0_f64, 0.0..1.5_f64),
        (load_a, reservoir_f) in (0.01..10.0_f64, 1e-4..0.1_f64),
        more in 1.01..2.0_f64,
    ) {
        let peak = rules::off_load_peak_v(volts, topology, drop);
        prop_assert!(peak <= 2.0_f64.sqrt() * volts && rules::off_load_peak_v(volts * more, topology, drop) > peak);
        prop_assert!(rules::off_load_peak_v(volts, topology, drop + 0.1) < peak);
        let ripple = rules::ripple_v(load_a, 50.0, reservoir_f, topology);
        prop_assert!(rules::ripple_v(load_a * more, 50.0, reservoir_f, topology) > ripple);
        prop_assert!(rules::ripple_v(load_a, 50.0, reservoir_f * more, topology) < ripple);
        prop_assert!(rules::ripple_v(load_a, 50.0 * more, reservoir_f, topology) < ripple);
        prop_assert!(rules::makers_secondary_a(load_a * more) > rules::makers_secondary_a(load_a));
        prop_assert!(rules::makers_secondary_a(load_a) > load_a);
    }

    #[test]
    fn a_softer_source_lowers_the_rail_of_a_large_reservoir(
        topology in any_supply().prop_map(|supply| supply.topology),
        share in -5.0..1.0_f64,
        more in 1.01..2.0_f64,
    ) {
        let source_ohm = 10.0_f64.powf(share);
        let ratio = |source_ohm| large_reservoir_ratio(source_ohm, 1.0, topology);
        prop_assert!(0.0 < ratio(source_ohm) && ratio(source_ohm * more) < ratio(source_ohm));
        prop_assert!(ratio(source_ohm) < 1.0 && ratio(0.0) >= 1.0);
    }

    #[test]
    fn a_rated_load_loses_the_rise(
        nominal in 5.0..100.0_f64,
        rated in 5.0..1000.0_f64,
        rise in 0.01..0.3_f64,
        more in 1.01..2.0_f64,
    ) {
        let ohm = secondary::winding_ohm(nominal, rated, rise);
        let loaded = secondary::sine_v(nominal, 1.0, rise) - rated / nominal * ohm;
        prop_assert!((loaded / nominal - 1.0).abs() < 1e-12);
        prop_assert!(secondary::winding_ohm(nominal, rated * more, rise) < ohm);
        prop_assert!(secondary::sine_v(nominal, 0.90, rise) < secondary::sine_v(nominal, 1.0, rise));
    }

    #[test]
    fn more_volts_drive_more_through_a_diode_string(
        (volts, ohm) in (1e-3..100.0_f64, 1e-3..1e3_f64),
        more in 1.01..2.0_f64,
    ) {
        for diode in [Diode::Drop(0.7), Diode::Junction(Junction::ONE_AMP_SILICON)] {
            let current = |volts, ohm| DiodeString::new(diode, 2.0).current(volts, ohm);
            let ampere = current(volts, ohm);
            prop_assert!(0.0 <= ampere && ampere <= volts / ohm && current(volts * more, ohm) >= ampere);
            prop_assert!(current(volts, ohm * more) <= ampere);
        }
    }
}
