//! Judging: a value against its window, and what follows from it.

use super::answer::Target;
use super::batch::Batch;
use super::effect::{Cause, StopView};
use super::in_circuit;
use super::machine::Runner;
use super::step_at::StepAt;
use super::task::Task;
use super::undecided::Undecided;
use crate::formula::FormulaError;
use crate::procedure::act::Act;
use crate::procedure::step::{Gives, formula_name};
use crate::procedure::{Hint, Step};
use crate::quantity::{Dimension, Estimate, Quantity, Reading, Unit, prefix_slip};
use crate::record::{Decision, Fact, Key, Origin, Refusal, SampleSpan, StopReason};
use crate::window::{Bounds, Rule, Uncertainty, Verdict};

/// A value about to be judged.
#[derive(Clone, Debug)]
pub(super) struct Judging {
    pub(super) key: Key,
    pub(super) what: String,
    /// The answer exactly as given.
    pub(super) text: String,
    pub(super) reading: Reading,
    pub(super) origin: Origin,
    pub(super) unit: Unit,
    pub(super) bounds: Bounds,
}

impl Judging {
    /// The value as a person reads it: as it was typed, or what an instrument sent, with the step's unit; and what was
    /// judged in its place.
    pub(super) fn shown(&self, corrected: Option<&Quantity>) -> String {
        let sent = self.origin.sent_words(&self.reading, &self.unit);
        let seen = sent.unwrap_or_else(|| self.typed());
        match corrected {
            Some(corrected) => {
                let corrected = corrected.engineering(4, Some(&self.unit));
                format!("{seen}, {corrected} before the meter loads it,")
            }
            None => seen,
        }
    }

    /// What was typed, with the step's unit where none was.
    fn typed(&self) -> String {
        let alone = Reading::parse(&self.text, &Unit::base(Dimension::NONE));
        match alone {
            Ok(Reading::Number(_)) => format!("{} {}", self.text.trim(), self.unit.symbol()),
            _ => self.text.clone(),
        }
    }
}

impl Runner {
    /// Takes a reading: judged and kept, or refused with the reason.
    pub(super) fn reading(
        &mut self,
        batch: &mut Batch,
        text: &str,
        origin: Origin,
        target: Target,
    ) {
        let Some(judging) = self.judging(batch, text, origin, &target) else { return };
        self.progress.answered();
        self.take(batch, judging, target);
    }

    /// Reads what was answered; what cannot be taken is refused with the reason.
    pub(super) fn judging(
        &mut self,
        batch: &mut Batch,
        text: &str,
        origin: Origin,
        target: &Target,
    ) -> Option<Judging> {
        let Act::Read { unit, bounds, .. } = target.act.clone() else { return None };
        // Instruments send base units, whatever the step is written in.
        let sent_in = if origin.is_sent() { Unit::base(unit.dimension()) } else { unit.clone() };
        let reading = match Reading::parse(text, &sent_in) {
            Ok(reading) => reading,
            Err(error) => {
                self.refuse(batch, text, error);
                return None;
            }
        };
        let by_a_person = matches!(origin, Origin::Typed | Origin::Scripted);
        if by_a_person && self.is_doubted_first(&target.key, &bounds, &reading) {
            let window = Box::new(bounds);
            self.refuse(batch, text, Refusal::Impossible { reading, unit, window });
            return None;
        }
        // What may be live is not asked for again with hands in.
        let may_slip = by_a_person && !self.is_found_live(target.at, &reading);
        if let (true, Verdict::Outside(_), Reading::Number(value)) =
            (may_slip, bounds.judge(&reading), &reading)
            && self.may_be_a_slip(&target.key, text, value, &bounds)
        {
            self.results.want_unit(&target.key);
            let example = value.engineering_exact(Some(&unit));
            self.refuse(batch, text, Refusal::Slip { example });
            return None;
        }
        if may_slip && self.is_doubted(target, text, &reading, &bounds, &unit) {
            self.refuse(batch, text, Refusal::Doubted);
            return None;
        }
        let (key, what, text) = (target.key.clone(), target.what.clone(), text.to_owned());
        Some(Judging { key, what, text, reading, origin, unit, bounds })
    }

    /// Judges a value with what its meter promises.
    pub(super) fn take(&mut self, batch: &mut Batch, judging: Judging, target: Target) {
        let (estimate, instrument) = self.measured_with(&judging, &target.act);
        if self.step_at(target.at).is_some_and(|step| step.watch.is_some())
            && let (Act::Read { .. }, Reading::Number(value)) = (&target.act, &judging.reading)
        {
            self.results.read_by_hand(SampleSpan::of(batch.now(), value.to_f64()));
        }
        self.conclude(batch, judging, estimate, instrument, target);
    }

