//! What keeps the program from doing its job, with what to do about it.

use std::fmt::Display;

use super::terminal;
use crate::diagnostic::{clean_lines, cut};

/// The most of a message or of its help that is shown (characters): it may repeat what is in a file.
const SHOWN_MAX: usize = 4_000;

/// What sort of failure it is: the exit code tells it on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum FaultKind {
    /// It could not be done: file, disk, internal.
    Failed,
    /// The program was called in a way that cannot work.
    Usage,
    /// A record does not verify.
    Damaged,
    /// An instrument is lost.
    Instrument,
    /// A file has findings.
    Findings,
}

/// A failure to tell the person about.
#[derive(Clone, Debug)]
pub(crate) struct Fault {
    kind: FaultKind,
    message: String,
    help: Option<String>,
}

impl Fault {
    /// Something could not be done.
    pub(crate) fn failed(message: impl Display) -> Self {
        Self { kind: FaultKind::Failed, message: message.to_string(), help: None }
    }

    /// The program was called in a way that cannot work.
    pub(crate) fn usage(message: impl Display) -> Self {
        Self { kind: FaultKind::Usage, ..Self::failed(message) }
    }

    /// A record does not verify.
    pub(crate) fn damaged(message: impl Display) -> Self {
        Self { kind: FaultKind::Damaged, ..Self::failed(message) }
    }

    /// An instrument is lost.
    pub(crate) fn instrument(message: impl Display) -> Self {
        Self { kind: FaultKind::Instrument, ..Self::failed(message) }
    }

    /// A file has findings, and they are already on the screen.
    pub(crate) fn findings(message: impl Display) -> Self {
        Self { kind: FaultKind::Findings, ..Self::failed(message) }
    }

    /// Adds what has to be said besides.
    pub(crate) fn and(mut self, more: &str) -> Self {
        self.message.push_str(more);
        self
    }

    /// Adds what to do about it.
    pub(crate) fn help(mut self, help: impl Display) -> Self {
        self.help = Some(help.to_string());
        self
    }

    /// What could not be done, without what to do about it.
    pub(crate) fn message(&self) -> &str {
        &self.message
    }

    /// Tells the person, and gives what sort of failure it is.
    pub(crate) fn tell(self) -> FaultKind {
        let help = self.help.map(|help| format!("help: {}\n", cut(&help, SHOWN_MAX)));
        let message = cut(&self.message, SHOWN_MAX);
        terminal::err(&clean_lines(&format!("error: {message}\n{}", help.unwrap_or_default())));
        self.kind
    }
}
