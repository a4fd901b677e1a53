//! The names that formulas may use, as they become known from the top of a procedure to its end.

use std::collections::{BTreeMap, BTreeSet};

use super::Subject;
use super::parts::parts_of;
use crate::procedure::step::{Gives, Kind, Piece, Step};
use crate::procedure::{CeilingText, ChargePoint, Expression, FactOffer, Point, Procedure};
use crate::quantity::Dimension;

/// What a place wants of the expression that stands there.
#[derive(Clone, Copy, Debug)]
pub(super) enum WantedDimension {
    /// Anything.
    Any,
    /// This dimension.
    Exactly(Dimension),
    /// This dimension, or a ratio.
    RatioOr(Dimension),
}

/// What is known at one place in the procedure.
#[derive(Clone, Debug, Default)]
pub(super) struct KnownNames {
    /// The dimension of each name; none when its own formula does not tell.
    names: BTreeMap<String, Option<Dimension>>,
    /// Steps that are repeated for parts which only the equipment file or the bench will name.
    open: BTreeMap<String, Option<Dimension>>,
    /// Steps with more than one reading.
    several: BTreeSet<String>,
}

impl KnownNames {
    /// What is known of a name: nothing, that it exists, or its dimension.
    pub(super) fn find(&self, name: &str) -> Option<Option<Dimension>> {
        let of_open_part = || self.open.get(name.split_once('.')?.0);
        self.names.get(name).or_else(of_open_part).copied()
    }

    /// Whether a name may stand for more than one reading.
    pub(super) fn has_several(&self, name: &str) -> bool {
        self.several.contains(name)
    }

    /// The names known so far.
    pub(super) fn names(&self) -> impl Iterator<Item = &str> {
        self.names.keys().map(String::as_str)
    }

    /// The dimension of an expression, when all that it uses is known and fits.
    fn dimension(&self, expression: &Expression) -> Option<Dimension> {
        expression.formula().ok()?.dimension(&|name: &str| self.find(name).flatten()).ok()
    }

    fn give(&mut self, step: &Step, subject: &Subject<'_>) {
        let dimension = match step.kind().and_then(Kind::gives) {
            Some(Gives::Reading(unit)) => Some(unit.dimension()),
            Some(Gives::Result(expression)) => self.dimension(expression),
            None => return,
        };
        let name = step.formula_name();
        let parts = parts_of(step, subject);
        if parts.open || parts.named.len() > 1 {
            self.several.insert(name.clone());
        }
        for part in parts.named {
            self.names.insert(format!("{name}.{part}"), dimension);
        }
        if parts.open {
            self.open.insert(name.clone(), dimension);
        }
        self.names.insert(name, dimension);
    }
}

/// Calls `see` with every expression of the procedure in order, and with what is known there.
pub(super) fn walk<'a>(
    subject: &Subject<'a>,
    see: &mut dyn FnMut(&KnownNames, &'a Expression, WantedDimension),
) {
    let mut scope = facts(subject, see);
    let procedure = subject.procedure;
    for (_, point) in procedure.charge_points.iter() {
        charge_point(&scope, point, see);
    }
    let times = procedure.proof_lasts.iter().chain(&procedure.presence_every);
    for expression in times.chain(&procedure.results_stand_for) {
        see(&scope, expression, WantedDimension::Exactly(Dimension::TIME));
    }
    for expression in &procedure.known_source.between {
        see(&scope, expression, WantedDimension::Exactly(Dimension::VOLTAGE));
    }
    for stage in &procedure.stages {
        if let Some(CeilingText { voltage, current, .. }) = &stage.ceiling {
            see(&scope, voltage, WantedDimension::Exactly(Dimension::VOLTAGE));
            see(&scope, current, WantedDimension::Exactly(Dimension::CURRENT));
        }
        if let Some(hazard) = &stage.hazard {
            hazard.visit(&mut |part| see_part(&scope, part, see));
        }
        for (point, window) in stage.while_on.iter() {
            if let Some(unit) = Point::parse(point).unit() {
                window.visit(unit.dimension(), &mut |part| see_part(&scope, part, see));
            }
        }
        for step in &stage.steps {
            step.visit(&mut |part| see_part(&scope, part, see));
            scope.give(step, subject);
        }
    }
}

/// The names that an expression goes by: its own, then those of the values that are worked out before.
pub(super) fn goes_by<'a>(procedure: &'a Procedure, expression: &'a Expression) -> Vec<&'a str> {
    let mut found = Vec::new();
    let mut next = vec![expression];
    while let Some(expression) = next.pop() {
        let Ok(formula) = expression.formula() else { continue };
        for (name, _) in formula.names() {
            if !found.contains(&name) {
                found.push(name);
                next.extend(procedure.work_out.get(name));
            }
        }
    }
    found
}

/// Walks the questions and what is worked out of their answers; the names are those that steps start with.
fn facts<'a>(
    subject: &Subject<'a>,
    see: &mut dyn FnMut(&KnownNames, &'a Expression, WantedDimension),
) -> KnownNames {
    let mut scope = KnownNames::default();
    for (name, ask) in subject.procedure.asks.iter() {
        let dimension = ask.unit().dimension();
        for expression in ask.between.iter().flatten() {
            see(&scope, expression, WantedDimension::Exactly(dimension));
        }
        if let Some(offer) = &ask.offer {
            see_offer(scope.clone(), offer, dimension, see);
        }
        if !ask.parts {
            scope.names.insert(name.value.clone(), Some(dimension));
        }
    }
    for (name, expression) in subject.procedure.work_out.iter() {
        see(&scope, expression, WantedDimension::Any);
        let dimension = scope.dimension(expression);
        scope.names.insert(name.value.clone(), dimension);
    }
    scope
}

/// A way to a fact: it sees the facts above and what it asks for itself.
fn see_offer<'a>(
    mut scope: KnownNames,
    offer: &'a FactOffer,
    dimension: Dimension,
    see: &mut dyn FnMut(&KnownNames, &'a Expression, WantedDimension),
) {
    for (name, input) in offer.from.iter() {
        let dimension = input.unit().dimension();
        for expression in input.between.iter().flatten() {
            see(&scope, expression, WantedDimension::Exactly(dimension));
        }
        scope.names.insert(name.value.clone(), Some(dimension));
    }
    see(&scope, &offer.value, WantedDimension::Exactly(dimension));
}

fn charge_point<'a>(
    scope: &KnownNames,
    point: &'a ChargePoint,
    see: &mut dyn FnMut(&KnownNames, &'a Expression, WantedDimension),
) {
    see(scope, &point.below, WantedDimension::Exactly(Dimension::VOLTAGE));
    let Some(holds) = &point.holds else { return };
    see(scope, &holds.capacitance, WantedDimension::Exactly(Dimension::CAPACITANCE));
    see(scope, &holds.charged_to, WantedDimension::Exactly(Dimension::VOLTAGE));
    if let Some(bleeder) = &holds.bleeder {
        see(scope, bleeder, WantedDimension::Exactly(Dimension::RESISTANCE));
    }
}

fn see_part<'a>(
    scope: &KnownNames,
    part: Piece<'a>,
    see: &mut dyn FnMut(&KnownNames, &'a Expression, WantedDimension),
) {
    match part {
        Piece::Text(_) => {}
        Piece::Quantity { expression, dimension, .. } => {
            see(scope, expression, WantedDimension::Exactly(dimension));
        }
        Piece::Within { expression, dimension, .. } => {
            see(scope, expression, WantedDimension::RatioOr(dimension));
        }
    }
}
