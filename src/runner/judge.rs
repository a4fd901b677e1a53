//! Judging: a value against its window, and what follows from it.

use super::answer::Target;
use super::effect::{Cause, StopView};
use super::machine::{Batch, Runner};
use super::task::StepAt;
use crate::formula::FormulaError;
use crate::procedure::Hint;
use crate::procedure::step::formula_name;
use crate::quantity::{Dimension, Quantity, Reading, Unit, prefix_slip};
use crate::record::{Fact, Origin, StopReason};
use crate::window::{Bounds, Verdict};

impl Runner {
    /// Takes a reading: judged and kept, or refused with the reason.
    pub(super) fn reading(
        &mut self,
        batch: &mut Batch,
        text: &str,
        origin: Origin,
        target: Target,
        (unit, bounds): (&Unit, &Bounds),
    ) {
        let reading = match Reading::parse(text, unit) {
            Ok(reading) => reading,
            Err(error) => return self.refuse(batch, text, &error.to_string()),
        };
        let verdict = bounds.judge(&reading);
        let by_a_person = matches!(origin, Origin::Typed | Origin::Scripted);
        if let (true, Verdict::Outside(_), Reading::Number(value)) =
            (by_a_person, verdict, &reading)
            && self.may_be_a_slip(&target.key, text, value, bounds)
        {
            self.unit_wanted.insert(target.key.clone());
            let example = value.engineering_exact(Some(unit));
            let reason = format!(
                "is that a slip of a thousand? type it again with its unit, such as `{example}`"
            );
            return self.refuse(batch, text, &reason);
        }
        self.current = None;
        self.judged(batch, &target, text, &reading, origin, (unit, bounds, verdict));
    }

    /// An outside value that a slipped prefix would explain is asked for once more with its unit spelled out.
    fn may_be_a_slip(&self, key: &str, text: &str, value: &Quantity, bounds: &Bounds) -> bool {
        // What is no pure number was written with its unit.
        let is_spelled = Reading::parse(text, &Unit::base(Dimension::NONE)).is_err();
        if is_spelled || value.dimension == Dimension::NONE {
            return false;
        }
        let inside = |q: &Quantity| bounds.judge(&Reading::Number(*q)) == Verdict::Inside;
        self.unit_wanted.contains(key) || prefix_slip(value, inside).is_some()
    }

    fn keep(&mut self, target: &Target, reading: &Reading) {
        let Some(step) = self.step_at(target.at).map(|step| step.formula_name()) else { return };
        let part = formula_name(&target.part);
        match reading {
            Reading::Number(quantity) => self.scope.read(&step, &part, *quantity),
            Reading::OverRange | Reading::NotANumber => self.scope.unread(&step, &part),
        }
    }

    /// Keeps a step's value with its verdict; stops when it is outside.
    fn judged(
        &mut self,
        batch: &mut Batch,
        target: &Target,
        text: &str,
        reading: &Reading,
        origin: Origin,
        (unit, bounds, verdict): (&Unit, &Bounds, Verdict),
    ) {
        let Target { key, at, what, .. } = target;
        self.keep_verdict(batch, key, what, text, reading, origin, (unit, bounds, verdict));
        self.keep(target, reading);
        if verdict.is_outside() {
            let wanted = bounds.describe(Some(unit));
            let what = format!("{what}: {text} is outside its window ({wanted})");
            let view = StopView { what, causes: self.causes(*at, reading) };
            self.stop_at(batch, key.clone(), StopReason::Outside, view);
        }
    }

    /// Puts a judged value among the facts.
    #[expect(
        clippy::too_many_arguments,
        reason = "one argument for each thing an auditor asks for"
    )]
    pub(super) fn keep_verdict(
        &mut self,
        batch: &mut Batch,
        key: &str,
        what: &str,
        text: &str,
        reading: &Reading,
        origin: Origin,
        (unit, bounds, verdict): (&Unit, &Bounds, Verdict),
    ) {
        let attempt = self.attempt(key);
        let basis =
            self.step().and_then(|step| step.basis.as_ref()).map(|basis| basis.value.clone());
        batch.facts.push(Fact::Judged {
            key: key.to_owned(),
            what: what.to_owned(),
            attempt,
            text: text.to_owned(),
            reading: *reading,
            unit: unit.clone(),
            origin,
            bounds: Box::new(*bounds),
            basis,
            verdict,
        });
    }

    /// Judges a value that was worked out.
    pub(super) fn worked_out(
        &mut self,
        batch: &mut Batch,
        key: &str,
        at: StepAt,
        what: &str,
        value: Quantity,
        (unit, bounds): (&Unit, &Bounds),
    ) {
        let reading = Reading::Number(value);
        let text = value.engineering(4, Some(unit));
        let verdict = bounds.judge(&reading);
        let (key, what) = (key.to_owned(), self.scope.fill(what));
        let target = Target { key, part: String::new(), at, what };
        self.judged(batch, &target, &text, &reading, Origin::WorkedOut, (unit, bounds, verdict));
    }

    pub(super) fn attempt(&mut self, key: &str) -> u32 {
        let count = self.attempts.entry(key.to_owned()).or_default();
        *count += 1;
        *count
    }

    /// The step's hints that fit the reading.
    fn causes(&self, at: StepAt, reading: &Reading) -> Vec<Cause> {
        let values = |name: &str| self.scope.values(name);
        let fits = |hint: &Hint| -> Result<bool, FormulaError> {
            let number = match reading {
                Reading::Number(quantity) => Some(*quantity),
                Reading::OverRange | Reading::NotANumber => None,
            };
            let below = hint.below.as_ref().map(|e| e.evaluate(&values)).transpose()?;
            let above = hint.above.as_ref().map(|e| e.evaluate(&values)).transpose()?;
            let is_below = below.is_none_or(|b| number.is_some_and(|n| n.value < b.value));
            let is_above = above.is_none_or(|a| match reading {
                Reading::OverRange => true,
                _ => number.is_some_and(|n| n.value > a.value),
            });
            Ok(is_below && is_above)
        };
        let hints = self.step_at(at).map(|step| step.outside.as_slice()).unwrap_or_default();
        let hints = hints.iter().filter(|hint| fits(hint).unwrap_or(true));
        hints
            .map(|hint| Cause { likely: hint.likely.value.clone(), next: hint.next.value.clone() })
            .collect()
    }
}
