//! What can happen at the bench: moves, and the event each of them is at the question at hand.

use chrono::DateTime;

use super::procedure::{CONTROLLED, OPERATOR};
use super::rig::RigKind;
use crate::quantity::{Dimension, Unit};
use crate::record::{
    Event, Meaning, Moment, Opening, Origin, OutputOn, SampleSpan, Signature, Trace, TripCause,
};
use crate::runner::{Expects, Question};

const VERIFIER: &str = "Pat Verifier-Test";

/// Something that happens, whatever is being asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Move {
    /// What lets the run go on: the right answer, the end of the wait, or taking up what had ended.
    Good,
    Outside,
    Impossible,
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
    OffUnanswered,
    OffConfirmed,
    RecordFailed,
    Interrupted,
    Abandoned,
    Resumed,
    Slept,
    ClockSet,
    NextDay,
    ResumedLater,
    Typed,
    SentOutside,
    SentImpossible,
    SentNotANumber,
    SentGarbled,
    SampledGood,
    SampledOutside,
    SampledDrifting,
    Fired,
}

impl Move {
    /// What can happen on this bench.
    pub(super) fn on(rig: RigKind) -> &'static [Self] {
        if rig.is_connected() { &Self::ALL } else { &Self::BY_HAND }
    }

    const BY_HAND: [Self; 37] = [
        Self::Good,
        Self::Outside,
        Self::Impossible,
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
        Self::OffUnanswered,
        Self::OffConfirmed,
        Self::RecordFailed,
        Self::Interrupted,
        Self::Abandoned,
        Self::Resumed,
        Self::Slept,
        Self::ClockSet,
        Self::NextDay,
        Self::ResumedLater,
    ];

    /// Those, and what connected instruments do.
    const ALL: [Self; 46] = {
        let instruments = [
            Self::Typed,
            Self::SentOutside,
            Self::SentImpossible,
            Self::SentNotANumber,
            Self::SentGarbled,
            Self::SampledGood,
            Self::SampledOutside,
            Self::SampledDrifting,
            Self::Fired,
        ];
        let mut all = [Self::Good; 46];
        let (by_hand, by_instruments) = all.split_at_mut(Self::BY_HAND.len());
        by_hand.copy_from_slice(&Self::BY_HAND);
        by_instruments.copy_from_slice(&instruments);
        all
    };
}

/// The question or wait at hand.
#[derive(Clone, Debug)]
pub(super) struct Pending {
    pub(super) question: Question,
    pub(super) until_ms: Option<u64>,
    /// An instrument has sampled what is watched.
    pub(super) is_sampled: bool,
}

impl Pending {
    /// It waits for someone else to take the bench.
    fn wants_another(&self) -> bool {
        self.question.expects == Expects::TakesOver
    }

    /// It waits for what an instrument has to sample.
    fn wants_samples(&self) -> bool {
        let is_watch = self.question.key == "drift" && self.until_ms.is_some();
        is_watch && !self.is_sampled
    }
}

pub(super) fn moment(elapsed_ms: u64) -> Moment {
    let since = i64::try_from(elapsed_ms).expect("a short run");
    let wall = DateTime::from_timestamp_millis(1_767_225_600_000 + since).expect("a date");
    Moment { wall: wall.fixed_offset(), elapsed_ms }
}

pub(super) fn started(operator: &str, rig: RigKind) -> Event {
    let opening = Opening::of_a_test(rig.mode(), operator);
    let signers = (rig == RigKind::Signed).then(|| opening.procedure.clone());
    let judged_at = Some(moment(0).wall);
    Event::Started(Box::new(Opening { signers, judged_at, ..opening }))
}

/// The event that a move is now, and the moment it comes at.
pub(super) fn event(step: Move, now_ms: u64, pending: Option<&Pending>) -> (u64, Event) {
    let wait_ends = pending.and_then(|pending| pending.until_ms);
    let soon = now_ms + 1_000;
    let at = match step {
        Move::Good if pending.is_some_and(Pending::wants_samples) => soon,
        Move::Good | Move::WaitOver => wait_ends.map_or(soon, |until| until.max(soon)),
        Move::LittleTick => now_ms + 1,
        Move::Lapse => now_ms + 25 * 60 * 1000,
        Move::NextDay | Move::ResumedLater => now_ms + 11 * 3_600_000,
        _ => soon,
    };
    (at, happening(step, at, pending).unwrap_or_else(|| answer(step, pending)))
}

