//! Coverage factors and expanded uncertainties.

use std::num::NonZeroU32;

use super::{assert_close, pure, quantity, with_both};
use crate::quantity::random::Random;
use crate::quantity::{Estimate, Input, Shape};
use crate::window::Uncertainty;
use crate::window::spread::{coverage_factor, half_width};

/// GUM Table G.2 and EA-4/02 Annex E, at 95.45 %: recomputed; text from memory.
#[test]
fn factors_of_student_t() {
    let level = 0.9545;
    for (freedom, factor) in [
        (1, 13.97),
        (2, 4.53),
        (3, 3.31),
        (4, 2.87),
        (5, 2.65),
        (6, 2.52),
        (7, 2.43),
        (8, 2.37),
        (10, 2.28),
        (20, 2.13),
        (50, 2.05),
    ] {
        let found = coverage_factor(NonZeroU32::new(freedom), level);
        assert!((found - factor).abs() < 0.006, "{freedom}: {found}");
    }
    assert_close(coverage_factor(None, level), 2.0, 1e-4);
    assert_close(coverage_factor(None, 0.95), 1.959_964, 1e-6);
    assert_close(coverage_factor(NonZeroU32::new(9), 0.95), 2.262_16, 1e-5);
    let nearly_normal = coverage_factor(NonZeroU32::new(99_999), 0.95);
    assert_close(nearly_normal, coverage_factor(None, 0.95), 2e-5);
}

/// Factors of one bounded input alone at 95 %: recomputed.
#[test]
fn factors_of_one_bounded_input() {
    for (shape, factor) in
        [(Shape::Rectangular, 1.6454), (Shape::Triangular, 1.9018), (Shape::Arcsine, 1.4099)]
    {
        let alone = Estimate::exact(pure(0.0)).with(Input::new("alone", shape), 2.0);
        let uncertainty = Uncertainty::of(&alone, 0.95).unwrap();
        assert_close(uncertainty.coverage, factor, 1e-4);
        assert_close(uncertainty.expanded.to_f64(), 2.0 * factor, 1e-4);
    }
}

/// GUM 4.3.4: 129 microhm at 99 % is a standard uncertainty of 50 (recomputed; text from memory).
#[test]
fn from_a_stated_level_to_a_standard_uncertainty() {
    assert_close(129e-6 / coverage_factor(None, 0.99), 50.08e-6, 1e-3);
}

/// GUM H.1 (inputs quoted in open reference data): t99(16) is 2.92, U 92.6 nm before rounding.
#[test]
fn end_gauge() {
    let known =
        |name: &str, shape, freedom| Input::new(name, shape).with_freedom(NonZeroU32::new(freedom));
    let length = Estimate::exact(quantity("50.000838 mm"))
        .with(known("standard", Shape::Normal, 18), 25e-9)
        .with(known("difference", Shape::Normal, 25), 9.7e-9)
        .with(known("expansion", Shape::Rectangular, 50), 2.9e-9)
        .with(known("temperature", Shape::Rectangular, 2), 16.675e-9);
    let uncertainty = Uncertainty::of(&length, 0.99).unwrap();
    assert_close(uncertainty.standard.to_f64(), 31.7106e-9, 1e-3);
    assert_eq!(uncertainty.freedom, NonZeroU32::new(16));
    assert_close(uncertainty.coverage, 2.9208, 1e-4);
    assert_close(uncertainty.expanded.to_f64(), 92.6e-9, 1e-3);
}

/// EA-4/02 M, S9: a hand-held meter at 100 V (recomputed; text from memory). The dominant last
/// digit gives k = 1.65 in print; the exact sum is 0.0506 V, and k = 2 would print 0.06 V.
#[test]
fn a_dominant_rectangular_term() {
    let error = Estimate::exact(quantity("0.1 V"))
        .with(Input::new("certificate", Shape::Normal), 0.001)
        .with_bounds("last digit", Shape::Rectangular, 0.05)
        .with_bounds("calibrator", Shape::Rectangular, 0.011);
    let uncertainty = Uncertainty::of(&error, 0.95).unwrap();
    assert_close(uncertainty.standard.to_f64(), 0.029_575, 1e-3);
    assert_close(uncertainty.expanded.to_f64(), 0.0506, 1e-3);
    assert!(uncertainty.coverage < 1.75, "{}", uncertainty.coverage);
    assert_eq!(format!("{:.2}", uncertainty.expanded.to_f64()), "0.05");
    assert_eq!(uncertainty.freedom, None);
}

