//! From YAML text to a value, within limits and with every complaint in its place.

use serde::de::DeserializeOwned;
use serde_yaml::{Error, Location};

use super::at::span_of;
use crate::diagnostic::{Finding, Span, nearest};

/// The largest file that is read (bytes): far above any procedure, far below what could hurt the bench computer.
pub const BYTES_MAX: usize = 1 << 20;

/// Reads what stands in a YAML text, under one set of limits for all files.
///
/// # Errors
/// One finding: the first place where the text does not fit.
pub fn read_yaml<T: DeserializeOwned>(text: &str) -> Result<T, Finding> {
    if text.len() > BYTES_MAX {
        return Err(finding(SYNTAX, "the file is larger than 1 MiB")
            .help("a procedure is a few hundred lines: is this the right file?"));
    }
    let options = serde_yaml::options! {
        strict_booleans: true,
        merge_keys: serde_yaml::options::MergeKeyPolicy::Error,
        budget: serde_yaml::budget! {
            max_depth: 24,
            max_nodes: 50_000,
            max_aliases: 64,
            max_anchors: 64,
            max_total_scalar_bytes: BYTES_MAX,
            max_documents: 1,
        },
        alias_limits: serde_yaml::alias_limits! {
            max_total_replayed_events: 10_000,
        },
    };
    serde_yaml::from_str_with_options(text, options).map_err(|error| complaint(&error, text))
}

/// Code and name of a finding.
type Code = (&'static str, &'static str);

const SYNTAX: Code = ("YML001", "not-yaml");
const UNKNOWN_KEY: Code = ("YML002", "unknown-key");
const DUPLICATE_KEY: Code = ("YML003", "duplicate-key");
const MISSING_KEY: Code = ("YML004", "missing-key");
const WRONG_VALUE: Code = ("YML005", "wrong-value");

const NOTHING: &str = "the file has nothing in it";

/// The finding where a file has nothing in it but comments.
pub(super) fn nothing() -> Finding {
    finding(SYNTAX, NOTHING).at(0..0)
}

/// The codes of this file with their pages, for the table of all findings.
pub(super) const PAGES: [(&str, &str, &str); 5] = [
    (SYNTAX.0, SYNTAX.1, include_str!("check/not_yaml.md")),
    (UNKNOWN_KEY.0, UNKNOWN_KEY.1, include_str!("check/unknown_key.md")),
    (DUPLICATE_KEY.0, DUPLICATE_KEY.1, include_str!("check/duplicate_key.md")),
    (MISSING_KEY.0, MISSING_KEY.1, include_str!("check/missing_key.md")),
    (WRONG_VALUE.0, WRONG_VALUE.1, include_str!("check/wrong_value.md")),
];

fn finding((code, name): Code, message: &str) -> Finding {
    Finding::error(code, name, message)
}

fn complaint(error: &Error, text: &str) -> Finding {
    let error = error.without_snippet();
    let found = match error {
        Error::SerdeUnknownField { field, expected, .. } => {
            let found = finding(UNKNOWN_KEY, &format!("unknown key `{field}`"));
            if field.starts_with(|c: char| c.is_ascii_digit()) {
                let help = "a comma is not a decimal point: write a point, as in 3.3 V";
                return found.help(help);
            }
            match nearest(field, expected.iter().copied()) {
                Some(meant) => found.help(format!("did you mean `{meant}`?")),
                None => found.help(format!("one of these is meant: {}", expected.join(", "))),
            }
        }
        Error::DuplicateMappingKey { key, .. } => {
            let key = key.as_deref().unwrap_or("?");
            finding(DUPLICATE_KEY, &format!("the key `{key}` stands here twice"))
                .help("keep one of the two: which one counts must not be left to chance")
        }
        Error::SerdeMissingField { field, .. } => {
            finding(MISSING_KEY, &format!("the key `{field}` is missing"))
                .help("add it, or check the indent of the lines around here")
        }
        Error::SerdeUnknownVariant { variant, expected, .. } => {
            finding(WRONG_VALUE, &format!("`{variant}` is not one of the known words"))
                .help(format!("one of these is meant: {}", expected.join(", ")))
        }
        Error::Message { msg, .. } => finding(WRONG_VALUE, msg),
        other => match expected(other) {
            Some(what) => finding(WRONG_VALUE, &format!("{what} is expected here")),
            None => {
                let message = syntax(other);
                let is_tab = message.contains("tabs disallowed");
                let found = finding(SYNTAX, &message);
                if is_tab {
                    found.help("this line has a tab: indent it with spaces")
                } else {
                    found
                }
            }
        },
    };
    match error.location() {
        Some(location) => found.at(span_in(text, &location)),
        None => found,
    }
}

