//! A function that is not called as it wants to be.

use std::fmt;

use serde::{Deserialize, Serialize};

/// What is wrong with the call of a function.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, thiserror::Error)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum CallProblem {
    /// No such function.
    #[error("there is no function `{name}`")]
    NoFunction {
        /// What it is called by.
        name: String,
        /// The one that was meant, if any is near.
        meant: Option<String>,
    },
    /// A call with nothing in it.
    #[error("`{function}` needs at least one value")]
    Empty {
        /// The function.
        function: String,
    },
    /// A name for a value of a function that takes any number of them.
    #[error("the values of `{function}` have no names")]
    NamesNone {
        /// The function.
        function: String,
    },
    /// No value of that name.
    #[error("`{function}` takes no value called `{name}`")]
    NoValue {
        /// The function.
        function: String,
        /// The name.
        name: String,
        /// The one that was meant, if any is near.
        meant: Option<String>,
    },
    /// A value in order behind one by name.
    #[error("a value without a name can't follow one with a name")]
    OutOfOrder,
    /// A value that was given before.
    #[error("this value is given twice")]
    Twice,
    /// A value that the function has no place for.
    #[error("this is one value too many")]
    TooMany {
        /// The function.
        function: String,
        /// What it takes.
        takes: Vec<String>,
    },
    /// A value that is not given.
    #[error("`{function}` is called without its `{name}`")]
    Lacks {
        /// The function.
        function: String,
        /// The value.
        name: String,
        /// What it takes.
        takes: Vec<String>,
    },
    /// A word that no list has.
    #[error("there is no {kind} `{word}`")]
    NoWord {
        /// What it should name.
        kind: WordKind,
        /// The word.
        word: String,
        /// The one that was meant, if any is near.
        meant: Option<String>,
        /// Those that can stand there.
        offered: Vec<String>,
    },
    /// A word for which the function has nothing.
    #[error("`{word}` has no published figure for this")]
    NothingFor {
        /// The word.
        word: String,
        /// Those that can stand there.
        offered: Vec<String>,
    },
    /// Something else where a word belongs.
    #[error("the name of a {kind} belongs here")]
    WordMissing {
        /// What it should name.
        kind: WordKind,
        /// Those that can stand there.
        offered: Vec<String>,
    },
    /// A place in a list that has fewer.
    #[error("this word is in no list")]
    NotListed,
    /// A function worked out with fewer values than it takes.
    #[error("a value is missing")]
    ValueMissing,
}

/// What the words of a list name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum WordKind {
    /// A rule set.
    RuleSet,
    /// A class of protection.
    Class,
}

impl fmt::Display for WordKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::RuleSet => "rule set",
            Self::Class => "class",
        })
    }
}

impl CallProblem {
    /// What to do about it, in words.
    pub(super) fn help(&self) -> Option<String> {
        match self {
            Self::NoFunction { meant, .. } | Self::NoValue { meant, .. } => {
                meant.as_deref().map(did_you_mean)
            }
            Self::TooMany { function, takes } | Self::Lacks { function, takes, .. } => {
                Some(format!("write `{function}({})`", takes.join(", ")))
            }
            Self::NoWord { meant: Some(meant), offered, .. } => {
                Some(format!("{} {}", did_you_mean(meant), one_of(offered)))
            }
            Self::NoWord { meant: None, offered, .. }
            | Self::NothingFor { offered, .. }
            | Self::WordMissing { offered, .. } => Some(one_of(offered)),
            Self::Empty { .. }
            | Self::NamesNone { .. }
            | Self::OutOfOrder
            | Self::Twice
            | Self::NotListed
            | Self::ValueMissing => None,
        }
    }
}

pub(super) fn did_you_mean(word: &str) -> String {
    format!("did you mean `{word}`?")
}

fn one_of(words: &[String]) -> String {
    format!("write one of: {}", words.join(", "))
}
