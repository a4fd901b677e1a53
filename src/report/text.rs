//! A run for people, on a terminal.

use super::bound::remark;
use super::decided::decided;
use super::signed::signed;
use super::{Seal, Sheet, Tone, afterwards, verification};
use crate::diagnostic::Style;
use crate::quantity::Quantity;
use crate::record::{
    Fact, Happening, Item, Names, Origin, Outcome, Run, WitnessOutcome, clock_words,
};
use crate::window::{Verdict, bar};

/// Columns of a bar in the listing.
const BAR: usize = 24;

/// Gives the whole run as text: heading, everything that happened in order, how it ended.
#[must_use]
pub fn text(run: &Run, seal: &Seal, style: Style) -> String {
    let mut sheet = Sheet::new(style);
    if let Some(wrong) = &seal.wrong {
        sheet.line(Tone::Bad, &format!("DOES NOT VERIFY: {wrong}"));
    }
    for words in &seal.caveats {
        sheet.line(Tone::Caution, &format!("The register: {words}"));
    }
    for own in &run.dated_back {
        sheet.line(Tone::Caution, &format!("The order of time: {}", own.words()));
    }
    heading(&mut sheet, run);
    for line in run.items.chunk_by(|one, next| one.line == next.line) {
        let names = run.opening.names();
        line.iter().for_each(|item| match &item.what {
            Happening::Signed(signature) => {
                signed(&mut sheet, item, signature, seal.flaw(item.line, signature));
            }
            _ => happening(&mut sheet, item, names),
        });
        if let Some(item) = line.first() {
            afterwards::amendments(&mut sheet, run, item.line);
        }
    }
    closing(&mut sheet, run);
    sheet.finish()
}

fn heading(sheet: &mut Sheet, run: &Run) {
    let opening = &run.opening;
    sheet.rule(&afterwards::mark(run));
    afterwards::void(sheet, run);
    sheet.line(Tone::Strong, &opening.title);
    if let Some(equipment) = &opening.equipment_name {
        sheet.line(Tone::Plain, equipment);
    }
    sheet.gap();
    sheet.field("run", &opening.run);
    sheet.field("opened", &run.opened_at.to_rfc3339());
    sheet.field("by", &opening.operator);
    sheet.field(
        "procedure",
        &format!("{}, SHA-256 {}", opening.procedure.name, opening.procedure.sha256),
    );
    if let Some(file) = &opening.equipment {
        sheet.field("equipment", &format!("{}, SHA-256 {}", file.name, file.sha256));
    }
    sheet.field("program", &format!("wattstep {}", opening.program));
}

fn closing(sheet: &mut Sheet, run: &Run) {
    sheet.gap();
    sheet.rule(&afterwards::mark(run));
    afterwards::void(sheet, run);
    match run.closing {
        Some(closing) => {
            let tone = if closing.outcome == Outcome::Finished { Tone::Good } else { Tone::Bad };
            sheet.line(tone, &format!("Outcome: {}", closing.outcome.words()));
            if !closing.safe {
                sheet.line(Tone::Bad, "NOT CONFIRMED SAFE when it ended");
            }
        }
        None => {
            sheet.line(Tone::Caution, "Not closed: the run is unfinished, or its record was cut")
        }
    }
    if run.is_closed_unsigned() {
        sheet.line(Tone::Caution, "Closed without a signature");
    }
    sheet.line(Tone::Plain, &format!("Energy: {}", run.energy.words()));
    let advice = "Results apply to this piece of equipment at the time stated. Follow local codes and work within your \
                  licence and competence.";
    sheet.line(Tone::Faint, advice);
}

/// What stands before an entry: the number of its line, and when.
pub(super) fn time(item: &Item) -> String {
    format!("{:>4} {}", item.line, item.at.format("%H:%M:%S"))
}

pub(super) fn happening(sheet: &mut Sheet, item: &Item, names: Names) {
    let time = time(item);
    match &item.what {
        Happening::Fact(fact) => match afterwards::words(item, fact, names) {
            Some((tone, words)) => entry(sheet, &time, tone, &words),
            None => fact_line(sheet, &time, fact, names),
        },
        Happening::Noted(text) => {
            entry(sheet, &time, Tone::Plain, &format!("note by {}: {text}", item.by))
        }
        Happening::Attached { name, sha256, bytes } => {
            entry(
                sheet,
                &time,
                Tone::Plain,
                &format!("attached {name}, {bytes} bytes, SHA-256 {sha256}"),
            );
        }
        Happening::Sampled { key, traces } => {
            let points: Vec<_> = traces.iter().map(|trace| trace.point.as_str()).collect();
            entry(sheet, &time, Tone::Faint, &format!("sampled for {key}: {}", points.join(", ")));
        }
        Happening::Signed(signature) => signed(sheet, item, signature, None),
        Happening::Resumed => {
            entry(
                sheet,
                &time,
                Tone::Caution,
                &format!("taken up again by {} on {}", item.by, item.at.to_rfc3339()),
            );
        }
    }
}

