//! A bare number above one where a part of something is meant.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::step::{Kind, Piece, Step};
use crate::procedure::{Ask, Expression};
use crate::quantity::{Decimal, Dimension, Unit};

pub(super) const CHECK: Check =
    Check::new("QTY012", "part-without-percent", include_str!("part_without_percent.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let procedure = subject.procedure;
    let mut parts: Vec<(&Expression, &str)> = Vec::new();
    parts.extend(procedure.guard_band.iter().map(|band| (band, PERCENT)));
    procedure.asks.iter().for_each(|(_, ask)| in_ask(ask, &mut parts));
    for stage in &procedure.stages {
        // What is sampled there is volts, amps or the like: only its `within` can be a part.
        parts.extend(
            stage
                .while_on
                .iter()
                .filter_map(|(_, acceptance)| Some((acceptance.within.as_ref()?, PERCENT))),
        );
        stage.steps.iter().for_each(|step| in_step(step, &mut parts));
    }
    parts.into_iter().filter_map(|(part, symbol)| finding(part, symbol)).collect()
}

/// What parts are written in where a step has no unit for them.
const PERCENT: &str = "%";

fn in_ask<'a>(ask: &'a Ask, parts: &mut Vec<(&'a Expression, &'a str)>) {
    parts.extend(ask.tolerance.iter().map(|expression| (expression, PERCENT)));
    if let Some(symbol) = ask.unit.as_ref().and_then(part_symbol) {
        parts.extend(ask.between.iter().flatten().map(|end| (end, symbol)));
    }
}

fn in_step<'a>(step: &'a Step, parts: &mut Vec<(&'a Expression, &'a str)>) {
    let symbol = step.kind().and_then(Kind::unit).and_then(part_symbol);
    step.visit(&mut |part| match (part, symbol) {
        (Piece::Quantity { expression, dimension: Dimension::NONE, .. }, Some(symbol))
        | (Piece::Within { expression, .. }, Some(symbol)) => parts.push((expression, symbol)),
        (Piece::Within { expression, dimension, .. }, None) if dimension != Dimension::NONE => {
            parts.push((expression, PERCENT));
        }
        _ => {}
    });
}

/// The symbol of a unit that is a part of one, as `%` is.
fn part_symbol(unit: &Unit) -> Option<&str> {
    let is_part = unit.dimension() == Dimension::NONE && unit.factor() < Decimal::ONE;
    is_part.then(|| unit.symbol())
}

/// The bare number above one that is all that a part is written as.
pub(super) fn bare_number(part: &Expression) -> Option<Decimal> {
    Decimal::parse(part.text.trim()).ok().filter(|number| *number > Decimal::ONE)
}

fn finding(part: &Expression, symbol: &str) -> Option<Finding> {
    let number = bare_number(part)?;
    let written = part.text.trim();
    let unit = Unit::parse(symbol).ok()?;
    let meant = unit.from_base(number);
    Some(
        CHECK
            .error(format!("{written} by itself is {meant} {symbol}"))
            .at(part.text.span)
            .help(format!("write `{written} {symbol}`, or `{meant} {symbol}` if that is meant")),
    )
}
