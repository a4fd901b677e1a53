//! Spots a value typed with a slip of the fingers: the point, two digits in each other's place, a digit twice.

use super::quantity::Quantity;

/// Tells whether one slip of the fingers would explain an outside value.
///
/// `text` is what was typed, and `read` reads such a text. A value that is inside as it is has no slip.
pub fn is_digit_slip(
    text: &str,
    read: impl Fn(&str) -> Option<Quantity>,
    is_inside: impl Fn(&Quantity) -> bool,
) -> bool {
    let Some(value) = read(text).filter(|value| !is_inside(value)) else { return false };
    let misspelled = misspelled(text);
    let mut others = misspelled.iter().filter_map(|text| read(text));
    is_point_slip(&value, &is_inside) || others.any(|other| is_inside(&other))
}

/// Tells whether the decimal point one place to the left or right would explain an outside value.
pub fn is_point_slip(value: &Quantity, is_inside: impl Fn(&Quantity) -> bool) -> bool {
    let shifted = |power: i32| Quantity::new(value.value.shift(power), value.dimension);
    !is_inside(value) && [-1, 1].into_iter().any(|power| is_inside(&shifted(power)))
}

/// The texts that are one slip away: two neighbouring digits exchanged, or one of two equal ones left out.
fn misspelled(text: &str) -> Vec<String> {
    let typed: Vec<char> = text.chars().collect();
    let mut texts = Vec::new();
    for (n, pair) in typed.windows(2).enumerate() {
        let [first, second] = pair else { continue };
        if !first.is_ascii_digit() || !second.is_ascii_digit() {
            continue;
        }
        let mut other = typed.clone();
        if first == second {
            other.remove(n);
        } else {
            other.swap(n, n + 1);
        }
        texts.push(other.into_iter().collect());
    }
    texts
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::*;

    fn is_slip(typed: &str, low: &str, high: &str) -> bool {
        let [low, high] = [low, high].map(|text| Quantity::parse(text).unwrap());
        is_digit_slip(
            typed,
            |text| Quantity::parse(text).ok(),
            |value| value.compare(&low).unwrap().is_ge() && value.compare(&high).unwrap().is_le(),
        )
    }

    #[test]
    fn a_point_two_digits_or_one_too_many_explain_a_value() {
        for (typed, low, high) in [
            ("416 V", "40 V", "43 V"),
            ("4.16 V", "40 V", "43 V"),
            ("14.6 V", "40 V", "43 V"),
            ("441.6 V", "40 V", "43 V"),
        ] {
            assert!(is_slip(typed, low, high), "{typed}");
        }
    }

    #[test]
    fn anything_else_is_no_slip() {
        for (typed, low, high) in [
            ("41.6 V", "40 V", "43 V"),
            ("39.1 V", "40 V", "43 V"),
            ("41.6 V", "-43 V", "-40 V"),
            ("0 V", "40 V", "43 V"),
            ("7 ohm", "100 ohm", "1 kohm"),
            ("3.3 V", "40 V", "43 V"),
        ] {
            assert!(!is_slip(typed, low, high), "{typed}");
        }
    }

    #[test]
    fn text_of_any_alphabet_is_read_without_harm() {
        for typed in ["", "é1", "11é", "\u{202e}12", "99999999999999999999999999 V"] {
            assert!(!is_slip(typed, "40 V", "43 V"), "{typed:?}");
        }
    }
}
