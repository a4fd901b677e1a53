//! What a run starts from.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use super::{Approval, HiddenFault, Mode, Provided, StaffFiles};

/// The record format this program writes. A program refuses to write to a record of a higher number.
pub const FORMAT: u32 = 1;

/// The version of this program, as records hold it.
pub const PROGRAM: &str = env!("CARGO_PKG_VERSION");

/// What a rehearsal rests on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Rehearsed {
    /// The model of the equipment as it was at the start.
    pub model: Provided,
    /// What was chosen to be wrong with it, if anything was.
    pub fault: Option<String>,
    /// The circuit that the bench stands on in the place of the model, as far as that goes. None in records from before there was one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub circuit: Option<RehearsedCircuit>,
    /// The fault that is hidden, in a practice.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hidden: Option<HiddenFault>,
}

/// The circuit of a rehearsal.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct RehearsedCircuit {
    /// The circuit file as it was at the start.
    pub file: Provided,
    /// The netlist as it was at the start.
    pub netlist: Provided,
}

/// What a run starts from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Opening {
    /// Format number of the record.
    pub format: u32,
    /// Identity of the run: also its file's name.
    pub run: String,
    /// Version of the program that opened it.
    pub program: String,
    /// How the run is carried out.
    pub mode: Mode,
    /// Who starts at the bench.
    pub operator: String,
    /// The newest time that was known at the start: the clock's, or that of the register's last line. Competence and
    /// calibration are judged at no earlier time. None in records from before this was kept; results don't age there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub judged_at: Option<DateTime<FixedOffset>>,
    /// What is done to what, in one line: the procedure's title and revision.
    pub title: String,
    /// Which piece of equipment, with its serial number, as far as it is known.
    pub equipment_name: Option<String>,
    /// The procedure as it was at the start.
    pub procedure: Provided,
    /// The equipment file as it was at the start, if one was given.
    pub equipment: Option<Provided>,
    /// The bench file as it was at the start, if one was given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bench: Option<Provided>,
    /// The people file as it was at the start, if one was given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub people: Option<Provided>,
    /// The file of the keys people sign with, as it was at the start, if the people file names one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub signers: Option<Provided>,
    /// The people file that was approved last in the folder of the record. None in records from before this was kept.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub approval: Option<Approval>,
    /// What the simulated bench rests on, in a rehearsal.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rehearsal: Option<Rehearsed>,
}

impl Opening {
    /// The fault that is hidden from the person at the bench; none where it is no practice.
    #[must_use]
    pub fn hidden(&self) -> Option<&HiddenFault> {
        self.rehearsal.as_ref()?.hidden.as_ref()
    }

    /// The files that say who may do what in the run.
    #[must_use]
    pub fn staff_files(&self) -> StaffFiles {
        StaffFiles::of(self.people.as_ref(), self.signers.as_ref())
    }
}

#[cfg(test)]
impl Opening {
    /// The opening of a run in a test; its files are empty.
    pub(crate) fn of_a_test(mode: Mode, operator: &str) -> Self {
        let procedure =
            Provided { name: String::new(), sha256: String::new(), text: String::new() };
        Self {
            format: FORMAT,
            run: "R-1".to_owned(),
            program: "0".to_owned(),
            mode,
            operator: operator.to_owned(),
            judged_at: None,
            title: "A run for a test (invented)".to_owned(),
            equipment_name: None,
            procedure,
            equipment: None,
            bench: None,
            people: None,
            signers: None,
            approval: None,
            rehearsal: None,
        }
    }
}
