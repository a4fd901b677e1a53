//! The facts of an equipment file as the model's formulas see them.

use std::collections::BTreeMap;

use crate::procedure::{Equipment, Procedure};
use crate::quantity::Quantity;

/// Values by name.
pub(in crate::bench::simulated) type Values = BTreeMap<String, Quantity>;

/// Takes the facts that a procedure asks for from an equipment file.
///
/// # Errors
/// The first fact that the procedure would not take, in words.
pub(in crate::bench::simulated) fn facts(
    procedure: &Procedure,
    equipment: &Equipment,
) -> Result<Values, String> {
    let mut facts = Values::new();
    for (name, ask) in procedure.asks.iter() {
        let Some(text) = equipment.facts.get(&name.value) else { continue };
        let given = ask.take(text, &|other: &str| facts.get(other).map(|value| vec![*value]));
        let given = given.map_err(|error| format!("`{}`: {error}", name.value))?;
        if let Some(value) = given.value() {
            facts.insert(name.value.clone(), value);
        }
    }
    Ok(facts)
}
