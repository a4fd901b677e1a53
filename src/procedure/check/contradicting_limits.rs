//! A window that no value can be inside of.

use super::trial::Trial;
use super::window_without_one_form::{has_one_form, windows};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::step::Piece;
use crate::procedure::{Acceptance, Expression};
use crate::quantity::{Dimension, Quantity};

pub(super) const CHECK: Check =
    Check::new("WIN004", "contradicting-limits", include_str!("contradicting_limits.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let trials = subject.trials();
    let procedure = subject.procedure;
    let windows = windows(procedure).filter_map(|(step, window)| {
        let unit = step.read.as_ref().map(|read| &read.unit);
        let unit = unit.or(step.watch.as_ref().map(|watch| &watch.unit));
        let unit = unit.or(step.work_out.as_ref().map(|work_out| &work_out.unit))?;
        trials.iter().find_map(|trial| contradiction(window, unit.dimension(), trial))
    });
    let asked = procedure.asks.iter().filter_map(|(_, ask)| {
        let ends = ask.between.as_deref()?;
        trials.iter().find_map(|trial| reversed(ends, trial))
    });
    let known = &procedure.known_source.between;
    let known = trials.iter().find_map(|trial| reversed(known, trial));
    windows.chain(asked).chain(known).collect()
}

/// What is wrong with a window whose expressions all have a value of the right dimension in this trial.
fn contradiction(window: &Acceptance, dimension: Dimension, trial: &Trial) -> Option<Finding> {
    let mut first: Option<&Expression> = None;
    let mut usable = true;
    window.visit(dimension, &mut |part| {
        let (expression, ratio_fits) = match part {
            Piece::Text(_) => return,
            Piece::Quantity { expression, .. } => (expression, false),
            Piece::Within { expression, .. } => (expression, true),
        };
        let fits = |value: Quantity| {
            value.dimension == dimension || ratio_fits && value.dimension == Dimension::NONE
        };
        usable = usable && trial.value(expression).is_some_and(fits);
        first.get_or_insert(expression);
    });
    if !usable || !has_one_form(window) {
        return None;
    }
    let error = window.bounds(&|name: &str| trial.named(name)).err()?;
    Some(CHECK.error(error.to_string()).at(first?.text.span).help("change one of the limits"))
}

fn reversed(ends: &[Expression], trial: &Trial) -> Option<Finding> {
    let [low, high] = ends else { return None };
    let (bottom, top) = (trial.value(low)?, trial.value(high)?);
    bottom.compare(&top)?.is_gt().then(|| {
        CHECK
            .error("the low end is above the high end")
            .at(low.text.span)
            .related(high.text.span, "the high end")
            .help("write the low end first")
    })
}
