//! Control limits: constants as printed, and limits worked out by hand.

use super::close;
use crate::statistics::Chart;
use crate::statistics::chart::RangeConstants;

#[test]
#[expect(clippy::approx_constant, reason = "the digits as they are printed")]
fn the_range_constants_are_the_printed_ones() {
    // A web table that credits the AIAG manual, and an old user manual; d2 and d3 also integrated with other programs. D4
    // is printed with a last digit that differs by one between tables.
    for (size, d2, d3, d4) in [
        (2, 1.12838, 0.85250, 3.267),
        (3, 1.69257, 0.88837, 2.575),
        (4, 2.05875, 0.87981, 2.282),
        (5, 2.32593, 0.86408, 2.115),
        (6, 2.53441, 0.84804, 2.004),
        (8, 2.84720, 0.81983, 1.864),
        (10, 3.07751, 0.79705, 1.777),
    ] {
        let range_constants = RangeConstants::of(size).unwrap();
        close(range_constants.d2, d2, 6e-6);
        close(range_constants.d3, d3, 6e-6);
        close(range_constants.d4(), d4, 0.001);
    }
    assert_eq!(RangeConstants::of(1), None);
}

#[test]
fn single_values_get_limits_from_their_moving_range() {
    // Ranges 2, 3, 1, 2: mean 2; 3/d2(2) is printed as 2.66.
    let chart = Chart::of(&[10.0, 12.0, 9.0, 10.0, 12.0], 2).unwrap();
    close(chart.centre, 10.6, 1e-12);
    close(chart.range, 2.0, 1e-12);
    close(chart.high, 10.6 + 2.6587 * 2.0, 1e-3);
    close(chart.low, 10.6 - 2.6587 * 2.0, 1e-3);
    close(chart.range_high, 3.267 * 2.0, 1e-3);
    assert!(chart.holds(15.9) && !chart.holds(16.0) && !chart.holds(5.2));
    // Over three neighbours: ranges 3, 3, 3; d2(3) 1.69257.
    let chart = Chart::of(&[10.0, 12.0, 9.0, 10.0, 12.0], 3).unwrap();
    close(chart.high - chart.centre, 3.0 * 3.0 / 1.69257, 1e-4);
}

#[test]
fn a_jump_between_two_levels_does_not_widen_the_limits() {
    let level = |at: f64| [at, at + 0.1, at, at - 0.1, at];
    let values = [level(10.0), level(20.0)].concat();
    let chart = Chart::of(&values, 2).unwrap();
    assert!(!chart.holds(10.0) && !chart.holds(20.0), "{chart:?}");
}

#[test]
fn no_limits_are_drawn_from_nothing() {
    assert_eq!(Chart::of(&[1.0, 2.0], 2), None);
    assert_eq!(Chart::of(&[5.0; 9], 2), None);
    assert_eq!(Chart::of(&[1.0, f64::NAN, 2.0, 3.0], 2), None);
}
