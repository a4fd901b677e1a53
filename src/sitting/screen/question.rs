//! A question: what to do now, where in the procedure, what is live, the window.

use crate::diagnostic::{Style, cut};
use crate::procedure::Point;
use crate::procedure::act::{Choice, Guard, Way};
use crate::record::{Energy, Key, Meaning, Opening};
use crate::report::{Sheet, Tone};
use crate::runner::{Expects, Question, StopView, Turn};
use crate::sitting::typed_list::NoList;

/// Shows a question.
pub(in crate::sitting) fn question(question: &Question, opening: &Opening, style: Style) -> String {
    let mut sheet = Sheet::new(style);
    sheet.gap();
    if let Some(stop) = question.stop.as_ref().filter(|_| is_urgent(question)) {
        urgent(&mut sheet, question, stop);
    }
    sheet.rule(opening.mode.mark().unwrap_or(""));
    // Two sets of one model look alike: which one this is stands above every question.
    if let Some(equipment) = &opening.equipment_name {
        sheet.line(Tone::Faint, equipment);
    }
    place(&mut sheet, question);
    if let Some(alarm) = &question.alarm {
        sheet.line(Tone::Bad, alarm);
    }
    energy(&mut sheet, &question.energy);
    if let Some(words) = unmeasured(&question.unmeasured) {
        sheet.line(Tone::Caution, &words);
    }
    if question.stop.is_some() && is_making_safe(question) && !is_urgent(question) {
        sheet.line(Tone::Bad, "STOPPED: it is made safe and proved dead first");
    }
    if let Some(coming) = &question.place.coming {
        sheet.line(Tone::Caution, &format!("comes next: {coming}"));
    }
    sheet.gap();
    if question.key == Key::what_next() {
        causes(&mut sheet, question.stop.as_ref());
    }
    match question.list.len() {
        0 | 1 => {
            sheet.line(Tone::Strong, &question.what);
            expectation(&mut sheet, &question.expects);
        }
        _ => list(&mut sheet, question),
    }
    if question.sign == Some(Meaning::Performed) {
        let words = "`leave`: it is closed without a signature, and the report says so";
        sheet.field("or", words);
    }
    if let Some(turn) = question.turn {
        sheet.field("verified", turn_words(turn));
    }
    for guard in &question.guards {
        sheet.field("watched", &guarded(guard));
    }
    sheet.finish()
}

/// A question, and those that may be answered on one line with it.
fn list(sheet: &mut Sheet, question: &Question) {
    let rows = &question.list;
    match &question.expects {
        Expects::Done => {
            for (n, row) in rows.iter().enumerate() {
                sheet.indented(Tone::Strong, &format!("  {}  ", n + 1), &row.what);
            }
            let words = match rows.len() {
                2 => "`1-2` for both, `1` for the first".to_owned(),
                all => format!("`1-{all}` for all, `1-2` as far as that"),
            };
            sheet.field("done", &words);
        }
        Expects::Choice(_) => {
            let mut n = 0;
            for row in rows {
                if n > 0 {
                    sheet.gap();
                }
                sheet.line(Tone::Strong, &row.what);
                for choice in &row.choices {
                    n += 1;
                    sheet.indented(Tone::Plain, &format!("  {n}  "), &choice_words(choice));
                }
            }
            let words = format!("{} numbers on one line, one for each", rows.len());
            sheet.field("answer", &words);
        }
        _ => {
            sheet.line(Tone::Strong, &question.what);
            expectation(sheet, &question.expects);
            let parts: Vec<_> = rows.iter().map(|row| row.what.as_str()).collect();
            let (count, parts) = (rows.len(), parts.join(" "));
            sheet.field("or", &format!("all {count} values on one line, in this order: {parts}"));
        }
    }
}

