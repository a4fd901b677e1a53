//! A model's values in one state of the bench.

use std::cell::RefCell;

use super::{Model, Values, misread};
use crate::diagnostic::Finding;
use crate::procedure::Expression;
use crate::quantity::Quantity;

/// A model's values in one state of the bench, each worked out once.
pub(in crate::bench::simulated) struct Snapshot<'a> {
    model: &'a Model,
    states: &'a Values,
    worked_out: RefCell<Values>,
}

impl<'a> Snapshot<'a> {
    pub(super) fn new(model: &'a Model, states: &'a Values) -> Self {
        Self { model, states, worked_out: RefCell::default() }
    }

    /// Works a formula of the model out.
    ///
    /// # Errors
    /// A formula without a value, with its place.
    pub(in crate::bench::simulated) fn evaluate(
        &self,
        expression: &Expression,
    ) -> Result<Quantity, Finding> {
        let value = expression.evaluate(&|name: &str| self.find(name).map(|value| vec![value]));
        value.map_err(|error| misread(expression, &error))
    }

    fn find(&self, name: &str) -> Option<Quantity> {
        let known = self.model.constants.get(name).or_else(|| self.states.get(name)).copied();
        if let Some(known) = known.or_else(|| self.worked_out.borrow().get(name).copied()) {
            return Some(known);
        }
        // A quantity uses only those above it, so this ends.
        let (_, expression) = self.model.moving.iter().find(|(moving, _)| moving == name)?;
        let value = self.evaluate(expression).ok()?;
        self.worked_out.borrow_mut().insert(name.to_owned(), value);
        Some(value)
    }
}
