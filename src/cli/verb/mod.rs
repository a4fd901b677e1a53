//! The verbs: one file each.

mod addition;
pub(super) mod affected;
pub(super) mod amend;
mod asked;
pub(super) mod bench;
pub(super) mod check;
pub(super) mod digest;
pub(super) mod form;
pub(super) mod people;
pub(super) mod plan;
pub(super) mod propose;
pub(super) mod records;
pub(super) mod register;
pub(super) mod report;
pub(super) mod resume;
pub(super) mod run;
pub(super) mod show;
pub(super) mod signatures;
pub(super) mod start;
pub(super) mod trend;
pub(super) mod verify;
pub(super) mod void;
pub(super) mod work_out;

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use super::fault::Fault;

/// Where the records are.
#[derive(Debug, Args)]
pub(super) struct Records {
    /// Folder of the records
    #[arg(long, value_name = "DIR", env = "WATTSTEP_RECORDS", default_value = "records")]
    pub(super) records: PathBuf,
}

impl Records {
    /// The file of a record that is named by its file or by its run.
    fn find(&self, record: &Path) -> PathBuf {
        if record.exists() {
            return record.to_owned();
        }
        let inside = self.records.join(record);
        if inside.exists() {
            inside
        } else {
            self.records.join(format!("{}.jsonl", record.display()))
        }
    }

    fn list(&self) -> Result<Vec<PathBuf>, Fault> {
        if !self.records.exists() {
            return Ok(Vec::new());
        }
        crate::journal::list(&self.records).map_err(Fault::failed)
    }
}

/// How facts are printed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub(super) enum Format {
    /// For people
    #[default]
    Text,
    /// For programs
    Json,
}

/// Prints a JSON value on its own line.
fn print_json(value: &serde_json::Value) {
    super::terminal::out(&crate::diagnostic::clean_json(&format!("{value:#}\n")));
}
