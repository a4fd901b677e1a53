//! Putting what a call gives into the order the function takes.

use std::ops::Range;

use super::FormulaError;
use super::function::{Function, Takes};
use super::problem::CallProblem;
use super::tree::Node;
use crate::diagnostic::nearest;

/// One value in a call, with its name if it was given by name.
#[derive(Debug)]
pub(super) struct Passed<'t> {
    pub(super) name: Option<(&'t str, Range<usize>)>,
    pub(super) value: Node,
}

/// Gives the values in the function's order; `call` is where complaints about the whole call point.
pub(super) fn arrange(
    function: &Function,
    call: &Range<usize>,
    given: Vec<Passed<'_>>,
) -> Result<Vec<Node>, FormulaError> {
    match function.takes {
        Takes::OneOrMore => in_line(function, call, given),
        Takes::These(names) | Takes::WordsThen { names, .. } => {
            by_name(function, call, names, given)
        }
    }
}

fn in_line(
    function: &Function,
    call: &Range<usize>,
    given: Vec<Passed<'_>>,
) -> Result<Vec<Node>, FormulaError> {
    if given.is_empty() {
        let problem = CallProblem::Empty { function: function.name.to_owned() };
        return Err(FormulaError::new(call, problem));
    }
    given
        .into_iter()
        .map(|given| match given.name {
            None => Ok(given.value),
            Some((_, at)) => {
                let problem = CallProblem::NamesNone { function: function.name.to_owned() };
                Err(FormulaError::new(&at, problem))
            }
        })
        .collect()
}

fn by_name(
    function: &Function,
    call: &Range<usize>,
    names: &[&str],
    given: Vec<Passed<'_>>,
) -> Result<Vec<Node>, FormulaError> {
    let mut places: Vec<Option<Node>> = names.iter().map(|_| None).collect();
    let mut named = false;
    for (position, Passed { name, value }) in given.into_iter().enumerate() {
        let place = match name {
            Some((name, at)) => {
                named = true;
                let known = names.iter().position(|known| *known == name);
                known.ok_or_else(|| FormulaError::new(&at, no_value(function, names, name)))?
            }
            None if named => {
                return Err(FormulaError::new(&value.at, CallProblem::OutOfOrder));
            }
            None => position,
        };
        match places.get_mut(place) {
            Some(free @ None) => *free = Some(value),
            Some(Some(_)) => return Err(FormulaError::new(&value.at, CallProblem::Twice)),
            None => {
                let (function, takes) = (function.name.to_owned(), owned(names));
                let problem = CallProblem::TooMany { function, takes };
                return Err(FormulaError::new(&value.at, problem));
            }
        }
    }
    let lacks = |name: &str| CallProblem::Lacks {
        function: function.name.to_owned(),
        name: name.to_owned(),
        takes: owned(names),
    };
    let filled = places.into_iter().zip(names);
    filled.map(|(place, name)| place.ok_or_else(|| FormulaError::new(call, lacks(name)))).collect()
}

fn no_value(function: &Function, names: &[&str], name: &str) -> CallProblem {
    let meant = nearest(name, names.iter().copied()).map(str::to_owned);
    CallProblem::NoValue { function: function.name.to_owned(), name: name.to_owned(), meant }
}

fn owned(names: &[&str]) -> Vec<String> {
    names.iter().map(|name| (*name).to_owned()).collect()
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::*;
    use crate::formula::function::FunctionValue;
    use crate::formula::tree::NodeKind;
    use crate::quantity::Dimension;

    static RIPPLE: Function = Function {
        name: "ripple",
        takes: Takes::These(&["load", "time", "reservoir"]),
        dimension: |_| Ok(Dimension::VOLTAGE),
        work: FunctionValue::Physics(|_| Err(CallProblem::NotListed.into())),
    };

    /// Arranges `a`, `time = b` and so on; the value of each stands at its place in the list.
    fn order(given: &[&'static str]) -> Result<Vec<String>, FormulaError> {
        let given = given.iter().enumerate().map(|(place, text)| {
            let (name, value) =
                text.split_once(" = ").map_or((None, *text), |(name, value)| (Some(name), value));
            let value = Node { at: place..place, kind: NodeKind::Name(value.to_owned()) };
            Passed { name: name.map(|name| (name, 90 + place..99)), value }
        });
        let arranged = arrange(&RIPPLE, &(50..60), given.collect())?;
        let names = arranged.into_iter().map(|node| match node.kind {
            NodeKind::Name(name) => name,
            other => panic!("{other:?}"),
        });
        Ok(names.collect())
    }

    #[test]
    fn values_come_in_order_or_by_name() {
        for given in [
            ["a", "b", "c"],
            ["a", "b", "reservoir = c"],
            ["a", "reservoir = c", "time = b"],
            ["reservoir = c", "time = b", "load = a"],
        ] {
            assert_eq!(order(&given).unwrap(), ["a", "b", "c"], "{given:?}");
        }
    }

    #[test]
    fn complaints_point_at_the_value_that_does_not_fit() {
        for (given, at, message, help) in [
            (&["a", "b"][..], 50..60, "without its `reservoir`", "ripple(load, time, reservoir)"),
            (&["a", "b", "c", "d"], 3..3, "one value too many", "ripple(load, time, reservoir)"),
            (&["a", "load = b"], 1..1, "given twice", ""),
            (&["time = a", "time = b"], 1..1, "given twice", ""),
            (&["a", "tiem = b"], 91..99, "no value called `tiem`", "did you mean"),
            (&["load = a", "b"], 1..1, "without a name", ""),
        ] {
            let error = order(given).unwrap_err();
            assert_eq!(error.at, at, "{given:?}: {error}");
            assert!(error.to_string().contains(message), "{given:?}: {error}");
            assert!(error.help().unwrap_or_default().contains(help), "{given:?}");
        }
    }
}
