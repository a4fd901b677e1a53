//! Make safe and prove dead: source off, wait for the stored charge, meter proved, every point measured, meter proved.

use super::effect::Expects;
use super::machine::{Batch, Runner};
use super::task::{ProofPart, Task};
use crate::physics::discharge;
use crate::procedure::act::milliseconds;
use crate::quantity::{Dimension, Quantity, Reading};
use crate::record::{Energy, Fact, Origin, Outcome, Source};
use crate::window::{Bounds, Verdict};

/// The wait after switch-off where the procedure gives no data to work one out.
const WAIT_WITHOUT_DATA_MS: u64 = 30_000;

/// The wait before a point that still held charge is measured again, where nothing better is known.
const WAIT_STILL_CHARGED_MS: u64 = 10_000;

/// How long a proof of dead is believed where the procedure does not say.
const PROOF_LASTS_MS: u64 = 30 * 60 * 1000;

impl Runner {
    /// The tasks that make the equipment safe from what is known of it now.
    pub(super) fn make_safe(&self) -> Vec<Task> {
        let mut tasks = Vec::new();
        if !matches!(self.energy, Energy::Isolated | Energy::ProvedDead) {
            tasks.push(Task::Off { key: "make-safe.off".to_owned() });
        }
        tasks.push(Task::Prove { point: 0, part: ProofPart::Before });
        tasks
    }

