//! Worked examples of the GUM (JCGM 100:2008), each with its clause.
//!
//! Where the numbers were seen in open data, that is said; the others are recomputed, their text
//! from memory.

#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]

use std::num::NonZeroU32;

use proptest::prelude::*;

use super::*;

fn quantity(text: &str) -> Quantity {
    Quantity::parse(text).unwrap()
}

fn pure(value: f64) -> Estimate {
    Estimate::exact(Quantity::from_f64(value, Dimension::NONE).unwrap())
}

fn normal(name: &str, freedom: u32) -> Input {
    Input::new(name, Shape::Normal).with_freedom(NonZeroU32::new(freedom))
}

fn assert_close(found: f64, expected: f64, relative: f64) {
    assert!((found / expected - 1.0).abs() < relative, "found {found}, expected {expected}");
}

/// GUM 4.3.7 example 2 and 5.1.5: recomputed; text from memory.
#[test]
fn a_voltmeter_and_the_scatter_of_its_readings() {
    let half_width = 14e-6 * 0.928_571 + 2e-6;
    assert_close(half_width, 1.499_99e-5, 1e-5);
    let volts = Estimate::exact(quantity("0.928571 V"));
    let meter = volts.clone().with_bounds("meter", Shape::Rectangular, half_width);
    assert_close(meter.standard_uncertainty(), 8.660_25e-6, 1e-5);
    let both = meter.with(normal("scatter", 9), 12e-6);
    assert_close(both.standard_uncertainty(), 14.80e-6, 1e-3);
    assert_close(both.standard_uncertainty() / 0.928_571, 16e-6, 0.01);
}

/// GUM 4.4.3: recomputed to 16 digits; text from memory.
#[test]
fn twenty_temperatures() {
    let readings: Vec<Quantity> = "96.90 98.18 98.25 98.61 99.03 99.49 99.56 99.74 99.89 100.07 \
        100.33 100.42 100.68 100.95 101.11 101.20 101.57 101.84 102.36 102.72"
        .split_whitespace()
        .map(|text| quantity(&format!("{text} degC")))
        .collect();
    let mean = Estimate::average("scatter", &readings).unwrap();
    assert_eq!(mean.value, quantity("100.145 degC"));
    assert_close(mean.standard_uncertainty(), 0.332_915_747_204_667_3, 1e-12);
    assert_close(mean.standard_uncertainty() * 20_f64.sqrt(), 1.488_844_483_059_543_5, 1e-12);
    assert_eq!(mean.terms.effective_freedom(), NonZeroU32::new(19));
    assert_eq!(mean.spread_dimension(), Dimension::TEMPERATURE);
    assert_eq!(Estimate::average("scatter", &readings[..1]), None);
    assert_eq!(Estimate::average("mixed", &[quantity("1 V"), quantity("1 A")]), None);
}

/// GUM 4.4.5 and F.2.2.1: recomputed; text from memory.
#[test]
fn bounds_and_the_last_digit() {
    let with = |shape, half_width| pure(100.0).with_bounds("bounds", shape, half_width);
    assert_close(with(Shape::Rectangular, 4.0).standard_uncertainty(), 2.3, 0.01);
    assert_close(with(Shape::Triangular, 4.0).standard_uncertainty(), 1.6, 0.03);
    assert_close(with(Shape::Arcsine, 0.5).standard_uncertainty(), 0.35, 0.02);
    let digit = with(Shape::Rectangular, 0.5).standard_uncertainty();
    assert_close(digit, 1.0 / 12_f64.sqrt(), 1e-12);
    assert_close(digit, 0.29, 0.01);
}

/// GUM G.4: like terms add their degrees of freedom (open reference data quoting Annex G.4).
#[test]
fn like_terms_add_their_degrees_of_freedom() {
    let sum = (0..4).fold(pure(0.0), |sum, n| sum.with(normal(&n.to_string(), 10), 0.3));
    assert_eq!(sum.terms.effective_freedom(), NonZeroU32::new(40));
    let certain = pure(0.0).with(Input::new("certificate", Shape::Normal), 1.0);
    assert_eq!(certain.terms.effective_freedom(), None);
    assert_eq!(pure(0.0).terms.effective_freedom(), None);
}

/// GUM H.1 (inputs quoted in open reference data): u_c 32 nm, 16 degrees of freedom.
#[test]
fn end_gauge() {
    let length = pure(50_000_838.0)
        .with(normal("standard", 18), 25.0)
        .with(normal("difference, repeats", 24), 5.8)
        .with(normal("difference, random", 5), 3.9)
        .with(normal("difference, systematic", 8), 6.7)
        .with(normal("expansion", 50), 2.9)
        .with(normal("temperature", 2), 16.675);
    assert_close(length.standard_uncertainty(), 31.7106, 1e-3);
    // 16.66 before the truncation: rounding would give 17.
    assert_eq!(length.terms.effective_freedom(), NonZeroU32::new(16));
}

