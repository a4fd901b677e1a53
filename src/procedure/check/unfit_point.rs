//! A reading `from` something that is no output, or from one that is read in another unit.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{At, Point, Step};
use crate::quantity::Unit;

pub(super) const CHECK: Check =
    Check::new("WIN011", "unfit-point", include_str!("unfit_point.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let points = subject.procedure.steps().filter_map(|(_, step)| from(step));
    points.filter_map(|(from, unit)| finding(from, unit)).collect()
}

fn from(step: &Step) -> Option<(&At<String>, &Unit)> {
    let read = step.read.as_ref().and_then(|reading| Some((reading.from.as_ref()?, &reading.unit)));
    read.or_else(|| step.watch.as_ref().and_then(|watch| Some((watch.from.as_ref()?, &watch.unit))))
}

fn finding(from: &At<String>, unit: &Unit) -> Option<Finding> {
    let point = Point::parse(from);
    let output = match &point {
        Point::Output { channel, .. } if !channel.is_empty() => point.unit()?,
        _ => {
            let found =
                CHECK.error(format!("`{}` is not a point at an output of a supply", **from));
            return Some(found.at(from.span).help(
                "write an output and what is read there, such as `plus.current`; a meter's function goes under `function`",
            ));
        }
    };
    (output.dimension() != unit.dimension()).then(|| {
        let name = output.dimension().name();
        let found = CHECK.error(format!(
            "`{}` is a {name}, and the step reads `{}`",
            **from,
            unit.symbol()
        ));
        found.at(from.span).help("correct the point, or the unit of the step")
    })
}
