//! How a verdict came about, in words.

use super::judged::rule_words;
use crate::quantity::{Quantity, Unit};
use crate::record::Decision;
use crate::window::Uncertainty;

/// How a verdict came about, where a meter's uncertainty is known.
pub(super) fn decided(decision: &Decision, unit: &Unit) -> Vec<String> {
    let meter = decision.meter.iter().map(|meter| format!("meter: {meter}"));
    let corrected = decision.corrected.iter().map(|own| unloaded(own, unit));
    let rule = rule_words(decision.rule);
    let doubt = decision.uncertainty.map(|own| {
        let chance = decision.conformity.map(|p| format!(", {:.1} % sure to be within", p * 100.0));
        format!("{}{}; {rule}", plus_minus(&own, unit).trim(), chance.unwrap_or_default())
    });
    meter.chain(corrected).chain(doubt).collect()
}

/// The value that was judged in the place of the reading.
#[must_use]
pub fn unloaded(corrected: &Quantity, unit: &Unit) -> String {
    format!("{} before the meter loads it", corrected.engineering(4, Some(unit)))
}

/// The expanded uncertainty in the unit of its value, with its coverage factor and level.
#[must_use]
pub fn plus_minus(own: &Uncertainty, unit: &Unit) -> String {
    let expanded = own.expanded.engineering(2, Some(unit));
    format!(" +/- {expanded} (k = {:.2}, {:.0} %)", own.coverage, own.level * 100.0)
}
