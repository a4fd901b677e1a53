//! Text that came from outside, made safe to show.

/// Replaces every character that a terminal obeys or a reader cannot see by a visible escape such
/// as `\u{1b}`.
///
/// The result is one line: line feeds and tabs are escaped too.
pub fn clean(text: &str) -> String {
    escaped(text, |_| false)
}

/// Does what [`clean`] does, but keeps line feeds and tabs.
pub fn clean_lines(text: &str) -> String {
    escaped(text, |c| matches!(c, '\n' | '\t'))
}

/// Does what [`clean_lines`] does and spells the text in ASCII, for a terminal that has nothing else.
///
/// Signs of the trade are spelled out (`Ω` becomes `ohm`); what has no spelling becomes `?`.
pub fn clean_ascii(text: &str) -> String {
    let mut spelled = String::with_capacity(text.len());
    for c in clean_lines(text).chars() {
        match c {
            '\u{b5}' | '\u{3bc}' => spelled.push('u'),
            '\u{3a9}' | '\u{2126}' => spelled.push_str("ohm"),
            '\u{b0}' => spelled.push_str("deg "),
            '\u{b1}' => spelled.push_str("+/-"),
            '\u{b2}' => spelled.push_str("^2"),
            '\u{d7}' => spelled.push('x'),
            '\u{2013}' | '\u{2014}' | '\u{2212}' => spelled.push('-'),
            '\u{2018}' | '\u{2019}' => spelled.push('\''),
            '\u{201c}' | '\u{201d}' => spelled.push('"'),
            '\u{2026}' => spelled.push_str("..."),
            '\u{2264}' => spelled.push_str("<="),
            '\u{2265}' => spelled.push_str(">="),
            c if c.is_ascii() => spelled.push(c),
            _ => spelled.push('?'),
        }
    }
    spelled
}

/// Does what [`clean`] does to a text in JSON, with JSON's own escapes: programs read the same as before.
pub fn clean_json(json: &str) -> String {
    let mut shown = String::with_capacity(json.len());
    for c in json.chars() {
        if c == '\n' || !unsafe_to_show(c) {
            shown.push(c);
        } else {
            let mut units = [0; 2];
            shown.extend(c.encode_utf16(&mut units).iter().map(|unit| format!("\\u{unit:04x}")));
        }
    }
    shown
}

/// Makes a source text safe to show character for character, so that a caret under it still points
/// where it should.
///
/// Line ends and tabs stay; everything else that [`clean`] would escape becomes one visible
/// character, and so does everything outside ASCII when `ascii` is set.
pub(super) fn clean_columns(text: &str, ascii: bool) -> String {
    let stand_in = if ascii { '?' } else { char::REPLACEMENT_CHARACTER };
    let mut shown = String::with_capacity(text.len());
    let mut rest = text.chars().peekable();
    while let Some(c) = rest.next() {
        let line_end = c == '\n' || (c == '\r' && rest.peek() == Some(&'\n'));
        let kept = line_end || c == '\t' || !(unsafe_to_show(c) || (ascii && !c.is_ascii()));
        shown.push(if kept { c } else { stand_in });
    }
    shown
}

fn escaped(text: &str, kept: impl Fn(char) -> bool) -> String {
    let mut shown = String::with_capacity(text.len());
    for c in text.chars() {
        if kept(c) || !unsafe_to_show(c) {
            shown.push(c);
        } else {
            shown.extend(c.escape_default());
        }
    }
    shown
}

/// Tells the letters that are written from right to left: their neighbours are shown in another order than they are written (the
/// blocks of right-to-left scripts, Unicode 15, from memory).
pub fn runs_from_the_right(c: char) -> bool {
    matches!(c,
        '\u{590}'..='\u{8ff}' | '\u{fb1d}'..='\u{fdff}' | '\u{fe70}'..='\u{fefc}'
        | '\u{10800}'..='\u{10fff}' | '\u{1e800}'..='\u{1efff}')
}

/// Cuts a text that is too long to be read in its middle, and says so.
pub fn cut(text: &str, most: usize) -> std::borrow::Cow<'_, str> {
    let count = text.chars().count();
    if count <= most {
        return text.into();
    }
    let (head, tail) = (most * 2 / 3, most / 3);
    let begin: String = text.chars().take(head).collect();
    let end: String = text.chars().skip(count - tail).collect();
    format!("{begin} [... {} characters left out ...] {end}", count - head - tail).into()
}

