//! Lines of text for a terminal of any width: wrapped, cleaned, with or without colour.

use std::fmt::Write as _;

use crate::diagnostic::{Style, clean, clean_ascii};

/// What a piece of text is, so that it can be coloured. Its words say the same without colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    /// Nothing special.
    Plain,
    /// Good: inside, held, safe.
    Good,
    /// Bad: outside, live, stop.
    Bad,
    /// Deserves attention.
    Caution,
    /// The thing to look at first.
    Strong,
    /// Background.
    Faint,
}

/// Text under construction.
#[derive(Clone, Debug)]
pub struct Sheet {
    style: Style,
    text: String,
}

/// The least width that is written for.
const WIDTH_MIN: usize = 20;

impl Sheet {
    /// Begins an empty sheet.
    #[must_use]
    pub fn new(style: Style) -> Self {
        Self { style, text: String::new() }
    }

    /// The style it is written in.
    #[must_use]
    pub fn style(&self) -> Style {
        self.style
    }

    /// The width it is written for, in columns.
    #[must_use]
    pub fn width(&self) -> usize {
        self.style.width.max(WIDTH_MIN)
    }

    /// Writes a line across the whole width with a few words in it, or below it where they find no room.
    pub fn rule(&mut self, words: &str) {
        let dash = if self.style.ascii { "-" } else { "─" };
        let cleaned = self.own(words);
        let room = self.width().checked_sub(console::measure_text_width(&cleaned) + 4);
        let Some(room) = room.filter(|_| !cleaned.is_empty()) else {
            let line = dash.repeat(self.width());
            self.push(Tone::Faint, &line);
            if !cleaned.is_empty() {
                self.line(Tone::Caution, words);
            }
            return;
        };
        let line = format!("{} {cleaned} {}", dash.repeat(room), dash.repeat(2));
        self.push(Tone::Caution, &line);
    }

    /// Writes an empty line.
    pub fn gap(&mut self) {
        self.text.push('\n');
    }

    /// Writes text, wrapped.
    pub fn line(&mut self, tone: Tone, text: &str) {
        self.indented(tone, "", text);
    }

    /// Writes text behind a lead such as a bullet; lines that follow stand under its beginning.
    pub fn indented(&mut self, tone: Tone, lead: &str, text: &str) {
        let (lead, text) = (self.own(lead), self.own(text));
        let blank = " ".repeat(console::measure_text_width(&lead).min(self.width() / 2));
        let options =
            textwrap::Options::new(self.width()).initial_indent(&lead).subsequent_indent(&blank);
        for line in textwrap::wrap(&text, options) {
            self.push(tone, &line);
        }
    }

    /// Writes a named value, such as `window    9 V to 11 V`.
    pub fn field(&mut self, name: &str, text: &str) {
        self.indented(Tone::Plain, &format!("  {name:<9} "), text);
    }

    /// Writes a line as it is, such as a drawn bar.
    pub fn drawn(&mut self, tone: Tone, text: &str) {
        let text = self.own(text);
        self.push(tone, &text);
    }

    /// Gives the text.
    #[must_use]
    pub fn finish(self) -> String {
        self.text
    }

    /// Cleans text, and spells it in ASCII where the terminal has nothing else.
    fn own(&self, text: &str) -> String {
        if self.style.ascii { clean_ascii(&clean(text)) } else { clean(text) }
    }

    fn push(&mut self, tone: Tone, line: &str) {
        let line = line.trim_end();
        let _ = if self.style.colour {
            writeln!(self.text, "{}", paint(tone).force_styling(true).apply_to(line))
        } else {
            writeln!(self.text, "{line}")
        };
    }
}

fn paint(tone: Tone) -> console::Style {
    let style = console::Style::new();
    match tone {
        Tone::Plain => style,
        Tone::Good => style.green(),
        Tone::Bad => style.red().bold(),
        Tone::Caution => style.yellow(),
        Tone::Strong => style.bold(),
        Tone::Faint => style.dim(),
    }
}

#[cfg(test)]
mod tests {
    use super::{Sheet, Tone};
    use crate::diagnostic::Style;

    fn style(width: usize, colour: bool, ascii: bool) -> Style {
        Style { width, colour, ascii }
    }

    #[test]
    fn nothing_is_wider_than_the_terminal() {
        let mut sheet = Sheet::new(style(24, false, false));
        sheet.rule("SCRIPTED");
        sheet.line(Tone::Plain, "Current drawn from the positive rail, meter on milliamps");
        sheet.field("window", "36 mA to 84 mA, expected 60 mA");
        for line in sheet.finish().lines() {
            assert!(console::measure_text_width(line) <= 24, "{line:?}");
        }
    }

    #[test]
    fn a_rule_without_words_is_one_line() {
        let mut sheet = Sheet::new(style(24, false, false));
        sheet.rule("");
        assert_eq!(sheet.finish(), format!("{}\n", "─".repeat(24)));
    }

    #[test]
    fn no_escape_from_a_file_reaches_the_terminal() {
        let mut sheet = Sheet::new(style(80, false, false));
        sheet.line(Tone::Bad, "red\u{1b}[31m\u{202e}reversed");
        sheet.rule("\u{1b}]0;title\u{7}");
        let text = sheet.finish();
        assert!(!text.contains(['\u{1b}', '\u{202e}', '\u{7}']), "{text:?}");
    }

    #[test]
    fn ascii_is_ascii_and_colour_carries_no_words() {
        let write = |style| {
            let mut sheet = Sheet::new(style);
            sheet.rule("4.7 kΩ");
            sheet.line(Tone::Bad, "STOP: 12 µA");
            sheet.finish()
        };
        assert!(write(style(60, false, true)).is_ascii());
        let coloured = write(style(60, true, false));
        assert_ne!(coloured, write(style(60, false, false)));
        assert_eq!(console::strip_ansi_codes(&coloured), write(style(60, false, false)));
    }
}
