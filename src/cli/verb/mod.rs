//! The verbs: one file each, and a line in the table.

mod addition;
mod affected;
mod amend;
mod approving;
mod asked;
mod bench;
pub(super) mod check;
mod chosen;
mod completions;
mod digest;
mod equipment;
mod form;
mod gone;
mod man;
mod people;
mod plan;
mod propose;
mod records;
mod register;
mod rehearse;
mod report;
mod resume;
mod run;
mod show;
mod signatures;
pub(super) mod start;
mod trend;
mod verify;
mod void;
mod vouched;
mod work_out;

use std::path::{Path, PathBuf};

use clap::{ArgMatches, Args, Command, FromArgMatches, ValueEnum};

use super::exit::Exit;
use crate::journal::JournalError;
use crate::shell::fault::Fault;

/// A verb's line in the table.
#[derive(Debug)]
pub(super) struct Verb {
    /// The word it is called by.
    pub(super) name: &'static str,
    augment: fn(Command) -> Command,
    run: fn(&ArgMatches) -> Result<Result<Exit, Fault>, clap::Error>,
}

/// Declares the table: each verb's word and its file.
macro_rules! verbs {
    ($($name:literal: $file:ident,)*) => {
        /// Every verb, in the order of the help page.
        pub(super) static VERBS: [Verb; [$($name),*].len()] = [$(Verb {
            name: $name,
            augment: $file::Arguments::augment_args,
            run: |matches| Ok($file::run(&$file::Arguments::from_arg_matches(matches)?)),
        }),*];
    };
}

verbs! {
    "run": run,
    "resume": resume,
    "check": check,
    "equipment": equipment,
    "people": people,
    "plan": plan,
    "rehearse": rehearse,
    "show": show,
    "verify": verify,
    "signatures": signatures,
    "bench": bench,
    "report": report,
    "form": form,
    "records": records,
    "trend": trend,
    "affected": affected,
    "propose": propose,
    "register": register,
    "digest": digest,
    "amend": amend,
    "void": void,
    "work-out": work_out,
    "completions": completions,
    "man": man,
}

impl Verb {
    /// The verb of this name.
    pub(super) fn find(name: &str) -> Option<&'static Self> {
        VERBS.iter().find(|verb| verb.name == name)
    }

    /// How it is called.
    pub(super) fn command(&self) -> Command {
        (self.augment)(Command::new(self.name))
    }

    /// Runs it; an error is that its arguments can't be read.
    pub(super) fn run(&self, matches: &ArgMatches) -> Result<Result<Exit, Fault>, clap::Error> {
        (self.run)(matches)
    }
}

/// Where the records are.
#[derive(Debug, Args)]
pub(super) struct Records {
    /// Folder of the records
    #[arg(long, value_name = "DIR", env = "WATTSTEP_RECORDS", default_value = "records")]
    pub(super) records: PathBuf,
}

impl Records {
    /// The file of a record that is named by its file or by its run, which has to be there: where the register knows it, that is
    /// said with what is known.
    fn found(&self, record: &Path) -> Result<PathBuf, Fault> {
        let path = self.find(record);
        if path.symlink_metadata().is_ok() { Ok(path) } else { Err(gone::gone(&path)) }
    }

    /// The file of a record that is named by its file or by its run.
    fn find(&self, record: &Path) -> PathBuf {
        // A link to nothing is what was named, too.
        if record.symlink_metadata().is_ok() {
            return record.to_owned();
        }
        let ended = |path: &Path| PathBuf::from(format!("{}.jsonl", path.display()));
        let inside = self.records.join(record);
        let places = [inside.clone(), ended(record)];
        places.into_iter().find(|path| path.exists()).unwrap_or_else(|| ended(&inside))
    }

    /// Refuses a folder that is not there: what is asked of one that was mistyped has no answer, not an empty one.
    fn must_be_there(&self) -> Result<(), Fault> {
        if self.is_there()? {
            return Ok(());
        }
        let folder = self.records.display();
        Err(Fault::failed(format!("there is no folder of records {folder}"))
            .help("the first run makes it; `--records` names another"))
    }

    /// Whether the folder is there; what stands in its place is refused.
    fn is_there(&self) -> Result<bool, Fault> {
        let is_folder = self.records.is_dir();
        if !is_folder && self.records.symlink_metadata().is_ok() {
            let path = self.records.clone();
            return Err(Fault::failed(JournalError::NotAFolder { path }));
        }
        Ok(is_folder)
    }

    pub(super) fn list(&self) -> Result<Vec<PathBuf>, Fault> {
        if !self.is_there()? {
            return Ok(Vec::new());
        }
        crate::journal::list(&self.records).map_err(Fault::failed)
    }
}

/// How facts are printed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub(super) enum OutputFormat {
    /// For people
    #[default]
    Text,
    /// For programs
    Json,
}

/// Prints a JSON value on its own line.
fn print_json(value: &serde_json::Value) {
    crate::shell::terminal::out(&crate::diagnostic::clean_json(&format!("{value:#}\n")));
}