    /// The reading with what its meter promises, and the instrument; nothing where no meter is named or known.
    pub(super) fn measured_with(
        &self,
        judging: &Judging,
        act: &Act,
    ) -> (Option<Estimate>, Option<String>) {
        let Act::Read { meter, .. } = act else { return (None, None) };
        let Reading::Number(value) = judging.reading else { return (None, None) };
        let bench = self.bench.as_ref();
        let Some((bench, used)) = bench.zip(meter.as_ref()) else { return (None, None) };
        let Some(meter) = bench.meter(&used.function) else { return (None, None) };
        let shown =
            meter.on_range(value, judging.key.as_str(), &bench.conditions(used.source_resistance));
        (shown.and_then(|(_, estimate)| estimate), Some(meter.words()))
    }

    /// A value that its kind can't have is asked for once more, as a slip of the keys is likelier; both stay in the record.
    fn is_doubted_first(&mut self, key: &Key, bounds: &Bounds, reading: &Reading) -> bool {
        bounds.judge(reading).is_impossible() && self.results.doubt(key)
    }

    /// An outside value that a slipped prefix would explain is asked for once more with its unit spelled out.
    fn may_be_a_slip(&self, key: &Key, text: &str, value: &Quantity, bounds: &Bounds) -> bool {
        // What is no pure number was written with its unit.
        let is_spelled = Reading::parse(text, &Unit::base(Dimension::NONE)).is_err();
        if is_spelled || value.dimension == Dimension::NONE {
            return false;
        }
        let inside = |q: &Quantity| bounds.judge(&Reading::Number(*q)) == Verdict::Inside;
        self.results.wants_unit(key) || prefix_slip(value, inside).is_some()
    }

    fn keep(&mut self, target: &Target, reading: &Reading, estimate: Option<Estimate>) {
        let Some(step) = self.step_at(target.at).map(|step| step.formula_name()) else { return };
        let part = formula_name(&target.part);
        match reading {
            Reading::Number(value) => {
                let estimate = estimate.unwrap_or_else(|| Estimate::exact(*value));
                self.scope.read(&step, &part, estimate);
            }
            Reading::OverRange | Reading::NotANumber => self.scope.unread(&step, &part),
        }
    }

    /// Judges a value by the procedure's rule, keeps it, and stops or asks where it is not inside.
    fn conclude(
        &mut self,
        batch: &mut Batch,
        judging: Judging,
        estimate: Option<Estimate>,
        meter: Option<String>,
        target: Target,
    ) {
        let (verdict, decision) =
            self.decide(batch, &judging, estimate.as_ref(), meter, &target.act);
        let is_steady = matches!(target.act, Act::Steady { .. });
        if !is_steady && self.is_found_live(target.at, &decision.judged(&judging.reading)) {
            return self.found_live(batch, target.at, judging);
        }
        if !is_steady {
            self.keep(&target, &judging.reading, estimate);
        }
        if verdict.is_outside() {
            return self.outside(batch, judging, &decision, target.at);
        }
        let retake = matches!(target.act, Act::Read { .. }).then(|| target.task());
        let undecided = self.undecided(verdict, &judging, &decision, target.at, retake);
        if self.turn(&target).is_some() {
            return self.verify(batch, &judging, target, undecided);
        }
        self.progress.first(undecided.map(Task::Undecided));
    }

    /// Judges a value by the procedure's rule, and puts the verdict among the facts.
    pub(super) fn decide(
        &mut self,
        batch: &mut Batch,
        judging: &Judging,
        estimate: Option<&Estimate>,
        meter: Option<String>,
        act: &Act,
    ) -> (Verdict, Decision) {
        // A reading for which no meter is named has no guard band; the checks find it where that matters.
        let rule = match act {
            Act::Read { meter: None, .. } | Act::Steady { .. } => Rule::Simple,
            _ => self.rule,
        };
        let (verdict, decision) = decided(judging, rule, estimate, meter);
        self.judged(batch, judging, verdict, decision.clone());
        (verdict, decision)
    }

    /// Stops on a value outside its window.
    pub(super) fn outside(
        &mut self,
        batch: &mut Batch,
        judging: Judging,
        decision: &Decision,
        at: StepAt,
    ) {
        let judged = decision.judged(&judging.reading);
        let causes = self.causes(at, &judged, &judging.bounds);
        let why = judging.bounds.why_outside(&judged, Some(&judging.unit));
        let shown = judging.shown(decision.corrected.as_ref());
        let what = format!("{}: {shown} {why}", judging.what);
        self.stop_at(batch, judging.key, StopReason::Outside, StopView { what, causes });
    }

    /// The question about a value that is too close to its limit; none for another.
    pub(super) fn undecided(
        &self,
        verdict: Verdict,
        judging: &Judging,
        decision: &Decision,
        at: StepAt,
        retake: Option<Task>,
    ) -> Option<Box<Undecided>> {
        if verdict != Verdict::Undecided {
            return None;
        }
        let causes = self.causes(at, &decision.judged(&judging.reading), &judging.bounds);
        let wanted = judging.bounds.describe(Some(&judging.unit));
        let shown = judging.shown(decision.corrected.as_ref());
        let why = undecided_because(&judging.bounds, decision);
        let what = format!("{}: {shown} {why} ({wanted})", judging.what);
        let key = judging.key.clone();
        Some(Box::new(Undecided { key, retake, view: StopView { what, causes } }))
    }