fn resumed(by: &str, at: u64) -> Event {
    let judged_at = Some(moment(at).wall);
    Event::Resumed {
        by: by.to_owned(),
        program: "0".to_owned(),
        torn: None,
        judged_at,
        approval: None,
    }
}

fn off_unconfirmed(error: &str, is_on: bool) -> Event {
    let (instrument, outputs) = ("supply".to_owned(), vec!["plus".to_owned()]);
    Event::OffUnconfirmed { instrument, error: error.to_owned(), outputs, is_on }
}

/// What happens without regard to the question.
fn happening(step: Move, at: u64, pending: Option<&Pending>) -> Option<Event> {
    let text = |text: &str| text.to_owned();
    let key = pending.map(|pending| pending.question.key.clone()).unwrap_or_default();
    Some(match step {
        Move::Sampled => Event::Sampled { key, traces: Vec::new() },
        Move::SampledGood => Event::Sampled { key, traces: vec![trace(at, [0.06; 2])] },
        Move::SampledOutside => Event::Sampled { key, traces: vec![trace(at, [0.06, 0.4])] },
        Move::SampledDrifting => Event::Sampled { key, traces: vec![trace(at, [0.02, 0.095])] },
        Move::Good if pending.is_some_and(Pending::wants_samples) => {
            return happening(Move::SampledGood, at, pending);
        }
        Move::Present => Event::Present { key, origin: Origin::Typed },
        Move::Unattended => Event::Unattended { key, ms: 660_000 },
        Move::FoundOn => {
            let (instrument, output) = (text("supply"), text("plus"));
            Event::FoundOn(OutputOn { instrument, output, set_to: None, came_on: false })
        }
        Move::OffUnconfirmed => off_unconfirmed("says it is not off", true),
        Move::OffUnanswered => off_unconfirmed("no reply", false),
        Move::OffConfirmed => Event::OffConfirmed { instrument: text("supply"), by_word: false },
        Move::Good if pending.is_some_and(|pending| pending.until_ms.is_some()) => Event::Ticked,
        Move::Good if pending.is_none() => return happening(Move::Resumed, at, pending),
        Move::Good if pending.is_some_and(Pending::wants_another) => {
            return happening(Move::HandOver, at, pending);
        }
        Move::WaitOver | Move::LittleTick | Move::Lapse => Event::Ticked,
        Move::Note | Move::NextDay => Event::Noted { text: text("the fan is loud") },
        Move::HandOver => {
            let at_bench = pending.map(|pending| pending.question.person.as_str());
            let to = match at_bench {
                // To the person who is to read it again, where somebody is.
                _ if key.as_str().ends_with(".second") => VERIFIER,
                Some("Robin Relief-Test") => OPERATOR,
                _ => "Robin Relief-Test",
            };
            Event::HandedOver {
                to: text(to),
                remarks: text("all as on the screen"),
                signatures: vec![
                    Signature::of_a_test(at_bench.unwrap_or_default(), Meaning::HandedOver),
                    Signature::of_a_test(to, Meaning::TookOver),
                ],
            }
        }
        Move::Halt => Event::Halted { reason: "the telephone".into() },
        Move::InstrumentLost => Event::InstrumentLost { instrument: text("supply") },
        Move::Tripped => {
            let reason = Box::new(TripCause::Limiting { output: text("plus") });
            Event::Tripped { instrument: text("supply"), reason }
        }
        // From another thread: no protection of an instrument.
        Move::Fired => {
            let reason = Box::new(TripCause::Said(text("SIGINT")));
            Event::Tripped { instrument: text("trip"), reason }
        }
        Move::RecordFailed => Event::RecordFailed { error: text("no space left") },
        Move::Interrupted => Event::Interrupted { signal: text("SIGINT") },
        Move::Slept => Event::ClockUpset { slept_ms: 9 * 3_600_000, set_ms: 0 },
        Move::ClockSet => Event::ClockUpset { slept_ms: 0, set_ms: -3_600_000 },
        Move::Abandoned => Event::Abandoned { reason: "nobody answers".into() },
        Move::Resumed => resumed("Sasha Resumer-Test", at),
        Move::ResumedLater => resumed(OPERATOR, at),
        _ => return None,
    })
}

