//! How a verdict came about, in words.

use super::judged::rule_words;
use crate::quantity::{Quantity, Reading, Unit};
use crate::record::Decision;
use crate::window::{Bounds, Uncertainty};

/// How a verdict came about, where a meter's uncertainty is known.
pub(super) fn decided(
    decision: &Decision,
    reading: &Reading,
    bounds: &Bounds,
    unit: &Unit,
) -> Vec<String> {
    let meter = decision.meter.iter().map(|meter| format!("meter: {meter}"));
    let corrected = decision.corrected.iter().map(|corrected| unloaded(corrected, unit));
    let rule = rule_words(decision.rule);
    let doubt = decision.uncertainty.map(|uncertainty| {
        let chance = sure(decision, bounds).map(|words| format!(", {words}"));
        let doubt = plus_minus(&decision.judged(reading), &uncertainty, unit);
        format!("{}{}; {rule}", doubt.trim(), chance.unwrap_or_default())
    });
    meter.chain(corrected).chain(doubt).collect()
}

/// How sure it is that a value is within its window; nothing where that is beyond doubt, where no uncertainty is known, or
/// where the window judges nothing.
pub(super) fn sure(decision: &Decision, bounds: &Bounds) -> Option<String> {
    if decision.conformity.is_some_and(|p| p >= BEYOND_DOUBT) {
        return None;
    }
    let stated = decision.conformity.map(|p| format!("{:.1} % sure to be within", p * 100.0));
    let is_wanted = decision.uncertainty.is_some() && !bounds.judges_nothing();
    stated.or_else(|| is_wanted.then(|| NOT_SURE.to_owned()))
}

/// The chance from which on it would be written as 100.0 %, which tells a reader nothing.
const BEYOND_DOUBT: f64 = 0.9995;

/// What is said where a value was worked out from one whose spread only its draws tell.
const NOT_SURE: &str =
    "chance to be within not stated: a formula before it is too far from straight";

/// The value that was judged in the place of the reading.
#[must_use]
pub fn unloaded(corrected: &Quantity, unit: &Unit) -> String {
    format!("{} before the meter loads it", corrected.engineering(4, Some(unit)))
}

/// The expanded uncertainty in the unit of its value and with its prefix, with its coverage factor and level.
#[must_use]
pub fn plus_minus(reading: &Reading, uncertainty: &Uncertainty, unit: &Unit) -> String {
    let expanded = match reading {
        Reading::Number(value) => value.doubt_beside(&uncertainty.expanded, Some(unit)),
        Reading::OverRange | Reading::NotANumber => uncertainty.expanded.engineering(2, Some(unit)),
    };
    format!(" +/- {expanded} (k = {:.2}, {:.0} %)", uncertainty.coverage, uncertainty.level * 100.0)
}

/// How well a fact is known that nobody states a tolerance for, as a part of it: common practice, no source.
const KNOWN_WITHIN: f64 = 0.01;

/// Tells whether what the tolerances of some facts make of a value is more than what the other facts, which are taken as
/// exact, may bring.
pub(super) fn is_worth_stating(value: &Quantity, uncertainty: &Uncertainty) -> bool {
    uncertainty.expanded.to_f64() >= KNOWN_WITHIN * value.to_f64().abs()
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
        let sure_of = |p| sure(&Decision { conformity: Some(p), ..known.clone() }, &at_most);
        assert_eq!(sure_of(0.9994).unwrap(), "99.9 % sure to be within");
        assert_eq!(sure_of(0.9996), None);
        assert_eq!(sure(&unknown, &at_most).unwrap(), NOT_SURE);
        assert_eq!(sure(&unknown, &open), None);
        assert_eq!(sure(&Decision::default(), &at_most), None);
    }
}
