//! Spots a value typed with the wrong prefix.

use super::quantity::Quantity;

/// Finds the power of ten (-6, -3, 3 or 6) that would bring an outside value inside.
///
/// `None` when the value is inside as it is, when no such power helps, and when more than one does:
/// then a slip of the prefix explains nothing.
pub fn prefix_slip(value: &Quantity, is_inside: impl Fn(&Quantity) -> bool) -> Option<i32> {
    if is_inside(value) {
        return None;
    }
    let shifted = |power: &i32| Quantity::new(value.value.shift(*power), value.dimension);
    let mut helping = [-6, -3, 3, 6].into_iter().filter(|power| is_inside(&shifted(power)));
    let first = helping.next();
    first.filter(|_| helping.next().is_none())
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::*;

    fn slip(typed: &str, low: &str, high: &str) -> Option<i32> {
        let [typed, low, high] = [typed, low, high].map(|text| Quantity::parse(text).unwrap());
        prefix_slip(&typed, |value| {
            value.compare(&low).unwrap().is_ge() && value.compare(&high).unwrap().is_le()
        })
    }

    #[test]
    fn one_power_of_a_thousand_explains_the_value() {
        assert_eq!(slip("60 A", "36 mA", "84 mA"), Some(-3));
        assert_eq!(slip("4.7 ohm", "4 kohm", "5 kohm"), Some(3));
        assert_eq!(slip("4.7 F", "4 uF", "5 uF"), Some(-6));
        assert_eq!(slip("100 ohm", "90 Mohm", "110 Mohm"), Some(6));
    }

    #[test]
    fn anything_else_is_no_slip() {
        assert_eq!(slip("60 mA", "36 mA", "84 mA"), None, "inside as it is");
        assert_eq!(slip("6 A", "36 mA", "84 mA"), None, "ten times is no prefix");
        assert_eq!(slip("60 GV", "1 V", "100 V"), None, "a prefix too far away");
        assert_eq!(slip("60 mV", "1 V", "1 MV"), None, "two powers would do");
        assert_eq!(slip("0 V", "1 V", "2 V"), None);
    }
}
