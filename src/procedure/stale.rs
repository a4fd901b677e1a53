//! What a moved control makes worthless, and how far from it the result can be taken again.

use std::collections::BTreeSet;

use super::step::Piece;
use super::{Procedure, Step};
use crate::record::Source;

/// A step's place: the number of its stage and its own in the stage, both from 0.
pub type StepPosition = (usize, usize);

impl Procedure {
    /// The steps whose results count no longer once this control has been moved: those that depend on it, and those
    /// that use such a result.
    #[must_use]
    pub fn stale_after(&self, moved: &str) -> BTreeSet<StepPosition> {
        let mut stale = BTreeSet::new();
        let mut names = BTreeSet::new();
        // One pass is enough: a formula uses only what stands above it.
        for (position, step) in self.positions() {
            let depends = step.depends_on.iter().any(|name| name.value == moved);
            if step.has_result() && (depends || !step.uses().is_disjoint(&names)) {
                stale.insert(position);
                names.insert(step.formula_name());
            }
        }
        stale
    }

    /// Tells whether nothing changes what feeds the equipment between one step and a later place, so that the step can
    /// be repeated there and means the same.
    #[must_use]
    pub fn is_fed_alike(&self, from: StepPosition, to: StepPosition) -> bool {
        let source = |stage: usize| self.stages.get(stage).map(|stage| stage.source.value);
        let fed = source(from.0);
        let changes = |step: &Step| {
            step.set.is_some() || (step.prove_dead.is_some() && fed != Some(Source::None))
        };
        let mut between = self.positions().filter(|(at, _)| from < *at && *at < to);
        (from.0..=to.0).all(|stage| source(stage) == fed) && !between.any(|(_, step)| changes(step))
    }

    /// All steps with their positions.
    pub fn positions(&self) -> impl Iterator<Item = (StepPosition, &Step)> {
        self.stages.iter().enumerate().flat_map(|(n, stage)| {
            stage.steps.iter().enumerate().map(move |(m, step)| ((n, m), step))
        })
    }
}

impl Step {
    /// The steps and facts whose values stand in its formulas and texts, as formulas write them, parts left out.
    #[must_use]
    pub fn uses(&self) -> BTreeSet<String> {
        let stem = |name: &str| name.split('.').next().unwrap_or_default().to_owned();
        let mut used = BTreeSet::new();
        self.visit(&mut |part| match part {
            Piece::Text(text) => {
                let braced = text.split('{').skip(1).filter_map(|rest| rest.split_once('}'));
                used.extend(braced.map(|(name, _)| stem(name)));
            }
            Piece::Quantity { expression, .. } | Piece::Within { expression, .. } => {
                let names = expression.formula().map(|formula| formula.names()).unwrap_or_default();
                used.extend(names.into_iter().map(|(name, _)| stem(name)));
            }
        });
        used
    }
}