/// What belongs in the place of a value of the wrong kind.
fn expected(error: &Error) -> Option<&str> {
    match error {
        Error::SerdeInvalidType { expected, .. } | Error::SerdeInvalidValue { expected, .. } => {
            Some(expected)
        }
        Error::InvalidBooleanStrict { .. } => Some("`true` or `false`"),
        Error::InvalidScalar { ty, .. } if ty.starts_with(['u', 'i']) => Some("a whole number"),
        Error::InvalidScalar { ty, .. } => Some(ty),
        Error::NullIntoString { .. } => Some("a text"),
        Error::ExternallyTaggedEnumExpectedScalarOrMapping { .. } => Some("one word"),
        Error::Unexpected { expected, .. } => Some(match *expected {
            "mapping start" => "a block of `key: value` lines",
            "sequence start" => "a list",
            "string scalar" => "a text",
            other => other,
        }),
        _ => None,
    }
}

fn syntax(error: &Error) -> String {
    match error {
        Error::Eof { .. } => NOTHING.to_owned(),
        Error::Budget { .. }
        | Error::AliasReplayLimitExceeded { .. }
        | Error::AliasExpansionLimitExceeded { .. } => {
            "there is more in here than in any file of this kind".to_owned()
        }
        Error::MergeKeyNotAllowed { .. } => "`<<` is not taken: write the keys out".to_owned(),
        other => {
            let message = other.render();
            // The place is said by the finding itself.
            message.rsplit_once(" at line ").map_or(message.clone(), |(what, _)| what.to_owned())
        }
    }
}

