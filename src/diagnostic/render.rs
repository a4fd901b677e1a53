//! Findings for a person: the line itself with a caret under it.

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{
    Annotation, AnnotationKind, Group, Level, Origin as Path, Renderer, Snippet,
};
use textwrap::core::display_width;

use super::clean::clean_columns;
use super::{Finding, NamedText, Severity, Span, clean, clean_ascii, clean_lines, place};

/// Columns left of the text: a line number, seldom longer than four digits, and the rule beside it.
const GUTTER: usize = "1234 | ".len();

/// What the place where findings are shown can do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Style {
    /// Columns on a line.
    pub width: usize,
    /// Whether colours may be used.
    pub colour: bool,
    /// Whether only ASCII may be used.
    pub ascii: bool,
}

/// Shows findings one below the other, each with its place, the line itself, a caret and the help.
pub fn render(findings: &[Finding], origin: &NamedText<'_>, style: Style) -> String {
    let page = Page::new(origin, style);
    let mut shown = String::new();
    for finding in findings {
        if !shown.is_empty() {
            shown.push('\n');
        }
        shown.push_str(&page.show(finding));
        shown.push('\n');
    }
    shown
}

/// One text, ready to have findings shown in it.
struct Page<'a> {
    origin: &'a NamedText<'a>,
    style: Style,
    shown: String,
    renderer: Renderer,
}

impl<'a> Page<'a> {
    fn new(origin: &'a NamedText<'a>, style: Style) -> Self {
        let mut shown = clean_columns(origin.text, style.ascii);
        // The renderer knows no line after the last line feed, so a span at the very end would be
        // shown a line too early; a blank gives that line something to stand on.
        if shown.ends_with('\n') {
            shown.push(' ');
        }
        let renderer = if style.colour { Renderer::styled() } else { Renderer::plain() };
        let decor = if style.ascii { DecorStyle::Ascii } else { DecorStyle::Unicode };
        let renderer = renderer.decor_style(decor).term_width(style.width);
        Self { origin, style, shown, renderer }
    }

    fn show(&self, finding: &Finding) -> String {
        let (level, mark) = match finding.severity {
            Severity::Error => (Level::ERROR, "error[]: ".len()),
            Severity::Warning => (Level::WARNING, "warning[]: ".len()),
        };
        let message = self.fill(&clean(&finding.message), mark + finding.code.len());
        let mut group = Group::with_title(level.primary_title(message).id(finding.code));
        let file = self.spell(&clean(self.origin.file));
        let (annotations, notes) = self.annotations(finding);
        group = if annotations.is_empty() {
            group.element(Path::path(file))
        } else {
            group.element(Snippet::source(&self.shown).path(file).annotations(annotations))
        };
        for note in notes {
            group = group.element(Level::NOTE.message(self.fill(&note, GUTTER + "note: ".len())));
        }
        if let Some(help) = &finding.help {
            let help = self.fill(&clean_lines(help), GUTTER + "help: ".len());
            group = group.element(Level::HELP.message(help));
        }
        self.renderer.render(&[group])
    }

    /// The marks under the lines, and as notes the labels that have no room beside their mark.
    fn annotations(&self, finding: &Finding) -> (Vec<Annotation<'_>>, Vec<String>) {
        let primary = finding.span.map(|span| (AnnotationKind::Primary, span, &finding.label));
        let related =
            finding.related.iter().map(|(span, label)| (AnnotationKind::Context, *span, label));
        let mut annotations = Vec::new();
        let mut notes = Vec::new();
        for (kind, span, label) in primary.into_iter().chain(related) {
            let label = self.spell(&clean(label));
            let (line, column) = place(self.origin.text, span.within(self.origin.text).end);
            let fits = GUTTER + column + display_width(&label) <= self.style.width;
            let mark = kind.span(self.columns(span));
            if label.is_empty() {
                annotations.push(mark);
            } else if fits {
                annotations.push(mark.label(label));
            } else {
                annotations.push(mark);
                notes.push(format!("line {line}: {label}"));
            }
        }
        (annotations, notes)
    }

    /// Carries a span of the text over to the shown text, character for character.
    fn columns(&self, span: Span) -> std::ops::Range<usize> {
        let bytes = span.within(self.origin.text);
        let carried = |offset: usize| {
            let (before, _) = self.origin.text.split_at(offset);
            let characters = before.chars().count();
            self.shown.char_indices().nth(characters).map_or(self.shown.len(), |(at, _)| at)
        };
        carried(bytes.start)..carried(bytes.end)
    }

    /// Breaks a clean text into lines that fit beside a mark `indent` columns wide.
    fn fill(&self, text: &str, indent: usize) -> String {
        // On a very narrow screen a few words a line are better than one letter a line.
        let width = self.style.width.saturating_sub(indent).max(16);
        textwrap::fill(&self.spell(text), width)
    }

