//! Facts about one piece of equipment.

use serde::Deserialize;

use super::{At, Ordered};

/// What is known of the equipment on the bench: its identity and the facts that procedures ask for.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Equipment {
    /// Number of the file format: 1.
    pub format: At<u32>,
    /// Marks a file whose questions were left before the last one: the procedure that asks them.
    pub incomplete: Option<At<String>>,
    /// What it is.
    pub equipment: At<String>,
    /// Its serial number or the shop's own mark.
    pub serial: At<String>,
    /// What else should be known.
    pub remarks: Option<At<String>>,
    /// Values by the names that procedures ask for.
    #[serde(default)]
    pub facts: Ordered<At<String>>,
    /// Lists of part names by the names that procedures ask for.
    #[serde(default)]
    pub parts: Ordered<Vec<At<String>>>,
}

impl Equipment {
    /// What it says to the question of this name, as a person would type it: a value, or the names of parts.
    #[must_use]
    pub fn answer(&self, name: &str) -> Option<String> {
        if let Some(text) = self.facts.get(name) {
            return Some(text.value.clone());
        }
        let parts = self.parts.get(name)?.iter().map(|part| part.value.as_str());
        Some(parts.collect::<Vec<_>>().join(", "))
    }
}
