//! Make safe and prove dead: source off, wait for the stored charge, meter proved, every point measured, meter proved.

use super::batch::Batch;
use super::effect::{Expects, Question};
use super::judge::{Judging, basis_of};
use super::machine::Runner;
use super::power::ProofOfDead;
use super::task::{ProofPart, Task};
use crate::procedure::act::{Way, milliseconds};
use crate::procedure::{ChargePoint, Expression, Point, SafeWait, Step, without_bleeder};
use crate::quantity::{Dimension, Quantity, Reading, Unit};
use crate::record::{Decision, Energy, Fact, Key, Origin, Outcome, ProofMade, ProvedAt, Source};
use crate::window::{Bounds, Verdict};

/// The wait before a point that still held charge is measured again, where nothing better is known.
const WAIT_STILL_CHARGED_MS: u64 = 10_000;

impl Runner {
    /// The tasks that make the equipment safe from what is known of it now.
    pub(super) fn make_safe(&self) -> Vec<Task> {
        let mut tasks = Vec::new();
        if !self.power.is_isolated() {
            tasks.push(Task::Off { key: Key::switch_off(), what: None });
        }
        tasks.push(Task::Prove(ProofPart::Before));
        tasks
    }

    /// What to do to take the source away, for what may be feeding the equipment now.
    pub(super) fn off_words(&self) -> String {
        if let Some(plugs) = self.plugs_to_pull() {
            return format!(
                "PULL THE PLUG of {plugs}, then take its leads off the equipment; the equipment's own mains plug out as well."
            );
        }
        let outputs = self.supply_outputs().join(" and ");
        let was_stopped = self.stopping.is_on();
        match self.power.state() {
            Energy::Energised { source: Source::BenchSupply, .. } if outputs.is_empty() => {
                "OUTPUTS OFF at the bench supply, then take its leads off the equipment.".to_owned()
            }
            Energy::Energised { source: Source::BenchSupply, .. } if was_stopped => {
                format!("TAKE THE LEADS OFF at the bench supply: {outputs} told to go off already.")
            }
            Energy::Energised { source: Source::BenchSupply, .. } => {
                format!(
                    "TYPE OFF: wattstep switches {outputs} off. When it says so, take the leads off at the bench supply."
                )
            }
            Energy::Energised { .. } => {
                "SWITCH OFF at the mains, pull the plug out, and keep it where you can see it."
                    .to_owned()
            }
            _ if outputs.is_empty() => {
                "SWITCH EVERYTHING OFF: bench supply outputs off, mains plug pulled out and where you can see it."
                    .to_owned()
            }
            _ => format!(
                "SWITCH EVERYTHING OFF: {outputs} told to go off already; take the leads off at the bench supply. Mains plug \
                 pulled out and where you can see it."
            ),
        }
    }

    /// Takes the word that the source is off and disconnected.
    pub(super) fn source_is_off(&mut self, batch: &mut Batch) {
        self.power.isolate(batch);
        let wait = self.safe_wait();
        let mut what = if wait.unknown.is_empty() {
            "Wait for the stored charge: worked out from the capacitors and their bleeders. Do not touch.".to_owned()
        } else {
            let unknown = wait.unknown.join(", ");
            format!(
                "Wait for the stored charge. How fast it leaves is not known for: {unknown}. Do not touch."
            )
        };
        if let Some(kept) = without_bleeder(&wait.kept) {
            what = format!("{what} {kept}.");
        }
        self.progress.first([Task::SafeWait { ms: wait.ms, what }]);
    }

    /// The wait after switch-off, and the charge points that it does not serve.
    pub(super) fn safe_wait(&self) -> SafeWait {
        self.procedure.safe_wait(&|name: &str| self.scope.values(name))
    }

    /// How long a point's own bleeder needs (ms), from the voltage measured or from the highest it is charged to.
    pub(super) fn discharge_ms(
        &self,
        point: &ChargePoint,
        measured: Option<Quantity>,
    ) -> Option<u64> {
        point.discharge_ms(measured, &|name: &str| self.scope.values(name))
    }