pub(super) fn entry(sheet: &mut Sheet, time: &str, tone: Tone, text: &str) {
    sheet.indented(tone, &format!("  {time}  "), text);
}

/// What stands before the lines below an entry.
fn under(time: &str) -> String {
    " ".repeat(time.len() + 4)
}

/// Writes one fact, behind the number of its line and the time at which it was concluded.
pub fn fact_line(sheet: &mut Sheet, time: &str, fact: &Fact, names: Names) {
    match fact {
        Fact::StageOpened { title, source, ceiling, .. } => {
            sheet.gap();
            let ceiling =
                ceiling.as_ref().map(|ceiling| format!(", up to {ceiling}")).unwrap_or_default();
            sheet.line(Tone::Strong, &format!("{title} ({}{ceiling})", source.words()));
        }
        Fact::Judged { .. } => judged(sheet, time, fact),
        Fact::Seen { what, attempt, text, origin, good, .. } => {
            let verdict = if *good { "good" } else { "NOT ACCEPTABLE" };
            let tone = if *good { Tone::Plain } else { Tone::Bad };
            entry(sheet, time, tone, &format!("{text}   {verdict}{}", remarks(*attempt, *origin)));
            sheet.indented(Tone::Faint, &under(time), what);
        }
        other => {
            if let Some((tone, words)) = sentence(other, names) {
                entry(sheet, time, tone, &words);
            }
        }
    }
}

fn judged(sheet: &mut Sheet, time: &str, fact: &Fact) {
    let Fact::Judged {
        what,
        attempt,
        text,
        reading,
        unit,
        origin,
        bounds,
        basis,
        verdict,
        decision,
        ..
    } = fact
    else {
        return;
    };
    let tone = match verdict {
        Verdict::Outside(_) => Tone::Bad,
        Verdict::Undecided => Tone::Caution,
        Verdict::Inside | Verdict::NotJudged => Tone::Plain,
    };
    let line = format!(
        "{}   {}{}",
        origin.sent_words(reading, unit).unwrap_or_else(|| with_unit(text, unit.symbol())),
        verdict.words(),
        remarks(*attempt, *origin)
    );
    entry(sheet, time, tone, &line);
    sheet.indented(Tone::Faint, &under(time), what);
    if *verdict != Verdict::NotJudged {
        let bar = bar(bounds, &decision.judged(reading), BAR, sheet.style().ascii);
        let window = format!("{bar} {}", bounds.describe(Some(unit)));
        sheet.indented(Tone::Faint, &under(time), window.trim());
    }
    for line in decided(decision, bounds, unit) {
        sheet.indented(Tone::Faint, &under(time), &line);
    }
    if let Some(basis) = basis {
        sheet.indented(Tone::Faint, &under(time), &format!("basis: {basis}"));
    }
}

/// The answer as given, with the step's unit in brackets where it was given without one.
pub(super) fn with_unit(text: &str, unit: &str) -> String {
    let bare = text.trim().chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | '-' | '+'));
    if bare && !unit.is_empty() {
        format!("{} [{unit}]", text.trim())
    } else {
        text.trim().to_owned()
    }
}

pub(super) fn remarks(attempt: u32, origin: Origin) -> String {
    let again = if attempt > 1 { format!(", attempt {attempt}") } else { String::new() };
    match origin {
        Origin::Typed => again,
        other => format!("{again}, {}", other.word()),
    }
}

/// A fact as one sentence, if it is one. What binds a second person says so where it is not signed.
pub(super) fn sentence(fact: &Fact, names: Names) -> Option<(Tone, String)> {
    let (tone, words) = bare(fact)?;
    Some((tone, format!("{words}{}", remark(fact, names))))
}

