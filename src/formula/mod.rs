//! Arithmetic with units, as procedures write it: `0.6 * rail`, `max(drop) - min(drop)`.
//!
//! May use quantity, physics and diagnostic. Always true: a formula that [`Formula::dimension`]
//! accepts adds and compares only like to like; what [`Formula::evaluate`] and
//! [`Formula::estimate`] return is finite; a number or a name that stands alone is passed on exactly
//! as it was written or read; of an `if` only the value that was chosen is worked out; and no text
//! makes the parser panic.
//!
//! Functions are one table, `functions::FUNCTIONS`: a new one is one line there.

mod arguments;
mod dimension;
mod error;
mod evaluate;
mod function;
mod functions;
mod level;
mod list;
mod number;
mod operator;
mod parse;
mod physical;
mod problem;
mod safety;
mod sampled;
mod single;
mod supplies;
mod token;
mod tree;
mod word;

use std::fmt;
use std::ops::Range;

pub use error::FormulaError;
pub use safety::{SAFETY_RULES, offered, rule_set};
pub use token::WORDS;
use tree::Node;

/// A formula, read and ready to be checked and worked out.
///
/// It shows as the text it was read from, and equals another when their texts do.
#[derive(Debug, Clone)]
pub struct Formula {
    text: String,
    root: Node,
    names: Vec<Range<usize>>,
}

impl Formula {
    /// Lists the names in the formula and where each stands in the text, in the order they stand.
    pub fn names(&self) -> Vec<(&str, Range<usize>)> {
        let named = |at: &Range<usize>| Some((self.text.get(at.clone())?, at.clone()));
        self.names.iter().filter_map(named).collect()
    }

    /// Counts the circuits that working it out solves; each takes a thousand times as long as arithmetic.
    pub fn circuits(&self) -> usize {
        let words = self.text.split(|c: char| !c.is_ascii_alphanumeric() && c != '_');
        words.filter(|word| functions::is_solver(word)).count()
    }

    /// Tells whether working it out solves a circuit.
    pub fn solves_a_circuit(&self) -> bool {
        self.circuits() > 0
    }
}

impl fmt::Display for Formula {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.text)
    }
}

impl PartialEq for Formula {
    fn eq(&self, other: &Self) -> bool {
        self.text == other.text
    }
}

impl Eq for Formula {}

#[cfg(test)]
mod tests;
