//! What a step comes down to: the few things the runner knows how to carry out.

use super::Point;
use crate::quantity::{Quantity, Unit};
use crate::record::{Matter, Unworkable};
use crate::window::Bounds;

/// A stated answer to a look.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// The words to choose.
    pub say: String,
    /// Whether it is acceptable.
    pub good: bool,
    /// The likely cause, when it is not.
    pub likely: Option<String>,
    /// What to check next, when it is not.
    pub next: Option<String>,
}

impl Choice {
    /// One of the run's own, with what it comes to.
    pub(crate) fn explained(say: &str, about: &str) -> Self {
        Self { say: say.to_owned(), good: true, likely: None, next: Some(about.to_owned()) }
    }
}

/// What a reading is measured with.
#[derive(Clone, Debug, PartialEq)]
pub struct MeterUse {
    /// The function, by its name in the bench file.
    pub function: String,
    /// The resistance of what is measured.
    pub source_resistance: Option<Quantity>,
}

/// A point that an instrument samples, and what each sample has to be inside of: one that is not, or that is no number,
/// switches the outputs off at once.
#[derive(Clone, Debug, PartialEq)]
pub struct Guard {
    /// The point.
    pub point: Point,
    /// What each sample has to be inside of.
    pub bounds: Bounds,
    /// Whether a supply that limits the current of this output counts as outside as well.
    pub limiting_is_outside: bool,
}

/// How an instrument takes a reading.
#[derive(Clone, Debug, PartialEq)]
pub enum Way {
    /// Where it is connected, or where the person holds its probes.
    At(Point),
    /// At outputs of a supply, after it has brought them to a voltage.
    Ramp {
        /// The outputs, all together.
        channels: Vec<String>,
        /// The voltage.
        to: Quantity,
        /// The time to take over it (ms).
        over_ms: u64,
    },
}

/// A value that is read for a time.
#[derive(Clone, Debug, PartialEq)]
pub struct Watching {
    /// Of what.
    pub what: String,
    /// The unit an answer without one is in.
    pub unit: Unit,
    /// The window of each reading.
    pub bounds: Bounds,
    /// What it is measured with, when the meter's accuracy is to count.
    pub meter: Option<MeterUse>,
    /// Where an instrument can sample it.
    pub point: Option<Point>,
    /// From one reading by hand to the next (ms).
    pub every_ms: u64,
    /// From the first reading to the last (ms).
    pub time_ms: u64,
    /// How steady it has to be at the end.
    pub steady: Steady,
}

impl Watching {
    /// How often the time from one reading by hand to the next passes.
    #[must_use]
    pub fn waits(&self) -> u64 {
        self.time_ms.checked_div(self.every_ms).unwrap_or_default()
    }
}

/// How steady a watched value has to be at its end.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Steady {
    /// The most it may drift in a minute, up or down, over the last third.
    pub drift_per_minute: Option<Quantity>,
    /// How far any value may be from their mean, and for how long before the end (ms).
    pub settled: Option<(Quantity, u64)>,
}

/// One thing for the runner to carry out.
#[derive(Clone, Debug, PartialEq)]
pub enum Act {
    /// The person does something and says so.
    Do {
        /// What.
        what: String,
    },
    /// The person looks and picks a stated answer.
    Look {
        /// At what.
        what: String,
        /// The stated answers.
        choices: Vec<Choice>,
    },
    /// A value is read and judged.
    Read {
        /// Of what.
        what: String,
        /// The unit an answer without one is in.
        unit: Unit,
        /// The window.
        bounds: Bounds,
        /// What it is measured with, when the meter's accuracy is to count.
        meter: Option<MeterUse>,
        /// How an instrument can take it, where one is connected.
        way: Option<Way>,
    },
    /// A value is read for a time and judged each time.
    Watch(Box<Watching>),
    /// The end of a watch by hand: how steady the readings were.
    Steady {
        /// Of what.
        what: String,
        /// The unit it is shown in.
        unit: Unit,
        /// How steady it has to be.
        steady: Steady,
    },
    /// A value worked out from others is judged.
    WorkOut {
        /// Of what.
        what: String,
        /// The value.
        value: Quantity,
        /// The unit it is shown in.
        unit: Unit,
        /// The window.
        bounds: Bounds,
    },
    /// The source is brought up: from here on the equipment is live.
    Energise,
    /// The source is switched off and disconnected.
    SourceOff {
        /// How, at this source.
        what: String,
    },
    /// Every charge point is proved dead.
    ProveDead,
    /// A named second person lets the work go on.
    Hold {
        /// The role that releases it.
        role: String,
        /// What that person has to have seen.
        ask: String,
    },
    /// A second person is called and may waive it.
    Witness {
        /// Who is called.
        role: String,
        /// What there is to see.
        ask: String,
        /// Whether it takes somebody who stays in reach, which nobody waives.
        in_reach: bool,
    },
    /// Time passes.
    Wait {
        /// How long (ms).
        ms: u64,
        /// What for.
        what: String,
    },
    /// The person writes something down.
    Note {
        /// What.
        ask: String,
    },
    /// A file is put beside the record.
    Attach {
        /// Which.
        ask: String,
    },
}

impl Act {
    /// How long it takes by itself (ms). What switching off takes hangs on what holds charge.
    #[must_use]
    pub fn time_ms(&self) -> Option<u64> {
        match self {
            Self::Read { way: Some(Way::Ramp { over_ms, .. }), .. } => Some(*over_ms),
            Self::Watch(watching) => Some(watching.time_ms),
            Self::Wait { ms, .. } => Some(*ms),
            Self::Read { .. }
            | Self::SourceOff { .. }
            | Self::Do { .. }
            | Self::Look { .. }
            | Self::Steady { .. }
            | Self::WorkOut { .. }
            | Self::Energise
            | Self::ProveDead
            | Self::Hold { .. }
            | Self::Witness { .. }
            | Self::Note { .. }
            | Self::Attach { .. } => None,
        }
    }
}

/// An act and the part of the key that tells it from its siblings in the same step.
#[derive(Clone, Debug, PartialEq)]
pub struct Keyed {
    /// What of the step it is; none for the step's only act.
    pub matter: Option<Matter>,
    /// The act.
    pub act: Act,
}

/// Milliseconds of a duration.
///
/// # Errors
/// A negative duration, or one beyond a week.
pub fn milliseconds(duration: &Quantity) -> Result<u64, Unworkable> {
    const WEEK_S: f64 = 7.0 * 24.0 * 3600.0;
    let seconds = duration.to_f64();
    if !(0.0..=WEEK_S).contains(&seconds) {
        return Err(Unworkable::Duration);
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "checked above: 0 to a week of milliseconds"
    )]
    Ok((seconds * 1000.0).round() as u64)
}
