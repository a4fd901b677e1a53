//! What one event leads to, before it is put in order.

use super::effect::Effect;
use crate::record::{Fact, Moment};

/// What one event leads to, before it is put in order.
#[derive(Debug)]
pub(super) struct Batch {
    pub(super) at: Moment,
    pub(super) facts: Vec<Fact>,
    pub(super) effects: Vec<Effect>,
    pub(super) outputs_off: bool,
}

impl Batch {
    pub(super) fn new(at: Moment) -> Self {
        Self { at, facts: Vec::new(), effects: Vec::new(), outputs_off: false }
    }

    pub(super) fn is_refusal(&self) -> bool {
        self.facts.iter().any(|fact| matches!(fact, Fact::Refused { .. }))
    }

    pub(super) fn now(&self) -> u64 {
        self.at.elapsed_ms
    }
}
