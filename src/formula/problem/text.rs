//! A text that is no formula.

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::quantity::QuantityError;

/// What is wrong with the text of a formula.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, thiserror::Error)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum TextProblem {
    /// Too long.
    #[error("a formula has at most {most} bytes; this one has {bytes}")]
    TooLong {
        /// How long it may be.
        most: usize,
        /// How long it is.
        bytes: usize,
    },
    /// Too many parentheses in each other.
    #[error("this is nested too deeply")]
    TooDeep,
    /// Nothing at all.
    #[error("the formula is empty")]
    Empty,
    /// Something else than what belongs there.
    #[error("`{found}` stands where {wanted} belongs")]
    Misplaced {
        /// What stands there.
        found: String,
        /// What belongs there.
        wanted: Wanted,
    },
    /// An end before what belongs there.
    #[error("{wanted} is missing here")]
    Missing {
        /// What belongs there.
        wanted: Wanted,
    },
    /// An opening parenthesis without its closing one.
    #[error("this `(` is never closed")]
    NeverClosed,
    /// A choice inside of arithmetic.
    #[error("an `if` inside of arithmetic needs parentheses")]
    BareIf,
    /// A choice that ends too early.
    #[error("this `if` lacks its `{word}`")]
    IfLacks {
        /// The word that goes on with it.
        word: String,
    },
    /// A number or a unit that can't be read.
    #[error(transparent)]
    Value(#[from] QuantityError),
    /// A power that is no small whole number.
    #[error("a power is a whole number from -{most} to {most}")]
    Power {
        /// The highest.
        most: i8,
    },
    /// A power of a power.
    #[error("a power of a power needs parentheses")]
    PowerOfPower,
    /// A name with a point that joins nothing.
    #[error("`{name}` is not a name")]
    Name {
        /// What stands there.
        name: String,
    },
    /// A comma that may be a decimal point.
    #[error("a comma between two digits could mean two things")]
    Comma,
    /// A sign that formulas don't have.
    #[error("`{sign}` has no meaning in a formula")]
    Stray {
        /// The sign.
        sign: char,
    },
    /// The fact that is a rule set, in the place of a value.
    #[error("`{name}` is a rule set, and a value belongs here")]
    RuleSet {
        /// Its name.
        name: String,
    },
}

/// What belongs at a place of a formula.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Wanted {
    /// Something to reckon with.
    Operand,
    /// A sign that compares.
    Comparison,
    /// Something that goes on with it, or a word or a sign that ends it.
    OperatorOr(String),
    /// Something that goes on with it, or nothing more.
    OperatorOrEnd,
}

impl fmt::Display for Wanted {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Operand => f.write_str("a number, a name or `(`"),
            Self::Comparison => f.write_str("`<`, `<=`, `>` or `>=`"),
            Self::OperatorOr(end) => write!(f, "an operator or `{end}`"),
            Self::OperatorOrEnd => f.write_str("an operator or the end"),
        }
    }
}

impl TextProblem {
    /// What to do about it, in words.
    pub(super) fn help(&self) -> Option<&'static str> {
        Some(match self {
            Self::TooLong { .. } | Self::TooDeep => "work parts of it out under names of their own",
            Self::Misplaced { found, .. } if matches!(&**found, "<" | "<=" | ">" | ">=") => {
                "two values are compared after an `if`, without parentheses"
            }
            Self::BareIf => "write `1 + (if a < b then c else d)`",
            Self::IfLacks { .. } => "write `if a < b then c else d`",
            Self::Value(QuantityError::Unit(_)) => {
                "to multiply by what is called that, write `*` before it"
            }
            Self::Power { .. } => "for a square root, write `sqrt(...)`",
            Self::PowerOfPower => "write `(a^2)^3`",
            Self::Name { .. } => "a point joins two parts, as in `drop.q1`",
            Self::Comma => {
                "for a decimal, write a point: `0.1`; between two values, put a blank after the comma"
            }
            Self::Stray { sign } => instead_of(*sign),
            Self::Empty
            | Self::Misplaced { .. }
            | Self::Missing { .. }
            | Self::NeverClosed
            | Self::Value(_)
            | Self::RuleSet { .. } => return None,
        })
    }
}

/// What to write instead of a sign that formulas don't have.
fn instead_of(sign: char) -> &'static str {
    match sign {
        '\u{d7}' | '\u{b7}' | '\u{22c5}' => "to multiply, write `*`",
        '\u{f7}' | ':' => "to divide, write `/`",
        '\u{2212}' | '\u{2013}' => "to subtract, write `-`",
        '\u{b2}' => "for a square, write `^2`",
        '\u{2264}' => "for at most, write `<=`",
        '\u{2265}' => "for at least, write `>=`",
        '%' => "`%` stands after a number, as in `40 %`",
        sign if sign.is_alphabetic() => "a name has the letters a to z, digits, `_` and points",
        _ => "a formula has numbers with units, names, + - * / ^, parentheses and functions",
    }
}
