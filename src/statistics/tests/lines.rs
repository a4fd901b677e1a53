//! A straight line against NIST StRD Norris.

use super::close;
use super::published::{NORRIS_X, NORRIS_Y};
use crate::statistics::Drift;

#[test]
fn the_certified_slope_comes_out() {
    let points: Vec<_> = NORRIS_X.into_iter().zip(NORRIS_Y).collect();
    let drift = Drift::of(&points).unwrap();
    close(drift.slope, 1.002_116_818_020_45, 1e-13);
    close(drift.deviation, 0.000_429_796_848_199_937, 1e-13);
    // Student's t for 34 degrees of freedom is printed as 2.032.
    close(drift.uncertainty / drift.deviation, 2.032, 5e-4);
    assert!(drift.chance < 1e-12);
}

#[test]
fn values_that_stand_still_do_not_drift() {
    let drift = Drift::of(&[(0.0, 5.0), (1.0, 5.0), (2.0, 5.0)]).unwrap();
    close(drift.slope, 0.0, 0.0);
    close(drift.chance, 1.0, 0.0);
    let exact = Drift::of(&[(0.0, 5.0), (1.0, 6.0), (2.0, 7.0)]).unwrap();
    close(exact.slope, 1.0, 1e-12);
    close(exact.chance, 0.0, 1e-9);
    let noise = Drift::of(&[(0.0, 5.0), (1.0, 6.0), (2.0, 5.0), (3.0, 6.0), (4.0, 5.0)]).unwrap();
    assert!(noise.chance > 0.5, "{noise:?}");
}

#[test]
fn two_points_or_one_time_make_no_drift() {
    assert_eq!(Drift::of(&[(0.0, 5.0), (1.0, 6.0)]), None);
    assert_eq!(Drift::of(&[(1.0, 5.0), (1.0, 6.0), (1.0, 7.0)]), None);
    assert_eq!(Drift::of(&[(0.0, 5.0), (1.0, f64::NAN), (2.0, 7.0)]), None);
}
