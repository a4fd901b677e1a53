//! From YAML text to a model, with every complaint in its place.

use serde::de::DeserializeOwned;
use serde_yaml::Error;

use super::at::span_of;
use super::{Equipment, Procedure};
use crate::diagnostic::Finding;

/// The largest file that is read (bytes): far above any procedure, far below what could hurt the bench computer.
pub const BYTES_MAX: usize = 1 << 20;

/// Reads a procedure.
///
/// # Errors
/// One finding: the first place where the text is not a procedure.
pub fn read_procedure(text: &str) -> Result<Procedure, Finding> {
    read_yaml(text)
}

/// Reads an equipment file.
///
/// # Errors
/// One finding: the first place where the text is not an equipment file.
pub fn read_equipment(text: &str) -> Result<Equipment, Finding> {
    read_yaml(text)
}

/// Reads any of the files people write, under one set of limits.
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
            found.help(format!("one of these is meant: {}", expected.join(", ")))
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
            finding(WRONG_VALUE, &format!("`{variant}` is none of the known words"))
                .help(format!("one of these is meant: {}", expected.join(", ")))
        }
        Error::SerdeInvalidType { expected, .. } | Error::SerdeInvalidValue { expected, .. } => {
            finding(WRONG_VALUE, &format!("{expected} is expected here"))
        }
        Error::Message { msg, .. } => finding(WRONG_VALUE, msg),
        Error::Eof { .. } => finding(SYNTAX, "the file has nothing in it"),
        other => finding(SYNTAX, &other.render()),
    };
    match error.location() {
        Some(location) => {
            let mut span = span_of(&location);
            span.start = span.start.min(text.len());
            span.end = span.end.clamp(span.start, text.len());
            found.at(span)
        }
        None => found,
    }
}
