//! Facts about the equipment: asked for or read from its file, and the values that are worked out from them.

use super::batch::Batch;
use super::effect::Expects;
use super::era::Era;
use super::machine::Runner;
use super::task::Task;
use crate::formula::offered;
use crate::procedure::{Given, NONE, split_tolerance};
use crate::quantity::{Estimate, Quantity, Reading, Shape};
use crate::record::{Fact, Key, Refusal, StopReason, Unworkable};
use crate::window::Uncertainty;

impl Runner {
    /// Asks for a fact, or takes what the equipment file says of it.
    pub(super) fn fact(&mut self, batch: &mut Batch, name: &str) {
        let Some(ask) = self.procedure.asks.get(name) else { return };
        match self.written(name) {
            Some(text) => {
                if let Err(reason) = self.give(batch, name, &text) {
                    self.stop(batch, StopReason::UnusableFact { name: name.to_owned(), reason });
                }
            }
            None => {
                let mut what = ask.ask.value.clone();
                if ask.rule_set {
                    what = format!("{what}: {}", offered());
                }
                if let Some(unit) = &ask.unit {
                    what = format!("{what} ({})", unit.symbol());
                }
                if ask.none_ok {
                    what = format!("{what}, or {NONE}");
                }
                let question = self.question(Key::fact(name), what, Expects::Fact);
                self.ask(Task::Fact(name.to_owned()), question);
            }
        }
    }

    /// What the equipment file says to a question.
    pub(super) fn written(&self, name: &str) -> Option<String> {
        self.equipment.as_ref()?.answer(name)
    }

    /// Works out the procedure's values from the facts.
    pub(super) fn work_out(&mut self, batch: &mut Batch) {
        let worked: Vec<_> = self
            .procedure
            .work_out
            .iter()
            .map(|(name, e)| (name.value.clone(), e.clone()))
            .collect();
        for (name, expression) in worked {
            match expression.estimate(&|name: &str| self.scope.estimates(name)) {
                Ok(estimate) => {
                    let value = estimate.value;
                    let uncertainty = expanded(&estimate);
                    batch.facts.push(Fact::WorkedOut { name: name.clone(), value, uncertainty });
                    self.scope.give(&name, estimate);
                }
                Err(error) => return self.could_not_work_out(batch, &name, error.into()),
            }
        }
    }

    /// Takes a fact about the equipment.
    pub(super) fn give(
        &mut self,
        batch: &mut Batch,
        name: &str,
        text: &str,
    ) -> Result<(), Refusal> {
        let Some(given) = self.take_fact(name, text)? else { return Ok(()) };
        let value = given.value();
        let parts = if let Given::Parts(parts) = given { parts } else { Vec::new() };
        let (name, text) = (name.to_owned(), text.to_owned());
        batch.facts.push(Fact::Given { name, text, value, parts });
        Ok(())
    }

    /// Lets formulas see an answer to a question; nothing where nobody asked.
    pub(super) fn take_fact(&mut self, name: &str, text: &str) -> Result<Option<Given>, Refusal> {
        let Some(ask) = self.procedure.asks.get(name) else { return Ok(None) };
        if self.era < Era::ProofsStand && ask.is_value() && split_tolerance(text).1.is_some() {
            Reading::parse(text, &ask.unit())?;
        }
        let given = ask.take(text, &|name: &str| self.scope.values(name))?;
        let tolerance = ask.tolerance.as_ref();
        let tolerance =
            tolerance.map(|expression| expression.evaluate(&|name: &str| self.scope.values(name)));
        let tolerance = tolerance.transpose().map_err(Unworkable::from)?;
        let (value, half_width) = match &given {
            Given::Parts(parts) => {
                self.scope.give_parts(name, parts.clone());
                return Ok(Some(given));
            }
            Given::Value(value) => {
                (value, tolerance.map(|part| (value.to_f64() * part.to_f64()).abs()))
            }
            // What is stated of this one counts, not what is usual of its kind.
            Given::Toleranced { value, half_width } => (value, Some(*half_width)),
        };
        self.scope.give(name, toleranced(name, *value, half_width));
        Ok(Some(given))
    }
}

/// A marked value with its tolerance: anywhere between the bounds alike.
fn toleranced(name: &str, value: Quantity, half_width: Option<f64>) -> Estimate {
    let exact = Estimate::exact(value);
    match half_width {
        Some(half_width) => {
            exact.with_bounds(format!("{name}, tolerance"), Shape::Rectangular, half_width)
        }
        None => exact,
    }
}

/// The uncertainty that is stated with a value; none for an exact one.
pub(super) fn expanded(estimate: &Estimate) -> Option<Uncertainty> {
    let uncertainty = Uncertainty::of(estimate, Uncertainty::LEVEL);
    uncertainty.filter(|uncertainty| !uncertainty.expanded.value.is_zero())
}
