//! How long a proof of dead is believed.

use super::act::milliseconds;
use super::{Procedure, ValueLookup};

/// Where the procedure does not say (ms; common practice, no source).
const USUAL_MS: u64 = 30 * 60 * 1000;

impl Procedure {
    /// How long a proof of dead is believed (ms): as the procedure says, where that can be worked out.
    #[must_use]
    pub fn proof_lasts_ms(&self, values: &ValueLookup<'_>) -> u64 {
        let stated = self.proof_lasts.as_ref().and_then(|lasts| lasts.evaluate(values).ok());
        stated.and_then(|time| milliseconds(&time).ok()).unwrap_or(USUAL_MS)
    }
}
