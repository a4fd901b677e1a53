//! `equipment new`: asks for the facts that a procedure needs, and writes the equipment file.

use std::path::PathBuf;

use crate::cli::exit::Exit;
use crate::cli::verb::chosen;
use crate::diagnostic::clean_lines;
use crate::shell::documents::{self, Documents};
use crate::shell::fault::Fault;
use crate::shell::terminal;
use crate::sitting::equipment_questions::{self, AskedBy, EquipmentAnswered};
use crate::sitting::person::PersonFront;
use crate::sitting::signal::Signals;

/// Ask for the facts that a procedure needs, and write the equipment file
///
/// Each question says where its answer is found, with an example and the credible range. Every answer is kept at once: what was left is
/// taken up with the same command. Nothing is switched on, and no file is written over without asking.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// A procedure file, or the name of a bundled procedure; without it, it is asked for
    procedure: Option<PathBuf>,
    /// Where to write it; without this the equipment's name says
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

pub(super) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    if !terminal::is_interactive() {
        return Err(Fault::usage("there is no terminal to ask questions on")
            .help("write the file by hand: docs/procedure-format.md says what is in it"));
    }
    let signals = Signals::watch()
        .map_err(|error| Fault::failed(format!("cannot watch for signals: {error}")))?;
    let _restore = terminal::Restore::later();
    let person = PersonFront::new(signals);
    let procedure = match &arguments.procedure {
        Some(procedure) => procedure.clone(),
        None => match chosen::procedure(&person)? {
            Some(procedure) => procedure,
            None => return Ok(Exit::Unfinished),
        },
    };
    let document = documents::procedure(&procedure)?;
    let documents = Documents { procedure: document.clone(), equipment: None, bench: None };
    let sound = documents::sound(documents)?;
    let asked_by = AskedBy { document: &document, procedure: &sound.procedure.1 };
    let named = procedure.display();
    match equipment_questions::ask(&person, asked_by, arguments.out.as_deref())? {
        EquipmentAnswered::Whole(file) => {
            let words = format!(
                "What follows from it: wattstep plan {named} --equipment {0}\nThe run: wattstep run {named} --equipment {0}\n",
                file.shown
            );
            terminal::err(&clean_lines(&words));
            Ok(Exit::Finished)
        }
        EquipmentAnswered::Left(path) => {
            let words = match path {
                Some(path) => format!(
                    "\nLeft. To go on: wattstep equipment new {named} --out {}\n",
                    path.display()
                ),
                None => "\nLeft; nothing was written.\n".to_owned(),
            };
            terminal::err(&clean_lines(&words));
            Ok(Exit::Unfinished)
        }
    }
}
