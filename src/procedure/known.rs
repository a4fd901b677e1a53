//! What of a procedure's values is known before anything is read: the facts of the equipment, and what follows from them.

use std::collections::BTreeMap;

use super::{Equipment, Given, Procedure, fill};
use crate::quantity::Quantity;

/// The values that are known before anything is read.
#[derive(Clone, Debug, Default)]
pub struct KnownValues {
    values: BTreeMap<String, Quantity>,
    parts: BTreeMap<String, Vec<String>>,
}

impl KnownValues {
    /// Takes the facts that the equipment file answers, and works out what follows from them alone.
    #[must_use]
    pub fn of(procedure: &Procedure, equipment: Option<&Equipment>) -> Self {
        Self::moved(procedure, equipment, &|_| 1.0)
    }

    /// The same of a set in which facts are not what the equipment file says, but a multiple of it.
    #[must_use]
    pub fn moved(
        procedure: &Procedure,
        equipment: Option<&Equipment>,
        times: &dyn Fn(&str) -> f64,
    ) -> Self {
        let mut known = Self::default();
        let Some(equipment) = equipment else { return known };
        for (name, ask) in procedure.asks.iter() {
            let given = equipment
                .answer(name)
                .and_then(|text| ask.take(&text, &|name: &str| known.value(name)).ok());
            if let Some(value) = given.as_ref().and_then(Given::value) {
                let times = times(name);
                let moved = Quantity::from_f64(times * value.to_f64(), value.dimension);
                // Nothing is rounded that does not move.
                let value = moved.filter(|_| times.total_cmp(&1.0).is_ne()).unwrap_or(value);
                known.values.insert(name.value.clone(), value);
            }
            if let Some(Given::Parts(parts)) = given {
                known.parts.insert(name.value.clone(), parts);
            }
        }
        for (name, expression) in procedure.work_out.iter() {
            if let Ok(value) = expression.evaluate(&|name: &str| known.value(name)) {
                known.values.insert(name.value.clone(), value);
            }
        }
        known
    }

    /// The value of a name, as formulas see it.
    #[must_use]
    pub fn value(&self, name: &str) -> Option<Vec<Quantity>> {
        self.values.get(name).map(|value| vec![*value])
    }

    /// The parts of a list, if it is known.
    #[must_use]
    pub fn parts(&self, name: &str) -> Option<&[String]> {
        self.parts.get(name).map(Vec::as_slice)
    }

    /// Puts values that are known in the place of their names in braces.
    #[must_use]
    pub fn fill(&self, text: &str) -> String {
        fill(text, &|name: &str| self.values.get(name).copied())
    }

    /// Adds a value that is known in a part of the procedure, such as the ceiling of a stage.
    #[must_use]
    pub fn with(mut self, name: &str, value: Quantity) -> Self {
        self.values.insert(name.to_owned(), value);
        self
    }
}
