//! Words that stand in a call in the place of a value, from a list of the function's own.

use std::ops::Range;

use super::FormulaError;
use super::dimension::refused;
use super::function::{Function, Takes, WordList};
use super::number::Number;
use super::problem::{CallProblem, Problem};
use super::tree::{Node, NodeKind};
use crate::diagnostic::nearest;
use crate::quantity::{Decimal, Dimension, Estimate, Quantity};

impl WordList {
    /// Whether a name is that of the fact that may stand for a word.
    pub(super) fn is_fact(&self, name: &str) -> bool {
        self.fact == Some(name)
    }

    /// Reads a word. It goes on as its place in the list, so that a call has nothing but quantities.
    pub(super) fn read(&self, word: &str, at: Range<usize>) -> Result<Node, FormulaError> {
        let list = (self.list)();
        match list.iter().enumerate().find(|(_, (listed, _))| *listed == word) {
            Some((place, (_, true))) => Ok(Node { at, kind: NodeKind::Literal(in_list(place)) }),
            Some((_, (_, false))) => {
                let (word, offered) = (word.to_owned(), offered(&list));
                Err(FormulaError::new(&at, CallProblem::NothingFor { word, offered }))
            }
            None => {
                let meant = nearest(word, list.iter().map(|(known, _)| *known)).map(str::to_owned);
                let (kind, word, offered) = (self.kind, word.to_owned(), offered(&list));
                Err(FormulaError::new(&at, CallProblem::NoWord { kind, word, meant, offered }))
            }
        }
    }

    /// Says that no word stands where one belongs.
    pub(super) fn missing(&self, at: &Range<usize>) -> FormulaError {
        let (kind, offered) = (self.kind, offered(&(self.list)()));
        FormulaError::new(at, CallProblem::WordMissing { kind, offered })
    }
}

/// The words for which the function has something.
fn offered(list: &[(&str, bool)]) -> Vec<String> {
    list.iter().filter(|(_, has)| *has).map(|(word, _)| (*word).to_owned()).collect()
}

/// The place of a word in a list, as a call has it.
pub(super) fn in_list(place: usize) -> Quantity {
    let place = i64::try_from(place).unwrap_or_default();
    Quantity::new(Decimal::new(place, 0), Dimension::NONE)
}

/// What the word at this place of the list stands for.
pub(super) fn chosen<'a, T>(list: &'a [T], place: &Quantity) -> Result<&'a T, Problem> {
    let mut list = list.iter().enumerate();
    let named = list.find(|(named, _)| in_list(*named) == *place).map(|(_, named)| named);
    named.ok_or_else(|| CallProblem::NotListed.into())
}

/// Works out a call with words in which nothing is left open, so that a missing figure shows before the run.
pub(super) fn tried(
    function: &Function,
    arguments: &[Node],
    call: &Range<usize>,
) -> Result<(), FormulaError> {
    let literal = |node: &Node| match node.kind {
        NodeKind::Literal(quantity) => Some(Number::from(Estimate::exact(quantity))),
        _ => None,
    };
    let given = arguments.iter().map(literal).collect::<Option<Vec<_>>>();
    let (Takes::WordsThen { .. }, Some(given)) = (function.takes, given) else { return Ok(()) };
    let dimensions: Vec<Dimension> = given.iter().map(|number| number.dimension).collect();
    if (function.dimension)(&dimensions).is_err() {
        return Ok(());
    }
    let worked_out = function.work.apply(&given);
    worked_out.map(|_| ()).map_err(|refusal| refused(refusal, arguments, call))
}