    /// Puts a judged value of the step at hand among the facts.
    pub(super) fn judged(
        &mut self,
        batch: &mut Batch,
        judging: &Judging,
        verdict: Verdict,
        decision: Decision,
    ) {
        let basis = self.step().and_then(basis_of);
        self.judged_on(batch, judging, verdict, decision, basis);
    }

    /// Puts a judged value among the facts, with the basis of its window.
    pub(super) fn judged_on(
        &mut self,
        batch: &mut Batch,
        judging: &Judging,
        verdict: Verdict,
        decision: Decision,
        basis: Option<String>,
    ) {
        let attempt = self.results.attempt(&judging.key);
        batch.facts.push(Fact::Judged {
            key: judging.key.clone(),
            what: judging.what.clone(),
            attempt,
            text: judging.text.clone(),
            reading: judging.reading,
            unit: judging.unit.clone(),
            origin: judging.origin,
            bounds: Box::new(judging.bounds),
            basis,
            verdict,
            decision: Box::new(decision),
        });
    }

    /// Judges a value that was worked out, with the uncertainty of what it was worked out from.
    pub(super) fn worked_out(&mut self, batch: &mut Batch, target: Target) {
        let Act::WorkOut { value, unit, bounds, .. } = target.act.clone() else { return };
        let estimate = self.step_at(target.at).and_then(|step| self.result(step));
        let judging = Judging {
            key: target.key.clone(),
            what: target.what.clone(),
            text: value.engineering(4, Some(&unit)),
            reading: Reading::Number(value),
            origin: Origin::WorkedOut,
            unit,
            bounds,
        };
        self.conclude(batch, judging, estimate, None, target);
    }

    /// What a step's formula gives, with its uncertainty.
    pub(super) fn result(&self, step: &Step) -> Option<Estimate> {
        let Gives::Result(formula) = step.kind()?.gives()? else { return None };
        formula.estimate(&|name: &str| self.scope.estimates(name)).ok()
    }

    /// The step's hints that fit the reading, and what follows from having measured in circuit.
    fn causes(&self, at: StepAt, reading: &Reading, bounds: &Bounds) -> Vec<Cause> {
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
        let verdict = bounds.judge(reading);
        let about_the_equipment = !verdict.is_impossible();
        let Some(step) = self.step_at(at).filter(|_| about_the_equipment) else {
            return Vec::new();
        };
        let hints: Vec<&Hint> =
            step.outside.iter().filter(|hint| fits(hint).unwrap_or(true)).collect();
        let causes = hints
            .iter()
            .map(|hint| Cause { likely: hint.likely.value.clone(), next: hint.next.value.clone() });
        causes.chain(in_circuit::cause(step, verdict, &hints)).collect()
    }
}

/// What the window of a step rests on.
pub(super) fn basis_of(step: &Step) -> Option<String> {
    step.basis.as_ref().map(|basis| basis.value.clone())
}

/// Judges a value by a rule, and says how sure that is.
fn decided(
    judging: &Judging,
    rule: Rule,
    estimate: Option<&Estimate>,
    meter: Option<String>,
) -> (Verdict, Decision) {
    let corrected = match (&judging.reading, estimate) {
        (Reading::Number(shown), Some(estimate)) => {
            Some(estimate.value).filter(|value| value != shown)
        }
        _ => None,
    };
    let reading = corrected.map_or(judging.reading, Reading::Number);
    let uncertainty = estimate.and_then(|estimate| Uncertainty::of(estimate, Uncertainty::LEVEL));
    let bounds = &judging.bounds;
    let verdict = bounds.judge_by(&reading, rule, uncertainty.as_ref());
    // An estimate is of a number, and of the very one that is judged.
    let chances = estimate.filter(|_| uncertainty.is_some());
    let conformity = chances.and_then(|estimate| bounds.conformity(estimate));
    let accepted = chances.filter(|_| verdict.is_inside());
    let false_accept = accepted.and_then(|estimate| bounds.false_accept(estimate));
    let uncertainty = uncertainty.filter(|uncertainty| !uncertainty.expanded.value.is_zero());
    (verdict, Decision { rule, corrected, uncertainty, conformity, false_accept, meter })
}

/// Why a value is undecided: by where it lies, or because this meter can accept none in so narrow a window.
fn undecided_because(bounds: &Bounds, decision: &Decision) -> &'static str {
    let accepted =
        decision.uncertainty.and_then(|uncertainty| decision.rule.acceptance(bounds, &uncertainty));
    let is_empty = accepted.is_some_and(|bounds| match bounds.low.zip(bounds.high) {
        Some((low, high)) => low.value > high.value,
        None => false,
    });
    if is_empty {
        "cannot be decided: this meter is too coarse for so narrow a window, whatever it shows"
    } else {
        "is too close to its limit for this meter"
    }
}
