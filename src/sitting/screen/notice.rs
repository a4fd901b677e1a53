//! Hazard notices and advice.

use crate::diagnostic::Style;
use crate::record::Signal;
use crate::report::{Sheet, Tone};
use crate::runner::{Advice, Notice};

/// Shows a hazard notice: signal word, hazard, consequence, avoidance (the content ANSI Z535.6 asks for).
pub(in crate::sitting) fn notice(notice: &Notice, style: Style) -> String {
    let mut sheet = Sheet::new(style);
    let mark = if style.ascii { "/!\\" } else { "⚠" };
    let mark = if notice.signal == Signal::Notice { "" } else { mark };
    let tone = match notice.signal {
        Signal::Danger | Signal::Warning => Tone::Bad,
        Signal::Caution => Tone::Caution,
        Signal::Notice => Tone::Strong,
    };
    sheet.gap();
    sheet.rule("");
    sheet.line(tone, format!("{mark} {}", notice.signal.word()).trim());
    sheet.line(tone, &notice.risk);
    sheet.line(Tone::Plain, &notice.result);
    sheet.line(Tone::Strong, &notice.avoid);
    sheet.rule("");
    sheet.finish()
}

/// Shows advice.
pub(in crate::sitting) fn advice(advice: Advice, style: Style) -> String {
    let mut sheet = Sheet::new(style);
    sheet.gap();
    sheet.line(Tone::Caution, &advice.words());
    sheet.finish()
}
