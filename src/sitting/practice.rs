//! A practice in a sitting: what is said of it at the start, the circuit that is read on the way, and the question at the end.

use super::diagnosing::{self, PracticeEnd};
use super::front::Reply;
use super::screen;
use super::session::Session;
use crate::diagnostic::{Style, clean_lines};
use crate::journal::Disk;
use crate::procedure::read_circuit;
use crate::record::{Event, Opening, Outcome, Run};
use crate::runner::{Expects, Question};

/// The word by which the person reads the circuit.
const READ: &str = "read";

/// What is to be read by this answer, in a practice: a point, or what the question itself reads; nothing where it is another answer.
pub(super) fn probe(line: &str, question: &Question, run: &Run) -> Option<Option<String>> {
    run.opening.hidden()?;
    let line = line.trim();
    if line.eq_ignore_ascii_case(READ) {
        // Of a notice this says that it was read.
        return (question.expects != Expects::Done).then_some(None);
    }
    let (word, point) = line.split_once(char::is_whitespace)?;
    word.eq_ignore_ascii_case(READ).then(|| Some(point.trim().to_owned()))
}

/// Lists what else can be typed at a question; in a practice the circuit can be read, too.
pub(super) fn help(question: &Question, run: &Run, style: Style) -> String {
    let practice = run.opening.hidden();
    let practice = practice.map(|_| screen::practice_help(&named_points(&run.opening), style));
    format!("{}{}", screen::help(question, style), practice.unwrap_or_default())
}

fn named_points(opening: &Opening) -> Vec<String> {
    let texts = opening.rehearsal.as_ref().and_then(|rehearsed| rehearsed.circuit.as_ref());
    let file = texts.and_then(|texts| read_circuit(&texts.file.text).ok());
    file.iter().flat_map(|file| file.points.iter()).map(|(name, _)| name.value.clone()).collect()
}

impl<D: Disk> Session<'_, D> {
    /// Drives the run; in a practice the person is told what it is about, and asked at the end what is wrong.
    pub(super) fn practise(&mut self, first: Event) -> Outcome {
        let opening = match &first {
            Event::Started(opening) => Some(opening.as_ref()),
            _ => self.run.as_ref().map(|run| &run.opening),
        };
        if let Some((opening, hidden)) = opening.and_then(|o| Some((o, o.hidden()?))) {
            let points = named_points(opening);
            let text = screen::practice_begins(hidden, &points, self.front.style());
            self.front.show(&text);
        }
        let outcome = self.drive(first);
        match self.run.as_ref().filter(|run| run.awaits_diagnosis()) {
            Some(_) => self.ask_what_is_wrong(outcome),
            None => outcome,
        }
    }

    fn ask_what_is_wrong(&mut self, outcome: Outcome) -> Outcome {
        let Some(run) = &mut self.run else { return outcome };
        let by = run.items.last().map(|item| item.by.clone()).unwrap_or_default();
        let opening = run.opening.clone();
        let diagnosed = diagnosing::diagnose(
            &mut *self.front,
            &mut self.journal,
            (&self.procedure, &opening),
            &self.clock,
            &by,
        );
        if let PracticeEnd::Told(entry) = &diagnosed {
            run.add(entry);
        }
        diagnosed.ends(outcome)
    }

    /// Reads a point of the circuit, or what the question reads, as a meter would show it.
    pub(super) fn probe(&mut self, question: &Question, point: Option<String>) -> Option<Event> {
        let hands = self.hands.as_ref()?;
        let key = question.key.clone();
        let words = match &point {
            Some(name) => match hands.at(name) {
                Ok(value) => return Some(Event::Probed { key, point, value }),
                Err(words) => words,
            },
            None => match (&question.expects, hands.shows(&key)) {
                (Expects::Value { .. }, Some(value)) => {
                    return Some(Event::Probed { key, point, value: Some(value) });
                }
                (Expects::Choice(choices), _) if self.procedure.step(key.owner()).is_some() => {
                    let first = choices.iter().find(|choice| choice.good);
                    let seen = hands.look(&key).or_else(|| first.map(|choice| choice.say.clone()));
                    format!("you see: {}", seen.unwrap_or_default())
                }
                _ => "nothing is read at this question".to_owned(),
            },
        };
        self.front.show(&clean_lines(&format!("  {words}\n")));
        None
    }
}

impl Reply {
    /// Whether nobody is there any more, or a signal came.
    pub(super) fn is_cut_off(&self) -> bool {
        matches!(self, Self::Interrupted(_) | Self::Leave(_))
    }
}
