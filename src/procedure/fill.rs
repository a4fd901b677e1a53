//! Texts with names in braces, and the values in their place: `set it to {low_rail}`.

use crate::quantity::Quantity;

/// Puts values in the place of their names in braces; a name without one value stays as it is written.
#[must_use]
pub fn fill(text: &str, value: &dyn Fn(&str) -> Option<Quantity>) -> String {
    let mut filled = String::with_capacity(text.len());
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('{') {
        let Some((name, behind)) = after.split_once('}') else { break };
        filled.push_str(before);
        match value(name) {
            Some(value) => filled.push_str(&value.engineering(3, None)),
            // The checks refuse such a name; a person still sees what was meant.
            None => filled.extend(["{", name, "}"]),
        }
        rest = behind;
    }
    filled.push_str(rest);
    filled
}
