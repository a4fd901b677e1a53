//! What the checks look at.

use std::cell::OnceCell;

use super::trial::{Trial, trials};
use crate::procedure::{BenchFile, Equipment, Procedure};

/// What a check looks at.
#[derive(Debug)]
pub struct Subject<'a> {
    pub(super) procedure: &'a Procedure,
    pub(super) equipment: Option<&'a Equipment>,
    pub(super) bench: Option<&'a BenchFile>,
    /// Values to try formulas with: worked out once, since physics takes its time.
    trials: OnceCell<[Trial; 3]>,
}

impl<'a> Subject<'a> {
    /// A procedure, with the equipment and the bench it is to be run on where they are known.
    #[must_use]
    pub fn new(
        procedure: &'a Procedure,
        equipment: Option<&'a Equipment>,
        bench: Option<&'a BenchFile>,
    ) -> Self {
        Self { procedure, equipment, bench, trials: OnceCell::new() }
    }

    pub(super) fn trials(&self) -> &[Trial; 3] {
        self.trials.get_or_init(|| trials(self))
    }
}

/// What is known of the keys of a shop's people.
#[derive(Clone, Copy)]
pub struct Keys<'a> {
    /// The public keys that sign for an identity today.
    pub of: &'a dyn Fn(&str) -> Vec<Vec<u8>>,
    /// Tells whether a file lies beside the people file.
    pub is_there: &'a dyn Fn(&str) -> bool,
}
