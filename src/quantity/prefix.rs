//! SI prefixes as powers of ten.

/// Prefix symbols and their powers of ten (SI Brochure, 9th edition, Table 7; from memory).
///
/// The ones met at a bench come first, so that a guess at a slip of the keyboard tries them first.
/// Micro is also written `u`, and as either of the two Unicode characters that look alike.
pub(super) const PREFIXES: [(&str, i32); 26] = [
    ("k", 3),
    ("m", -3),
    ("u", -6),
    ("\u{b5}", -6),
    ("\u{3bc}", -6),
    ("M", 6),
    ("n", -9),
    ("p", -12),
    ("G", 9),
    ("T", 12),
    ("f", -15),
    ("a", -18),
    ("z", -21),
    ("y", -24),
    ("r", -27),
    ("q", -30),
    ("P", 15),
    ("E", 18),
    ("Z", 21),
    ("Y", 24),
    ("R", 27),
    ("Q", 30),
    ("c", -2),
    ("d", -1),
    ("h", 2),
    ("da", 1),
];

/// Gives the prefix for a power of ten; none for a power without one.
pub(super) fn symbol(power: i32) -> Option<&'static str> {
    PREFIXES.iter().find(|(_, listed)| *listed == power).map(|(symbol, _)| *symbol)
}

/// Reads a prefix that stands alone behind a number, or a letter that stands for the decimal point.
///
/// Only the prefixes found on components and meters, and `K` for kilo (IEC 60062). `h`, `d` and the
/// like would be misread units.
pub(super) fn alone(text: &str) -> Option<i32> {
    Some(match text {
        "p" => -12,
        "n" => -9,
        "u" | "\u{b5}" | "\u{3bc}" => -6,
        "m" => -3,
        "k" | "K" => 3,
        "M" => 6,
        "G" => 9,
        "T" => 12,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn si_brochure_table_7_is_complete() {
        // SI Brochure, 9th edition (2019, updated 2022), Table 7; from memory.
        let large = [("da", 1), ("h", 2), ("k", 3), ("M", 6), ("G", 9), ("T", 12), ("P", 15)];
        let larger = [("E", 18), ("Z", 21), ("Y", 24), ("R", 27), ("Q", 30)];
        let small = [("d", -1), ("c", -2), ("m", -3), ("u", -6), ("n", -9), ("p", -12)];
        let smaller = [("f", -15), ("a", -18), ("z", -21), ("y", -24), ("r", -27), ("q", -30)];
        let table = large.iter().chain(&larger).chain(&small).chain(&smaller);
        for (prefix, power) in table.clone() {
            assert_eq!(symbol(*power), Some(*prefix));
        }
        assert_eq!(PREFIXES.len(), table.count() + 2, "two more ways to write micro");
        assert_eq!(symbol(4), None);
    }

    #[test]
    fn a_prefix_alone_agrees_with_the_table() {
        for (prefix, power) in PREFIXES {
            assert!(alone(prefix).is_none_or(|alone| alone == power), "{prefix}");
        }
        assert_eq!(alone("K"), Some(3));
        assert_eq!(alone("h"), None, "an hour typed at a voltage is no hundred volts");
    }
}
