//! What the runner concludes from an event.

use serde::{Deserialize, Serialize};

use super::{
    AmendedLine, Ceiling, Decision, Duty, Energy, Expiry, Key, Origin, Outcome, PracticeResult,
    ProofMade, ProofRestedOn, Signal, Source, StopReason, VoidedRecord,
};
use crate::quantity::{Quantity, Reading, Unit};
use crate::window::{Bounds, Uncertainty, Verdict};

/// What the runner concludes from an event, in the order it was concluded.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Fact {
    /// A fact about the equipment was given.
    Given {
        /// Its name in formulas.
        name: String,
        /// What was written.
        text: String,
        /// Its value, when it is a quantity.
        value: Option<Quantity>,
        /// The parts it names, when it is a list.
        parts: Vec<String>,
    },
    /// A value was worked out from others.
    WorkedOut {
        /// Its name in formulas.
        name: String,
        /// Its value.
        value: Quantity,
        /// How far it may be from the true value, when its inputs are not exact.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        uncertainty: Option<Uncertainty>,
    },
    /// A stage began.
    StageOpened {
        /// The stage's name.
        stage: String,
        /// Its title.
        title: String,
        /// Its source.
        source: Source,
        /// Its ceiling.
        ceiling: Option<Ceiling>,
    },
    /// Every window of the stage held.
    StageHeld {
        /// The stage's name.
        stage: String,
    },
    /// A hazard notice was read and answered.
    NoticeAnswered {
        /// The notice's key.
        key: Key,
        /// Its signal word.
        signal: Signal,
    },
    /// A reading was judged.
    Judged {
        /// The question's key.
        key: Key,
        /// What was measured.
        what: String,
        /// Which attempt, from 1.
        attempt: u32,
        /// The answer exactly as given.
        text: String,
        /// Its value.
        reading: Reading,
        /// The step's unit.
        unit: Unit,
        /// Where it came from.
        origin: Origin,
        /// The window it was judged against.
        bounds: Box<Bounds>,
        /// What the window is based on.
        basis: Option<String>,
        /// The verdict.
        verdict: Verdict,
        /// How the verdict came about.
        decision: Box<Decision>,
    },
    /// A point was sampled for a time; the samples themselves stand in the event.
    Watched {
        /// The question's key.
        key: Key,
        /// The point.
        point: String,
        /// The unit of its values.
        unit: Unit,
        /// How many samples.
        count: u64,
        /// The lowest.
        low: f64,
        /// The highest.
        high: f64,
        /// Their mean.
        mean: f64,
        /// The last.
        last: f64,
        /// Where it came from.
        origin: Origin,
        /// What each sample was judged against at once; none where the point was not guarded.
        bounds: Option<Box<Bounds>>,
    },
    /// The person confirmed to be there while time passed.
    Present {
        /// The question's key.
        key: Key,
        /// Where it came from.
        origin: Origin,
    },
    /// The wall clock was set while nothing was live: a proof of dead counts no longer.
    ClockSet {
        /// By how much, forward or (negative) back (ms).
        set_ms: i64,
    },
    /// An order to switch off was not confirmed: the plug has to be pulled.
    NotConfirmedOff {
        /// Which instrument.
        instrument: String,
        /// What was wrong.
        error: String,
    },
    /// An instrument that had not confirmed off has done so.
    ConfirmedOff {
        /// Which instrument.
        instrument: String,
        /// Whether it has only said so: no voltage was measured to be gone.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        by_word: bool,
    },
    /// The calibration of an instrument had run out on the day of the start.
    CalibrationOverdue {
        /// Which instrument.
        instrument: String,
        /// The last day on which it held.
        due: String,
    },
    /// A second person accepted an undecided reading, or an overdue calibration; it stays in sight.
    Conceded {
        /// The question's key; or that of an instrument's calibration.
        key: Key,
        /// By whom.
        by: String,
        /// Why.
        why: String,
    },
    /// Something seen was judged.
    Seen {
        /// The question's key.
        key: Key,
        /// What was looked at.
        what: String,
        /// Which attempt, from 1.
        attempt: u32,
        /// The stated answer chosen.
        text: String,
        /// Where it came from.
        origin: Origin,
        /// Whether that answer is acceptable.
        good: bool,
    },
    /// An action was done.
    Done {
        /// The question's key.
        key: Key,
        /// What was asked.
        what: String,
    },
    /// A step was left out, as the connected supply does what it is for.
    LeftOut(Key),
    /// Something was written down for a step.
    Written {
        /// The question's key.
        key: Key,
        /// What was asked.
        what: String,
        /// The words.
        text: String,
    },
    /// A temporary item was put in.
    Fitted {
        /// Its name.
        item: String,
    },
    /// A temporary item was taken out.
    Removed {
        /// Its name.
        item: String,
    },
    /// Tools, loose leads and people were said to be clear before energising.
    Cleared {
        /// Temporary items that stay in.
        fitted: Vec<String>,
    },
    /// A hold point was released.
    Released {
        /// The hold's key.
        key: Key,
        /// By whom.
        by: String,
        /// In what role.
        role: String,
    },
    /// Somebody present was named who supervises what the person at the bench may not do alone.
    Supervised {
        /// The question's key.
        key: Key,
        /// Who supervises.
        by: String,
        /// What was about to be done.
        duty: Duty,
    },
    /// A witness point was answered.
    Witnessed {
        /// The point's key.
        key: Key,
        /// Who was called.
        by: String,
        /// What became of it.
        outcome: super::WitnessOutcome,
    },
    /// The people file is not the one that was approved last, or there is none although one was approved, or none ever was.
    NotApproved(Box<super::Unapproved>),
    /// Nobody is in reach: the person at the bench said that they work alone.
    WorksAlone {
        /// The point's key.
        key: Key,
        /// Who works alone.
        by: String,
    },
    /// A wait ended.
    Waited {
        /// Its key.
        key: Key,
        /// How long it was (ms).
        ms: u64,
    },
    /// An answer was not taken.
    Refused {
        /// The question's key.
        key: Key,
        /// The answer exactly as given.
        text: String,
        /// Why not.
        reason: super::Refusal,
    },
    /// The energy state changed.
    Energy {
        /// What is known now.
        state: Energy,
    },
    /// The meter did not read a known source right: what it said in between counts for nothing.
    MeterRejected {
        /// The question's key.
        key: Key,
    },
    /// A point still held charge.
    StillCharged {
        /// The point's name.
        point: String,
    },
    /// Every point was measured dead, with the meter proved before and after.
    ProvedDead(ProofMade),
    /// What was proved dead before is taken to be dead still.
    ProofStands(ProofRestedOn),
    /// The run stopped.
    Stopped {
        /// The question at which it stopped, if at one.
        key: Option<Key>,
        /// Why.
        reason: StopReason,
    },
    /// A reading is taken again.
    Again {
        /// Its key.
        key: Key,
        /// Why, in the person's words.
        why: String,
    },
    /// Something was repaired: every window must hold again.
    Repaired {
        /// What, in the person's words.
        what: String,
    },
    /// What was measured or seen counts no longer, as if it had not been: what it depends on was moved.
    Stale {
        /// The steps it was measured or seen in.
        steps: Vec<String>,
        /// What was moved.
        because: String,
    },
    /// Results stand no longer, although nothing was found wrong with them: their stages are taken again.
    Expired {
        /// The steps they were measured or seen in.
        steps: Vec<String>,
        /// Why.
        why: Expiry,
    },
    /// The run goes back to take again what counts no longer.
    WentBack {
        /// The steps, in order.
        steps: Vec<String>,
    },
    /// Work was taken up again, the source being off.
    Reentered {
        /// The stage's name.
        stage: String,
        /// The step's name, when the stage is not begun again.
        step: Option<String>,
    },
    /// The bench has a new person.
    TookOver {
        /// Who left.
        from: String,
        /// Who came.
        to: String,
    },
    /// The run ended.
    Closed {
        /// How.
        outcome: Outcome,
        /// What is known of the energy in the equipment.
        energy: Energy,
        /// Whether the equipment was confirmed safe.
        safe: bool,
        /// Whether the run may be taken up again.
        resumable: bool,
    },
    /// What came of a practice.
    Practised(Box<PracticeResult>),
    /// An earlier line was corrected or completed afterwards; it stays in sight.
    Amended(AmendedLine),
    /// The record was declared to count for nothing; it stays in sight.
    Voided(VoidedRecord),
    /// A second person takes the reading again; until that is in, its value is kept out of sight.
    VerificationDue {
        /// The key of the first reading.
        key: Key,
    },
    /// A second person was named who takes the reading again.
    VerifierNamed {
        /// The key of the first reading.
        key: Key,
        /// Who.
        by: String,
        /// Whether an instrument sends the second value: no person's answer is there to be signed then, so this one is.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        sent: bool,
    },
    /// A second person took a reading again without knowing the first.
    Verified {
        /// The key of the first reading.
        key: Key,
        /// What was measured.
        what: String,
        /// Who took the first reading.
        taken_by: String,
        /// Who took the second one.
        by: String,
        /// The first reading.
        first: Reading,
        /// The second reading.
        second: Reading,
        /// The unit both are shown in.
        unit: Unit,
        /// The size of their difference; none where one of them is no number.
        difference: Option<Quantity>,
        /// The most it may be; none where the first reading is no number.
        within: Option<Quantity>,
        /// Whether they agree.
        agreed: bool,
    },
    /// Two people agreed on what was to be switched, before it was.
    Agreed {
        /// The key of the act.
        key: Key,
        /// What was to be switched.
        what: String,
        /// Who was at the bench.
        person: String,
        /// The other one, who watches.
        by: String,
    },
}
