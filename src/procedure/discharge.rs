//! How long stored charge takes to leave by itself, as far as the file says what there is.

use super::act::milliseconds;
use super::{ChargePoint, Procedure, ValueLookup};
use crate::physics::discharge;
use crate::quantity::{Dimension, Quantity};

/// The wait after switch-off where the procedure gives no data to work one out.
const WAIT_WITHOUT_DATA_MS: u64 = 30_000;

impl Procedure {
    /// The wait after switch-off (ms): the longest discharge of the charge points that it can be worked out for; and the
    /// names of the others.
    #[must_use]
    pub fn safe_wait(&self, values: &ValueLookup<'_>) -> (u64, Vec<String>) {
        let mut longest = 0;
        let mut unknown = Vec::new();
        for (name, point) in self.charge_points.iter() {
            match point.discharge_ms(None, values) {
                Some(ms) => longest = longest.max(ms),
                None => unknown.push(name.value.clone()),
            }
        }
        let least = if unknown.is_empty() { 0 } else { WAIT_WITHOUT_DATA_MS };
        (longest.max(least), unknown)
    }
}

impl ChargePoint {
    /// How long its own bleeder needs (ms), from the voltage measured or from the highest it is charged to; nothing where
    /// that is not known.
    #[must_use]
    pub fn discharge_ms(
        &self,
        measured: Option<Quantity>,
        values: &ValueLookup<'_>,
    ) -> Option<u64> {
        let stored = self.holds.as_ref()?;
        let capacitance = stored.capacitance.evaluate(values).ok()?;
        let from = measured.or_else(|| stored.charged_to.evaluate(values).ok())?;
        let bleeder = stored.bleeder.as_ref()?.evaluate(values).ok()?;
        let to = self.below.evaluate(values).ok()?;
        let seconds = discharge::wait_s(&capacitance, &bleeder, &from, &to);
        milliseconds(&Quantity::from_f64(seconds, Dimension::TIME)?).ok()
    }
}
