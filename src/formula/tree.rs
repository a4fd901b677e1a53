//! A formula as a tree.

use std::ops::Range;

use super::function::Function;
use crate::quantity::Quantity;

/// A part of a formula and where it stands in the text.
#[derive(Debug, Clone)]
pub(super) struct Node {
    pub(super) at: Range<usize>,
    pub(super) kind: Kind,
}

/// What a part of a formula is.
#[derive(Debug, Clone)]
pub(super) enum Kind {
    Literal(Quantity),
    Name(String),
    Negation(Box<Node>),
    Power { base: Box<Node>, exponent: i8 },
    Operation { operator: Operator, sign: Range<usize>, left: Box<Node>, right: Box<Node> },
    Call { function: &'static Function, arguments: Vec<Node> },
}

/// What is done with two values.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Operator {
    Add,
    Subtract,
    Multiply,
    Divide,
}