/// The few words right before the cursor.
pub(in crate::sitting) fn prompt(question: &Question) -> String {
    let is_list = question.list.len() > 1;
    match &question.expects {
        Expects::Value { by: Some(by), .. } => match by.as_ref() {
            Way::At(Point::Function(_)) => "probes on, then Enter".to_owned(),
            Way::At(Point::Output { .. }) => "Enter to read it".to_owned(),
            Way::Ramp { .. } => "Enter to bring it up".to_owned(),
        },
        Expects::Value { unit, .. } if unit.symbol().is_empty() => "number".to_owned(),
        Expects::Value { unit, .. } => unit.symbol().to_owned(),
        Expects::Choice(_) if is_list => "numbers".to_owned(),
        Expects::Choice(_) => "number".to_owned(),
        Expects::Done if is_list => "numbers, Enter for 1".to_owned(),
        Expects::Done => "Enter when done".to_owned(),
        Expects::Word(word) => format!("type {word}"),
        Expects::Confirm | Expects::Fact => "answer".to_owned(),
        Expects::Name { .. } | Expects::SecondPerson => "name".to_owned(),
        Expects::TakesOver => "to whom".to_owned(),
        Expects::Witness { .. } => "witness".to_owned(),
        Expects::Text => "text".to_owned(),
        Expects::File => "file".to_owned(),
    }
}

/// Names what the next answer of a typed list is for.
pub(in crate::sitting) fn listed(what: &str, style: Style) -> String {
    let mut sheet = Sheet::new(style);
    sheet.line(Tone::Strong, what);
    sheet.finish()
}

/// Tells which answers of a typed list were not taken.
pub(in crate::sitting) fn not_taken(typed: &[String], style: Style) -> String {
    let mut sheet = Sheet::new(style);
    let words = format!("{}. They are asked again", cut(&typed.join("  "), 400));
    sheet.indented(Tone::Caution, "  not taken: ", &words);
    sheet.finish()
}

/// Tells why a line is neither one answer nor one for each.
pub(in crate::sitting) fn no_list(question: &Question, why: NoList, style: Style) -> String {
    let all = question.list.len();
    let words = match why {
        NoList::Values(count) => {
            let part = question.list.first().map_or("", |row| row.what.as_str());
            format!("{count} values. Type one, for {part}, or all {all}")
        }
        NoList::Tasks => format!(
            "the numbers go from 1 to {all}, in this order. Leave off at the first that is not done"
        ),
        NoList::Looks => "type one number of each look, the first look first".to_owned(),
    };
    let mut sheet = Sheet::new(style);
    sheet.indented(Tone::Caution, "  not taken: ", &words);
    sheet.finish()
}

/// Explains why a question is asked.
pub(in crate::sitting) fn why(question: &Question, style: Style) -> String {
    let mut sheet = Sheet::new(style);
    match &question.why {
        Some(why) => sheet.field("why", why),
        None => sheet.field("why", "the procedure gives no reason for this step"),
    }
    if let Some(basis) = &question.basis {
        sheet.field("basis", basis);
    }
    sheet.finish()
}

/// Lists what else can be typed at a question.
pub(in crate::sitting) fn help(question: &Question, style: Style) -> String {
    let mut sheet = Sheet::new(style);
    let lines = [
        ("why", "why this is asked, and what its limits are based on"),
        ("all", "the whole procedure and where you are"),
        ("values", "the facts of this set, and what was worked out from them"),
        ("note", "write something into the record"),
        ("attach", "put a photo or file beside the record"),
        ("hand over", "another person takes the bench"),
        ("cannot", "this step cannot be done as written: stop here"),
        ("stop", "stop, make safe, go on later"),
    ];
    for (word, about) in lines {
        sheet.field(word, about);
    }
    if is_making_safe(question) {
        sheet.field("leave", "end now; the record will say NOT CONFIRMED SAFE");
    }
    sheet.finish()
}

/// Tells whether the question belongs to making safe.
pub(in crate::sitting) fn is_making_safe(question: &Question) -> bool {
    question.key.is_making_safe()
}

