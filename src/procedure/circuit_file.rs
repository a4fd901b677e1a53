//! The circuit file: what a netlist of the equipment stands for, source by source, reading by reading, part by part.

use serde::Deserialize;

use super::{At, Expression, Ordered, PartTolerance};
use crate::netlist::{PartKind, PlacedFault};
use crate::quantity::Quantity;
use crate::record::Source;

/// What a netlist stands for.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct CircuitFile {
    /// Number of the file format: 1.
    pub format: At<u32>,
    /// What the circuit is of, in one line.
    pub circuit: At<String>,
    /// The procedure whose equipment this is.
    pub rehearses: At<String>,
    /// The file of the netlist, beside this one.
    pub netlist: At<String>,
    /// The elements that feed it, by the names of the supply's outputs.
    pub sources: Ordered<CircuitSource>,
    /// Values of the circuit by name: `v(node)`, `v(node, node)`, `i(element)`, `p(element)`.
    pub points: Ordered<At<String>>,
    /// What is read at each question, by its key or the beginning of its key: a formula of points, facts and worked-out values.
    pub readings: Ordered<Expression>,
    /// What is read that no part of the circuit changes, by the key of its question: limits further on need it.
    #[serde(default)]
    pub given: Ordered<Expression>,
    /// What a person's hands set, by name.
    #[serde(default)]
    pub controls: Ordered<CircuitControl>,
    /// How far a sound set is off, by kind of part (`resistor`, `transistor.bf`), by part (`R41`, `X2.R41`), and `mains`.
    #[serde(default)]
    pub tolerances: Ordered<PartTolerance>,
    /// The parts that may be faulty, by their names in the netlist.
    pub parts: Ordered<CircuitPart>,
    /// Two faults at once that are worth trying, as a device that broke down and the resistor that it took along.
    #[serde(default)]
    pub pairs: Vec<[At<PlacedFault>; 2]>,
}

/// An element that feeds the circuit. On the bench supply it is an output with its current limit; on the mains it is what the rail
/// is then, worked out by formulas.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct CircuitSource {
    /// The voltage source in the netlist.
    pub element: At<String>,
    /// What it is behind the series lamp; without it nothing is told of such a stage.
    pub mains_through_lamp: Option<CircuitRail>,
    /// What it is on a variable transformer.
    pub mains_variable: Option<CircuitRail>,
    /// What it is on the mains.
    pub mains: Option<CircuitRail>,
}

/// A rail behind transformer and rectifier, as seen by the circuit.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct CircuitRail {
    /// Its voltage without the circuit.
    pub voltage: Expression,
    /// The resistance that it gives way by (default: none). Not beside `current`.
    pub resistance: Option<Expression>,
    /// The current at which it gives way altogether, as behind a lamp.
    pub current: Option<Expression>,
}

/// What a person's hands set: a resistor of the netlist.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct CircuitControl {
    /// The resistor in the netlist.
    pub element: At<String>,
    /// Its resistance at first.
    pub at: Expression,
    /// Its resistance from a question on, by the question's key or the beginning of its key.
    #[serde(default)]
    pub set: Ordered<Expression>,
    /// What a person turns it for, by the key of the question under `set`: then a set that is off its values has it where the aim
    /// is met.
    #[serde(default)]
    pub until: Ordered<ControlAim>,
    /// The least and the most that it can be turned to; needed beside `until`.
    pub ends: Option<[Expression; 2]>,
}

/// What a person turns a control for.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ControlAim {
    /// What is looked at: a formula of points, facts and worked-out values.
    pub reads: Expression,
    /// What it has to show: a formula of facts, worked-out values and readings before it.
    pub shows: Expression,
}

/// A part of the circuit.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct CircuitPart {
    /// What it is; it has the faults of its kind.
    pub kind: At<PartKind>,
    /// What it stands for good: watts, of a capacitor volts, of a fuse or a coil amperes.
    pub rating: Option<At<Quantity>>,
    /// Where it is on the board, in words.
    pub position: Option<At<String>>,
}

impl CircuitSource {
    /// What it is on a source of a stage; none on the bench supply, where it is an output.
    #[must_use]
    pub fn rail(&self, source: Source) -> Option<&CircuitRail> {
        match source {
            Source::None | Source::BenchSupply => None,
            Source::MainsThroughLamp => self.mains_through_lamp.as_ref(),
            Source::MainsVariable => self.mains_variable.as_ref(),
            Source::Mains => self.mains.as_ref(),
        }
    }

    fn rails(&self) -> impl Iterator<Item = &CircuitRail> {
        [&self.mains_through_lamp, &self.mains_variable, &self.mains].into_iter().flatten()
    }
}

impl CircuitFile {
    /// Every formula.
    pub fn formulas(&self) -> impl Iterator<Item = &Expression> {
        let rails = self.sources.iter().flat_map(|(_, source)| source.rails());
        let rails = rails.flat_map(|rail| {
            std::iter::once(&rail.voltage).chain(&rail.resistance).chain(&rail.current)
        });
        let controls = self.controls.iter().flat_map(|(_, control)| {
            let aims = control.until.iter().flat_map(|(_, aim)| [&aim.reads, &aim.shows]);
            let set = control.set.iter().map(|(_, value)| value);
            std::iter::once(&control.at).chain(set).chain(aims).chain(control.ends.iter().flatten())
        });
        let read = self.readings.iter().chain(self.given.iter());
        read.map(|(_, formula)| formula).chain(rails).chain(controls)
    }
}
