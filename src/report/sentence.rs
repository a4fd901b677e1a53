//! A fact as one sentence.

use super::bound::remark;
use super::decided::is_worth_stating;
use super::entry_line::remarks;
use super::{Tone, practised, verification};
use crate::quantity::Quantity;
use crate::record::{
    Fact, Names, ProofMade, ProofRestedOn, WitnessOutcome, clock_words, span_words,
};

/// What is said in the place of a value that a second person has still to read.
const VERIFICATION_DUE: &str =
    "taken; its value is kept out of sight until a second person has read it again";

/// A fact as one sentence, if it is one. What binds a second person says so where it is not signed.
pub(super) fn sentence(fact: &Fact, names: Names) -> Option<(Tone, String)> {
    let (tone, words) = bare(fact)?;
    Some((tone, format!("{words}{}", remark(fact, names))))
}

fn bare(fact: &Fact) -> Option<(Tone, String)> {
    let line = match fact {
        Fact::Given { name, text, .. } => (Tone::Faint, format!("{name} = {text}")),
        Fact::WorkedOut { name, value, uncertainty } => {
            let worth = uncertainty.filter(|uncertainty| is_worth_stating(value, uncertainty));
            // It has no meter in it yet.
            let doubt = worth.map(|uncertainty| {
                let expanded = value.doubt_beside(&uncertainty.expanded, None);
                format!(" +/- {expanded} from the tolerances of the facts alone")
            });
            let value = value.engineering(4, None);
            (Tone::Faint, format!("{name} = {value}{} (worked out)", doubt.unwrap_or_default()))
        }
        Fact::CalibrationOverdue { instrument, due } => (
            Tone::Caution,
            format!("CALIBRATION OVERDUE: that of {instrument} ran out after {due}"),
        ),
        Fact::Conceded { key, by, why } => {
            let what = match key.instrument() {
                Some(instrument) => format!("OVERDUE calibration of {instrument}"),
                None => "UNDECIDED reading".to_owned(),
            };
            (Tone::Caution, format!("{what} accepted by {by}: {why}"))
        }
        Fact::StageHeld { stage } => (Tone::Good, format!("stage {stage} held")),
        Fact::NoticeAnswered { signal, .. } => {
            (Tone::Faint, format!("{} notice read and answered", signal.word()))
        }
        Fact::Done { what, .. } => (Tone::Plain, format!("done: {what}")),
        Fact::LeftOut(key) => {
            (Tone::Plain, format!("`{key}` left out: the connected supply does it"))
        }
        Fact::Written { what, text, .. } => (Tone::Plain, format!("{what}: {text}")),
        Fact::Fitted { item } => (Tone::Caution, format!("fitted: {item}")),
        Fact::Removed { item } => (Tone::Plain, format!("removed: {item}")),
        Fact::Cleared { fitted } => (Tone::Plain, cleared(fitted)),
        Fact::Released { by, role, .. } => (Tone::Plain, format!("hold released by {by}, {role}")),
        Fact::Witnessed { by, outcome: WitnessOutcome::Attended, .. } => {
            (Tone::Plain, format!("witnessed by {by}"))
        }
        Fact::Witnessed { by, outcome: WitnessOutcome::Waived, .. } => {
            (Tone::Plain, format!("witness waived by {by}"))
        }
        Fact::WorksAlone { by, .. } => {
            (Tone::Caution, format!("{by} WORKS ALONE: nobody in reach"))
        }
        Fact::Refused { text, reason, .. } => {
            (Tone::Caution, format!("not taken: \"{text}\" ({reason})"))
        }
        Fact::Energy { state } => (
            if state.is_energised() { Tone::Bad } else { Tone::Plain },
            format!("energy: {}", state.words()),
        ),
        Fact::MeterRejected { .. } => {
            (Tone::Bad, "meter rejected: the known source read wrong".to_owned())
        }
        other => return course(other),
    };
    Some(line)
}

fn cleared(fitted: &[String]) -> String {
    match fitted {
        [] => "clear to energise".to_owned(),
        fitted => format!("clear to energise, still fitted: {}", fitted.join(", ")),
    }
}

fn confirmed_off(instrument: &str, by_word: bool) -> (Tone, String) {
    if by_word {
        let words = "now says that it is off: its word, not measured to be so";
        return (Tone::Caution, format!("{instrument} {words}"));
    }
    (Tone::Good, format!("off is now confirmed by {instrument}"))
}

