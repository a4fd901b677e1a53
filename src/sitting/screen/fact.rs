//! A question about the equipment, asked for its file.

use crate::diagnostic::Style;
use crate::questionnaire::FactQuestion;
use crate::report::{Sheet, Tone};

/// Shows a question with all that helps to answer it.
pub(in crate::sitting) fn fact(question: &FactQuestion, equipment: &str, style: Style) -> String {
    let mut sheet = Sheet::new(style);
    sheet.gap();
    sheet.rule("EQUIPMENT FILE: nothing is switched on");
    if !equipment.is_empty() {
        sheet.line(Tone::Faint, equipment);
    }
    let group = question.group.as_ref().map_or_else(String::new, |group| format!(": {group}"));
    sheet.line(Tone::Plain, &format!("{} of {}{group}", question.number, question.of));
    sheet.gap();
    sheet.line(Tone::Strong, &question.what);
    for (n, choice) in question.choices.iter().enumerate() {
        sheet.indented(Tone::Plain, &format!("  {}  ", n + 1), choice);
    }
    let fields = [
        ("where", &question.find),
        ("example", &question.example),
        ("range", &question.range),
        ("basis", &question.basis),
        ("work out", &question.offer),
        ("unknown", &question.unknown),
    ];
    for (name, text) in fields {
        if let Some(text) = text {
            sheet.field(name, text);
        }
    }
    if let Some(now) = &question.now {
        sheet.field("now", &format!("{now} (Enter keeps it)"));
    }
    sheet.finish()
}

/// Shows what became of an answer.
pub(in crate::sitting) fn fact_told(words: &str, style: Style) -> String {
    let mut sheet = Sheet::new(style);
    sheet.indented(Tone::Plain, "  ", words);
    sheet.finish()
}

/// Shows answers, and what can be done with them.
pub(in crate::sitting) fn facts_answered(words: &str, answers: &[String], style: Style) -> String {
    let mut sheet = Sheet::new(style);
    sheet.gap();
    sheet.line(Tone::Strong, words);
    for answer in answers {
        sheet.indented(Tone::Plain, "  ", answer);
    }
    sheet.finish()
}
