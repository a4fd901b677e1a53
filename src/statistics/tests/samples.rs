//! Mean and deviation: NIST StRD univariate sets, certified values to 15 digits.

use super::published::{LEW, MAVRO_DIGITS, MICHELSO};
use crate::statistics::Sample;

fn alternating(lead: f64, low: f64, high: f64) -> Vec<f64> {
    std::iter::once(lead).chain((0..1000).map(|i| if i % 2 == 0 { low } else { high })).collect()
}

#[test]
fn the_certified_means_and_deviations_come_out() {
    let mavro: Vec<_> = MAVRO_DIGITS.iter().map(|digits| 2.0 + digits / 10_000.0).collect();
    let sets: [(&str, Vec<f64>, f64, f64, f64); 7] = [
        ("NumAcc1", vec![10_000_001.0, 10_000_003.0, 10_000_002.0], 10_000_002.0, 1.0, 1e-15),
        ("NumAcc2", alternating(1.2, 1.1, 1.3), 1.2, 0.1, 1e-14),
        // The tenths of these two have no exact binary number: of 16 digits seven and eight are before the point.
        ("NumAcc3", alternating(1_000_000.2, 1_000_000.1, 1_000_000.3), 1_000_000.2, 0.1, 1e-9),
        ("NumAcc4", alternating(10_000_000.2, 10_000_000.1, 10_000_000.3), 10_000_000.2, 0.1, 1e-8),
        ("Mavro", mavro, 2.001_856, 0.000_429_123_454_003_053, 1e-12),
        ("Michelso", MICHELSO.to_vec(), 299.8524, 0.079_010_547_819_051_8, 1e-12),
        ("Lew", LEW.to_vec(), -177.435, 277.332_168_044_316, 1e-14),
    ];
    for (name, values, mean, deviation, relative) in sets {
        let sample = Sample::of(&values).unwrap();
        assert!((sample.mean / mean - 1.0).abs() < 1e-15, "{name}: mean {}", sample.mean);
        let off = (sample.deviation / deviation - 1.0).abs();
        assert!(off < relative, "{name}: deviation {} deviates by {off:e}", sample.deviation);
    }
}

#[test]
fn too_few_values_and_what_is_no_number_give_nothing() {
    assert_eq!(Sample::of(&[]), None);
    assert_eq!(Sample::of(&[1.0]), None);
    assert_eq!(Sample::of(&[1.0, f64::NAN, 2.0]), None);
    assert_eq!(Sample::of(&[1.0, f64::INFINITY, 2.0]), None);
    let alike = Sample::of(&[0.3; 7]).unwrap();
    assert_eq!(
        (alike.count, alike.mean.to_bits(), alike.deviation.to_bits()),
        (7, 0.3_f64.to_bits(), 0)
    );
}
