//! What is still to be carried out, in order.

use super::agreement::ConcurrentAct;
use super::concession::Concession;
use super::step_at::StepAt;
use super::undecided::Undecided;
use super::verification::Verification;
use crate::procedure::act::{Act, Watching};
use crate::record::{Duty, Key, Outcome};

/// Which reading of a proof: the known source, each point in turn, the known source again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum ProofPart {
    Before,
    Point(usize),
    After,
}

/// What the person wants after a stop.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum AfterStop {
    Again,
    Repaired,
}

/// One thing to carry out. Those that need no answer are carried out at once.
#[derive(Clone, Debug, PartialEq)]
#[expect(clippy::large_enum_variant, reason = "a run holds a few dozen, and most are acts")]
pub(super) enum Task {
    /// Asks for a fact about the equipment.
    Fact(String),
    /// Works out the procedure's values from the facts.
    WorkOut,
    /// Opens a stage.
    Stage(usize),
    /// Lays out a step.
    Step(StepAt),
    /// Ends a step whose acts are done.
    StepEnd(StepAt),
    /// Ends a stage whose steps are done.
    StageEnd(usize),
    /// Shows the stage's notice, or with a step its own.
    Notice { stage: usize, step: Option<usize> },
    /// Asks whether tools, leads and people are clear.
    Clear,
    /// Lets the source come up.
    Live,
    /// Carries out an act of a step, on one part of it if it is repeated.
    Act { key: Key, part: String, at: StepAt, act: Act },
    /// Has a connected instrument sample a value for a time.
    Sample { key: Key, part: String, at: StepAt, watching: Box<Watching> },
    /// Has the end of a wait confirmed while the equipment is live.
    WaitOver { key: Key, what: String },
    /// Has somebody who supervises named, or the bench handed over, where the person may not do this as things are.
    Allow(Duty),
    /// Asks what to do about a reading too close to its limit.
    Undecided(Box<Undecided>),
    /// Asks who accepts something as it is, then why.
    Concede(Concession),
    /// Asks who takes a reading again, then for it.
    Verify(Box<Verification>),
    /// Asks who watches an act of switching, then whether both agree on it.
    Agree(ConcurrentAct),
    /// Has the source switched off and disconnected; `what` is the procedure's own way of doing it.
    Off { key: Key, what: Option<String> },
    /// Waits for stored charge.
    SafeWait { ms: u64, what: String },
    /// Takes one reading of a proof.
    Prove(ProofPart),
    /// Asks whether a proof of dead that stands is still to be believed.
    StillDead,
    /// Ends a proof whose readings are all good.
    Proved,
    /// Asks what to do after a stop.
    WhatNext,
    /// Asks for the reason.
    WhatNextWhy(AfterStop),
    /// Asks what became of the equipment while it was left.
    Sight,
    /// Goes back to where work can be taken up safely.
    Reenter,
    /// Has the record signed where the run has signers, then ends the run.
    SignOff { outcome: Outcome, resumable: bool },
    /// Ends the run. `Finished` needs the equipment proved dead first.
    Close { outcome: Outcome, resumable: bool },
}