    /// Puts the question of one reading of a proof.
    pub(super) fn prove(&mut self, batch: &mut Batch, part: ProofPart) {
        let Some((key, what, bounds)) = self.proof_reading(part) else {
            // The checks refuse such a procedure; a run of one ends here instead of guessing.
            let close = Task::Close { outcome: Outcome::CouldNotWorkOut, resumable: false };
            return self.begin(batch, close);
        };
        let by = self.simulated_proof();
        let expects = Expects::Value { unit: Self::volt(), bounds: Box::new(bounds), by };
        let question = self.question(key, what, expects);
        let proving = self.proving_step();
        let why = proving.and_then(|step| step.why.as_ref()).map(|why| why.value.clone());
        let basis = proving.and_then(basis_of);
        self.ask(Task::Prove(part), Question { why, basis, ..question });
    }

    /// The step that a proof belongs to; one that makes safe, or comes before hands go in, does not belong to the step at hand.
    fn proving_step(&self) -> Option<&Step> {
        self.step().filter(|step| step.prove_dead.is_some() && !self.stopping.is_on())
    }

    /// A rehearsal has no other meter than the simulated one. On real equipment a proof is what a person saw on the
    /// meter: Enter alone would take probes that touch nothing for a dead point.
    fn simulated_proof(&self) -> Option<Box<Way>> {
        let function = self.procedure.known_source.function.as_ref().filter(|_| self.rehearses)?;
        self.by(Some(&Way::At(Point::Function(function.value.clone()))))
    }

    /// The key, the question and the window of one reading of a proof.
    pub(super) fn proof_reading(&self, part: ProofPart) -> Option<(Key, String, Bounds)> {
        let values = |name: &str| self.scope.values(name);
        let source = &self.procedure.known_source;
        let known = || -> Option<Bounds> {
            let range: Result<Vec<_>, _> =
                source.between.iter().map(|e| e.evaluate(&values)).collect();
            Self::volts(&range.ok()?)
        };
        Some(match part {
            ProofPart::Before => (
                Key::proof(ProvedAt::Before),
                format!("Prove the meter: {}", *source.what),
                known()?,
            ),
            ProofPart::Point(point) => {
                let (name, point) = self.charge_point(point)?;
                let below = point.below.evaluate(&values).ok()?;
                // A negative rail is as deadly as a positive one: the window is the same on both sides of zero.
                let low = Quantity::new(below.value.neg(), below.dimension);
                let what = match point.keeps_charge(&values) {
                    true => format!(
                        "NO BLEEDER: let its charge out through the resistor first, no wait does that. Is it dead? {}",
                        *point.at
                    ),
                    false => format!("Is it dead? {}", *point.at),
                };
                (Key::proof(ProvedAt::Point(name)), what, Self::volts(&[low, below])?)
            }
            ProofPart::After => (
                Key::proof(ProvedAt::After),
                format!("Prove the meter again: {}", *source.what),
                known()?,
            ),
        })
    }

    pub(super) fn charge_point(&self, point: usize) -> Option<(&str, &ChargePoint)> {
        let (name, point) = self.procedure.charge_points.iter().nth(point)?;
        Some((name.value.as_str(), point))
    }

