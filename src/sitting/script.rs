//! A script in the place of the person.

use std::collections::BTreeMap;

use super::answers::Answers;
use super::beside::PromptEnd;
use super::front::{Front, Reply, View, WaitStanding};
use super::practice;
use super::screen;
use super::signal::Signals;
use crate::diagnostic::{Style, cut};
use crate::record::{Entry, Fact, Key, Names, Origin, Reason, Refusal, Run};
use crate::report::{Sheet, Tone};
use crate::runner::{Expects, Question, Turn, WaitSpan};
use crate::shell::terminal;

/// Answers questions from an answers file and shows the same screens as a person would see.
#[derive(Debug)]
pub(super) struct Script {
    answers: Answers,
    signals: Signals,
    style: Style,
    /// The question whose answer was not taken, and that answer: it would not be taken again.
    refused: Option<(Key, String)>,
    /// The script has run out of answers.
    ended: bool,
    /// How often an instrument has answered each question.
    measured: BTreeMap<Key, u32>,
}

/// How often one question is left to the instrument: a script that goes round in circles ends.
const MEASURES_MAX: u32 = 20;

/// The most of an answer that is shown (characters).
const SHOWN_MAX: usize = 400;

impl Script {
    pub(super) fn new(answers: Answers, signals: Signals) -> Self {
        Self {
            answers,
            signals,
            style: terminal::out_style(),
            refused: None,
            ended: false,
            measured: BTreeMap::new(),
        }
    }

    fn reply(&mut self, question: &Question, run: &Run) -> Reply {
        // Only a simulated bench is connected in a scripted run: it answers what a script would have to invent.
        if matches!(question.expects, Expects::Value { by: Some(_), .. }) {
            return self.measure(&question.key);
        }
        let refused = self.refused.take();
        let next = self.answers.take(question.key.as_str());
        // An answer that was just refused would be refused for ever.
        let next = next.map(|text| (question.key.clone(), text));
        let next = next.filter(|next| refused.as_ref() != Some(next));
        let Some((key, text)) = next else {
            let reason = Reason::NoAnswer { key: question.key.clone() };
            // Not every end that comes of it has words of its own.
            let mut sheet = Sheet::new(self.style);
            sheet.line(Tone::Bad, &reason.to_string());
            self.show(&sheet.finish());
            // The first time the run is halted, which makes safe if it can; the second time there is nobody to ask.
            return if std::mem::replace(&mut self.ended, true) {
                Reply::Leave(reason)
            } else {
                Reply::Stop(reason)
            };
        };
        let mut sheet = Sheet::new(self.style);
        let probe = practice::probe(&text, question, run);
        let shown = match question.turn {
            Some(Turn::First) => "(kept out of sight until the second reading is in)",
            _ => text.as_str(),
        };
        sheet.indented(Tone::Plain, "> ", &cut(shown, SHOWN_MAX));
        self.show(&sheet.finish());
        self.refused = Some((key, text.clone()));
        if let Some(probe) = probe {
            return Reply::Probe(probe);
        }
        match &question.expects {
            Expects::Done if is_done(&text) => Reply::Done,
            Expects::File => Reply::Attach(text.into()),
            Expects::TakesOver => {
                Reply::HandOver { to: text, remarks: "named in the answers file".to_owned() }
            }
            _ => match text.strip_prefix("cannot:") {
                Some(reason) => Reply::Cannot(reason.trim().into()),
                None => Reply::Answer(text),
            },
        }
    }
}

impl Script {
    /// Lets the instrument answer, but not for ever.
    fn measure(&mut self, key: &Key) -> Reply {
        let times = self.measured.entry(key.clone()).or_default();
        *times += 1;
        if *times > MEASURES_MAX {
            return Reply::Stop(Reason::NoValue { key: key.clone(), times: MEASURES_MAX });
        }
        Reply::Measure
    }
}

fn is_done(text: &str) -> bool {
    ["done", "read"].contains(&text.trim().to_lowercase().as_str())
}

impl Front for Script {
    fn origin(&self) -> Origin {
        Origin::Scripted
    }

    fn style(&self) -> Style {
        self.style
    }

    fn show(&mut self, text: &str) {
        terminal::out(text);
    }

    fn takes_time(&self) -> bool {
        false
    }

    fn ask(&mut self, question: &Question, view: View<'_>, _: Option<PromptEnd>) -> Reply {
        if let Some(signal) = self.signals.take() {
            return Reply::Interrupted(signal);
        }
        self.show(&screen::question(question, &view.run.opening, self.style));
        self.reply(question, view.run)
    }

    fn choose(&mut self, key: &str, shown: &str) -> Result<String, Reply> {
        if let Some(signal) = self.signals.take() {
            return Err(Reply::Interrupted(signal));
        }
        self.show(shown);
        let text = self.answers.take(key);
        let text = text.ok_or_else(|| Reply::Stop(Reason::NoAnswer { key: key.into() }))?;
        let mut sheet = Sheet::new(self.style);
        sheet.indented(Tone::Plain, "> ", &cut(&text, SHOWN_MAX));
        self.show(&sheet.finish());
        Ok(text)
    }

    fn begin(&mut self, question: &Question, view: View<'_>, span: WaitSpan) {
        self.show(&screen::question(question, &view.run.opening, self.style));
        let ms = span.until_ms.saturating_sub(span.from_ms);
        self.show(&format!("> (waits {} s, not really)\n", ms.div_ceil(1000)));
    }

    fn live(&mut self, standing: &WaitStanding) -> Option<Reply> {
        if let Some(signal) = self.signals.take() {
            return Some(Reply::Interrupted(signal));
        }
        // A script says that somebody is there; the record says that it was a script.
        standing.presence_within_ms.map(|_| Reply::Done)
    }

    fn end(&mut self) {}

    fn entry(&mut self, entry: &Entry, names: Names) {
        // What is doubted is taken when it is given again.
        let is_refused = |fact: &Fact| match fact {
            Fact::Refused { reason, .. } => *reason != Refusal::Doubted,
            _ => false,
        };
        if !entry.facts.iter().any(is_refused) {
            self.refused = None;
        }
        let text = screen::result(entry, names, self.style);
        self.show(&text);
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use std::io::Write as _;
    use std::time::{Duration, Instant};

    use rustix::process::{Signal, getpid, kill_process};

    use super::*;
    use crate::bench::{TripHandle, trip};
    use crate::shell::file;

    #[test]
    fn a_signal_ends_the_wait_of_a_script() {
        let _alone = trip::alone();
        let mut file = tempfile::NamedTempFile::new().unwrap();
        file.write_all(b"format: 1\nanswers: {}\n").unwrap();
        let answers = Answers::read(&file::read(file.path()).unwrap()).unwrap();
        let mut script = Script::new(answers, Signals::watch().unwrap());
        let trip = TripHandle::default();
        trip::on_panic(&trip);
        assert_eq!(script.live(&WaitStanding::default()), None);
        kill_process(getpid(), Signal::USR1).unwrap();
        let begun = Instant::now();
        let mut heard = None;
        // The trip of the process fires as well: not in the middle of another test.
        while heard.is_none() || !trip.has_fired() {
            assert!(begun.elapsed() < Duration::from_secs(10), "{heard:?}");
            heard = heard.or_else(|| script.live(&WaitStanding::default()));
        }
        assert_eq!(heard, Some(Reply::Interrupted("SIGUSR1".to_owned())));
    }
}
