//! A formula as a tree.

use std::cmp::Ordering;
use std::ops::Range;

use super::function::Function;
use super::operator::Operator;
use crate::quantity::Quantity;

/// A part of a formula and where it stands in the text.
#[derive(Debug, Clone)]
pub(super) struct Node {
    pub(super) at: Range<usize>,
    pub(super) kind: NodeKind,
}

/// What a part of a formula is.
#[derive(Debug, Clone)]
pub(super) enum NodeKind {
    Literal(Quantity),
    Name(String),
    Negation(Box<Node>),
    Power { base: Box<Node>, exponent: i8 },
    Operation { operator: Operator, sign: Range<usize>, left: Box<Node>, right: Box<Node> },
    Call { function: &'static Function, arguments: Vec<Node> },
    Choice { condition: Box<Condition>, then: Box<Node>, otherwise: Box<Node> },
}

/// Two values and how they are compared.
#[derive(Debug, Clone)]
pub(super) struct Condition {
    pub(super) comparison: Comparison,
    pub(super) sign: Range<usize>,
    pub(super) left: Node,
    pub(super) right: Node,
}

/// How two values are compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Comparison {
    Below,
    AtMost,
    Above,
    AtLeast,
}

impl Comparison {
    pub(super) fn holds(self, order: Ordering) -> bool {
        match self {
            Comparison::Below => order.is_lt(),
            Comparison::AtMost => order.is_le(),
            Comparison::Above => order.is_gt(),
            Comparison::AtLeast => order.is_ge(),
        }
    }
}
