//! What keeps the program from doing its job, with what to do about it.

use std::fmt::Display;

use super::exit::Exit;
use super::terminal;
use crate::diagnostic::{clean_lines, cut};

/// The most of a message or of its help that is shown (characters): it may repeat what is in a file.
const SHOWN_MAX: usize = 4_000;

/// A failure to tell the person about.
#[derive(Clone, Debug)]
pub(super) struct Fault {
    exit: Exit,
    message: String,
    help: Option<String>,
}

impl Fault {
    /// Something could not be done.
    pub(super) fn failed(message: impl Display) -> Self {
        Self { exit: Exit::Failed, message: message.to_string(), help: None }
    }

    /// The program was called in a way that cannot work.
    pub(super) fn usage(message: impl Display) -> Self {
        Self { exit: Exit::Usage, ..Self::failed(message) }
    }

    /// A record does not verify.
    pub(super) fn damaged(message: impl Display) -> Self {
        Self { exit: Exit::Damaged, ..Self::failed(message) }
    }

    /// An instrument is lost.
    pub(super) fn instrument(message: impl Display) -> Self {
        Self { exit: Exit::Instrument, ..Self::failed(message) }
    }

    /// A file has findings, and they are already on the screen.
    pub(super) fn findings(message: impl Display) -> Self {
        Self { exit: Exit::Findings, ..Self::failed(message) }
    }

    /// Adds what has to be said besides.
    pub(super) fn and(mut self, more: &str) -> Self {
        self.message.push_str(more);
        self
    }

    /// Adds what to do about it.
    pub(super) fn help(mut self, help: impl Display) -> Self {
        self.help = Some(help.to_string());
        self
    }

    /// What could not be done, without what to do about it.
    pub(super) fn message(&self) -> &str {
        &self.message
    }

    /// Tells the person and gives the exit code.
    pub(super) fn show(self) -> Exit {
        let help = self.help.map(|help| format!("help: {}\n", cut(&help, SHOWN_MAX)));
        let message = cut(&self.message, SHOWN_MAX);
        terminal::err(&clean_lines(&format!("error: {message}\n{}", help.unwrap_or_default())));
        self.exit
    }
}
