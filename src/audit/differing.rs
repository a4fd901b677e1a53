//! The first place at which two JSON values differ.

use serde_json::Value;

/// How much of a value is shown, in characters.
const SHOWN: usize = 80;

/// A place at which two values differ.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct DifferingPlace {
    /// The members and positions that lead there, with dots between.
    pub(super) path: String,
    /// What stands there on the left, `nothing` where there is no such member.
    pub(super) left: String,
    /// What stands there on the right.
    pub(super) right: String,
}

/// The first place at which two values differ, in the order of the left one's members.
pub(super) fn first(left: &Value, right: &Value) -> Option<DifferingPlace> {
    find(&mut Vec::new(), Some(left), Some(right))
}

fn find(
    path: &mut Vec<String>,
    left: Option<&Value>,
    right: Option<&Value>,
) -> Option<DifferingPlace> {
    if left == right {
        return None;
    }
    let members: Vec<(String, Option<&Value>, Option<&Value>)> = match (left, right) {
        (Some(Value::Object(left)), Some(Value::Object(right))) => {
            let more = right.keys().filter(|key| !left.contains_key(*key));
            let keys = left.keys().chain(more);
            keys.map(|key| (key.clone(), left.get(key), right.get(key))).collect()
        }
        (Some(Value::Array(left)), Some(Value::Array(right))) => {
            let positions = 0..left.len().max(right.len());
            positions.map(|n| (n.to_string(), left.get(n), right.get(n))).collect()
        }
        _ => {
            let (left, right) = (shown(left), shown(right));
            return Some(DifferingPlace { path: path.join("."), left, right });
        }
    };
    for (name, left, right) in members {
        path.push(name);
        if let Some(place) = find(path, left, right) {
            return Some(place);
        }
        path.pop();
    }
    None
}

fn shown(value: Option<&Value>) -> String {
    let Some(value) = value else { return "nothing".to_owned() };
    let text = value.to_string();
    match text.char_indices().nth(SHOWN) {
        Some((end, _)) => format!("{}...", text.get(..end).unwrap_or_default()),
        None => text,
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::first;

    fn found(left: &Value, right: &Value) -> Option<(String, String, String)> {
        first(left, right).map(|place| (place.path, place.left, place.right))
    }

    #[test]
    fn the_place_leads_to_what_differs() {
        let left = json!({"facts": [{"a": 1}, {"verdict": "inside"}]});
        let right = json!({"facts": [{"a": 1}, {"verdict": "outside"}]});
        let place =
            ("facts.1.verdict".to_owned(), "\"inside\"".to_owned(), "\"outside\"".to_owned());
        assert_eq!(found(&left, &right), Some(place));
        assert_eq!(found(&left, &left), None);
    }

    #[test]
    fn what_only_one_side_has_is_nothing_on_the_other() {
        let left = json!({"facts": []});
        let right = json!({"facts": [true], "more": 1});
        let place = ("facts.0".to_owned(), "nothing".to_owned(), "true".to_owned());
        assert_eq!(found(&left, &right), Some(place));
    }

    #[test]
    fn a_long_value_is_cut() {
        let place = found(&json!("x".repeat(1000)), &json!(1));
        assert!(place.is_some_and(|(_, left, _)| left.len() < 100));
    }
}
