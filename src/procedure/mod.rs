//! The files that people write: the YAML model of each kind, reading it from text, and the static checks.
//!
//! May use: `quantity`, `diagnostic`, `netlist`, `window`, `physics`, `formula`, and the shared words of `record`. Pure: it
//! reads text, not files.
//!
//! Always true: every value keeps its place in the file, an unknown key is refused, and what the checks accept can be
//! carried out by the runner without a further look at the text.

mod acceptance;
pub mod act;
mod answers_file;
mod ask;
mod at;
mod bench_file;
pub mod bundled;
mod ceiling;
pub mod check;
mod circuit_file;
mod discharge;
mod equipment;
mod exact;
mod expression;
mod facts;
mod file_kind;
mod fill;
pub(crate) mod flow;
mod hazard;
mod known;
mod model;
mod model_file;
mod ordered;
mod part_tolerance;
mod people;
mod point;
mod proof_lasts;
mod read;
pub(crate) mod safety;
#[cfg(test)]
mod schema;
mod stale;
pub mod step;
mod tolerance;
mod toleranced;
mod verify;
mod yaml;

pub use acceptance::Acceptance;
pub use answers_file::{AnswerTree, AnswersFile, GivenAnswer};
pub use ask::{Ask, FactOffer};
pub use at::At;
pub use bench_file::{
    Address, BenchFile, Channel, Connection, ConstantCurrent, Day, Dialect, Instrument, Meter,
    Overdue, OverduePolicy, Protection, Role, Terminator, Watchdog, fill_value,
};
pub use ceiling::CeilingText;
use ceiling::{above_zero, may_be_set};
pub use circuit_file::{CircuitFile, CircuitRail, ControlAim};
pub use discharge::{NONE, SafeWait, no_resistor, without_bleeder};
pub use equipment::Equipment;
pub use expression::{Expression, ValueLookup};
pub use facts::{Given, parts};
pub use file_kind::FileKind;
pub use fill::fill;
pub use hazard::{Confirm, Harm, Hazard};
pub use known::KnownValues;
pub use model::{ChargePoint, DecisionRule, Hint, Procedure, Stage};
pub use model_file::{ModelControl, ModelFault, ModelFile, ModelLoad};
pub use ordered::Ordered;
pub use part_tolerance::{MAINS, PartTolerance, SpreadShape};
pub use people::{
    KNOWN_ROLES, People, Permission, Person, identity, is_alike, person_name, written_name,
};
pub use point::{OutputValue, Point};
pub use read::{
    kind_of, read_answers, read_bench, read_circuit, read_equipment, read_model, read_people,
    read_procedure,
};
#[cfg(test)]
pub(crate) use schema::is_published;
pub use stale::StepPosition;
pub use step::Step;
pub use tolerance::split_tolerance;
pub use toleranced::TolerancedPart;
pub use verify::Verify;
pub use yaml::BYTES_MAX;
#[cfg(test)]
pub(crate) use yaml::read_yaml;