/// The place of a location: in bytes where they are known, else counted out in lines and characters.
fn span_in(text: &str, location: &Location) -> Span {
    let mut span = span_of(location);
    if location.span().byte_offset().is_none() {
        let count = |n: u64| usize::try_from(n).unwrap_or(usize::MAX).saturating_sub(1);
        let mut lines = text.split_inclusive('\n');
        let before: usize = lines.by_ref().take(count(location.line())).map(str::len).sum();
        let line = lines.next().unwrap_or_default();
        let into: usize = line.chars().take(count(location.column())).map(char::len_utf8).sum();
        span = Span::new(before + into, before + into);
    }
    let start = span.start.min(text.len());
    Span::new(start, span.end.clamp(start, text.len()))
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use std::time::{Duration, Instant};

    use super::*;
    use crate::diagnostic::{clean, place};
    use crate::procedure::check::{Subject, check};
    use crate::procedure::read_procedure;

    // Invented.
    const SOUND: &str = include_str!("check/base.yaml");
    const TITLE: &str = "title: First power of a small amplifier";

    /// The code of the first finding and its line and column, found within a second.
    fn found(text: &str) -> (&'static str, (usize, usize)) {
        let started = Instant::now();
        let finding = match read_procedure(text) {
            Ok(procedure) => {
                let subject = Subject::new(&procedure, None, None);
                check(&subject).into_iter().next().unwrap()
            }
            Err(finding) => finding,
        };
        assert!(started.elapsed() < Duration::from_secs(1), "{} took too long", finding.code);
        assert_eq!(clean(&finding.message), finding.message);
        let at = finding.span.map_or((0, 0), |span| place(text, span.start));
        (finding.code, at)
    }

    #[test]
    fn a_tab_is_named_with_what_to_do_about_it() {
        let found = read_procedure(&SOUND.replace("  rail: {ask:", "\trail: {ask:")).unwrap_err();
        assert!(found.help.as_deref().unwrap().contains("indent it with spaces"), "{found:?}");
    }

    #[test]
    fn a_slip_is_found_at_its_line_and_column() {
        for (sound, slip, expected) in [
            (TITLE, "titel: a", ("YML002", (5, 1))),
            ("do: Pull the mains plug", "dо: Pull the mains plug", ("YML002", (20, 9))),
            (TITLE, "title: Ω\ntitle: b", ("YML003", (6, 1))),
            ("what: 9 V battery, ", "", ("YML004", (13, 16))),
            ("parts: true", "parts: yes", ("YML005", (9, 43))),
            ("source: none", "source: nine", ("YML005", (17, 13))),
            ("unit: V,", "unit: volts,", ("YML005", (8, 37))),
            ("between: [20 V, 40 V]", "between: 20 V", ("YML005", (8, 49))),
            ("[20 V, 40 V]", "[20 V, 40 V", ("YML001", (8, 49))),
            (TITLE, "title: a\nscope: *b", ("YML001", (6, 8))),
            (TITLE, "title: a\n<<: {scope: b}", ("YML001", (6, 1))),
            ("revision: 1", "revision: one", ("YML005", (4, 11))),
            ("revision: 1", "revision: -1", ("YML005", (4, 11))),
            ("revision: 1", "revision:", ("YML005", (4, 9))),
        ] {
            assert!(SOUND.contains(sound), "{sound}");
            assert_eq!(found(&SOUND.replace(sound, slip)), expected, "{slip}");
        }
    }

    #[test]
    fn what_a_terminal_obeys_is_refused_raw_and_escaped() {
        for (title, code) in [
            ("a\u{1b}[2Jb", "YML001"),
            ("a\u{0}b", "YML001"),
            ("a\u{9b}31mb", "YML001"),
            ("\"a\\e[2Jb\"", "TXT001"),
            ("\"a\\u001b[2Jb\"", "TXT001"),
            ("\"a\\0b\"", "TXT001"),
            ("a \u{202e}b", "TXT001"),
            ("\"a\\u2066b\"", "TXT001"),
            ("a\u{200b}b", "TXT001"),
        ] {
            let (found, (line, _)) = found(&SOUND.replace(TITLE, &format!("title: {title}")));
            assert_eq!((found, line), (code, 5), "{}", clean(title));
        }
    }

    #[test]
    fn a_file_that_is_empty_huge_or_of_several_documents_is_refused() {
        for text in [
            String::new(),
            "# only a comment\n".to_owned(),
            "a".repeat(BYTES_MAX + 1),
            format!("{SOUND}---\n{SOUND}"),
        ] {
            assert_eq!(found(&text).0, "YML001", "{} bytes", text.len());
        }
        let filled = "x".repeat(BYTES_MAX - SOUND.len());
        assert!(read_procedure(&SOUND.replace(TITLE, &format!("title: {filled}"))).is_ok());
    }

    #[test]
    fn nesting_and_repetition_without_end_are_cut_short() {
        let mut bomb = "a0: &a0 [x, x, x, x, x, x, x, x, x]\n".to_owned();
        for n in 1..10 {
            let last = format!("*a{}", n - 1);
            bomb += &format!("a{n}: &a{n} [{}]\n", [last.as_str(); 9].join(", "));
        }
        let steps = bomb.replace("a9: &a9", "stages:");
        let within = format!("{SOUND}scope: {}", "[".repeat(5000));
        let endless = format!("scope: &a [*a]\n{SOUND}");
        let deep = ["[".repeat(5000), "{a: ".repeat(5000), "- ".repeat(5000)];
        for text in deep.into_iter().chain([within, endless, bomb, steps]) {
            assert!(found(&text).0.starts_with("YML"));
        }
        let aliased = "scope: &a hands\n".to_owned() + &SOUND.replace(TITLE, "title: *a");
        assert_eq!(read_procedure(&aliased).unwrap().title.value, "hands");
    }

    #[test]
    fn a_number_written_as_a_text_keeps_its_digits() {
        let text = SOUND.replace("small-amplifier", "1.10");
        assert_eq!(read_procedure(&text).unwrap().procedure.value, "1.10");
    }
}
