//! The kinds of file that people write, and which of them a text is.

use serde::de::IgnoredAny;

use super::Ordered;
use super::yaml::{nothing, read_yaml};
use crate::diagnostic::{Finding, Span};

/// A kind of file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileKind {
    /// What to ask, the stages and their steps.
    Procedure,
    /// The facts about one piece of equipment.
    Equipment,
    /// The instruments of a bench.
    Bench,
    /// The staff of a shop.
    People,
    /// The answers of a scripted run.
    Answers,
    /// What the equipment shows on the simulated bench.
    Model,
    /// What a netlist of the equipment stands for.
    Circuit,
}

/// A key of a whole file, and its place.
type TopKey = (String, Span);

impl FileKind {
    /// All kinds.
    pub(super) const ALL: [Self; 7] = [
        Self::Procedure,
        Self::Equipment,
        Self::Bench,
        Self::People,
        Self::Answers,
        Self::Model,
        Self::Circuit,
    ];

    /// The key that only this kind has; by it a file is known.
    pub(super) const fn key(self) -> &'static str {
        match self {
            Self::Procedure => "procedure",
            Self::Equipment => "equipment",
            Self::Bench => "bench",
            Self::People => "people",
            Self::Answers => "answers",
            Self::Model => "simulates",
            Self::Circuit => "circuit",
        }
    }

    /// What such a file is called, with its article.
    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::Procedure => "a procedure",
            Self::Equipment => "an equipment file",
            Self::Bench => "a bench file",
            Self::People => "a people file",
            Self::Answers => "an answers file",
            Self::Model => "a model file",
            Self::Circuit => "a circuit file",
        }
    }

    /// Where such a file is given to the program.
    pub(super) const fn place(self) -> &'static str {
        match self {
            Self::Procedure => "name it after the verb, as in `wattstep run FILE`",
            Self::Equipment => "give it with `--equipment FILE`",
            Self::Bench => "give it with `--bench FILE`",
            Self::People => "give it with `--people FILE`",
            Self::Answers => "give it with `--answers FILE`",
            Self::Model => "give it with `--model FILE`, beside `--bench simulated`",
            Self::Circuit => "give it with `--circuit FILE` to `wattstep rehearse`",
        }
    }

    /// The kind that a text tells by the first of its keys that is one of a kind, and the place of that key.
    pub(super) fn told_by(text: &str) -> Option<(Self, Span)> {
        let of = |(key, span): TopKey| {
            Self::ALL.into_iter().find(|kind| kind.key() == key).map(|kind| (kind, span))
        };
        // Keys in quotes or in braces are seen only by a reader of YAML.
        let in_yaml = || keys(text).ok()?.into_iter().find_map(of);
        keys_at_the_edge(text).find_map(of).or_else(in_yaml)
    }
}

/// The plain keys at the beginning of lines: they are there even where the rest is no YAML.
fn keys_at_the_edge(text: &str) -> impl Iterator<Item = TopKey> {
    let mut start = 0;
    text.split_inclusive('\n').filter_map(move |line| {
        let at = start;
        start += line.len();
        let (before, _) = line.split_once(':')?;
        let key = before.trim_start_matches('\u{feff}');
        let at = at + before.len() - key.len();
        let key = key.trim_end();
        Some((key.to_owned(), Span::new(at, at + key.len())))
    })
}

/// The keys of a whole text.
///
/// # Errors
/// One finding: the text is not YAML, or no block of keys.
pub(super) fn keys(text: &str) -> Result<Vec<TopKey>, Finding> {
    let keys: Ordered<IgnoredAny> = read_yaml(text)?;
    if keys.is_empty() {
        return Err(nothing());
    }
    Ok(keys.into_iter().map(|(key, _)| (key.value, key.span)).collect())
}