/// EA-4/02 M, S3: many like terms come near to the bell curve (recomputed; text from memory).
#[test]
fn many_terms_come_near_to_the_bell_curve() {
    let resistor = Estimate::exact(quantity("10000.178 ohm"))
        .with(Input::new("certificate", Shape::Normal), 2.5e-3)
        .with_bounds("drift", Shape::Rectangular, 10e-3)
        .with_bounds("bath, standard", Shape::Rectangular, 2.75e-3)
        .with_bounds("bath, resistor", Shape::Rectangular, 5.5e-3)
        .with_bounds("crosstalk", Shape::Triangular, 10e-3)
        .with(Input::new("ratio", Shape::Normal).with_freedom(NonZeroU32::new(4)), 0.7e-3);
    let uncertainty = Uncertainty::of(&resistor, 0.9545).unwrap();
    assert_close(uncertainty.standard.to_f64(), 8.3273e-3, 1e-3);
    // Printed as 17 mohm, which is 2 u; drift is the largest term, so the exact sum is a little less.
    assert_close(2.0 * uncertainty.standard.to_f64(), 16.65e-3, 1e-3);
    assert_close(uncertainty.expanded.to_f64(), 16.65e-3, 0.025);
}

#[test]
fn an_interval_grows_smoothly_from_one_shape_to_the_other() {
    let factor = |normal: f64, rectangular: f64| {
        Uncertainty::of(&with_both(normal, rectangular), 0.95).unwrap().coverage
    };
    assert_close(factor(1e-9, 1.0), 1.6454, 2e-3);
    assert_close(factor(1.0, 1e-9), 1.96, 2e-3);
    let factors = [0.1, 0.3, 0.5, 1.0, 2.0, 5.0].map(|normal| factor(normal, 1.0));
    assert!(factors.is_sorted(), "{factors:?}");
}

#[test]
fn an_exact_value_and_a_level_that_cannot_be() {
    let exact = Uncertainty::of(&Estimate::exact(quantity("5 V")), 0.95).unwrap();
    assert_eq!((exact.expanded, exact.coverage), (quantity("0 V"), 0.0));
    for level in [0.0, 1.0, -0.5, f64::NAN] {
        assert_eq!(Uncertainty::of(&with_both(1.0, 1.0), level), None, "{level}");
    }
    assert_eq!(Uncertainty::of(&with_both(f64::INFINITY, 1.0), 0.95), None);
}

#[test]
fn a_celsius_temperature_is_uncertain_by_kelvins() {
    let sink = Estimate::exact(quantity("54 degC")).with_bounds("meter", Shape::Rectangular, 2.0);
    let uncertainty = Uncertainty::of(&sink, 0.95).unwrap();
    assert_eq!(uncertainty.expanded, quantity("1.9 K"));
}

#[test]
fn json_reads_back() {
    let input = Input::new("scatter", Shape::Normal).with_freedom(NonZeroU32::new(9));
    let volts = Estimate::exact(quantity("5 V")).with(input, 0.002);
    let uncertainty = Uncertainty::of(&volts, 0.95).unwrap();
    let json = serde_json::to_string(&uncertainty).unwrap();
    assert!(json.starts_with(r#"{"standard":"0.002 V","expanded":"0.00452431"#), "{json}");
    assert!(json.ends_with(r#""freedom":9,"level":0.95}"#), "{json}");
    assert_eq!(serde_json::from_str::<Uncertainty>(&json).unwrap(), uncertainty);
}

/// The interval holds what it promises, whatever is mixed (JCGM 101:2008).
#[test]
fn a_simulation_finds_the_stated_part_within() {
    const SEED: u64 = 20_251_125;
    const DRAWS: u32 = 100_000;
    let mut random = Random::new(SEED);
    for mixture in [
        &[(Shape::Arcsine, 1.0), (Shape::Normal, 0.05)][..],
        &[(Shape::Arcsine, 1.0), (Shape::Arcsine, 0.8)],
        &[(Shape::Triangular, 1.0), (Shape::Rectangular, 1.0)],
        &[(Shape::Rectangular, 1.0), (Shape::Rectangular, 0.2), (Shape::Normal, 0.2)],
        &[(Shape::Rectangular, 1.0), (Shape::Rectangular, -1.0), (Shape::Triangular, 0.5)],
    ] {
        let sum = mixture
            .iter()
            .enumerate()
            .fold(Estimate::exact(pure(0.0)), |sum, (n, (shape, term))| {
                sum.with(Input::new(n.to_string(), *shape), *term)
            });
        let reach = half_width(&sum.terms, 0.95);
        let within = (0..DRAWS)
            .filter(|_| {
                let terms = mixture.iter().map(|(shape, term)| term * random.draw(*shape));
                terms.sum::<f64>().abs() <= reach
            })
            .count();
        let part = within as f64 / f64::from(DRAWS);
        // Three times the scatter of the count, and a little for the table.
        assert!((part - 0.95).abs() < 0.003, "seed {SEED}, {mixture:?}: {part}");
    }
}
