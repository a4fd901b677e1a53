//! A bench whose sources are switched by hand.

use super::{Bench, Lost, OutputsOff};

/// A bench without a single controlled instrument: the person switches, reads and types.
#[derive(Clone, Copy, Debug, Default)]
pub struct Manual;

impl Bench for Manual {
    fn outputs_off(&mut self) -> Result<OutputsOff, Lost> {
        Ok(OutputsOff::OutOfReach)
    }

    fn energise(&mut self, _: Option<(f64, f64)>) -> Result<(), Lost> {
        Ok(())
    }
}
