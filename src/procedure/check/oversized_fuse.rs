//! A fuse that may be larger than the one that belongs there.

use std::collections::BTreeSet;

use super::trial::Trial;
use super::words::mentions;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::safety::{dimension, measured, window};
use crate::procedure::step::Piece;
use crate::procedure::{Acceptance, Step};
use crate::quantity::Dimension;

pub(super) const CHECK: Check =
    Check::new("SAF009", "oversized-fuse", include_str!("oversized_fuse.md")).of_procedure(run);

/// Beyond this the next rating is inside too: ratings of fuses go up by a quarter and more (common practice, no source).
const NEXT_RATING: f64 = 1.2;

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    subject.procedure.steps().filter_map(|(_, step)| finding(step, subject)).collect()
}

fn finding(step: &Step, subject: &Subject<'_>) -> Option<Finding> {
    let what = measured(step).filter(|what| mentions(what, "fuse"))?;
    // What flows is another reading: this one is of what is printed on the fuse.
    if dimension(step)? != Dimension::CURRENT || step.measures_flow() {
        return None;
    }
    let window = window(step)?;
    let due = due(window, subject)?;
    let over = |trial: &Trial| {
        let high = trial.bounds(window, Dimension::CURRENT)?.high?.to_f64();
        let ratings = due.iter().filter_map(|name| trial.named(name)).flatten();
        Some(high / ratings.map(|rating| rating.to_f64()).max_by(f64::total_cmp)?)
    };
    let over = subject.trials().iter().filter_map(over).max_by(f64::total_cmp)?;
    (over > NEXT_RATING).then(|| {
        CHECK
            .error(format!("a fuse of {over:.1} times its rating is inside"))
            .at(what.span)
            .help("end the window at the fact that says which fuse belongs there")
    })
}

/// The facts that say which fuse belongs there, as formulas write them: those of the window, or all where it has none of any kind.
fn due(window: &Acceptance, subject: &Subject<'_>) -> Option<BTreeSet<String>> {
    let asks = subject.procedure.asks.iter().filter(|(name, ask)| {
        let is_current = ask.unit().dimension() == Dimension::CURRENT;
        is_current && (mentions(name, "fuse") || mentions(&ask.ask, "fuse"))
    });
    let facts: BTreeSet<String> = asks.map(|(name, _)| name.value.clone()).collect();
    let used = names(window);
    let shared: BTreeSet<String> = facts.intersection(&used).cloned().collect();
    match (shared.is_empty(), used.is_empty()) {
        (false, _) => Some(shared),
        (true, true) => Some(facts),
        (true, false) => None,
    }
}

/// The names that the limits of a window go by.
fn names(window: &Acceptance) -> BTreeSet<String> {
    let mut names = BTreeSet::new();
    window.visit(Dimension::CURRENT, &mut |part| {
        let (Piece::Quantity { expression, .. } | Piece::Within { expression, .. }) = part else {
            return;
        };
        let read = expression.formula().map(|formula| formula.names());
        names.extend(read.into_iter().flatten().map(|(name, _)| name.to_owned()));
    });
    names
}
