//! A charge point that is said to hold what nothing holds.

use super::trial::{Trial, in_every};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{ChargePoint, Expression};

pub(super) const CHECK: Check =
    Check::new("HAZ031", "incredible-charge", include_str!("incredible_charge.md"))
        .of_procedure(run);

/// More than any resistor takes that hangs across a capacitor for good (W). Common practice, no source.
const WATTS_MAX: f64 = 100.0;

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let points = subject.procedure.charge_points.iter();
    points.filter_map(|(_, point)| finding(point, subject.trials())).collect()
}

fn finding(point: &ChargePoint, trials: &[Trial]) -> Option<Finding> {
    let stored = point.holds.as_ref()?;
    let (charged_to, bleeder) = (&stored.charged_to, stored.bleeder.as_ref());
    let is_nothing = |expression: &Expression| {
        in_every(trials, |trial| Some(trial.value(expression)?.to_f64() <= 0.0))
    };
    let is_dead = || {
        in_every(trials, |trial| {
            Some(trial.value(charged_to)?.to_f64() <= trial.value(&point.below)?.to_f64())
        })
    };
    let burns = |bleeder: &&Expression| {
        in_every(trials, |trial| {
            let (volts, ohms) = (trial.value(charged_to)?, trial.value(bleeder)?);
            Some(volts.to_f64().powi(2) / ohms.to_f64() > WATTS_MAX)
        })
    };
    let parts = [Some(&stored.capacitance), Some(charged_to), bleeder].into_iter().flatten();
    let (at, why) = if let Some(part) = parts.into_iter().find(|part| is_nothing(part)) {
        (part, "what holds charge is above zero".to_owned())
    } else if is_dead() {
        (charged_to, "what it is charged to counts as dead".to_owned())
    } else if let Some(bleeder) = bleeder.filter(burns) {
        (bleeder, format!("a resistor that takes more than {WATTS_MAX:.0} W is no bleeder"))
    } else {
        return None;
    };
    let found = CHECK.error(why).at(at.text.span);
    Some(found.help(
        "look at its unit and its sign: the wait after every switch-off is worked out with it",
    ))
}
