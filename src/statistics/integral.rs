//! Integrals and roots of smooth functions.

/// Integrates a function by Simpson's rule with this many pairs of steps.
pub(super) fn simpson(low: f64, high: f64, pairs: u32, function: impl Fn(f64) -> f64) -> f64 {
    let step = (high - low) / f64::from(2 * pairs);
    let at = |index: u32| function(low + step * f64::from(index));
    let odd: f64 = (0..pairs).map(|pair| at(2 * pair + 1)).sum();
    let even: f64 = (1..pairs).map(|pair| at(2 * pair)).sum();
    (at(0) + 4.0 * odd + 2.0 * even + at(2 * pairs)) * step / 3.0
}

/// Halvings after which the bracket of a root is as narrow as numbers are exact.
const HALVINGS: u32 = 50;

/// Finds where a rising function reaches zero between two values; the nearer end if it doesn't.
pub(super) fn rising_root(mut low: f64, mut high: f64, function: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        if function(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}
