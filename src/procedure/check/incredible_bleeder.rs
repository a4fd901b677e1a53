//! A discharge resistor that would burn.

use super::trial::{Trial, in_every};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::ChargePoint;

pub(super) const CHECK: Check =
    Check::new("HAZ031", "incredible-bleeder", include_str!("incredible_bleeder.md"))
        .of_procedure(run);

/// More than any resistor takes that hangs across a capacitor for good (W). Common practice, no source.
const WATTS_MAX: f64 = 100.0;

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let points = subject.procedure.charge_points.iter();
    points.filter_map(|(_, point)| finding(point, subject)).collect()
}

fn finding(point: &ChargePoint, subject: &Subject<'_>) -> Option<Finding> {
    let stored = point.holds.as_ref()?;
    let bleeder = stored.bleeder.as_ref()?;
    let watts = |trial: &Trial| {
        let (volts, ohms) = (trial.value(&stored.charged_to)?, trial.value(bleeder)?);
        Some(volts.to_f64().powi(2) / ohms.to_f64())
    };
    in_every(subject.trials(), |trial| Some(watts(trial)? > WATTS_MAX)).then(|| {
        CHECK
            .error(format!("a resistor that takes more than {WATTS_MAX:.0} W is no bleeder"))
            .at(bleeder.text.span)
            .help("look at its unit, ohm or kohm: the wait after every switch-off is worked out with it")
    })
}
