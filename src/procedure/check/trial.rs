//! Values to try a procedure's formulas with before any reading is taken.

use std::collections::BTreeMap;

use super::Subject;
use crate::formula::{FormulaError, rule_set};
use crate::physics::safety_limits::RULE_SETS;
use crate::procedure::step::Piece;
use crate::procedure::{Acceptance, Ask, CeilingText, Expression};
use crate::quantity::{Dimension, Quantity};
use crate::window::Bounds;

/// Where in the credible range of every question a trial takes its answers.
#[derive(Clone, Copy)]
enum RangePosition {
    Low,
    Middle,
    High,
}

/// One set of values for the facts and what is worked out of them.
#[derive(Clone, Debug, Default)]
pub(super) struct Trial {
    values: BTreeMap<String, Quantity>,
    /// What could not be worked out though all that it goes by is known, by its name.
    pub(super) failed: Vec<(String, FormulaError)>,
    /// Whether circuits are solved: for the equipment at hand, not for the ends of what is credible.
    solves: bool,
}

/// The trials of a procedure: facts of the equipment where they are known, else the low end, the middle and the high
/// end of every credible range, all questions together.
///
/// A question without a range has no value in any trial, and neither has what depends on it.
pub(super) fn trials(subject: &Subject<'_>) -> [Trial; 3] {
    let asks = || subject.procedure.asks.iter().filter(|(_, ask)| !ask.parts);
    let given =
        |name: &str| subject.equipment.is_some_and(|equipment| equipment.facts.get(name).is_some());
    if asks().all(|(name, _)| given(name)) {
        // Nothing is left open, so all three would be the same.
        let trial = Trial::at(RangePosition::Middle, subject);
        return [trial.clone(), trial.clone(), trial];
    }
    [RangePosition::Low, RangePosition::Middle, RangePosition::High]
        .map(|position| Trial::at(position, subject))
}

/// Whether something holds in each of the trials that tell of it, and one at least tells.
pub(super) fn in_every(trials: &[Trial], holds: impl Fn(&Trial) -> Option<bool>) -> bool {
    let mut told = trials.iter().filter_map(holds).peekable();
    told.peek().is_some() && told.all(|holds| holds)
}

/// The facts of the equipment file and what is worked out of them; what the file leaves open has no value.
pub(super) fn known(subject: &Subject<'_>) -> Trial {
    Trial::worked_out(Trial::answered(None, subject), subject)
}

/// What a question can go by: the answers to the others, without what is worked out once all are given.
pub(super) fn answers(subject: &Subject<'_>) -> Trial {
    Trial::answered(Some(RangePosition::Low), subject)
}

impl Trial {
    fn at(position: RangePosition, subject: &Subject<'_>) -> Self {
        Self::worked_out(Self::answered(Some(position), subject), subject)
    }

    fn worked_out(mut trial: Self, subject: &Subject<'_>) -> Self {
        for (name, expression) in subject.procedure.work_out.iter() {
            match trial.tried(expression) {
                Some(Err(error)) => trial.failed.push((name.value.clone(), error)),
                tried => trial.keep(name, tried.and_then(Result::ok)),
            }
        }
        trial
    }

    /// The facts, and nothing worked out of them yet; those that the equipment file lacks at a position of their range, or not at all.
    fn answered(position: Option<RangePosition>, subject: &Subject<'_>) -> Self {
        let solves = subject.equipment.is_some();
        let mut trial = Self { solves, ..Self::default() };
        for (name, ask) in subject.procedure.asks.iter() {
            let fact = subject.equipment.and_then(|equipment| equipment.facts.get(name));
            let value = match fact {
                // A fact that is no answer has its own finding, and gives no other.
                Some(fact) => {
                    let given = ask.take(fact, &|name: &str| trial.named(name)).ok();
                    given.and_then(|given| given.value())
                }
                None => position.and_then(|position| trial.credible(position, ask)),
            };
            trial.keep(name, value);
        }
        trial
    }

    /// The value of an expression, when it depends on nothing but known facts.
    pub(super) fn value(&self, expression: &Expression) -> Option<Quantity> {
        self.tried(expression)?.ok()
    }

    /// What an expression comes to, when it depends on nothing but known facts.
    pub(super) fn tried(&self, expression: &Expression) -> Option<Result<Quantity, FormulaError>> {
        let formula = expression.formula().ok()?;
        if !self.solves && formula.solves_a_circuit() {
            return None;
        }
        let known = formula.names().iter().all(|(name, _)| self.values.contains_key(*name));
        known.then(|| expression.evaluate(&|name: &str| self.named(name)))
    }

    /// The limits of a window, when all of them depend on nothing but known facts.
    pub(super) fn bounds(&self, window: &Acceptance, dimension: Dimension) -> Option<Bounds> {
        let mut usable = true;
        window.visit(dimension, &mut |part| {
            let (Piece::Quantity { expression, .. } | Piece::Within { expression, .. }) = part
            else {
                return;
            };
            usable = usable && self.value(expression).is_some();
        });
        if usable { window.bounds(&|name: &str| self.named(name)).ok() } else { None }
    }

    /// The watts behind a ceiling.
    pub(super) fn watts(&self, ceiling: &CeilingText) -> Option<f64> {
        let (voltage, current) = (self.value(&ceiling.voltage)?, self.value(&ceiling.current)?);
        Some(voltage.to_f64() * current.to_f64())
    }

    /// The value of a name, as formulas see it.
    pub(super) fn named(&self, name: &str) -> Option<Vec<Quantity>> {
        self.values.get(name).map(|value| vec![*value])
    }

    fn credible(&self, position: RangePosition, ask: &Ask) -> Option<Quantity> {
        if ask.rule_set {
            // The first: what formulas give has to be tried with one that has figures.
            return rule_set(RULE_SETS.first()?.word);
        }
        let [low, high] = ask.between.as_deref()? else { return None };
        let (low, high) = (self.value(low)?, self.value(high)?);
        match position {
            RangePosition::Low => Some(low),
            RangePosition::Middle => middle(low, high),
            RangePosition::High => Some(high),
        }
    }

    fn keep(&mut self, name: &str, value: Option<Quantity>) {
        if let Some(value) = value {
            self.values.insert(name.to_owned(), value);
        }
    }
}

/// A power (W) in words.
pub(super) fn power(watts: f64) -> String {
    let power = Quantity::from_f64(watts, Dimension::POWER);
    power.map_or_else(|| "far too much".to_owned(), |power| power.engineering(3, None))
}

/// The middle of a range: geometric where both ends are positive, because such ranges often span decades.
fn middle(low: Quantity, high: Quantity) -> Option<Quantity> {
    let (a, b) = (low.to_f64(), high.to_f64());
    let middle = if a > 0.0 && b > 0.0 { (a * b).sqrt() } else { f64::midpoint(a, b) };
    Quantity::from_f64(middle, low.dimension)
}