/// Facts about the course of the run that are one sentence.
fn course(fact: &Fact) -> Option<(Tone, String)> {
    let line = match fact {
        Fact::StillCharged { point } => (Tone::Bad, format!("still charged: {point}")),
        Fact::ProvedDead(ProofMade { points, .. }) => {
            (Tone::Good, format!("proved dead: {}", points.join(", ")))
        }
        Fact::ProofStands(ProofRestedOn { points, age_ms }) => (
            Tone::Good,
            format!(
                "the proof of {} ago stands, plug in sight since: {}",
                span_words(*age_ms),
                points.join(", ")
            ),
        ),
        Fact::Stopped { reason, .. } => (Tone::Bad, format!("STOPPED. {}", reason.words())),
        Fact::Again { why, .. } => (Tone::Caution, format!("taken again: {why}")),
        Fact::Repaired { what } => {
            (Tone::Caution, format!("repaired, all stages begin again: {what}"))
        }
        Fact::Stale { steps, because } => {
            let steps = steps.join(", ");
            let again = "taken again before the source changes or the stage ends";
            (Tone::Caution, format!("counts no longer, as {because} was moved: {steps} ({again})"))
        }
        Fact::Expired { steps, why } => {
            let (steps, why) = (steps.join(", "), why.words());
            (Tone::Caution, format!("counts no longer, as {why}: {steps}"))
        }
        Fact::WentBack { steps } => {
            (Tone::Caution, format!("going back to take again: {}", steps.join(", ")))
        }
        Fact::Reentered { stage, step } => {
            let step = step.as_ref().map(|step| format!(", step {step}")).unwrap_or_default();
            (Tone::Plain, format!("taken up at stage {stage}{step}"))
        }
        Fact::NotApproved(how) => (Tone::Caution, how.words()),
        Fact::TookOver { from, to } => {
            (Tone::Plain, format!("bench handed over from {from} to {to}"))
        }
        Fact::Supervised { by, duty, .. } => {
            (Tone::Plain, format!("{by} is present and supervises: {}", duty.words()))
        }
        other => return bench(other),
    };
    Some(line)
}

/// Facts about what instruments, time and a second person told that are one sentence.
fn bench(fact: &Fact) -> Option<(Tone, String)> {
    let line = match fact {
        Fact::Watched { .. } => (Tone::Plain, watched(fact)),
        Fact::Present { origin, .. } => {
            (Tone::Faint, format!("confirmed to be there{}", remarks(1, *origin)))
        }
        Fact::ClockSet { set_ms } => (
            Tone::Caution,
            format!("{}: what was proved dead is proved again", clock_words(0, *set_ms)),
        ),
        Fact::NotConfirmedOff { instrument, error } => {
            (Tone::Bad, format!("SWITCHING OFF NOT CONFIRMED by {instrument}: {error}"))
        }
        Fact::ConfirmedOff { instrument, by_word } => confirmed_off(instrument, *by_word),
        Fact::Waited { ms, .. } => (Tone::Faint, format!("waited {} s", ms / 1000)),
        Fact::VerificationDue { .. } => (Tone::Faint, VERIFICATION_DUE.to_owned()),
        Fact::VerifierNamed { by, .. } => (Tone::Plain, format!("{by} reads it again")),
        Fact::Verified { .. } => return verification::read_twice(fact),
        Fact::Agreed { .. } => return verification::agreed(fact),
        Fact::Practised(result) => (Tone::Strong, practised::in_short(result)),
        // These have more than a sentence, or a place of their own.
        Fact::StageOpened { .. }
        | Fact::Judged { .. }
        | Fact::Seen { .. }
        | Fact::Closed { .. }
        | Fact::Amended(_)
        | Fact::Voided(_) => return None,
        // These are told by the two above.
        Fact::StillCharged { .. }
        | Fact::ProvedDead(_)
        | Fact::ProofStands(_)
        | Fact::Stopped { .. }
        | Fact::Again { .. }
        | Fact::Repaired { .. }
        | Fact::Stale { .. }
        | Fact::Expired { .. }
        | Fact::WentBack { .. }
        | Fact::Reentered { .. }
        | Fact::NotApproved(_)
        | Fact::TookOver { .. }
        | Fact::Supervised { .. } => return None,
        Fact::Given { .. }
        | Fact::WorkedOut { .. }
        | Fact::StageHeld { .. }
        | Fact::NoticeAnswered { .. }
        | Fact::CalibrationOverdue { .. }
        | Fact::Conceded { .. }
        | Fact::Done { .. }
        | Fact::LeftOut(_)
        | Fact::Written { .. }
        | Fact::Fitted { .. }
        | Fact::Removed { .. }
        | Fact::Cleared { .. }
        | Fact::Released { .. }
        | Fact::Witnessed { .. }
        | Fact::WorksAlone { .. }
        | Fact::Refused { .. }
        | Fact::Energy { .. }
        | Fact::MeterRejected { .. } => return None,
    };
    Some(line)
}

/// What was sampled at a point: its ends, and how often.
fn watched(fact: &Fact) -> String {
    let Fact::Watched { point, unit, count, low, high, mean, last, origin, bounds, .. } = fact
    else {
        return String::new();
    };
    let value = |number: &f64| {
        let quantity = Quantity::from_f64(*number, unit.dimension());
        quantity.map_or_else(|| number.to_string(), |quantity| quantity.engineering(4, Some(unit)))
    };
    let window = bounds.as_ref().map(|bounds| format!(", window {}", bounds.describe(Some(unit))));
    format!(
        "{point}: {} to {}, mean {}, last {}, {count} samples{}{}",
        value(low),
        value(high),
        value(mean),
        value(last),
        window.unwrap_or_default(),
        remarks(1, *origin)
    )
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::*;

    #[test]
    fn a_witness_signs_nowhere_and_every_report_says_so() {
        let (key, by) = ("seen".to_owned(), "Lee Third-Test".to_owned());
        let outcome = WitnessOutcome::Attended;
        let fact = Fact::Witnessed { key: key.into(), by, outcome };
        for (names, remark) in [
            (Names::Unchecked, "name typed, not checked"),
            (Names::OfStaff, "name typed, not signed"),
            (Names::Signed, "name typed, not signed"),
        ] {
            let (_, words) = sentence(&fact, names).unwrap();
            assert_eq!(words, format!("witnessed by Lee Third-Test ({remark})"));
        }
    }
}
