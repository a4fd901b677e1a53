//! One number with its formula, its inputs and its uncertainty.

use super::{Figure, Foreseen, FormulaInput, Needs, PlanError, Planner};
use crate::formula::SAFETY_RULES;
use crate::procedure::Expression;
use crate::procedure::step::Piece;
use crate::quantity::{Estimate, Quantity};
use crate::record::Unworkable;
use crate::runner::facts::expanded;

impl Planner {
    /// Works out an expression that is written under a key; `place` is what uses it.
    pub(super) fn figure(&mut self, place: &str, key: &str, expression: &Expression) -> Figure {
        self.estimated(place, key, expression).0
    }

    /// Works out an expression, and gives the value with all that it is made of.
    pub(super) fn estimated(
        &mut self,
        place: &str,
        key: &str,
        expression: &Expression,
    ) -> (Figure, Option<Estimate>) {
        let inputs = self.inputs(place, expression);
        let estimate = expression.estimate(&|name: &str| self.runner.scope.estimates(name));
        let found = match &estimate {
            Ok(estimate) => Foreseen::of(estimate),
            Err(error) => {
                self.open(place, inputs.iter().map(|input| &input.found), error.clone().into())
            }
        };
        let (name, formula) = (key.to_owned(), expression.text.value.clone());
        (Figure { name, formula, inputs, found, used_for: Vec::new() }, estimate.ok())
    }

    /// Every expression of a part of the procedure, as figures.
    pub(super) fn figures<'a>(
        &mut self,
        place: &str,
        visit: impl FnOnce(&mut dyn FnMut(Piece<'a>)),
    ) -> Vec<Figure> {
        let mut figures = Vec::new();
        visit(&mut |part| {
            if let Piece::Quantity { key, expression, .. } | Piece::Within { key, expression, .. } =
                part
            {
                figures.push(self.figure(place, key, expression));
            }
        });
        figures
    }

    /// Why something cannot be worked out: what these need, or else what is wrong.
    pub(super) fn open<'a>(
        &mut self,
        place: &str,
        needed: impl Iterator<Item = &'a Foreseen>,
        error: Unworkable,
    ) -> Foreseen {
        let needed: Vec<_> = needed.collect();
        if let Some(needs) = Needs::of(needed.iter().copied()) {
            return Foreseen::Needs(needs);
        }
        // An error is told once, where it comes from.
        if !needed.iter().any(|found| matches!(found, Foreseen::Error { .. })) {
            self.errors.push(PlanError { place: place.to_owned(), error: error.clone() });
        }
        Foreseen::Error { error }
    }

    fn inputs(&mut self, place: &str, expression: &Expression) -> Vec<FormulaInput> {
        let Ok(formula) = expression.formula() else { return Vec::new() };
        let mut inputs: Vec<FormulaInput> = Vec::new();
        for (name, _) in formula.names() {
            // The rule set is no value: what follows from it is.
            if name == SAFETY_RULES || inputs.iter().any(|input| input.name == name) {
                continue;
            }
            let places = self.used_for.entry(name.to_owned()).or_default();
            if !places.iter().any(|known| known == place) {
                places.push(place.to_owned());
            }
            let unit = self.runner.procedure.asks.get(name).and_then(|ask| ask.unit.clone());
            inputs.push(FormulaInput { name: name.to_owned(), unit, found: self.found(name) });
        }
        inputs
    }

    /// What is known of a name: it is looked up once.
    fn found(&mut self, name: &str) -> Foreseen {
        if let Some(found) = self.found.get(name) {
            return found.clone();
        }
        let found = match self.runner.scope.estimates(name).as_deref() {
            Some([estimate]) => Foreseen::of(estimate),
            _ => Foreseen::Needs(self.needs(name)),
        };
        self.found.insert(name.to_owned(), found.clone());
        found
    }

    /// A name without a value is that of a step to come, or of a fact that is missing.
    fn needs(&self, name: &str) -> Needs {
        let step = self.steps.get(name.split('.').next().unwrap_or(name));
        let missing = if step.is_none() { Some(name.to_owned()) } else { None };
        Needs { after: step.cloned().into_iter().collect(), missing: missing.into_iter().collect() }
    }
}

impl Foreseen {
    pub(super) fn of(estimate: &Estimate) -> Self {
        Self::Value { value: estimate.value, uncertainty: expanded(estimate) }
    }

    /// The value, where it is known.
    #[must_use]
    pub fn value(&self) -> Option<&Quantity> {
        match self {
            Self::Value { value, .. } => Some(value),
            Self::Needs(_) | Self::Error { .. } => None,
        }
    }
}

impl Needs {
    /// All that these numbers need; nothing where they need nothing.
    pub fn of<'a>(numbers: impl IntoIterator<Item = &'a Foreseen>) -> Option<Self> {
        let mut all = Self::default();
        for number in numbers {
            if let Foreseen::Needs(needs) = number {
                all.after.extend(needs.after.iter().cloned());
                all.missing.extend(needs.missing.iter().cloned());
            }
        }
        (all != Self::default()).then_some(all)
    }
}
