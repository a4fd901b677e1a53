//! Where a step stands.

/// A step's place in the procedure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct StepAt {
    pub(super) stage: usize,
    pub(super) step: usize,
}
