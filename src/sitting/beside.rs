//! What stands beside a question: somebody who calls the person, hears their keys, and may end it.

use std::io::{self, PipeReader, PipeWriter, Read as _, Write as _};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use super::clock::Clock;
use super::live::{Attendance, Due};
use crate::bench::Go;
use crate::record::Event;
use crate::runner::Question;

/// The prompt's end of it.
#[derive(Debug)]
pub(super) struct PromptEnd {
    from: PipeReader,
    keys: Arc<AtomicU64>,
}

/// What came through it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum BesideWord {
    /// Is anybody there?
    Call,
    /// No answer counts any more.
    End,
}

impl PromptEnd {
    /// What can be waited for: there is a word to take.
    pub(super) fn pipe(&self) -> &PipeReader {
        &self.from
    }

    /// Takes the word that has come.
    pub(super) fn word(&self) -> BesideWord {
        match (&self.from).read(&mut [0]) {
            Ok(1..) => BesideWord::Call,
            Ok(0) | Err(_) => BesideWord::End,
        }
    }

    /// The prompt's end of one that is over.
    #[cfg(test)]
    pub(super) fn of_a_test_that_ended() -> Self {
        #[expect(clippy::unwrap_used, reason = "a test fails loudly")]
        let (from, _) = io::pipe().unwrap();
        Self { from, keys: Arc::default() }
    }

    /// A key was pressed: somebody is there.
    pub(super) fn key(&self) {
        self.keys.fetch_add(1, Ordering::Relaxed);
    }
}

/// The other end: looks at the clocks and at whether somebody is there, while the question stands. When it goes, the prompt
/// wakes up.
pub(super) struct Attendant<'a> {
    clock: &'a Clock,
    question: &'a Question,
    attendance: Attendance,
    to: PipeWriter,
    keys: Arc<AtomicU64>,
    /// How many keys had been pressed when it last looked.
    heard: u64,
    /// It has called, and nobody has pressed a key since.
    has_called: bool,
}

impl<'a> Attendant<'a> {
    /// Both ends of it.
    pub(super) fn at(question: &'a Question, clock: &'a Clock) -> io::Result<(Self, PromptEnd)> {
        let (from, to) = io::pipe()?;
        let keys = Arc::new(AtomicU64::new(0));
        let attendance = Attendance::new(question.presence, clock.now().elapsed_ms);
        let beside = PromptEnd { from, keys: Arc::clone(&keys) };
        Ok((Self { clock, question, attendance, to, keys, heard: 0, has_called: false }, beside))
    }

    /// One look. What it finds ends the question.
    pub(super) fn look(&mut self, found: &mut Option<Event>) -> Go {
        *found = self.clock.upset().or_else(|| self.missed());
        if found.is_some() { Go::Enough } else { Go::On }
    }

    /// Nobody was there. Any key will do: the one who types an answer is.
    fn missed(&mut self) -> Option<Event> {
        let now_ms = self.clock.now().elapsed_ms;
        let keys = self.keys.load(Ordering::Relaxed);
        if keys != std::mem::replace(&mut self.heard, keys) {
            self.has_called = false;
            self.attendance = Attendance::new(self.question.presence, now_ms);
        }
        match self.attendance.due(now_ms) {
            Due::Nothing => None,
            Due::Within(_) => {
                if !std::mem::replace(&mut self.has_called, true) {
                    // A prompt that is gone needs no call.
                    let _ = self.to.write_all(&[1]);
                }
                None
            }
            Due::Unattended(ms) => Some(Event::Unattended { key: self.question.key.clone(), ms }),
        }
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use std::time::Duration;

    use super::*;
    use crate::runner::{Expects, Presence, Question};
    use crate::sitting::vigil::{Clocks, Vigil};

    fn question(presence: Option<Presence>) -> Question {
        Question { presence, ..Question::of_a_test(&"glow".into(), Expects::Text) }
    }

    const EVERY_MINUTE: Presence = Presence { every_ms: 60_000, grace_ms: 60_000 };

    #[test]
    fn it_calls_once_and_ends_the_question_when_no_key_is_pressed() {
        let (clock, question) = (Clock::real(), question(Some(EVERY_MINUTE)));
        let (mut attendant, beside) = Attendant::at(&question, &clock).unwrap();
        let mut found = None;
        clock.bench().forward(Duration::from_secs(59));
        assert_eq!(attendant.look(&mut found), Go::On);
        assert!(!attendant.has_called);
        clock.bench().forward(Duration::from_secs(2));
        assert_eq!(attendant.look(&mut found), Go::On);
        assert_eq!(beside.word(), BesideWord::Call);
        clock.bench().forward(Duration::from_secs(58));
        assert_eq!(attendant.look(&mut found), Go::On);
        clock.bench().forward(Duration::from_secs(2));
        assert_eq!(attendant.look(&mut found), Go::Enough);
        assert!(matches!(&found, Some(Event::Unattended { key, ms: 120_000.. }) if key == "glow"));
        drop(attendant);
        assert_eq!(beside.word(), BesideWord::End);
    }

    #[test]
    fn any_key_tells_that_somebody_is_there() {
        let (clock, question) = (Clock::real(), question(Some(EVERY_MINUTE)));
        let (mut attendant, beside) = Attendant::at(&question, &clock).unwrap();
        let mut found = None;
        for _ in 0..10 {
            clock.bench().forward(Duration::from_secs(100));
            beside.key();
            assert_eq!(attendant.look(&mut found), Go::On);
        }
        assert!(!attendant.has_called);
    }

    #[test]
    fn where_nobody_has_to_be_there_nobody_is_called() {
        let (clock, question) = (Clock::real(), question(None));
        let (mut attendant, _beside) = Attendant::at(&question, &clock).unwrap();
        clock.bench().forward(Duration::from_secs(86_400));
        assert_eq!(attendant.look(&mut None), Go::On);
        assert!(!attendant.has_called);
    }

    #[test]
    fn a_sleep_of_the_machine_ends_the_question() {
        let mut all = Duration::ZERO;
        let vigil = Vigil::over(move || {
            let shown =
                Clocks { all, awake: Duration::ZERO, wall: chrono::DateTime::UNIX_EPOCH + all };
            all += Duration::from_secs(9 * 3600);
            shown
        });
        let (clock, question) = (Clock::real().with(vigil), question(None));
        let (mut attendant, _beside) = Attendant::at(&question, &clock).unwrap();
        let mut found = None;
        assert_eq!(attendant.look(&mut found), Go::Enough);
        assert_eq!(found, Some(Event::ClockUpset { slept_ms: 9 * 3_600_000, set_ms: 0 }));
    }
}