fn bare(fact: &Fact) -> Option<(Tone, String)> {
    let line = match fact {
        Fact::Given { name, text, .. } => (Tone::Faint, format!("{name} = {text}")),
        Fact::WorkedOut { name, value, uncertainty } => {
            let value = value.engineering(4, None);
            // It has no meter in it yet.
            let doubt = uncertainty.map(|own| {
                let expanded = own.expanded.engineering(2, None);
                format!(" +/- {expanded} from the tolerances of the facts alone")
            });
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
        Fact::Cleared { fitted } if fitted.is_empty() => {
            (Tone::Plain, "clear to energise".to_owned())
        }
        Fact::Cleared { fitted } => {
            (Tone::Plain, format!("clear to energise, still fitted: {}", fitted.join(", ")))
        }
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

/// Facts about the course of the run that are one sentence.
fn course(fact: &Fact) -> Option<(Tone, String)> {
    let line = match fact {
        Fact::StillCharged { point } => (Tone::Bad, format!("still charged: {point}")),
        Fact::ProvedDead { points, .. } => {
            (Tone::Good, format!("proved dead: {}", points.join(", ")))
        }
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
        Fact::ConfirmedOff { instrument, by_word: false } => {
            (Tone::Good, format!("off is now confirmed by {instrument}"))
        }
        Fact::ConfirmedOff { instrument, by_word: true } => {
            let words =
                format!("{instrument} now says that it is off: its word, not measured to be so");
            (Tone::Caution, words)
        }
        Fact::Waited { ms, .. } => (Tone::Faint, format!("waited {} s", ms / 1000)),
        Fact::VerificationDue { .. } => {
            let words =
                "taken; its value is kept out of sight until a second person has read it again";
            (Tone::Faint, words.to_owned())
        }
        Fact::VerifierNamed { by, .. } => (Tone::Plain, format!("{by} reads it again")),
        Fact::Verified { .. } => return verification::read_twice(fact),
        Fact::Agreed { .. } => return verification::agreed(fact),
        // These have more than a sentence, or a place of their own.
        Fact::StageOpened { .. }
        | Fact::Judged { .. }
        | Fact::Seen { .. }
        | Fact::Closed { .. }
        | Fact::Amended { .. }
        | Fact::Voided { .. } => return None,
        // These are told by `bare`.
        Fact::Given { .. }
        | Fact::WorkedOut { .. }
        | Fact::StageHeld { .. }
        | Fact::NoticeAnswered { .. }
        | Fact::CalibrationOverdue { .. }
        | Fact::Conceded { .. }
        | Fact::Done { .. }
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
        quantity.map_or_else(|| number.to_string(), |own| own.engineering(4, Some(unit)))
    };
    let window = bounds.as_ref().map(|own| format!(", window {}", own.describe(Some(unit))));
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
    use crate::quantity::{Estimate, Shape, Unit};
    use crate::report::plus_minus;
    use crate::window::Uncertainty;

    fn told(fact: &Fact) -> String {
        let mut sheet = Sheet::new(Style { width: 200, colour: false, ascii: false });
        fact_line(&mut sheet, "", fact, Names::OfStaff);
        sheet.finish()
    }

    /// The uncertainty of a value with a tolerance of 1 % on either side.
    fn doubt(value: Quantity) -> Option<Uncertainty> {
        let half_width = value.to_f64() / 100.0;
        let estimate = Estimate::exact(value).with_bounds("fact", Shape::Rectangular, half_width);
        Uncertainty::of(&estimate, Uncertainty::LEVEL)
    }

    #[test]
    fn what_is_worked_out_of_facts_says_that_only_their_tolerances_are_in_it() {
        let value = Quantity::parse("40 V").unwrap();
        let line =
            told(&Fact::WorkedOut { name: "rail".to_owned(), value, uncertainty: doubt(value) });
        let due = "rail = 40.00 V +/- 380 mV from the tolerances of the facts alone (worked out)";
        assert!(line.contains(due), "{line}");
    }

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

    #[test]
    fn the_uncertainty_of_a_percentage_is_one_too() {
        let unit = Unit::parse("%").unwrap();
        let doubt = doubt(Quantity::parse("98.74 %").unwrap()).unwrap();
        assert_eq!(plus_minus(&doubt, &unit), " +/- 0.94 % (k = 1.65, 95 %)");
    }

    #[test]
    fn what_a_second_person_accepted_is_told_by_what_it_was() {
        let told = |key: &str| {
            let (by, why) = ("Moss Other-Test".to_owned(), "compared".to_owned());
            told(&Fact::Conceded { key: key.into(), by, why })
        };
        assert!(told("output").contains("UNDECIDED reading accepted by Moss Other-Test"));
        let told = told("calibration.hand-held");
        assert!(told.contains("OVERDUE calibration of hand-held accepted by Moss"), "{told}");
    }
}
