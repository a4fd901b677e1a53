//! The terminal: what it can show, what was typed ahead, and how it is left behind.

use std::io::{self, IsTerminal, PipeReader, Write as _};

use console::Term;
use rustix::event::{PollFd, PollFlags, Timespec, poll};
use rustix::process::getpgrp;
use rustix::termios::{self, LocalModes, OptionalActions, OutputModes, QueueSelector, Termios};

use crate::diagnostic::Style;

/// Columns where the terminal does not tell.
const WIDTH: usize = 80;

/// The widest line that is comfortable to read.
const WIDTH_MAX: usize = 100;

/// What standard output can show.
pub(crate) fn out_style() -> Style {
    style(&Term::stdout(), console::colors_enabled())
}

/// What standard error, where a session talks, can show.
pub(crate) fn err_style() -> Style {
    style(&Term::stderr(), console::colors_enabled_stderr())
}

/// The marks of a bar of progress: what is done, where it is, what is left.
pub(crate) fn bar_marks(style: Style) -> &'static str {
    if style.ascii { "=>-" } else { "█▌░" }
}

fn style(term: &Term, colour: bool) -> Style {
    // The last column stays free: some terminals break a line that fills it.
    let columns = term.size_checked().map(|(_, columns)| usize::from(columns).saturating_sub(1));
    let width = columns.unwrap_or(WIDTH);
    Style { width: width.min(WIDTH_MAX), colour, ascii: !speaks_utf8() }
}

/// Tells whether the locale says that the terminal takes UTF-8.
fn speaks_utf8() -> bool {
    let set = |name: &str| std::env::var(name).ok().filter(|value| !value.is_empty());
    let locale = set("LC_ALL").or_else(|| set("LC_CTYPE")).or_else(|| set("LANG"));
    locale.is_some_and(|locale| {
        let locale = locale.to_lowercase();
        locale.contains("utf-8") || locale.contains("utf8")
    })
}

/// Writes to standard output; a reader that went away is not our failure.
pub(crate) fn out(text: &str) {
    out_bytes(text.as_bytes());
}

/// Writes bytes to standard output; a reader that went away is not our failure.
pub(crate) fn out_bytes(bytes: &[u8]) {
    let mut out = io::stdout().lock();
    let _ = out.write_all(bytes).and_then(|()| out.flush());
}

/// Tells whether standard output is a terminal.
pub(crate) fn out_is_terminal() -> bool {
    io::stdout().is_terminal()
}

/// Writes to standard error; a terminal that went away must not keep the bench from being made safe.
pub(crate) fn err(text: &str) {
    let mut err = io::stderr().lock();
    let _ = err.write_all(text.as_bytes()).and_then(|()| err.flush());
}

/// Clears the screen, and the lines above it that can be scrolled back to.
pub(crate) fn clear() {
    let _ = Term::stderr().clear_screen();
    // ECMA-48 knows no lines above the screen; `3` for them is what terminals have agreed on (from memory), and one that
    // does not know it ignores it.
    err("\x1b[3J");
}

/// Tells whether a person can be asked here.
pub(crate) fn is_interactive() -> bool {
    io::stdin().is_terminal() && io::stderr().is_terminal() && is_in_foreground()
}

/// Tells whether the keys that are typed come here, and not to a shell that has put this program into the background.
pub(crate) fn is_in_foreground() -> bool {
    // A terminal that knows no foreground is that of nobody else.
    termios::tcgetpgrp(io::stdin()).map_or(true, |group| group == getpgrp())
}

/// Throws away what was typed before the question was on the screen.
pub(crate) fn discard_typed_ahead() {
    // Where it cannot be done there is no terminal, and nothing is read either.
    let _ = termios::tcflush(io::stdin(), QueueSelector::IFlush);
}

/// Tells whether the other end of a pipe was closed.
pub(crate) fn is_closed(pipe: &PipeReader) -> bool {
    let now = Timespec { tv_sec: 0, tv_nsec: 0 };
    poll(&mut [PollFd::new(pipe, PollFlags::IN)], Some(&now)).is_ok_and(|count| count > 0)
}

/// Reads keys as they are pressed, until it goes out of scope.
#[derive(Debug)]
pub(crate) struct Raw(Option<Termios>);

impl Raw {
    pub(crate) fn begin() -> Self {
        let modes = termios::tcgetattr(io::stdin()).ok();
        if let Some(mut raw) = modes.clone() {
            raw.make_raw();
            // What is written still begins each line at its left end.
            raw.output_modes.insert(OutputModes::OPOST);
            let _ = termios::tcsetattr(io::stdin(), OptionalActions::Drain, &raw);
        }
        Self(modes)
    }
}

impl Drop for Raw {
    fn drop(&mut self) {
        if let Some(modes) = &self.0 {
            let _ = termios::tcsetattr(io::stdin(), OptionalActions::Drain, modes);
        }
    }
}

/// The keys pressed since the last look, in their order; nothing is waited for.
pub(crate) fn keys_pressed() -> Vec<u8> {
    let stdin = io::stdin();
    let mut ready = [PollFd::new(&stdin, PollFlags::IN)];
    let now = Timespec { tv_sec: 0, tv_nsec: 0 };
    let is_ready = poll(&mut ready, Some(&now)).is_ok_and(|count| count > 0);
    let mut keys = vec![0; 64];
    let count = if is_ready { rustix::io::read(&stdin, &mut keys).unwrap_or(0) } else { 0 };
    keys.truncate(count);
    keys
}

/// Restores the terminal when it goes out of scope, on a panic as well. Until then keys typed between two prompts do not
/// show: they are not taken, and a prompt echoes its own.
#[derive(Debug)]
pub(crate) struct Restore {
    modes: Option<Termios>,
}

impl Restore {
    /// Keeps what the terminal is like now, and turns its echo and its line buffer off.
    ///
    /// The prompt reads key by key and gives the terminal back after each key: a line buffer that is on in between
    /// swallows a key that comes just then.
    pub(crate) fn later() -> Self {
        let modes = termios::tcgetattr(io::stdin()).ok();
        if let Some(mut quiet) = modes.clone() {
            quiet.local_modes.remove(LocalModes::ECHO | LocalModes::ICANON);
            let _ = termios::tcsetattr(io::stdin(), OptionalActions::Now, &quiet);
        }
        Self { modes }
    }
}

impl Drop for Restore {
    fn drop(&mut self) {
        if let Some(modes) = &self.modes {
            let _ = Term::stderr().show_cursor();
            let _ = termios::tcsetattr(io::stdin(), OptionalActions::Drain, modes);
        }
    }
}
