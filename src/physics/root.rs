//! Where a falling function crosses zero.

/// Enough for any bracket of doubles: plain halving alone needs about sixty.
const MOST_STEPS: usize = 100;

/// Finds the zero of a function that falls from `low` to `high`, to within `tolerance` of the argument.
///
/// Inverse quadratic interpolation where the last three points allow it, halving where they do not (Chandrupatla,
/// Advances in Engineering Software 28 (1997) 145, from memory), so the bracket always shrinks and the few calls matter
/// more than the arithmetic between them. Without a sign change the end nearer to zero is returned.
pub(super) fn falling_root(
    low: f64,
    high: f64,
    tolerance: f64,
    mut function: impl FnMut(f64) -> f64,
) -> f64 {
    let mut newest = Tried { argument: high, value: function(high) };
    if newest.value >= 0.0 {
        return high;
    }
    let mut opposite = Tried { argument: low, value: function(low) };
    if opposite.value <= 0.0 {
        return low;
    }
    let mut share = 0.5;
    for _ in 0..MOST_STEPS {
        let argument = newest.argument + share * (opposite.argument - newest.argument);
        let value = function(argument);
        let dropped = if (value > 0.0) == (newest.value > 0.0) {
            newest
        } else {
            std::mem::replace(&mut opposite, newest)
        };
        newest = Tried { argument, value };
        let best = if newest.value.abs() < opposite.value.abs() { newest } else { opposite };
        let least_share = 0.5 * tolerance / (opposite.argument - newest.argument).abs();
        if best.value == 0.0 || least_share > 0.5 {
            return best.argument;
        }
        share = next_share(newest, opposite, dropped).clamp(least_share, 1.0 - least_share);
    }
    newest.argument
}

/// An argument that was tried, and what the function is there.
#[derive(Clone, Copy)]
struct Tried {
    argument: f64,
    value: f64,
}

/// How far from the newest point towards the opposite one to look next.
fn next_share(newest: Tried, opposite: Tried, dropped: Tried) -> f64 {
    let place = (newest.argument - opposite.argument) / (dropped.argument - opposite.argument);
    let height = (newest.value - opposite.value) / (dropped.value - opposite.value);
    let interpolation_holds = height * height < place && (1.0 - height).powi(2) < 1.0 - place;
    if !interpolation_holds {
        return 0.5;
    }
    newest.value / (opposite.value - newest.value) * dropped.value
        / (opposite.value - dropped.value)
        + (dropped.argument - newest.argument) / (opposite.argument - newest.argument)
            * newest.value
            / (dropped.value - newest.value)
            * opposite.value
            / (dropped.value - opposite.value)
}

#[cfg(test)]
mod tests {
    use super::falling_root;

    #[test]
    fn roots_of_steep_and_flat_functions_are_found() {
        let straight = falling_root(0.0, 10.0, 1e-12, |x| 3.0 - x);
        assert!((straight - 3.0).abs() < 1e-11, "{straight}");
        let flat = falling_root(0.0, 1.0, 1e-9, |x| 1e-12 - x.powi(9));
        assert!((flat - 1e-12_f64.powf(1.0 / 9.0)).abs() < 1e-8, "{flat}");
        let steep = falling_root(0.0, 1.0, 1e-12, |x| (700.0 * (0.9 - x)).exp() - 1.0);
        assert!((steep - 0.9).abs() < 1e-11, "{steep}");
    }

    #[test]
    fn few_calls_are_needed_on_a_smooth_function() {
        let mut calls = 0;
        let root = falling_root(0.0, 2.0, 1e-12, |x| {
            calls += 1;
            2.0 - x * x
        });
        assert!((root - 2.0_f64.sqrt()).abs() < 1e-11);
        assert!(calls < 15, "{calls} calls");
    }

    #[test]
    fn without_a_crossing_the_nearer_end_is_returned() {
        assert!(falling_root(0.0, 1.0, 1e-9, |x| 5.0 - x) > 0.999);
        assert!(falling_root(0.0, 1.0, 1e-9, |x| -5.0 - x) < 0.001);
    }
}
