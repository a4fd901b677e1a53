//! Clocks and spans of time in words.

const SECOND_MS: u64 = 1_000;
const MINUTE_MS: u64 = 60 * SECOND_MS;
const HOUR_MS: u64 = 60 * MINUTE_MS;
const DAY_MS: u64 = 24 * HOUR_MS;

/// A span of time in its two largest units, rounded down: `9 h 2 min`.
#[must_use]
pub fn span_words(ms: u64) -> String {
    let two = |big: (u64, &str), small: (u64, &str)| match ms % big.0 / small.0 {
        0 => format!("{} {}", ms / big.0, big.1),
        rest => format!("{} {} {rest} {}", ms / big.0, big.1, small.1),
    };
    match ms {
        0..MINUTE_MS => format!("{} s", ms / SECOND_MS),
        MINUTE_MS..HOUR_MS => two((MINUTE_MS, "min"), (SECOND_MS, "s")),
        HOUR_MS..DAY_MS => two((HOUR_MS, "h"), (MINUTE_MS, "min")),
        DAY_MS.. => two((DAY_MS, "d"), (HOUR_MS, "h")),
    }
}

/// What came between two looks at the clocks of the machine: how long it slept, and by how much its wall clock was set (ms).
#[must_use]
pub fn clock_words(slept_ms: u64, set_ms: i64) -> String {
    let slept = (slept_ms > 0).then(|| format!("The machine slept for {}", span_words(slept_ms)));
    let way = if set_ms < 0 { "back" } else { "forward" };
    let span = span_words(set_ms.unsigned_abs());
    let set = (set_ms != 0).then(|| match slept {
        Some(_) => format!("its clock was set {way} by {span}"),
        None => format!("The clock of the machine was set {way} by {span}"),
    });
    slept.into_iter().chain(set).collect::<Vec<_>>().join(", and ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spans_are_told_in_their_two_largest_units() {
        let spans = [
            (999, "0 s"),
            (59_999, "59 s"),
            (60_000, "1 min"),
            (3_599_000, "59 min 59 s"),
            (9 * HOUR_MS + 2 * MINUTE_MS, "9 h 2 min"),
            (304 * DAY_MS + HOUR_MS, "304 d 1 h"),
        ];
        for (ms, words) in spans {
            assert_eq!(span_words(ms), words);
        }
    }

    #[test]
    fn what_the_clocks_did_is_one_sentence() {
        assert_eq!(clock_words(9 * HOUR_MS, 0), "The machine slept for 9 h");
        assert_eq!(clock_words(0, -60_000), "The clock of the machine was set back by 1 min");
        let both = "The machine slept for 5 s, and its clock was set forward by 2 d";
        assert_eq!(clock_words(5_000, 2 * 86_400_000), both);
    }
}