    /// Takes one reading of a proof: goes on, or begins again with the known source.
    pub(super) fn proof_answer(
        &mut self,
        batch: &mut Batch,
        text: &str,
        origin: Origin,
        part: ProofPart,
    ) {
        let Some((key, what, bounds)) = self.proof_reading(part) else { return };
        let reading = match Reading::parse(text, &Self::volt()) {
            Ok(reading) => reading,
            Err(error) => return self.refuse(batch, text, error),
        };
        // Leads swapped on the known source prove the meter as well: its size counts, not its sign.
        let sized = match (part, &reading) {
            (ProofPart::Before | ProofPart::After, Reading::Number(q)) => {
                Reading::Number(Quantity::new(q.value.abs(), q.dimension))
            }
            _ => reading,
        };
        let verdict = bounds.judge(&sized);
        let judging = Judging {
            key: key.clone(),
            what: self.scope.fill(&what),
            text: text.to_owned(),
            reading,
            origin,
            unit: Self::volt(),
            bounds,
        };
        let basis = self.proving_step().and_then(basis_of);
        self.judged_on(batch, &judging, verdict, Decision::default(), basis);
        self.progress.answered();
        match (part, verdict == Verdict::Inside) {
            (ProofPart::Before, true) => self.prove_next(0),
            (ProofPart::Point(point), true) => self.prove_next(point + 1),
            (ProofPart::After, true) => self.progress.first([Task::Proved]),
            (ProofPart::Point(point), false) => self.still_charged(batch, point, &reading),
            (ProofPart::Before | ProofPart::After, false) => {
                // What the meter said in between counts for nothing.
                batch.facts.push(Fact::MeterRejected { key });
                self.progress.first([Task::Prove(ProofPart::Before)]);
            }
        }
    }

    /// Goes on with the first point from this one on that can be reached, or with the meter again.
    fn prove_next(&mut self, from: usize) {
        let next = self.reachable().into_iter().find(|point| *point >= from);
        let part = next.map_or(ProofPart::After, ProofPart::Point);
        self.progress.first([Task::Prove(part)]);
    }

    fn still_charged(&mut self, batch: &mut Batch, point: usize, reading: &Reading) {
        let Some((name, point)) = self.charge_point(point) else { return };
        let measured = match reading {
            Reading::Number(volts) => Some(*volts),
            Reading::OverRange | Reading::NotANumber => None,
        };
        let ms = self.discharge_ms(point, measured).unwrap_or(WAIT_STILL_CHARGED_MS);
        let what = format!(
            "STILL CHARGED at {name}. Discharge it through a resistor across its own terminals, never with a \
             screwdriver; then it is measured again."
        );
        batch.facts.push(Fact::StillCharged { point: name.to_owned() });
        if self.power.is_proved_dead() {
            self.power.isolate(batch);
        }
        self.progress.first([Task::SafeWait { ms, what }, Task::Prove(ProofPart::Before)]);
    }

    /// Ends a proof whose readings are all good.
    pub(super) fn proved(&mut self, batch: &mut Batch) {
        let lasts_ms = self.proof_lasts_ms();
        let reached = self.reachable();
        let named = reached.iter().filter_map(|point| self.charge_point(*point));
        let points = named.map(|(name, _)| name.to_owned()).collect();
        batch.facts.push(Fact::ProvedDead(ProofMade { points, lasts_ms }));
        let proof = ProofOfDead {
            made_ms: batch.now(),
            until_ms: batch.now().saturating_add(lasts_ms),
            points: reached,
            by: self.crew.person().to_owned(),
        };
        self.power.prove_dead(batch, proof);
        self.note_prover(batch);
    }

    /// How long a proof of dead is believed (ms).
    pub(super) fn proof_lasts_ms(&self) -> u64 {
        self.procedure.proof_lasts_ms(&|name: &str| self.scope.values(name))
    }

    /// A time that the procedure sets for the whole run (ms).
    pub(super) fn own_time(&self, written: Option<&Expression>) -> Option<u64> {
        let time = written?.evaluate(&|name: &str| self.scope.values(name)).ok()?;
        milliseconds(&time).ok()
    }

    /// A window's limits as quantities of volts, from a worked-out range.
    pub(super) fn volts(range: &[Quantity]) -> Option<Bounds> {
        let [low, high] = range else { return None };
        let volts = |q: &Quantity| (q.dimension == Dimension::VOLTAGE).then_some(*q);
        Bounds::between(volts(low)?, volts(high)?).ok()
    }

    pub(super) fn volt() -> Unit {
        Unit::base(Dimension::VOLTAGE)
    }
}