    /// What to do to take the source away, for what may be feeding the equipment now.
    pub(super) fn off_words(&self) -> &'static str {
        match &self.energy {
            Energy::Energised { source: Source::BenchSupply, .. } => {
                "OUTPUTS OFF at the bench supply, then take its leads off the equipment."
            }
            Energy::Energised { .. } => {
                "SWITCH OFF at the mains, pull the plug out, and keep it where you can see it."
            }
            _ => {
                "SWITCH EVERYTHING OFF: bench supply outputs off, mains plug pulled out and where you can see it."
            }
        }
    }

    /// Takes the word that the source is off and disconnected.
    pub(super) fn source_is_off(&mut self, batch: &mut Batch) {
        self.set_energy(batch, Energy::Isolated);
        let (ms, what) = match self.discharge_ms() {
            Some(ms) => (ms, "Wait: worked out from the capacitors and their bleeders. Do not touch.".to_owned()),
            None => (
                WAIT_WITHOUT_DATA_MS,
                "Wait. No bleeder is known: charge may stay for hours. Do not touch; discharge through a resistor."
                    .to_owned(),
            ),
        };
        self.first([Task::SafeWait { ms, what }]);
    }

    /// The longest discharge of all charge points; `None` as soon as one of them cannot be worked out.
    fn discharge_ms(&self) -> Option<u64> {
        let values = |name: &str| self.scope.values(name);
        let mut longest = 0.0_f64;
        for (_, point) in self.procedure.charge_points.iter() {
            let stored = point.holds.as_ref()?;
            let capacitance = stored.capacitance.evaluate(&values).ok()?;
            let from = stored.charged_to.evaluate(&values).ok()?;
            let bleeder = stored.bleeder.as_ref()?.evaluate(&values).ok()?;
            let to = point.below.evaluate(&values).ok()?;
            longest = longest.max(discharge::wait_s(&capacitance, &bleeder, &from, &to));
        }
        milliseconds(&Quantity::from_f64(longest, Dimension::TIME)?).ok()
    }

    /// Begins a proof; equipment that is or may still be fed is switched off first.
    pub(super) fn begin_proof(&mut self) {
        let tasks = self.make_safe();
        self.first(tasks);
    }

    /// Puts the question of one reading of a proof.
    pub(super) fn prove(&mut self, batch: &mut Batch, point: usize, part: ProofPart) {
        let Some((name, what, bounds)) = self.proof_reading(point, part) else {
            // The checks refuse such a procedure; a run of one ends here instead of guessing.
            let close = Task::Close { outcome: Outcome::CouldNotWorkOut, resumable: false };
            return self.begin(batch, close);
        };
        let key = format!("dead.{name}.{}", part.suffix());
        let expects = Expects::Value { unit: Self::volt(), bounds: Box::new(bounds) };
        let question = self.question(key, what, expects);
        self.ask(Task::Prove { point, part }, question);
    }

    /// The point's name, the question and the window of one reading of a proof.
    fn proof_reading(&self, point: usize, part: ProofPart) -> Option<(String, String, Bounds)> {
        let values = |name: &str| self.scope.values(name);
        let (name, point) = self.procedure.charge_points.iter().nth(point)?;
        let source = &self.procedure.known_source;
        let known = || -> Option<Bounds> {
            let range: Result<Vec<_>, _> =
                source.between.iter().map(|e| e.evaluate(&values)).collect();
            Self::volts(&range.ok()?)
        };
        let (what, bounds) = match part {
            ProofPart::Before => (format!("Prove the meter: {}", *source.what), known()?),
            ProofPart::At => {
                let below = point.below.evaluate(&values).ok()?;
                let low = Quantity::new(below.value.neg(), below.dimension);
                (format!("Is it dead? {}", *point.at), Self::volts(&[low, below])?)
            }
            ProofPart::After => (format!("Prove the meter again: {}", *source.what), known()?),
        };
        Some((name.value.clone(), what, bounds))
    }

    /// Takes one reading of a proof: goes on, or begins the point again.
    pub(super) fn proof_answer(
        &mut self,
        batch: &mut Batch,
        text: &str,
        origin: Origin,
        (point, part): (usize, ProofPart),
    ) {
        let Some((name, what, bounds)) = self.proof_reading(point, part) else { return };
        let reading = match Reading::parse(text, &Self::volt()) {
            Ok(reading) => reading,
            Err(error) => return self.refuse(batch, text, &error.to_string()),
        };
        // Leads swapped on the known source prove the meter as well: its size counts, not its sign.
        let judged = match (part, &reading) {
            (ProofPart::At, _) => reading.clone(),
            (_, Reading::Number(q)) => Reading::Number(Quantity::new(q.value.abs(), q.dimension)),
            _ => reading.clone(),
        };
        let good = bounds.judge(&judged) == Verdict::Inside;
        let key = format!("dead.{name}.{}", part.suffix());
        self.judged(
            batch,
            &key,
            &what,
            text,
            &reading,
            origin,
            (&Self::volt(), &bounds, bounds.judge(&judged)),
        );
        self.current = None;
        match (part, good) {
            (ProofPart::Before, true) => self.first([Task::Prove { point, part: ProofPart::At }]),
            (ProofPart::At, true) => self.first([Task::Prove { point, part: ProofPart::After }]),
            (ProofPart::After, true) => self.next_point(point + 1),
            (ProofPart::At, false) => self.still_charged(batch, point, name, &reading),
            (ProofPart::Before | ProofPart::After, false) => {
                batch.facts.push(Fact::MeterRejected { key });
                self.first([Task::Prove { point, part: ProofPart::Before }]);
            }
        }
    }

    fn next_point(&mut self, point: usize) {
        let more = point < self.procedure.charge_points.iter().count();
        let next = Task::Prove { point, part: ProofPart::Before };
        self.first([if more { next } else { Task::Proved }]);
    }

    fn still_charged(&mut self, batch: &mut Batch, point: usize, name: String, reading: &Reading) {
        let ms = self.remaining_ms(point, reading).unwrap_or(WAIT_STILL_CHARGED_MS);
        batch.facts.push(Fact::StillCharged { point: name.clone() });
        if self.energy == Energy::ProvedDead {
            self.set_energy(batch, Energy::Isolated);
        }
        let what = format!(
            "STILL CHARGED at {name}. Discharge it through a resistor across its own terminals, never with a \
             screwdriver; then it is measured again."
        );
        let wait = Task::SafeWait { ms, what };
        self.first([wait, Task::Prove { point, part: ProofPart::Before }]);
    }

    /// How long the point's own bleeder still needs from the voltage just measured.
    fn remaining_ms(&self, point: usize, reading: &Reading) -> Option<u64> {
        let values = |name: &str| self.scope.values(name);
        let Reading::Number(from) = reading else { return None };
        let (_, point) = self.procedure.charge_points.iter().nth(point)?;
        let stored = point.holds.as_ref()?;
        let capacitance = stored.capacitance.evaluate(&values).ok()?;
        let bleeder = stored.bleeder.as_ref()?.evaluate(&values).ok()?;
        let to = point.below.evaluate(&values).ok()?;
        let seconds = discharge::wait_s(&capacitance, &bleeder, from, &to);
        milliseconds(&Quantity::from_f64(seconds, Dimension::TIME)?).ok()
    }

    /// Ends a proof whose readings are all good.
    pub(super) fn proved(&mut self, batch: &mut Batch) {
        let values = |name: &str| self.scope.values(name);
        let lasts = self.procedure.proof_lasts.as_ref();
        let lasts = lasts.and_then(|lasts| lasts.evaluate(&values).ok());
        let lasts_ms = lasts.and_then(|lasts| milliseconds(&lasts).ok()).unwrap_or(PROOF_LASTS_MS);
        let points =
            self.procedure.charge_points.iter().map(|(name, _)| name.value.clone()).collect();
        batch.facts.push(Fact::ProvedDead { points, lasts_ms });
        self.set_energy(batch, Energy::ProvedDead);
        self.proof = Some(batch.now().saturating_add(lasts_ms));
    }
}
