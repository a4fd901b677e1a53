//! What can happen at the bench: moves, and the event each of them is at the question at hand.

use chrono::DateTime;

use super::procedure::OPERATOR;
use crate::record::{Event, Mode, Moment, Opening, Origin, Provided};
use crate::runner::{Expects, Question};

/// Something that happens, whatever is being asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Move {
    /// What lets the run go on: the right answer, the end of the wait, or taking up what had ended.
    Good,
    Outside,
    Slip,
    Comma,
    Empty,
    Ok,
    Open,
    NotANumber,
    Measured,
    Acknowledge,
    Decline,
    AttachHere,
    Stale,
    WaitOver,
    LittleTick,
    Lapse,
    Note,
    HandOver,
    Halt,
    InstrumentLost,
    Tripped,
    Sampled,
    Present,
    Unattended,
    FoundOn,
    OffUnconfirmed,
    RecordFailed,
    Interrupted,
    Abandoned,
    Resumed,
}

impl Move {
    pub(super) const ALL: [Self; 30] = [
        Self::Good,
        Self::Outside,
        Self::Slip,
        Self::Comma,
        Self::Empty,
        Self::Ok,
        Self::Open,
        Self::NotANumber,
        Self::Measured,
        Self::Acknowledge,
        Self::Decline,
        Self::AttachHere,
        Self::Stale,
        Self::WaitOver,
        Self::LittleTick,
        Self::Lapse,
        Self::Note,
        Self::HandOver,
        Self::Halt,
        Self::InstrumentLost,
        Self::Tripped,
        Self::Sampled,
        Self::Present,
        Self::Unattended,
        Self::FoundOn,
        Self::OffUnconfirmed,
        Self::RecordFailed,
        Self::Interrupted,
        Self::Abandoned,
        Self::Resumed,
    ];
}

/// The question or wait at hand.
#[derive(Clone, Debug)]
pub(super) struct Pending {
    pub(super) question: Question,
    pub(super) until_ms: Option<u64>,
}

pub(super) fn moment(elapsed_ms: u64) -> Moment {
    let since = i64::try_from(elapsed_ms).expect("a short run");
    let wall = DateTime::from_timestamp_millis(1_767_225_600_000 + since).expect("a date");
    Moment { wall: wall.fixed_offset(), elapsed_ms }
}

pub(super) fn started(operator: &str) -> Event {
    let procedure =
        Provided { name: "laws.yaml".to_owned(), sha256: String::new(), text: String::new() };
    Event::Started(Box::new(Opening {
        format: 1,
        run: "R-1".to_owned(),
        program: "0".to_owned(),
        mode: Mode::Scripted,
        operator: operator.to_owned(),
        title: "A run for a test (invented)".to_owned(),
        equipment_name: None,
        procedure,
        equipment: None,
        bench: None,
        rehearsal: None,
    }))
}

/// The event that a move is now, and the moment it comes at.
pub(super) fn event(step: Move, now_ms: u64, pending: Option<&Pending>) -> (u64, Event) {
    let wait_ends = pending.and_then(|pending| pending.until_ms);
    let soon = now_ms + 1_000;
    let at = match step {
        Move::Good | Move::WaitOver => wait_ends.map_or(soon, |until| until.max(soon)),
        Move::LittleTick => now_ms + 1,
        Move::Lapse => now_ms + 25 * 60 * 1000,
        _ => soon,
    };
    (at, happening(step, pending).unwrap_or_else(|| answer(step, pending)))
}

/// What happens without regard to the question.
fn happening(step: Move, pending: Option<&Pending>) -> Option<Event> {
    let text = |text: &str| text.to_owned();
    let key = pending.map(|pending| pending.question.key.clone()).unwrap_or_default();
    Some(match step {
        Move::Sampled => Event::Sampled { key, traces: Vec::new() },
        Move::Present => Event::Present { key, origin: Origin::Typed },
        Move::Unattended => Event::Unattended { key, ms: 660_000 },
        Move::FoundOn => Event::FoundOn { instrument: text("supply") },
        Move::OffUnconfirmed => {
            Event::OffUnconfirmed { instrument: text("supply"), error: text("still 12 V") }
        }
        Move::Good if pending.is_some_and(|pending| pending.until_ms.is_some()) => Event::Ticked,
        Move::Good if pending.is_none() => return happening(Move::Resumed, pending),
        Move::WaitOver | Move::LittleTick | Move::Lapse => Event::Ticked,
        Move::Note => Event::Noted { text: text("the fan is loud") },
        Move::HandOver => {
            let at_bench = pending.map(|pending| pending.question.person.as_str());
            let to =
                if at_bench == Some("Robin Relief-Test") { OPERATOR } else { "Robin Relief-Test" };
            Event::HandedOver { to: text(to), remarks: text("all as on the screen") }
        }
        Move::Halt => Event::Halted { reason: text("the telephone") },
        Move::InstrumentLost => Event::InstrumentLost { instrument: text("supply") },
        Move::Tripped => {
            Event::Tripped { instrument: text("supply"), reason: text("over current") }
        }
        Move::RecordFailed => Event::RecordFailed { error: text("no space left") },
        Move::Interrupted => Event::Interrupted { signal: text("SIGINT") },
        Move::Abandoned => Event::Abandoned { reason: text("nobody answers") },
        Move::Resumed => {
            Event::Resumed { by: text("Sasha Resumer-Test"), program: text("0"), torn: None }
        }
        _ => return None,
    })
}