/// A current sampled once a second for a little longer than the watch, from one value to another in a straight line.
fn trace(at: u64, [from, to]: [f64; 2]) -> Trace {
    const SAMPLES: u32 = 32;
    let (_, _, point) = CONTROLLED;
    let spans = (0..SAMPLES).map(|n| {
        let value = from + (to - from) * f64::from(n) / f64::from(SAMPLES - 1);
        SampleSpan::of(at + u64::from(n) * 1_000, value)
    });
    let unit = Unit::base(Dimension::CURRENT);
    Trace { point: point.to_owned(), unit, spans: spans.collect() }
}

fn answer(step: Move, pending: Option<&Pending>) -> Event {
    let key = pending.map(|pending| pending.question.key.clone()).unwrap_or_default();
    let entered = |text: &str| Event::Entered {
        key: key.clone(),
        text: text.to_owned(),
        origin: Origin::Scripted,
        signature: None,
    };
    let sent = |text: &str| Event::Measured {
        key: key.clone(),
        text: text.to_owned(),
        instrument: "meter".to_owned(),
    };
    let file = |key: &str| Event::Attached {
        key: Some(key.into()),
        name: "front.jpg".to_owned(),
        sha256: String::new(),
        bytes: 1,
    };
    let Some(Pending { question, .. }) = pending else { return entered("0") };
    match step {
        Move::Good if question.expects == Expects::File => file(key.as_str()),
        Move::Good if is_read_by_an_instrument(question) => sent(in_base_units(good(question))),
        Move::Good => signed(question, key.to_string(), good(question)),
        Move::Typed => Event::Entered {
            key: key.clone(),
            text: good(question).to_owned(),
            origin: Origin::Typed,
            signature: None,
        },
        Move::Outside => entered(bad(question)),
        Move::Impossible => entered(impossible(question)),
        Move::SentImpossible => sent("-1E+06"),
        Move::SentOutside => sent(in_base_units(bad(question))),
        Move::SentNotANumber => sent("9.91E37"),
        Move::SentGarbled => sent("12,3#"),
        // Where a name is wanted, the person at the bench tries their own.
        Move::Comma if matches!(question.expects, Expects::Name { .. } | Expects::SecondPerson) => {
            // Spelled with a letter of another alphabet that looks the same.
            entered(&question.person.replace('e', "\u{435}"))
        }
        // Where somebody has to be in reach, it is waived, or there is somebody.
        Move::Comma if matches!(question.expects, Expects::Witness { .. }) => {
            entered("waived Lee Third-Test")
        }
        Move::Slip if matches!(question.expects, Expects::Witness { .. }) => {
            entered("attended Lee Third-Test")
        }
        // Or the person who took the first reading does, after the bench has changed hands.
        Move::Slip if question.expects == Expects::SecondPerson => entered(OPERATOR),
        // Or the right answer comes without the signature that it wants.
        Move::Slip if question.sign.is_some() => entered(good(question)),
        Move::Slip => entered("0.06"),
        Move::Comma => entered("1,5"),
        Move::Empty => entered(""),
        Move::Ok => entered("ok"),
        Move::Open => entered(if key == "what-next" { "later" } else { "OL" }),
        Move::NotANumber => entered(if key == "what-next" { "end" } else { "NaN" }),
        Move::Measured if question.expects == Expects::File => sent("front.jpg"),
        Move::Measured => sent(in_base_units(good(question))),
        Move::Acknowledge => Event::Acknowledged { key, origin: Origin::Typed },
        Move::Decline => {
            Event::Declined { key, reason: "it does not fit".into(), origin: Origin::Typed }
        }
        Move::AttachHere => file(key.as_str()),
        _ => Event::Entered {
            key: "long-ago".into(),
            text: good(question).to_owned(),
            origin: Origin::Typed,
            signature: None,
        },
    }
}

