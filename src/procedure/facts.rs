//! An answer to one of a procedure's questions about the equipment.

use super::discharge::{NONE, no_resistor};
use super::tolerance::{half_width, split_tolerance};
use super::{Ask, ValueLookup};
use crate::formula::rule_set;
use crate::quantity::{Quantity, Reading};
use crate::record::{Matter, PartsRefusal, Refusal};

/// An answer taken: a value or a list of part names.
#[derive(Clone, Debug, PartialEq)]
pub enum Given {
    /// A value.
    Value(Quantity),
    /// A value whose tolerance was stated with it.
    Toleranced {
        /// The value.
        value: Quantity,
        /// How far the true one may be from it, on either side, in its base unit.
        half_width: f64,
    },
    /// Part names.
    Parts(Vec<String>),
}

impl Given {
    /// Its value, when it is one.
    #[must_use]
    pub fn value(&self) -> Option<Quantity> {
        match self {
            Self::Value(value) | Self::Toleranced { value, .. } => Some(*value),
            Self::Parts(_) => None,
        }
    }
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
            return Ok(Given::Parts(parts(text.split(','))?));
        }
        if self.rule_set {
            let word = text.trim();
            let rules = rule_set(word).map(Given::Value);
            return rules.ok_or_else(|| Refusal::NoRuleSet { word: word.to_owned() });
        }
        if self.none_ok && text.trim() == NONE {
            return Ok(Given::Value(no_resistor()));
        }
        let unit = self.unit();
        let (text, tolerance) = split_tolerance(text);
        let reading = Reading::parse(text, &unit)?;
        let Reading::Number(quantity) = reading else {
            return Err(Refusal::OverRange);
        };
        let window = Box::new(self.acceptance().bounds(values)?);
        if window.judge(&reading).is_outside() {
            let text = text.to_owned();
            return Err(Refusal::Incredible { text, reading, unit, window });
        }
        match tolerance {
            None => Ok(Given::Value(quantity)),
            Some(tolerance) => Ok(Given::Toleranced {
                value: quantity,
                half_width: half_width(tolerance, &quantity)?,
            }),
        }
    }
}

/// Takes a list of part names.
///
/// # Errors
/// An empty list, an empty or doubled name, or a name that could not stand in a key.
pub fn parts<'a>(names: impl Iterator<Item = &'a str>) -> Result<Vec<String>, PartsRefusal> {
    let names: Vec<String> = names.map(|name| name.trim().to_owned()).collect();
    if names.len() > PARTS_MAX {
        return Err(PartsRefusal::TooMany { most: PARTS_MAX });
    }
    for (n, name) in names.iter().enumerate() {
        let plain = name.chars().all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-');
        if name.is_empty() || !plain {
            return Err(PartsRefusal::NotAName);
        }
        if Matter::is_word(name) {
            return Err(PartsRefusal::Reserved { name: name.clone() });
        }
        if names.iter().skip(n + 1).any(|other| other == name) {
            return Err(PartsRefusal::Twice { name: name.clone() });
        }
    }
    Ok(names)
}