    fn spell(&self, text: &str) -> String {
        if self.style.ascii { clean_ascii(text) } else { text.to_owned() }
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::*;
    use proptest::prelude::*;

    const WIDE: Style = Style { width: 80, colour: false, ascii: true };
    const NARROW: Style = Style { width: 40, ..WIDE };

    // Invented.
    const PROCEDURE: &str = "stages:
  - stage: rails
    ceiling: {voltage: 90 V}
  - stage: lamp
    ceiling: {voltage: 40 V}
";

    fn ceiling_falls() -> Finding {
        let later = PROCEDURE.find("40 V").unwrap();
        let earlier = PROCEDURE.find("90 V").unwrap();
        Finding::error("ORD003", "ceiling-falls", "the ceiling of `lamp` is below the one before")
            .at(later..later + 4)
            .label("below 90 V")
            .related(earlier..earlier + 4, "the stage before")
            .help("put the stage with the lower ceiling first")
    }

    fn show(finding: Finding, text: &str, style: Style) -> String {
        render(&[finding], &NamedText { file: "amp.yaml", text }, style)
    }

    fn pointing_at(span: std::ops::Range<usize>) -> Finding {
        Finding::error("TXT001", "odd", "this is odd").at(span).label("here")
    }

    #[test]
    fn a_finding_shows_the_line_the_caret_the_related_place_and_the_help() {
        let untitled = Finding::warning("TXT002", "no-title", "the file has no title");
        let origin = NamedText { file: "amp.yaml", text: PROCEDURE };
        let expected = "\
error[ORD003]: the ceiling of `lamp` is below the one before
 --> amp.yaml:5:24
  |
3 |     ceiling: {voltage: 90 V}
  |                        ---- the stage before
4 |   - stage: lamp
5 |     ceiling: {voltage: 40 V}
  |                        ^^^^ below 90 V
  |
  = help: put the stage with the lower ceiling first

warning[TXT002]: the file has no title
--> amp.yaml
";
        assert_eq!(render(&[ceiling_falls(), untitled], &origin, WIDE), expected);
    }

    #[test]
    fn forty_columns_are_enough() {
        let long = format!("read: {}rail V {}\n", "word ".repeat(20), "word ".repeat(20));
        let start = long.find("rail").unwrap();
        let cut = show(pointing_at(start..start + 4).related(start..start + 6, ""), &long, NARROW);
        let whole = show(ceiling_falls(), PROCEDURE, NARROW);
        for line in cut.lines().chain(whole.lines()) {
            assert!(line.len() <= 40, "{line}");
        }
        assert!(cut.contains("word rail V w") && cut.contains("note: line 1: here"), "{cut}");
        assert_eq!(cut.matches("note:").count(), 1, "no note for an empty label: {cut}");
        assert!(whole.contains("`lamp` is\n               below"), "{whole}");
        assert!(whole.contains("= note: line 3: the stage before"), "{whole}");
    }

    #[test]
    fn colour_adds_escapes_and_changes_no_word() {
        let plain = show(ceiling_falls(), PROCEDURE, WIDE);
        let coloured = show(ceiling_falls(), PROCEDURE, Style { colour: true, ..WIDE });
        assert!(coloured.contains("\u{1b}["));
        assert_eq!(console::strip_ansi_codes(&coloured), plain);
    }

    #[test]
    fn the_caret_stands_under_its_character_after_multi_byte_text() {
        let text = "r: 47 k\u{3a9} \u{96fb} oops\n";
        let start = text.find("oops").unwrap();
        let shown = show(pointing_at(start..start + 4), text, Style { ascii: false, ..WIDE });
        assert!(shown.contains("amp.yaml:1:12"), "{shown}");
        // One character before it is two columns wide.
        assert!(shown.contains(&format!("╰╴{}━━━━ here", " ".repeat(12))), "{shown}");
        let shown = show(pointing_at(start..start + 4), text, WIDE);
        assert!(shown.contains("1 | r: 47 k? ? oops\n  |            ^^^^ here"), "{shown}");
    }

    #[test]
    fn a_span_at_the_end_of_the_file_has_a_line_to_stand_on() {
        for (text, at, caret) in [
            ("a: 1\n", 5, "2 |  \n  | ^ here"),
            ("a: 1\r\n", 6, "2 |  \n  | ^ here"),
            ("a: 1", 4, "1 | a: 1\n  |     ^ here"),
            ("a: 1", 999, "1 | a: 1\n  |     ^ here"),
            ("", 0, "1 |\n  | ^ here"),
        ] {
            let shown = show(pointing_at(at..at), text, WIDE);
            assert!(shown.contains(caret), "{text:?}\n{shown}");
        }
    }

    #[test]
    fn escapes_in_the_text_the_file_name_and_the_message_are_disarmed() {
        let text = "a: \u{1b}[2J\u{202e}xyz\n";
        let finding = Finding::error("TXT001", "odd", "odd \u{1b}]0;title\u{7}\nerror: forged")
            .at(text.find("xyz").unwrap()..text.find('\n').unwrap())
            .label("here\u{9b}");
        let origin = NamedText { file: "\u{1b}c.yaml", text };
        let expected = "\
error[TXT001]: odd \\u{1b}]0;title\\u{7}\\nerror: forged
 --> \\u{1b}c.yaml:1:9
  |
1 | a: ?[2J?xyz
  |         ^^^ here\\u{9b}
";
        assert_eq!(render(&[finding], &origin, WIDE), expected);
    }

    fn odd_text() -> impl Strategy<Value = String> {
        let odd = "\n\r\t\u{1b}\u{202e}\u{200b}\u{301}\u{3a9}\u{96fb}\u{1f50c}a: ";
        let odd = prop::sample::select(odd.chars().collect::<Vec<_>>());
        prop::collection::vec(odd, 0..60).prop_map(String::from_iter)
    }

    proptest! {
        #[test]
        fn no_text_and_no_span_makes_it_panic_or_lets_a_control_character_out(
            text in odd_text(),
            spans in prop::collection::vec((0_usize..200, 0_usize..200), 0..4),
            width in 0_usize..100,
            ascii in any::<bool>(),
            message in odd_text(),
        ) {
            let mut finding = Finding::error("TXT001", "odd", &message).help(&message);
            for (start, end) in spans {
                finding = finding.at(start..end).label(&message).related(end..start, &message);
            }
            let style = Style { width, colour: false, ascii };
            let shown = render(&[finding], &NamedText { file: &message, text: &text }, style);
            prop_assert_eq!(clean_lines(&shown), shown.clone());
            prop_assert!(!ascii || shown.is_ascii());
        }
    }
}
