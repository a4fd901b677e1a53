//! How a verdict came about, in words.

use super::judged::rule_words;
use crate::quantity::{Quantity, Unit};
use crate::record::Decision;
use crate::window::{Bounds, Uncertainty};

/// How a verdict came about, where a meter's uncertainty is known.
pub(super) fn decided(decision: &Decision, bounds: &Bounds, unit: &Unit) -> Vec<String> {
    let meter = decision.meter.iter().map(|meter| format!("meter: {meter}"));
    let corrected = decision.corrected.iter().map(|corrected| unloaded(corrected, unit));
    let rule = rule_words(decision.rule);
    let doubt = decision.uncertainty.map(|uncertainty| {
        let chance = sure(decision, bounds).map(|words| format!(", {words}"));
        format!("{}{}; {rule}", plus_minus(&uncertainty, unit).trim(), chance.unwrap_or_default())
    });
    meter.chain(corrected).chain(doubt).collect()
}

/// How sure it is that a value is within its window; nothing where no uncertainty is known or the window judges nothing.
pub(super) fn sure(decision: &Decision, bounds: &Bounds) -> Option<String> {
    let stated = decision.conformity.map(|p| format!("{:.1} % sure to be within", p * 100.0));
    let is_wanted = decision.uncertainty.is_some() && !bounds.judges_nothing();
    stated.or_else(|| is_wanted.then(|| NOT_SURE.to_owned()))
}

/// What is said where a value was worked out from one whose spread only its draws tell.
const NOT_SURE: &str =
    "chance to be within not stated: a formula before it is too far from straight";

/// The value that was judged in the place of the reading.
#[must_use]
pub fn unloaded(corrected: &Quantity, unit: &Unit) -> String {
    format!("{} before the meter loads it", corrected.engineering(4, Some(unit)))
}

/// The expanded uncertainty in the unit of its value, with its coverage factor and level.
#[must_use]
pub fn plus_minus(uncertainty: &Uncertainty, unit: &Unit) -> String {
    let expanded = uncertainty.expanded.engineering(2, Some(unit));
    format!(" +/- {expanded} (k = {:.2}, {:.0} %)", uncertainty.coverage, uncertainty.level * 100.0)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::{NOT_SURE, sure};
    use crate::quantity::{Estimate, Input, Quantity, Shape};
    use crate::record::Decision;
    use crate::window::{Bounds, Uncertainty};

    #[test]
    fn a_chance_that_nothing_tells_is_said_not_to_be_stated() {
        let limit = Quantity::parse("5 A").unwrap();
        let reading = Estimate::exact(limit).with(Input::new("meter", Shape::Normal), 0.1);
        let uncertainty = Uncertainty::of(&reading, Uncertainty::LEVEL);
        let known = Decision { uncertainty, conformity: Some(0.5), ..Decision::default() };
        let unknown = Decision { uncertainty, ..Decision::default() };
        let (at_most, open) = (Bounds::at_most(limit), Bounds::record_only());
        assert_eq!(sure(&known, &at_most).unwrap(), "50.0 % sure to be within");
        assert_eq!(sure(&unknown, &at_most).unwrap(), NOT_SURE);
        assert_eq!(sure(&unknown, &open), None);
        assert_eq!(sure(&Decision::default(), &at_most), None);
    }
}
