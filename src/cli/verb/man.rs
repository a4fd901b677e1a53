//! `man`: the manual pages of the program and of its verbs.

use std::path::{Path, PathBuf};

use clap::Command;
use clap_mangen::Man;

use crate::cli::exit::Exit;
use crate::cli::{NAME, command};
use crate::shell::fault::Fault;
use crate::shell::{file, terminal};

/// Write the manual page, or one for the program and each of its verbs into a folder
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// An existing folder for all pages, such as ~/.local/share/man/man1; without this the program's own page goes to the screen
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    let program = command(None);
    match &arguments.out {
        None => terminal::out_bytes(&page(program)?),
        Some(folder) => all(&program, folder)?,
    }
    Ok(Exit::Finished)
}

/// Writes the page of the program and one of each verb.
fn all(program: &Command, folder: &Path) -> Result<(), Fault> {
    let whole = (NAME.to_owned(), program.clone());
    let verbs = program.get_subcommands().map(|verb| {
        let name = format!("{NAME}-{}", verb.get_name());
        let called = format!("{NAME} {}", verb.get_name());
        (name.clone(), verb.clone().display_name(name).bin_name(called))
    });
    for (name, command) in std::iter::once(whole).chain(verbs) {
        file::put(Some(&folder.join(format!("{name}.1"))), &page(command)?, true)?;
    }
    Ok(())
}

fn page(command: Command) -> Result<Vec<u8>, Fault> {
    let mut page = Vec::new();
    Man::new(command).render(&mut page).map_err(Fault::failed)?;
    Ok(page)
}
