//! A charge point that may have no bleeder, and words that don't say what to let its charge out through.

use super::names::goes_by;
use super::words::mentions;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{Ask, At, ChargePoint, Expression, Procedure};
use crate::quantity::Dimension;

pub(super) const CHECK: Check =
    Check::new("HAZ033", "undischarged-point", include_str!("undischarged_point.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let procedure = subject.procedure;
    let asks = procedure.asks.iter().filter(|(_, ask)| ask.none_ok);
    let misplaced = asks.filter_map(|(name, ask)| misplaced(procedure, name, ask));
    let points = procedure.charge_points.iter();
    misplaced.chain(points.filter_map(|(_, point)| vague(procedure, point))).collect()
}

/// An answer of `none` where no bleeder of a charge point is asked for.
fn misplaced(procedure: &Procedure, name: &At<String>, ask: &Ask) -> Option<Finding> {
    let is_resistor = ask.is_value() && ask.unit().dimension() == Dimension::RESISTANCE;
    let mut points = procedure.charge_points.iter();
    let discharges = points.any(|(_, point)| {
        bleeder(point)
            .is_some_and(|expression| goes_by(procedure, expression).contains(&name.value.as_str()))
    });
    if is_resistor && discharges {
        return None;
    }
    let message = format!("`{}` may be `none`, and is no bleeder of a charge point", name.value);
    let help = "leave `none_ok` out, or name it as the `bleeder` of what it discharges";
    Some(CHECK.error(message).at(name.span).help(help))
}

/// A point that may keep its charge, and nothing that its words name to let it out.
fn vague(procedure: &Procedure, point: &ChargePoint) -> Option<Finding> {
    let names = goes_by(procedure, bleeder(point)?);
    let mut asks = procedure.asks.iter();
    let may_be_none = asks.any(|(name, ask)| ask.none_ok && names.contains(&name.value.as_str()));
    let says_how = mentions(&point.at, "discharg bleed") && mentions(&point.at, "kohm ohm resist");
    (may_be_none && !says_how).then(|| {
        CHECK
            .error("it may have no bleeder, and these words don't say what lets its charge out")
            .at(point.at.span)
            .help("name the resistor: \"discharge it through 100 ohm, 10 W, in insulated clips\"")
    })
}

fn bleeder(point: &ChargePoint) -> Option<&Expression> {
    point.holds.as_ref()?.bleeder.as_ref()
}
