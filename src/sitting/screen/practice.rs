//! The screens of a practice: how it works, the lists that are picked from, and what came of it.

use crate::diagnostic::Style;
use crate::practice::SOUND_ONE_IN;
use crate::record::{HiddenFault, PracticeResult};
use crate::report::{Sheet, Tone, practice_lines};

/// Says what is hidden, and what the person can do about it.
pub(in crate::sitting) fn practice_begins(
    hidden: &HiddenFault,
    points: &[String],
    style: Style,
) -> String {
    let mut sheet = Sheet::new(style);
    sheet.gap();
    sheet.line(Tone::Strong, "PRACTICE: find out what is wrong, and stop in time.");
    let weights = match hidden.repairs {
        0 => "each part as likely as any other".to_owned(),
        1 => "a part that a repair in the records names is likelier: 1 does".to_owned(),
        repairs => {
            format!(
                "a part that repairs in the records name is likelier: {repairs} times one is named"
            )
        }
    };
    sheet.line(
        Tone::Plain,
        &format!(
            "One of {} faults is hidden; {weights}. Once in {SOUND_ONE_IN} nothing is wrong.",
            hidden.among
        ),
    );
    reading(&mut sheet, points);
    sheet.line(Tone::Plain, "At the end you say what is wrong, and are told what was.");
    sheet.finish()
}

/// What else can be typed at a question.
pub(in crate::sitting) fn practice_help(points: &[String], style: Style) -> String {
    let mut sheet = Sheet::new(style);
    reading(&mut sheet, points);
    sheet.finish()
}

fn reading(sheet: &mut Sheet, points: &[String]) {
    sheet.field("read", "what the meter shows at this question, or what you see there");
    sheet.field("read POINT", "a voltage of the circuit, now: `read v(out)`, `read v(b1, e1)`");
    if !points.is_empty() {
        sheet.field("points", &points.join(", "));
    }
}

/// A numbered list, in as many columns as there is room for.
pub(in crate::sitting) fn numbered(what: &str, items: &[String], style: Style) -> String {
    let mut sheet = Sheet::new(style);
    sheet.gap();
    sheet.line(Tone::Strong, what);
    let items: Vec<_> =
        items.iter().enumerate().map(|(n, item)| format!("{:>3} {item}", n + 1)).collect();
    let widest = items.iter().map(|item| item.chars().count()).max().unwrap_or_default() + 2;
    let columns = (sheet.width() / widest.max(1)).max(1);
    let rows = items.len().div_ceil(columns);
    for row in 0..rows {
        let line = items.iter().skip(row).step_by(rows);
        let line: String = line.map(|item| format!("{item:<widest$}")).collect();
        sheet.drawn(Tone::Plain, line.trim_end());
    }
    sheet.finish()
}

/// What came of a practice.
pub(in crate::sitting) fn practised(result: &PracticeResult, style: Style) -> String {
    let mut sheet = Sheet::new(style);
    sheet.gap();
    sheet.line(Tone::Strong, "What came of the practice");
    for line in practice_lines(result) {
        sheet.indented(line.tone, &format!("{:<11}", line.name), &line.text);
    }
    sheet.finish()
}