/// An answer with the signature that the question wants, if it wants one.
fn signed(question: &Question, key: String, text: &str) -> Event {
    let name = question.signer.as_deref().unwrap_or(text);
    let signature = question.sign.map(|meaning| Box::new(Signature::of_a_test(name, meaning)));
    Event::Entered { key: key.into(), text: text.to_owned(), origin: Origin::Scripted, signature }
}

fn is_read_by_an_instrument(question: &Question) -> bool {
    matches!(question.expects, Expects::Value { by: Some(_), .. })
}

/// What a person types, as an instrument sends it.
fn in_base_units(typed: &'static str) -> &'static str {
    match typed {
        "60 mA" => "+6.000E-02",
        "400 mA" => "0.4",
        typed => typed.trim_end_matches(" V"),
    }
}

/// The answer that lets the run go on.
fn good(question: &Question) -> &'static str {
    match question.key.as_str() {
        "ask.rail" => "50 V",
        "rail-full" => "50.3 V",
        "rail-full.second" => "50.1 V",
        "rails.hazard" | "rails-up" => "30 V",
        "direct.hazard" => "mains",
        "lamp.hazard" => "read",
        "make-safe.off" | "rails-off" | "lamp-off" | "direct-off" => "off",
        "dead.before" => "9.1 V",
        // Probes the other way round prove the meter as well.
        "dead.after" => "-9.1 V",
        "dead.plus" => "0.01 V",
        "sound.q1" => "22.4 kohm",
        "sound.q1.second" | "as-left" => "22.1 kohm",
        "sound.q2" | "sound.q2.second" => "OL",
        "joints" => "whole",
        "idle" | "drift.1" | "drift.2" => "60 mA",
        "glow" => "dim",
        "left.sight" | "dead.stands" => "in sight",
        "megohms" => "120 Mohm",
        "heatsink" => "cool",
        "lamp.hold" | "between.hold" => "Sam Second-Test",
        "seen" => "alone",
        "remark" => "a clean start",
        "what-next" => next(question),
        "sign-off" => "sign",
        "what-next.why" => "the probe had slipped",
        key if key.ends_with(".clear") => "clear",
        key if key.ends_with(".supervisor") => "Sam Second-Test",
        key if key.ends_with(".verifier") => VERIFIER,
        key if key.ends_with(".agree") => "agree",
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
        "dead.stands" => "not sure",
        "megohms" => "0.2 Mohm",
        // A negative rail is not a dead one.
        "dead.plus" => "-35 V",
        "sound.q1" | "sound.q2" | "as-left" => "5 ohm",
        "joints" => "cracked",
        "rails-up" | "rail-full" => "44 V",
        // Inside the window, but not what the other one read.
        "rail-full.second" => "52 V",
        "sound.q1.second" => "OL",
        "idle" | "drift.1" | "drift.2" => "400 mA",
        "glow" => "bright",
        "left.sight" => "hands in",
        "heatsink" => "discoloured",
        "lamp.hold" | "between.hold" => " kim  BENCH-test",
        key if key.ends_with(".supervisor") => " kim  BENCH-test",
        "seen" => "Lee Third-Test",
        "what-next" => "repaired",
        _ => "no",
    }
}

/// An answer that can be read, and that nothing of its kind can be; or far out the other way round.
fn impossible(question: &Question) -> &'static str {
    match question.key.as_str() {
        key if key.starts_with("sound.") || key == "as-left" => "-5 ohm",
        "idle" => "-60 kA",
        // The other way round, under a window with one limit.
        "drift.1" | "drift.2" => "-220 mA",
        "rails-up" | "rail-full" | "rail-full.second" | "ask.rail" => "1 MV",
        _ => "-1 MV",
    }
}
