//! A run for people, on a terminal.

use super::decided::decided;
use super::entry_line::{entry, remarks, time, under, with_unit};
use super::sentence::sentence;
use super::signed::signed;
use super::{Seal, Sheet, Tone, afterwards, practised};
use crate::diagnostic::Style;
use crate::record::{CourseItem, Fact, Happening, Names, Outcome, Run};
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
    for words in run.time_remarks() {
        sheet.line(Tone::Caution, &words);
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

fn happening(sheet: &mut Sheet, item: &CourseItem, names: Names) {
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
        Happening::Probed { point, value } => {
            entry(sheet, &time, Tone::Plain, &practised::probed(point.as_deref(), *value));
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

/// Gives what one line of a run says, and what it was amended to; nothing for a line that says nothing by itself.
#[must_use]
pub fn line(run: &Run, line: usize, style: Style) -> String {
    let mut sheet = Sheet::new(style);
    let names = run.opening.names();
    let items = run.items.iter().filter(|item| item.line == line);
    items.for_each(|item| happening(&mut sheet, item, names));
    afterwards::amendments(&mut sheet, run, line);
    sheet.finish()
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
    for line in decided(decision, reading, bounds, unit) {
        sheet.indented(Tone::Faint, &under(time), &line);
    }
    if let Some(basis) = basis {
        sheet.indented(Tone::Faint, &under(time), &format!("basis: {basis}"));
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::*;
    use crate::quantity::{Estimate, Quantity, Reading, Shape, Unit};
    use crate::report::plus_minus;
    use crate::window::Uncertainty;

    fn told(fact: &Fact) -> String {
        let mut sheet = Sheet::new(Style { width: 200, colour: false, ascii: false });
        fact_line(&mut sheet, "", fact, Names::OfStaff);
        sheet.finish()
    }

    /// The uncertainty of a value with a tolerance of so many percent on either side.
    fn doubt(value: Quantity, percent: f64) -> Option<Uncertainty> {
        let half_width = value.to_f64() * percent / 100.0;
        let estimate = Estimate::exact(value).with_bounds("fact", Shape::Rectangular, half_width);
        Uncertainty::of(&estimate, Uncertainty::LEVEL)
    }

    #[test]
    fn what_is_worked_out_of_facts_says_that_only_their_tolerances_are_in_it() {
        let value = Quantity::parse("40 V").unwrap();
        let told = |percent: f64| {
            let uncertainty = doubt(value, percent);
            told(&Fact::WorkedOut { name: "rail".to_owned(), value, uncertainty })
        };
        let wide = told(2.0);
        let due = "rail = 40.00 V +/- 0.76 V from the tolerances of the facts alone (worked out)";
        assert!(wide.contains(due), "{wide}");
        // What is taken as exact is not known as well as that.
        let narrow = told(0.5);
        assert!(narrow.contains("rail = 40.00 V (worked out)"), "{narrow}");
    }

    #[test]
    fn the_uncertainty_of_a_percentage_is_one_too() {
        let unit = Unit::parse("%").unwrap();
        let value = Quantity::parse("98.74 %").unwrap();
        let doubt = doubt(value, 1.0).unwrap();
        assert_eq!(
            plus_minus(&Reading::Number(value), &doubt, &unit),
            " +/- 0.94 % (k = 1.65, 95 %)"
        );
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
