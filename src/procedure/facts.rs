//! An answer to one of a procedure's questions about the equipment.

use super::discharge::{NONE, no_resistor};
use super::{Ask, ValueLookup};
use crate::formula::rule_set;
use crate::quantity::{Quantity, Reading};
use crate::record::{Matter, Refusal};

/// An answer taken: a value or a list of part names.
#[derive(Clone, Debug, PartialEq)]
pub enum Given {
    /// A value.
    Value(Quantity),
    /// Part names.
    Parts(Vec<String>),
}

/// The most parts one list may name.
const PARTS_MAX: usize = 64;

impl Ask {
    /// Takes an answer to this question.
    ///
    /// # Errors
    /// Why the answer is not taken.
    pub fn take(&self, text: &str, values: &ValueLookup<'_>) -> Result<Given, Refusal> {
        if self.parts {
            return parts(text.split(',')).map(Given::Parts).map_err(Refusal::fact);
        }
        if self.rule_set {
            return rule_set(text.trim()).map(Given::Value).map_err(Refusal::fact);
        }
        if self.none_ok && text.trim() == NONE {
            return Ok(Given::Value(no_resistor()));
        }
        let unit = self.unit();
        let reading = Reading::parse(text, &unit)?;
        let Reading::Number(quantity) = reading else {
            return Err(Refusal::fact("a number is needed here, not an over-range reading"));
        };
        let bounds = self.acceptance().bounds(values).map_err(Refusal::fact)?;
        let verdict = bounds.judge(&reading);
        if verdict.is_outside() {
            return Err(Refusal::fact(if verdict.is_impossible() {
                format!("{text} {}", bounds.why_outside(&reading, Some(&unit)))
            } else {
                format!("{text} is not credible here: {}", bounds.describe(Some(&unit)))
            }));
        }
        Ok(Given::Value(quantity))
    }
}

/// Takes a list of part names.
///
/// # Errors
/// An empty list, an empty or doubled name, or a name that could not stand in a key.
pub fn parts<'a>(names: impl Iterator<Item = &'a str>) -> Result<Vec<String>, String> {
    let names: Vec<String> = names.map(|name| name.trim().to_owned()).collect();
    if names.len() > PARTS_MAX {
        return Err(format!("at most {PARTS_MAX} parts in one list"));
    }
    for (n, name) in names.iter().enumerate() {
        let plain = name.chars().all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-');
        if name.is_empty() || !plain {
            return Err("part names are letters, digits, - and _, with commas between".to_owned());
        }
        if Matter::is_word(name) {
            return Err(format!("a part can't be called {name}: answers use that word"));
        }
        if names.iter().skip(n + 1).any(|other| other == name) {
            return Err(format!("the part {name} is named twice"));
        }
    }
    Ok(names)
}