/// Tells the characters a terminal obeys or a reader cannot see.
///
/// The selectors U+FE00 to FE0F are left alone: people paste warning signs that carry one, and a
/// selector alone changes only how the sign before it is drawn.
fn unsafe_to_show(c: char) -> bool {
    // `is_control` is exactly C0, DEL and C1.
    c.is_control()
        || matches!(c,
            // Direction: marks, embeddings, overrides, isolates.
            '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}'
            // Zero width and blank: joiners, invisible operators, fillers, byte order mark.
            | '\u{ad}' | '\u{34f}' | '\u{115f}' | '\u{1160}' | '\u{17b4}' | '\u{17b5}'
            | '\u{180b}'..='\u{180f}' | '\u{200b}'..='\u{200d}' | '\u{2060}'..='\u{2065}'
            | '\u{206a}'..='\u{206f}' | '\u{3164}' | '\u{feff}' | '\u{ffa0}'
            // Line and paragraph separators, annotations, tags.
            | '\u{2028}' | '\u{2029}' | '\u{fff0}'..='\u{fffb}' | '\u{e0000}'..='\u{e0fff}')
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_a_terminal_obeys_becomes_visible() {
        for (text, shown) in [
            ("\u{1b}[2J", "\\u{1b}[2J"),
            ("\u{9b}31m", "\\u{9b}31m"),
            ("a\u{7}\u{7f}", "a\\u{7}\\u{7f}"),
            ("lamp\r\n\tnext", "lamp\\r\\n\\tnext"),
            ("5 \u{202e}V", "5 \\u{202e}V"),
            ("a\u{2066}b\u{2069}\u{200f}\u{61c}", "a\\u{2066}b\\u{2069}\\u{200f}\\u{61c}"),
            ("zero\u{200b}width\u{feff}", "zero\\u{200b}width\\u{feff}"),
            ("line\u{2028}para\u{2029}", "line\\u{2028}para\\u{2029}"),
            ("4.7 k\u{3a9} \u{b1}5 %", "4.7 k\u{3a9} \u{b1}5 %"),
        ] {
            assert_eq!(clean(text), shown);
        }
    }

    #[test]
    fn json_stays_the_same_json() {
        let json = "{\n  \"a\": \"\\u001b \u{9b}\u{202e} \u{e0041} \u{b5}\"\n}\n";
        let shown = clean_json(json);
        assert_eq!(shown, "{\n  \"a\": \"\\u001b \\u009b\\u202e \\udb40\\udc41 \u{b5}\"\n}\n");
        let read = |json: &str| serde_json::from_str::<serde_json::Value>(json).ok();
        assert!(read(&shown).is_some() && read(&shown) == read(json));
    }

    #[test]
    fn what_is_too_long_to_be_read_is_cut_in_its_middle() {
        assert_eq!(cut("12 V", 4), "12 V");
        let long = format!("a{}z", "\u{3a9}".repeat(1_000));
        let shown = cut(&long, 30);
        assert!(shown.starts_with("a\u{3a9}") && shown.ends_with("\u{3a9}z"), "{shown}");
        assert!(shown.contains(" [... 972 characters left out ...] "), "{shown}");
        assert!(shown.chars().count() < 80);
    }

    #[test]
    fn line_feeds_and_tabs_stay_when_asked_for() {
        assert_eq!(clean_lines("a\n\tb\r\u{1b}"), "a\n\tb\\r\\u{1b}");
    }

    #[test]
    fn signs_of_the_trade_are_spelled_in_ascii() {
        assert_eq!(clean_ascii("47 \u{b5}F \u{2265} 10 k\u{3a9}\u{2026}"), "47 uF >= 10 kohm...");
        assert_eq!(clean_ascii("\u{1b}\u{96fb}"), "\\u{1b}?");
    }

    #[test]
    fn a_source_text_keeps_its_columns_and_line_ends() {
        assert_eq!(clean_columns("a\u{1b}\u{202e}b\r\nc\rd\t\n", false), "a��b\r\nc�d\t\n");
        assert_eq!(clean_columns("\u{3a9}\u{1b}=", true), "??=");
    }

    proptest! {
        #[test]
        fn nothing_unsafe_is_left(text in any::<String>()) {
            prop_assert!(!clean(&text).chars().any(unsafe_to_show));
            prop_assert!(clean_ascii(&text).is_ascii());
            let shown = clean_columns(&text, true);
            prop_assert!(shown.is_ascii());
            prop_assert_eq!(shown.chars().count(), text.chars().count());
        }
    }
}
