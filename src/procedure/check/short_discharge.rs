//! A wait for charge to leave that is shorter than it takes.

use super::trial::Trial;
use super::words::mentions;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::step::Wait;
use crate::quantity::Dimension;

pub(super) const CHECK: Check =
    Check::new("ORD046", "short-discharge", include_str!("short_discharge.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let steps = subject.procedure.steps().filter_map(|(_, step)| step.wait.as_deref());
    let waits = steps
        .filter(|wait| mentions(&wait.what, "bleed capacitor charge discharg drain reservoir"));
    waits.filter_map(|wait| finding(wait, subject)).collect()
}

fn finding(wait: &Wait, subject: &Subject<'_>) -> Option<Finding> {
    let short = subject.trials().iter().find_map(|trial| {
        let time = trial.value(&wait.time).filter(|value| value.dimension == Dimension::TIME)?;
        let (name, due) = due(subject, trial)?;
        (time.to_f64() < due).then_some((name, due))
    });
    let (name, due) = short?;
    Some(
        CHECK
            .error(match due.is_finite() {
                true => format!("charge is still there: `{name}` takes {due:.0} s to fall to its limit"),
                false => format!("charge is still there: `{name}` has no bleeder, so no wait lets it out"),
            })
            .at(wait.time.text.span)
            .help("write the time as a formula, `discharge_time(...)`, or leave the wait out: making safe waits long enough"),
    )
}

/// The charge point that takes longest by its own bleeder, and its time (s).
fn due<'a>(subject: &'a Subject<'_>, trial: &Trial) -> Option<(&'a str, f64)> {
    let points = subject.procedure.charge_points.iter();
    let times = points.filter_map(|(name, point)| {
        let stored = point.holds.as_ref()?;
        if point.keeps_charge(&|name: &str| trial.named(name)) {
            return Some((name.value.as_str(), f64::INFINITY));
        }
        let value = |expression| Some(trial.value(expression)?.to_f64());
        let (farads, from) = (value(&stored.capacitance)?, value(&stored.charged_to)?);
        let (ohms, to) = (value(stored.bleeder.as_ref()?)?, value(&point.below)?);
        let time = ohms * farads * (from / to).ln();
        (time > 0.0).then_some((name.value.as_str(), time))
    });
    times.max_by(|one, other| one.1.total_cmp(&other.1))
}