fn is_urgent(question: &Question) -> bool {
    question.key == Key::switch_off()
}

/// A stop: the first line is what to do now, the second why.
fn urgent(sheet: &mut Sheet, question: &Question, stop: &StopView) {
    let mark = if sheet.style().ascii { "!!" } else { "■■" };
    sheet.indented(Tone::Bad, &format!("{mark} NOW: "), &question.what);
    sheet.line(Tone::Bad, &format!("STOPPED. {}", stop.what));
}

fn place(sheet: &mut Sheet, question: &Question) {
    let place = &question.place;
    if place.stage_number == 0 {
        let line = format!("Before the first of {} stages", place.stages);
        return sheet.line(Tone::Plain, &line);
    }
    let at = format!(
        "Stage {} of {}, step {} of {}",
        place.stage_number, place.stages, place.step_number, place.steps
    );
    sheet.line(Tone::Plain, &format!("{at}: {}", place.stage));
}

fn energy(sheet: &mut Sheet, energy: &Energy) {
    let tone = match energy {
        Energy::Energised { .. } | Energy::Unknown => Tone::Bad,
        Energy::Isolated => Tone::Caution,
        Energy::ProvedDead => Tone::Good,
    };
    sheet.line(tone, &energy.words());
}

/// What a proof of dead says nothing of.
pub(in crate::sitting) fn unmeasured(points: &[String]) -> Option<String> {
    let points = (!points.is_empty()).then(|| points.join(", "))?;
    Some(format!(
        "not measured, behind the closed cover: {points}. Prove dead there before hands go in"
    ))
}

fn expectation(sheet: &mut Sheet, expects: &Expects) {
    match expects {
        Expects::Value { unit, bounds, .. } => {
            sheet.field("window", &bounds.describe(Some(unit)));
        }
        Expects::Choice(choices) => {
            for (n, choice) in choices.iter().enumerate() {
                sheet.indented(Tone::Plain, &format!("  {}  ", n + 1), &choice_words(choice));
            }
        }
        Expects::Name { role } => {
            sheet.field("who", &format!("the {role}, never the person at the bench"));
        }
        Expects::TakesOver => {
            sheet.field("or", "`stop`: the run is made safe and taken up later");
        }
        Expects::SecondPerson => {
            sheet.field("second", "someone other than the person at the bench");
        }
        Expects::Witness { role, in_reach } => {
            let other = if *in_reach { "`alone` if nobody is in reach" } else { "`waived NAME`" };
            let words = format!("call the {role}; type `attended NAME`, or {other}");
            sheet.field("witness", &words);
        }
        Expects::Done
        | Expects::Word(_)
        | Expects::Confirm
        | Expects::Fact
        | Expects::Text
        | Expects::File => {}
    }
}

/// What the reader has to know of the other reading.
fn turn_words(turn: Turn) -> &'static str {
    match turn {
        Turn::First => "a second person reads it again afterwards: keep this value to yourself",
        Turn::Second => "the first value stays hidden until the second is in: do not ask for it",
    }
}

/// What is watched, and within what.
fn guarded(guard: &Guard) -> String {
    format!("{}: {}", guard.point, guard.bounds.describe(guard.point.unit().as_ref()))
}

fn choice_words(choice: &Choice) -> String {
    match &choice.next {
        Some(about) if choice.good => format!("{}: {about}", choice.say),
        _ => choice.say.clone(),
    }
}

/// Likely causes of a stop and what to check next.
fn causes(sheet: &mut Sheet, stop: Option<&StopView>) {
    let Some(stop) = stop else { return };
    sheet.line(Tone::Bad, &format!("STOPPED. {}", stop.what));
    for cause in &stop.causes {
        sheet.indented(Tone::Plain, "  likely   ", &cause.likely);
        sheet.indented(Tone::Plain, "    check  ", &cause.next);
    }
    sheet.gap();
}
