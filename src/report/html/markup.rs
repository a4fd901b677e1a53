//! HTML under construction. Names of tags and attributes are part of the program; every text and every value is escaped,
//! so nothing that comes from a file can become markup.

use crate::diagnostic::clean;

/// HTML under construction.
#[derive(Debug, Default)]
pub(super) struct Markup(String);

/// An attribute: its name and its value.
pub(super) type Attribute<'a> = (&'static str, &'a str);

impl Markup {
    /// Writes an opening tag.
    pub(super) fn open(&mut self, tag: &'static str, attributes: &[Attribute<'_>]) {
        self.0.push('<');
        self.0.push_str(tag);
        for (name, value) in attributes {
            self.0.push(' ');
            self.0.push_str(name);
            self.0.push_str("=\"");
            self.text(value);
            self.0.push('"');
        }
        self.0.push('>');
    }

    /// Writes a closing tag.
    pub(super) fn close(&mut self, tag: &'static str) {
        self.0.extend(["</", tag, ">"]);
        if matches!(
            tag,
            "p" | "h1" | "h2" | "h3" | "tr" | "li" | "dd" | "div" | "section" | "figure"
        ) {
            self.0.push('\n');
        }
    }

    /// Writes an element with a text in it.
    pub(super) fn element(&mut self, tag: &'static str, attributes: &[Attribute<'_>], text: &str) {
        self.open(tag, attributes);
        self.text(text);
        self.close(tag);
    }

    /// Writes a text: cleaned of what a reader cannot see, and escaped.
    pub(super) fn text(&mut self, text: &str) {
        for c in clean(text).chars() {
            match c {
                '&' => self.0.push_str("&amp;"),
                '<' => self.0.push_str("&lt;"),
                '>' => self.0.push_str("&gt;"),
                '"' => self.0.push_str("&quot;"),
                '\'' => self.0.push_str("&#39;"),
                c => self.0.push(c),
            }
        }
    }

    /// Writes markup of the program's own, such as the style sheet.
    pub(super) fn own(&mut self, markup: &str) {
        self.0.push_str(markup);
    }

    pub(super) fn finish(self) -> String {
        self.0
    }
}

/// A text as a string of a style sheet: all but letters and digits as escapes (CSS Syntax 3, section 4.3.7).
pub(super) fn css_string(text: &str) -> String {
    let mut quoted = "\"".to_owned();
    for c in clean(text).chars() {
        if c.is_ascii_alphanumeric() || c == ' ' {
            quoted.push(c);
        } else {
            quoted.push_str(&format!("\\{:x} ", u32::from(c)));
        }
    }
    quoted.push('"');
    quoted
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_text_becomes_markup() {
        let mut markup = Markup::default();
        markup.element(
            "p",
            &[("title", "\" onclick='x()'")],
            "<script>&amp;</script>\u{202e}\u{1b}",
        );
        assert_eq!(
            markup.finish(),
            "<p title=\"&quot; onclick=&#39;x()&#39;\">&lt;script&gt;&amp;amp;&lt;/script&gt;\\u{202e}\\u{1b}</p>\n"
        );
    }

    #[test]
    fn no_text_leaves_a_string_of_the_style_sheet() {
        let quoted = css_string("a\"}</style>\\");
        assert_eq!(quoted.matches('"').count(), 2);
        assert!(!quoted.contains(['<', '}']), "{quoted}");
    }
}