fn answer(step: Move, pending: Option<&Pending>) -> Event {
    let key = pending.map(|pending| pending.question.key.clone()).unwrap_or_default();
    let entered = |text: &str| Event::Entered {
        key: key.clone(),
        text: text.to_owned(),
        origin: Origin::Scripted,
    };
    let file = |key: &str| Event::Attached {
        key: Some(key.to_owned()),
        name: "front.jpg".to_owned(),
        sha256: String::new(),
        bytes: 1,
    };
    let Some(Pending { question, .. }) = pending else { return entered("0") };
    match step {
        Move::Good if question.expects == Expects::File => file(&key),
        Move::Good => entered(good(question)),
        Move::Outside => entered(bad(question)),
        Move::Slip => entered("0.06"),
        // Where a name is wanted, the person at the bench tries their own.
        Move::Comma if matches!(question.expects, Expects::Name { .. }) => {
            entered(&question.person)
        }
        Move::Comma => entered("1,5"),
        Move::Empty => entered(""),
        Move::Ok => entered("ok"),
        Move::Open => entered(if key == "what-next" { "later" } else { "OL" }),
        Move::NotANumber => entered(if key == "what-next" { "end" } else { "NaN" }),
        Move::Measured => {
            let text = if question.expects == Expects::File { "front.jpg" } else { good(question) };
            Event::Measured { key, text: text.to_owned(), instrument: "meter".to_owned() }
        }
        Move::Acknowledge => Event::Acknowledged { key, origin: Origin::Typed },
        Move::Decline => {
            Event::Declined { key, reason: "it does not fit".to_owned(), origin: Origin::Typed }
        }
        Move::AttachHere => file(&key),
        _ => Event::Entered {
            key: "long-ago".to_owned(),
            text: good(question).to_owned(),
            origin: Origin::Typed,
        },
    }
}

/// The answer that lets the run go on.
fn good(question: &Question) -> &'static str {
    match question.key.as_str() {
        "ask.rail" | "rail-full" => "50 V",
        "rails.hazard" | "rails-up" => "30 V",
        "direct.hazard" => "mains",
        "lamp.hazard" => "read",
        "make-safe.off" | "rails-off" | "lamp-off" | "direct-off" => "off",
        "dead.before" => "9.1 V",
        // Probes the other way round prove the meter as well.
        "dead.after" => "-9.1 V",
        "dead.plus" => "0.01 V",
        "sound.q1" | "as-left" => "22 kohm",
        "sound.q2" => "OL",
        "joints" => "whole",
        "idle" | "drift.1" | "drift.2" => "60 mA",
        "glow" => "dim",
        "heatsink" => "cool",
        "lamp.hold" | "between.hold" => "Sam Second-Test",
        "seen" => "attended Lee Third-Test",
        "remark" => "a clean start",
        "what-next" => next(question),
        "what-next.why" => "the probe had slipped",
        key if key.ends_with(".clear") => "clear",
        _ => "done",
    }
}

fn next(question: &Question) -> &'static str {
    let Expects::Choice(choices) = &question.expects else { return "end" };
    if choices.iter().any(|choice| choice.say == "again") { "again" } else { "repaired" }
}

/// An answer that can be read and is not good.
fn bad(question: &Question) -> &'static str {
    match question.key.as_str() {
        "ask.rail" => "5000 V",
        "rails.hazard" => "12 V",
        "dead.before" | "dead.after" => "3 V",
        // A negative rail is not a dead one.
        "dead.plus" => "-35 V",
        "sound.q1" | "sound.q2" | "as-left" => "5 ohm",
        "joints" => "cracked",
        "rails-up" | "rail-full" => "44 V",
        "idle" | "drift.1" | "drift.2" => "400 mA",
        "glow" => "bright",
        "heatsink" => "discoloured",
        "lamp.hold" | "between.hold" => " kim  BENCH-test",
        "seen" => "Lee Third-Test",
        "what-next" => "repaired",
        _ => "no",
    }
}
