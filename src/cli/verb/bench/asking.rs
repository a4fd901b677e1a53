//! Who confirms that the bench is ready for an output to come on.

use std::path::Path;

use crate::report::{Sheet, Tone};
use crate::shell::fault::Fault;
use crate::shell::file;
use crate::shell::terminal;
use crate::sitting::answers::Answers;
use crate::sitting::person::{NoAnswer, PersonFront};
use crate::sitting::signal::Signals;

/// The person who confirms.
pub(super) struct Asking {
    signals: Signals,
    who: Answerer,
    _restore: Option<terminal::Restore>,
}

enum Answerer {
    Person(PersonFront),
    Script(Answers),
    Nobody,
}

/// What came of asking.
pub(super) enum Confirmed {
    Yes,
    No(&'static str),
    /// A signal, or the terminal is gone.
    Interrupted(String),
}

impl Asking {
    pub(super) fn new(answers: Option<&Path>) -> Result<Self, Fault> {
        let signals = Signals::watch()
            .map_err(|error| Fault::failed(format!("cannot watch for signals: {error}")))?;
        let who = match answers {
            Some(path) => Answerer::Script(Answers::read(&file::read(path)?)?),
            None if terminal::is_interactive() => {
                Answerer::Person(PersonFront::new(signals.clone()))
            }
            None => Answerer::Nobody,
        };
        let restore = matches!(who, Answerer::Person(_)).then(terminal::Restore::later);
        Ok(Self { signals, who, _restore: restore })
    }

    /// The signal that has come, if one has.
    pub(super) fn signal(&mut self) -> Option<String> {
        self.signals.take()
    }

    /// Asks for a thing to be done, and for the word that says so. Nothing but the word will do.
    pub(super) fn confirm(&mut self, key: &str, what: &str, word: &str) -> Confirmed {
        if let Some(signal) = self.signal() {
            return Confirmed::Interrupted(signal);
        }
        match &mut self.who {
            Answerer::Nobody => Confirmed::No("there is no terminal to ask on"),
            Answerer::Script(answers) => match answers.take(key) {
                Some(answer) if answer.trim() == word => Confirmed::Yes,
                Some(_) => Confirmed::No("the answers file does not confirm it"),
                None => Confirmed::No("the answers file has no answer to it"),
            },
            Answerer::Person(person) => confirmed_by(person, what, word),
        }
    }
}

fn confirmed_by(person: &PersonFront, what: &str, word: &str) -> Confirmed {
    let mut sheet = Sheet::new(terminal::err_style());
    sheet.gap();
    sheet.line(Tone::Strong, what);
    terminal::err(&sheet.finish());
    loop {
        match person.line(&format!("`{word}`, or `skip`")) {
            Ok(line) if line.trim().eq_ignore_ascii_case(word) => return Confirmed::Yes,
            Ok(line) if line.trim().eq_ignore_ascii_case("skip") => {
                return Confirmed::No("it was skipped");
            }
            Ok(_) => {}
            Err(NoAnswer::Signal(signal)) => return Confirmed::Interrupted(signal),
            Err(NoAnswer::Gone(error)) => return Confirmed::Interrupted(error.to_string()),
        }
    }
}
