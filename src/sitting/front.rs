//! What a session needs of what answers its questions.

use std::path::PathBuf;

use super::beside::PromptEnd;
use crate::diagnostic::Style;
use crate::procedure::Procedure;
use crate::record::{Energy, Entry, Mode, Names, Origin, Outcome, Reason, Run};
use crate::runner::{Advice, Notice, Question, WaitSpan};

/// What the screens may show besides the question: the procedure and the run so far.
#[derive(Clone, Copy, Debug)]
pub(super) struct View<'a> {
    pub(super) procedure: &'a Procedure,
    pub(super) run: &'a Run,
}

/// How a wait stands.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct WaitStanding {
    /// The time now, on the clock of the wait.
    pub(super) now_ms: u64,
    /// What instruments show, in a few words.
    pub(super) shown: String,
    /// How long what is done still takes as it goes (ms), where that is not what was asked for.
    pub(super) left_ms: Option<u64>,
    /// How long the person may still take to confirm being there (ms), once that is asked.
    pub(super) presence_within_ms: Option<u64>,
}

/// What comes back from a question.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Reply {
    /// An answer in words.
    Answer(String),
    /// It is done, or was read; in a wait, that the person is there.
    Done,
    /// The connected instrument is to take the reading.
    Measure,
    /// It cannot or will not be done.
    Cannot(Reason),
    /// Something to write down.
    Note(String),
    /// A file to put beside the record.
    Attach(PathBuf),
    /// In a practice: what the meter shows at this point of the circuit; without one, at the question.
    Probe(Option<String>),
    /// Another person takes over.
    HandOver {
        /// Who.
        to: String,
        /// The state of the job, in words.
        remarks: String,
    },
    /// Stop here.
    Stop(Reason),
    /// End without making safe, or because nobody answers any more.
    Leave(Reason),
    /// A signal came instead of an answer.
    Interrupted(String),
    /// What was watched beside the question ended before there was an answer.
    Cut,
}

/// What answers: a person at a terminal, or a script.
pub(super) trait Front {
    /// Where its answers come from.
    fn origin(&self) -> Origin;

    /// What it can show.
    fn style(&self) -> Style;

    /// Shows text.
    fn show(&mut self, text: &str);

    /// Whether its answers take time, as a person's do.
    fn takes_time(&self) -> bool;

    /// Puts a question and brings the reply back. Who stands `beside` it may end it.
    fn ask(&mut self, question: &Question, view: View<'_>, beside: Option<PromptEnd>) -> Reply;

    /// Asks for a passphrase without showing it; nothing where nobody can be asked. When who stands beside it has
    /// ended it, there is nothing to wait for.
    ///
    /// # Errors
    /// What came instead.
    fn passphrase(&mut self, ended: Option<&PromptEnd>) -> Result<Option<String>, Reply> {
        let _ = ended;
        Ok(None)
    }

    /// Says that somebody outside the program is waited for; [`Front::live`] follows.
    fn stand_by(&mut self, words: &str) {
        self.show(words);
    }

    /// Shows a list and asks for one of it, by the name that an answers file has for the question.
    ///
    /// # Errors
    /// What came instead.
    fn choose(&mut self, key: &str, shown: &str) -> Result<String, Reply>;

    /// Shows what is waited for, or what an instrument does.
    fn begin(&mut self, question: &Question, view: View<'_>, span: WaitSpan);

    /// Shows how it stands, about ten times a second; a reply cuts in.
    fn live(&mut self, standing: &WaitStanding) -> Option<Reply>;

    /// Ends what was begun.
    fn end(&mut self);

    /// Shows a hazard notice.
    fn notice(&mut self, notice: &Notice) {
        let text = super::screen::notice(notice, self.style());
        self.show(&text);
    }

    /// Shows advice.
    fn advise(&mut self, advice: Advice) {
        let text = super::screen::advice(advice, self.style());
        self.show(&text);
    }

    /// Shows what came of an answer, now that it is on the disk.
    fn entry(&mut self, entry: &Entry, names: Names) {
        let text = super::screen::result(entry, names, self.style());
        self.show(&text);
    }

    /// Shows how the run ended.
    fn finish(&mut self, outcome: Outcome, energy: &Energy, unmeasured: &[String], mode: Mode) {
        let text = super::screen::finish(outcome, energy, unmeasured, mode, self.style());
        self.show(&text);
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    /// Somebody whose looks bring these replies, the last one first, and who answers nothing else.
    #[derive(Default)]
    pub(crate) struct Looking(pub(crate) Vec<Option<Reply>>);

    impl Front for Looking {
        fn origin(&self) -> Origin {
            Origin::Typed
        }

        fn style(&self) -> Style {
            Style { width: 80, colour: false, ascii: true }
        }

        fn show(&mut self, _: &str) {}

        fn takes_time(&self) -> bool {
            true
        }

        fn ask(&mut self, _: &Question, _: View<'_>, _: Option<PromptEnd>) -> Reply {
            Reply::Cut
        }

        fn choose(&mut self, _: &str, _: &str) -> Result<String, Reply> {
            Err(Reply::Cut)
        }

        fn begin(&mut self, _: &Question, _: View<'_>, _: WaitSpan) {}

        fn live(&mut self, _: &WaitStanding) -> Option<Reply> {
            self.0.pop().flatten()
        }

        fn end(&mut self) {}
    }
}
