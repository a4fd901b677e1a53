//! Comparing a worked value with a published one, in tests.

/// Panics unless two values agree to a relative difference.
pub(super) fn assert_near(got: f64, want: f64, relative: f64) {
    let within = (got - want).abs() <= relative * want.abs();
    assert!(within, "got {got}, want {want} to within {relative}");
}
