//! The model file: what a piece of equipment would show, step by step, sound and with each of its faults.

use serde::Deserialize;

use super::{At, Expression, Ordered};

/// What the simulated bench knows of a procedure's equipment.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ModelFile {
    /// Number of the file format: 1.
    pub format: At<u32>,
    /// The procedure whose equipment this is.
    pub simulates: At<String>,
    /// Values by formulas, in order; each may use the facts, the bench's state and those above it.
    #[serde(default)]
    pub quantities: Ordered<Expression>,
    /// What a person's hands set.
    #[serde(default)]
    pub controls: Ordered<ModelControl>,
    /// What each output of the supply feeds, by the names of the outputs.
    #[serde(default)]
    pub loads: Ordered<ModelLoad>,
    /// What is read at each question, by its key or the beginning of its key.
    pub points: Ordered<Expression>,
    /// What is read there from the second time on, where that differs.
    #[serde(default)]
    pub again: Ordered<Expression>,
    /// What is seen at a look where it is not the first of its good answers.
    #[serde(default)]
    pub looks: Ordered<At<String>>,
    /// Faults to choose from, by their names.
    #[serde(default)]
    pub faults: Ordered<ModelFault>,
}

/// What a person's hands set, such as a bias control or a plug.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ModelControl {
    /// Where it stands at first; formulas see it by the control's name, and the time since it was moved as `NAME.since`.
    pub at: Expression,
    /// Where it stands from a question on, by the question's key or the beginning of its key.
    pub set: Ordered<Expression>,
}

/// What an output of the supply feeds.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ModelLoad {
    /// The reservoir.
    pub capacitance: Expression,
    /// The resistance across it.
    pub resistance: Expression,
    /// The current of the circuit once it works.
    pub current: Expression,
    /// Up to this voltage only the resistance draws.
    pub from: Expression,
    /// From this voltage on the whole current is drawn.
    pub full: Expression,
    /// The voltage that the mains holds the reservoir at while it is on.
    pub mains: Option<Expression>,
    /// Whether the supply's leads are on: 1 or 0.
    pub connected: Expression,
}

/// Something wrong with the equipment.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ModelFault {
    /// What is wrong, in one sentence.
    pub says: At<String>,
    /// The question whose reading an experienced technician expects to give it away.
    pub shows_at: At<String>,
    /// Quantities that are otherwise.
    #[serde(default)]
    pub quantities: Ordered<Expression>,
    /// Readings that are otherwise.
    #[serde(default)]
    pub points: Ordered<Expression>,
    /// Readings that are otherwise from the second time on.
    #[serde(default)]
    pub again: Ordered<Expression>,
    /// What is seen otherwise.
    #[serde(default)]
    pub looks: Ordered<At<String>>,
}

impl ModelFile {
    /// Every formula.
    pub fn formulas(&self) -> impl Iterator<Item = &Expression> {
        let controls = self.controls.iter().flat_map(|(_, control)| control.formulas());
        let loads = self.loads.iter().flat_map(|(_, load)| load.formulas());
        let faults = self.faults.iter().flat_map(|(_, fault)| fault.formulas());
        let named = [&self.quantities, &self.points, &self.again];
        named.into_iter().flat_map(values).chain(controls).chain(loads).chain(faults)
    }
}

fn values<V>(named: &Ordered<V>) -> impl Iterator<Item = &V> {
    named.iter().map(|(_, value)| value)
}

impl ModelControl {
    fn formulas(&self) -> impl Iterator<Item = &Expression> {
        std::iter::once(&self.at).chain(values(&self.set))
    }
}

impl ModelLoad {
    fn formulas(&self) -> impl Iterator<Item = &Expression> {
        let Self { capacitance, resistance, current, from, full, mains, connected } = self;
        [capacitance, resistance, current, from, full, connected].into_iter().chain(mains)
    }
}

impl ModelFault {
    fn formulas(&self) -> impl Iterator<Item = &Expression> {
        [&self.quantities, &self.points, &self.again].into_iter().flat_map(values)
    }
}
