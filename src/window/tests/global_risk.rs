//! Risks over a whole production (JCGM 106:2012, 9.5), by quadrature: what the guarded rule buys.

use statrs::distribution::{Continuous, ContinuousCDF, Gamma, Normal};

use super::{assert_close, pure, uncertainty};
use crate::window::{Bounds, Rule};

/// The chance that something is outside and accepted, and that it is inside and not accepted.
struct Risk {
    consumer: f64,
    producer: f64,
}

/// Integrates over everything made, `density` between `from` and `to` (Simpson's rule).
fn integral(density: impl Fn(f64) -> f64, from: f64, to: f64) -> f64 {
    const HALVES: u32 = 2000;
    let step = (to - from) / f64::from(2 * HALVES);
    let weight = |n: u32| if n == 0 || n == 2 * HALVES { 1.0 } else { f64::from(2 + n % 2 * 2) };
    let sum = (0..=2 * HALVES).map(|n| weight(n) * density(from + f64::from(n) * step));
    sum.sum::<f64>() * step / 3.0
}

/// The risks of accepting between two limits what is made with a normal spread.
fn risk((mean, made): (f64, f64), tolerance: (f64, f64), accepted: (f64, f64), u: f64) -> Risk {
    let (production, error) = (Normal::new(mean, made).unwrap(), Normal::new(0.0, u).unwrap());
    let accepts = |y: f64| error.cdf(accepted.1 - y) - error.cdf(accepted.0 - y);
    let wrongly = |y: f64| production.pdf(y) * accepts(y);
    let refused = |y: f64| production.pdf(y) * (1.0 - accepts(y));
    let reach = 9.0 * made;
    Risk {
        consumer: integral(wrongly, mean - reach, tolerance.0)
            + integral(wrongly, tolerance.1, mean + reach),
        producer: integral(refused, tolerance.0, tolerance.1),
    }
}

/// Resistors of 1500 ohm within 0.2 ohm, made within 0.12 and measured within 0.04: the consumer's
/// risk falls and the producer's rises with the guard band. The first row agrees with an open
/// manual's like ratios; the rest is recomputed.
#[test]
fn a_guard_band_moves_risk_from_the_consumer_to_the_producer() {
    let tolerance = (1499.8, 1500.2);
    let window = Bounds::between(pure(tolerance.0), pure(tolerance.1)).unwrap();
    let uncertainty = uncertainty("0.04", 2.0);
    for (fraction, consumer, producer) in [
        (0.0, 0.018_942, 0.037_208),
        (0.25, 0.009_878, 0.069_027),
        (0.5, 0.004_334, 0.114_657),
        (1.0, 0.000_469, 0.247_670),
    ] {
        let accepted = Rule::Guarded { fraction }.acceptance(&window, &uncertainty).unwrap();
        let accepted = (accepted.low.unwrap().to_f64(), accepted.high.unwrap().to_f64());
        let found = risk((1500.0, 0.12), tolerance, accepted, 0.04);
        assert_close(found.consumer, consumer, 2e-3);
        assert_close(found.producer, producer, 1e-3);
    }
}

/// A ratio of 4:1 with the simple rule: false accepts by the share that is within tolerance (open
/// test data).
#[test]
fn false_accepts_at_a_ratio_of_four() {
    let window = Bounds::between(pure(-1.0), pure(1.0)).unwrap();
    let uncertainty = uncertainty("0.125", 2.0);
    assert_eq!(window.ratio(&uncertainty), Some(4.0));
    for (within, percent) in [
        (0.60, 4.838_60),
        (0.70, 3.922_34),
        (0.80, 2.855_84),
        (0.90, 1.599_95),
        (0.95, 0.871_01),
        (0.99, 0.199_92),
    ] {
        let made = 1.0 / Normal::standard().inverse_cdf(f64::midpoint(1.0, within));
        let found = risk((0.0, made), (-1.0, 1.0), (-1.0, 1.0), made / 4.0);
        assert_close(100.0 * found.consumer, percent, 1e-4);
    }
}

/// JCGM 106:2012, 9.5.4, a ball bearing (as quoted in an open notebook): limit 2 um, u 0.25 um.
#[test]
fn a_one_sided_limit_on_a_skewed_production() {
    let production = Gamma::new(4.0, 4.0).unwrap();
    let error = Normal::new(0.0, 0.25).unwrap();
    assert_close(1.0 - production.cdf(2.0), 0.042_380_1, 1e-5);
    let consumer = |limit: f64| integral(|y| production.pdf(y) * error.cdf(limit - y), 2.0, 12.0);
    assert_close(consumer(2.0), 0.008_019_1, 1e-4);
    assert_close(consumer(1.6718), 0.001, 1e-3);
}
