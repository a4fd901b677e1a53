//! How long stored charge takes to leave by itself, as far as the file says what there is.

use super::act::milliseconds;
use super::{ChargePoint, Procedure, ValueLookup};
use crate::physics::discharge;
use crate::quantity::{Decimal, Dimension, Quantity};

/// The wait after switch-off where the procedure gives no data to work one out.
const WAIT_WITHOUT_DATA_MS: u64 = 30_000;

/// The answer that the equipment has no such resistor.
pub const NONE: &str = "none";

/// What [`NONE`] stands for in formulas (ohm): so much that nothing flows, and that no resistor has.
const NO_RESISTOR: i64 = 1_000_000_000_000;

/// A resistor that is not there, as formulas see it.
#[must_use]
pub fn no_resistor() -> Quantity {
    Quantity::new(Decimal::new(NO_RESISTOR, 0), Dimension::RESISTANCE)
}

/// The wait after switch-off, and what it does not serve.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SafeWait {
    /// The longest discharge of the charge points that it can be worked out for (ms).
    pub ms: u64,
    /// The charge points of which it is not known how fast their charge leaves.
    pub unknown: Vec<String>,
    /// The charge points that have no bleeder: no wait makes them safe.
    pub kept: Vec<String>,
}

/// Says what has to be done at charge points that have no bleeder; nothing where there are none.
#[must_use]
pub fn without_bleeder(points: &[String]) -> Option<String> {
    let points = (!points.is_empty()).then(|| points.join(", "))?;
    Some(format!(
        "NO BLEEDER at {points}: no wait makes that safe, its charge has to be let out through the resistor"
    ))
}

impl Procedure {
    /// The wait after switch-off: the longest discharge of the charge points that have a bleeder.
    #[must_use]
    pub fn safe_wait(&self, values: &ValueLookup<'_>) -> SafeWait {
        let mut wait = SafeWait::default();
        for (name, point) in self.charge_points.iter() {
            if point.keeps_charge(values) {
                wait.kept.push(name.value.clone());
                continue;
            }
            match point.discharge_ms(None, values) {
                Some(ms) => wait.ms = wait.ms.max(ms),
                None => wait.unknown.push(name.value.clone()),
            }
        }
        if !wait.unknown.is_empty() {
            wait.ms = wait.ms.max(WAIT_WITHOUT_DATA_MS);
        }
        wait
    }
}

impl ChargePoint {
    /// Whether the equipment has nothing that discharges it.
    #[must_use]
    pub fn keeps_charge(&self, values: &ValueLookup<'_>) -> bool {
        let bleeder = self.holds.as_ref().and_then(|stored| stored.bleeder.as_ref());
        let ohms = bleeder.and_then(|bleeder| bleeder.evaluate(values).ok());
        ohms.is_some_and(|ohms| ohms.value >= no_resistor().value)
    }

    /// How long its own bleeder needs (ms), from the voltage measured or from the highest it is charged to; nothing where
    /// that is not known, or nothing discharges it.
    #[must_use]
    pub fn discharge_ms(
        &self,
        measured: Option<Quantity>,
        values: &ValueLookup<'_>,
    ) -> Option<u64> {
        let stored = self.holds.as_ref().filter(|_| !self.keeps_charge(values))?;
        let capacitance = stored.capacitance.evaluate(values).ok()?;
        let from = measured.or_else(|| stored.charged_to.evaluate(values).ok())?;
        let bleeder = stored.bleeder.as_ref()?.evaluate(values).ok()?;
        let to = self.below.evaluate(values).ok()?;
        let seconds = discharge::wait_s(&capacitance, &bleeder, &from, &to);
        milliseconds(&Quantity::from_f64(seconds, Dimension::TIME)?).ok()
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::no_resistor;
    use crate::procedure::{Given, Procedure, read_procedure};
    use crate::quantity::Quantity;

    fn procedure() -> Procedure {
        let base = include_str!("check/base.yaml");
        let asks =
            "  bleeder: {ask: Bleeder, unit: ohm, between: [100 ohm, 100 kohm], none_ok: true}\n";
        let point = "below: 2 V, holds: {capacitance: 10 mF, charged_to: rail, bleeder: bleeder}";
        let text = base.replacen("asks:\n", &format!("asks:\n{asks}"), 1);
        read_procedure(&text.replacen("below: 2 V", point, 1)).unwrap()
    }

    #[test]
    fn none_is_an_answer_where_the_question_takes_it_and_nowhere_else() {
        let procedure = procedure();
        let take =
            |name: &str, text: &str| procedure.asks.get(name).unwrap().take(text, &|_: &str| None);
        assert_eq!(take("bleeder", " none "), Ok(Given::Value(no_resistor())));
        for (name, text) in [("rail", "none"), ("bleeder", "1000 Gohm"), ("bleeder", "None at all")]
        {
            assert!(take(name, text).is_err(), "{name}: {text}");
        }
    }

    #[test]
    fn a_point_without_a_bleeder_is_in_no_wait() {
        let wait = |bleeder: Quantity| {
            procedure().safe_wait(&|name: &str| {
                let rail = Quantity::parse("30 V").unwrap();
                Some(vec![if name == "bleeder" { bleeder } else { rail }])
            })
        };
        let with = wait(Quantity::parse("2.2 kohm").unwrap());
        let without = wait(no_resistor());
        assert!(with.ms > 60_000 && with.kept.is_empty(), "{with:?}");
        assert_eq!((without.ms, without.kept), (30_000, vec!["reservoir".to_owned()]));
        assert_eq!(without.unknown, with.unknown);
    }
}
