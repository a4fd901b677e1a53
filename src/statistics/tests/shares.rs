//! Shares with their intervals, ranks and quantiles.

use super::close;
use crate::statistics::{Share, quantile, rank_correlation};

/// How likely so many hits or fewer are, summed up hit by hit.
fn at_most(count: u32, of: u32, share: f64) -> f64 {
    let mut term = (1.0 - share).powi(i32::try_from(of).unwrap());
    let mut sum = term;
    for hits in 0..count {
        term *= f64::from(of - hits) / f64::from(hits + 1) * share / (1.0 - share);
        sum += term;
    }
    sum
}

/// The ends are where so many hits, or so few, are one in forty: by the binomial distribution itself.
#[test]
fn the_interval_of_a_share_is_exact() {
    for (count, of) in [(1, 40), (2, 100), (10, 100), (39, 40), (100, 300), (3, 1_000)] {
        let share = Share::of(count, of).unwrap();
        close(at_most(count, of, share.high), 0.025, 1e-9);
        close(1.0 - at_most(count - 1, of, share.low), 0.025, 1e-9);
        assert!(share.low < share.value() && share.value() < share.high);
    }
}

/// Without a hit, and with nothing but hits, the ends have a closed form.
#[test]
fn none_and_all_end_at_nothing_and_at_all() {
    let none = Share::of(0, 100).unwrap();
    close(none.low, 0.0, 0.0);
    close(none.high, 1.0 - 0.025_f64.powf(0.01), 1e-12);
    let all = Share::of(100, 100).unwrap();
    close(all.high, 1.0, 0.0);
    close(all.low, 0.025_f64.powf(0.01), 1e-12);
    assert_eq!((Share::of(0, 0), Share::of(2, 1)), (None, None));
}

/// A worked example that is printed in many places: ten people's IQ and hours of television, -29/165.
#[test]
fn the_rank_correlation_of_a_worked_example() {
    let iq = [106.0, 100.0, 86.0, 101.0, 99.0, 103.0, 97.0, 113.0, 112.0, 110.0];
    let hours = [7.0, 27.0, 2.0, 50.0, 28.0, 29.0, 20.0, 12.0, 6.0, 17.0];
    close(rank_correlation(&iq, &hours).unwrap(), -29.0 / 165.0, 1e-12);
    // With ties it is the correlation of mean ranks: 1, 2.5, 2.5, 4 against 1, 2, 3, 4.
    close(
        rank_correlation(&[1.0, 5.0, 5.0, 9.0], &[1.0, 2.0, 3.0, 4.0]).unwrap(),
        0.9_f64.sqrt(),
        1e-12,
    );
    close(rank_correlation(&[1.0, 2.0, 30.0], &[-1.0, -2.0, -3.0]).unwrap(), -1.0, 1e-12);
    assert_eq!(rank_correlation(&[1.0, 1.0, 1.0], &[1.0, 2.0, 3.0]), None, "one does not move");
    assert_eq!(rank_correlation(&[1.0, f64::NAN, 1.0], &[1.0, 2.0, 3.0]), None);
    assert_eq!(rank_correlation(&[1.0, 2.0], &[1.0, 2.0]), None);
}

#[test]
fn a_quantile_lies_straight_between_its_neighbours() {
    let values = [4.0, 1.0, 3.0, 2.0, 5.0];
    for (share, due) in [(0.0, 1.0), (0.25, 2.0), (0.5, 3.0), (0.6, 3.4), (1.0, 5.0)] {
        close(quantile(&values, share).unwrap(), due, 1e-12);
    }
    close(quantile(&[7.0], 0.025).unwrap(), 7.0, 0.0);
    assert_eq!(
        (quantile(&[], 0.5), quantile(&[f64::NAN], 0.5), quantile(&[1.0], 1.1)),
        (None, None, None)
    );
}