/// GUM H.3, a line through eleven corrections of a thermometer (data seen in open source; results
/// recomputed). Slope and intercept share the eleven observations, so their correlation of -0.930
/// comes out by itself.
#[test]
fn shared_inputs_are_correlated_exactly() {
    let at = [
        21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511_f64,
    ]
    .map(|t| t - 20.0);
    let corrections = [
        -0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160_f64,
    ];
    let n = 11.0;
    let (sum, squares) = (at.iter().sum::<f64>(), at.iter().map(|t| t * t).sum::<f64>());
    let determinant = n * squares - sum * sum;
    let weights = |of: &dyn Fn(f64) -> f64| at.map(|t| of(t) / determinant);
    let intercept_weights = weights(&|t| squares - sum * t);
    let slope_weights = weights(&|t| n * t - sum);
    let fitted = |weights: &[f64; 11]| weights.iter().zip(corrections).map(|(w, b)| w * b).sum();
    let (y1, y2): (f64, f64) = (fitted(&intercept_weights), fitted(&slope_weights));
    let residuals = at.iter().zip(corrections).map(|(t, b)| (b - y1 - y2 * t).powi(2));
    let s = (residuals.sum::<f64>() / 9.0).sqrt();
    assert_close(s, 0.003_497_564, 1e-6);
    let observed: Vec<Estimate> = (0..11)
        .map(|k| pure(corrections[k]).with(normal(&format!("observation {k}"), 9), s))
        .collect();
    let line = |value: f64, weights: [f64; 11]| {
        Estimate::linear(pure(value).value, weights.into_iter().zip(&observed))
    };
    let (intercept, slope) = (line(y1, intercept_weights), line(y2, slope_weights));
    assert_close(y1, -0.171_203_790, 1e-8);
    assert_close(intercept.standard_uncertainty(), 0.002_877_598, 1e-6);
    assert_close(y2, 0.002_182_698, 1e-6);
    assert_close(slope.standard_uncertainty(), 0.000_667_939, 1e-5);
    let together: f64 =
        intercept.terms.iter().map(|(input, term)| term * slope.terms.term(input)).sum();
    let r = together / intercept.standard_uncertainty() / slope.standard_uncertainty();
    assert_close(r, -0.930_429_603, 1e-6);
    let at_30 = Estimate::linear(pure(y1 + 10.0 * y2).value, [(1.0, &intercept), (10.0, &slope)]);
    assert_close(at_30.value.to_f64(), -0.149_376_813, 1e-8);
    assert_close(at_30.standard_uncertainty(), 0.004_138_596, 1e-6);
}

/// EA-4/02 M, S3: a resistor by substitution, in milliohms (recomputed; text from memory).
#[test]
fn resistor_by_substitution() {
    let ratios = [1.000_010_4, 1.000_010_7, 1.000_010_6, 1.000_010_3, 1.000_010_5];
    let ratios = ratios.map(|ratio| Quantity::from_f64(ratio, Dimension::NONE).unwrap());
    let ratio = Estimate::average("ratio", &ratios).unwrap();
    assert_close(ratio.standard_uncertainty(), 0.0707e-6, 1e-3);
    let standard = pure(10_000_073.0);
    let scatter = Estimate::linear(standard.value, [(standard.value.to_f64(), &ratio)]);
    let resistor = scatter
        .with(Input::new("certificate", Shape::Normal), 2.5)
        .with_bounds("drift", Shape::Rectangular, 10.0)
        .with_bounds("bath, standard", Shape::Rectangular, 2.75)
        .with_bounds("bath, resistor", Shape::Rectangular, 5.5)
        .with_bounds("crosstalk", Shape::Triangular, 1e-6 * 10e6);
    assert_close(resistor.standard_uncertainty(), 8.3273, 1e-3);
    let value = 10_000.073 * ratio.value.to_f64();
    assert_close(value, 10_000.178, 1e-9);
}

proptest! {
    #[test]
    fn a_value_less_itself_has_no_uncertainty(standards in prop::collection::vec(-1e3..1e3_f64, 0..6)) {
        let inputs = standards.iter().enumerate();
        let x = inputs.fold(pure(5.0), |x, (n, u)| {
            x.with(Input::new(n.to_string(), Shape::Normal), *u)
        });
        let nothing = Estimate::linear(pure(0.0).value, [(1.0, &x), (-1.0, &x)]);
        prop_assert!(nothing.terms.is_empty());
        prop_assert_eq!(nothing, pure(0.0));
    }
}
