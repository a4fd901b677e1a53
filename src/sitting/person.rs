//! A person at the terminal.

use std::io;
use std::time::Duration;

use console::{Key, Term, truncate_str};
use dialoguer::Select;
use dialoguer::theme::SimpleTheme;
use indicatif::{ProgressBar, ProgressStyle};

use super::beside::{BesideWord, PromptEnd};
use super::front::{Front, Reply, View, WaitStanding};
use super::line::{self, Typed, reason};
use super::practice;
use super::screen;
use super::signal::Signals;
use super::typed_list::{ListLine, TypedList};
use crate::diagnostic::{Style, clean};
use crate::record::{Entry, Event, Fact, Names, Origin, Reason};
use crate::runner::{Expects, Question, Turn, WaitSpan};
use crate::shell::terminal;

/// Asks the person at the terminal.
#[derive(Debug)]
pub(crate) struct PersonFront {
    signals: Signals,
    /// The question whose answer was just refused: it is still on the screen.
    refused: Option<crate::record::Key>,
    /// The question was left out the last time: it is not left out twice, or it would scroll away.
    left_out: bool,
    /// The bar of the wait at hand.
    waiting: Option<(ProgressBar, WaitSpan)>,
    /// The person was asked to confirm being there.
    called: bool,
    /// Who stands beside the question at hand.
    beside: Option<PromptEnd>,
    /// The question of a second person for which the screen was cleared last.
    cleared: Option<crate::record::Key>,
    /// What was typed for the questions that follow.
    listed: Option<TypedList>,
}

/// Why there is no answer.
#[derive(Debug)]
pub(crate) enum NoAnswer {
    /// A signal came.
    Signal(String),
    /// The terminal is gone.
    Gone(io::Error),
}

impl From<NoAnswer> for Reply {
    fn from(none: NoAnswer) -> Self {
        match none {
            NoAnswer::Signal(signal) => Self::Interrupted(signal),
            NoAnswer::Gone(error) => Self::Leave(Reason::TerminalGone { error: error.to_string() }),
        }
    }
}

impl PersonFront {
    pub(crate) fn new(signals: Signals) -> Self {
        Self {
            signals,
            refused: None,
            left_out: false,
            waiting: None,
            called: false,
            cleared: None,
            beside: None,
            listed: None,
        }
    }

    /// Takes a line where nothing is watched beside it.
    pub(crate) fn line(&self, prompt: &str) -> Result<String, NoAnswer> {
        match self.typed(prompt)? {
            Typed::Whole(line) | Typed::Cut(line) => Ok(line),
        }
    }

    /// The one door for typed lines: what was typed ahead is thrown away, and a signal is never an answer.
    fn typed(&self, prompt: &str) -> Result<Typed, NoAnswer> {
        self.begin_typing()?;
        self.after(line::read(prompt, self.beside.as_ref()))
    }

    fn begin_typing(&self) -> Result<(), NoAnswer> {
        if let Some(signal) = self.signals.take() {
            return Err(NoAnswer::Signal(signal));
        }
        if !terminal::is_in_foreground() {
            let error = io::Error::other("the program was put into the background");
            return Err(NoAnswer::Gone(error));
        }
        terminal::discard_typed_ahead();
        Ok(())
    }

    /// Takes a line of an answer. One that is cut short is no answer; the person is told what became of it.
    fn words(&self, prompt: &str) -> Result<String, Reply> {
        match self.typed(prompt)? {
            Typed::Whole(line) => Ok(line),
            Typed::Cut(half) => {
                let half = clean(&half);
                let lost = if half.is_empty() { half } else { format!("  not taken: {half}\n") };
                terminal::err(&format!("\n{lost}"));
                Err(Reply::Cut)
            }
        }
    }

    /// Takes a line that is not shown, key by key as the other prompts do.
    fn secret(&self, prompt: &str, ended: Option<&PromptEnd>) -> Result<String, Reply> {
        self.begin_typing()?;
        terminal::err(&format!("{prompt} (not shown): "));
        let term = Term::stderr();
        let mut typed = String::new();
        let line = loop {
            let key = match line::wait_for_key(ended) {
                Ok(None) => term.read_key(),
                Ok(Some(BesideWord::Call)) => continue,
                Ok(Some(BesideWord::End)) => return Err(Reply::Cut),
                Err(error) => Err(error),
            };
            match key {
                Ok(Key::Char(c)) => typed.push(c),
                Ok(Key::Backspace) => drop(typed.pop()),
                Ok(Key::Enter) => break Ok(typed),
                // No terminal any more.
                Ok(Key::Unknown) => break Err(io::ErrorKind::UnexpectedEof.into()),
                Ok(_) => {}
                Err(error) => break Err(error),
            }
        };
        terminal::err("\n");
        self.after(line).map_err(Reply::from)
    }

    /// Offers a list to pick from; `None` when the person backs out.
    pub(crate) fn pick(&self, prompt: &str, items: &[String]) -> Result<Option<usize>, NoAnswer> {
        terminal::discard_typed_ahead();
        let width = terminal::err_style().width.saturating_sub(4);
        // File names and titles come from outside.
        let items = items.iter().map(|item| clean(item));
        let items: Vec<_> =
            items.map(|item| console::truncate_str(&item, width, "...").into_owned()).collect();
        let select = Select::with_theme(&SimpleTheme).with_prompt(prompt).items(&items).default(0);
        let picked = select.interact_on_opt(&Term::stderr());
        self.after(picked.map_err(|dialoguer::Error::IO(error)| error))
    }

    fn after<T>(&self, answer: io::Result<T>) -> Result<T, NoAnswer> {
        match (self.signals.take(), answer) {
            (Some(signal), _) => Err(NoAnswer::Signal(signal)),
            (None, Ok(answer)) => Ok(answer),
            (None, Err(error)) if error.kind() == io::ErrorKind::Interrupted => {
                Err(NoAnswer::Signal("SIGINT".to_owned()))
            }
            (None, Err(error)) => Err(NoAnswer::Gone(error)),
        }
    }

    /// Takes one line and makes a reply of it; `None` when it only asked to be shown something.
    fn reply(&mut self, question: &Question, view: View<'_>) -> Result<Option<Reply>, Reply> {
        let line = self.words(&screen::prompt(question))?;
        let word = line.trim().to_lowercase();
        if let Some(probe) = practice::probe(&line, question, view.run) {
            return Ok(Some(Reply::Probe(probe)));
        }
        let reply = match word.as_str() {
            "?" | "help" => return self.shown(&practice::help(question, view.run, self.style())),
            "why" => return self.shown(&screen::why(question, self.style())),
            "values" => return self.shown(&screen::values(view.run, self.style())),
            "all" => return self.shown(&screen::overview(view, &question.place, self.style())),
            "note" => match self.words("note")? {
                note if note.trim().is_empty() => return Ok(None),
                note => Reply::Note(note),
            },
            "attach" => Reply::Attach(self.words("file")?.trim().into()),
            "hand over" => return self.handed_over(self.words("to whom")?),
            "cannot" => Reply::Cannot(reason(self.words("why not")?)),
            "stop" => Reply::Stop(reason(self.words("why")?)),
            "leave" if screen::is_making_safe(question) => Reply::Leave(Reason::PersonLeft {}),
            // Anywhere else the equipment is made safe first.
            "leave" => Reply::Stop(Reason::PersonLeft {}),
            _ if question.expects == Expects::TakesOver => return self.handed_over(line),
            _ => match ListLine::of(question, line) {
                ListLine::One(line) => answer(&question.expects, line),
                ListLine::Each(first, rest) => {
                    self.listed = Some(rest);
                    answer(&question.expects, first)
                }
                ListLine::Other(no_list) => {
                    return self.shown(&screen::no_list(question, no_list, self.style()));
                }
            },
        };
        Ok(Some(reply))
    }

    /// The answer to this question from the line that was typed for several.
    fn next_listed(&mut self, question: &Question) -> Option<Reply> {
        if self.listed.is_some()
            && let Some(signal) = self.signals.take()
        {
            self.listed = None;
            return Some(Reply::Interrupted(signal));
        }
        match self.listed.as_mut()?.next_for(question) {
            Ok(next) => {
                let next = next?;
                self.show(&screen::listed(&next.what, self.style()));
                Some(answer(&question.expects, next.answer))
            }
            Err(lost) => {
                self.listed = None;
                self.show(&screen::not_taken(&lost, self.style()));
                None
            }
        }
    }

    /// Asks the person who leaves for the state of the job; nobody takes over on an empty line.
    fn handed_over(&self, to: String) -> Result<Option<Reply>, Reply> {
        if to.trim().is_empty() {
            return Ok(None);
        }
        Ok(Some(Reply::HandOver { to, remarks: self.words("state of the job")? }))
    }

    /// Clears the screen of the first reading, once, before a second person looks at it.
    fn clear_for_second(&mut self, question: &Question) {
        let key = (question.turn == Some(Turn::Second)).then(|| question.key.clone());
        if key.is_some() && key != self.cleared {
            terminal::clear();
        }
        self.cleared = key;
    }

    fn shown(&mut self, text: &str) -> Result<Option<Reply>, Reply> {
        self.show(text);
        Ok(None)
    }
}

/// What a typed line is as an answer.
fn answer(expects: &Expects, line: String) -> Reply {
    match expects {
        Expects::Done if ["", "done", "read"].contains(&line.trim().to_lowercase().as_str()) => {
            Reply::Done
        }
        Expects::Value { by: Some(_), .. } if line.trim().is_empty() => Reply::Measure,
        Expects::File => Reply::Attach(line.trim().into()),
        Expects::Choice(choices) => {
            let number = line.trim().parse::<usize>().ok().and_then(|n| n.checked_sub(1));
            match number.and_then(|n| choices.get(n)) {
                Some(choice) => Reply::Answer(choice.say.clone()),
                None => Reply::Answer(line),
            }
        }
        _ => Reply::Answer(line),
    }
}

impl Front for PersonFront {
    fn origin(&self) -> Origin {
        Origin::Typed
    }

    fn style(&self) -> Style {
        terminal::err_style()
    }

    fn show(&mut self, text: &str) {
        terminal::err(text);
    }

    fn takes_time(&self) -> bool {
        true
    }

    fn ask(&mut self, question: &Question, view: View<'_>, beside: Option<PromptEnd>) -> Reply {
        self.beside = beside;
        if let Some(reply) = self.next_listed(question) {
            return reply;
        }
        self.clear_for_second(question);
        let was_refused = self.refused.take().as_ref() == Some(&question.key);
        self.left_out = was_refused && !self.left_out;
        let mut is_on_screen = self.left_out;
        // The question is put again below what else was asked to see: what is live is never out of sight.
        loop {
            if !std::mem::take(&mut is_on_screen) {
                self.show(&screen::question(question, &view.run.opening, self.style()));
                self.show("  (? for help)\n");
            }
            match self.reply(question, view) {
                Ok(Some(reply)) => return reply,
                Ok(None) => {}
                Err(none) => return none,
            }
        }
    }

    fn choose(&mut self, _: &str, shown: &str) -> Result<String, Reply> {
        self.beside = None;
        self.show(shown);
        self.words("")
    }

    fn passphrase(&mut self, ended: Option<&PromptEnd>) -> Result<Option<String>, Reply> {
        self.secret("passphrase", ended).map(Some)
    }

    fn stand_by(&mut self, words: &str) {
        // What was typed before is meant for something else. It goes before the words are there: what is typed at them counts.
        terminal::discard_typed_ahead();
        self.show(words);
    }

    fn entry(&mut self, entry: &Entry, names: Names) {
        self.refused = entry.facts.iter().find_map(|fact| match fact {
            Fact::Refused { key, .. } => Some(key.clone()),
            _ => None,
        });
        let text = match &entry.event {
            Event::Started(_) => screen::result_at_start(entry, names, self.style()),
            _ => screen::result(entry, names, self.style()),
        };
        self.show(&text);
    }

    fn begin(&mut self, question: &Question, view: View<'_>, span: WaitSpan) {
        self.show(&screen::question(question, &view.run.opening, self.style()));
        terminal::discard_typed_ahead();
        self.show("  (s to stop)\n");
        self.waiting = Some((progress(span, self.style()), span));
    }

    fn live(&mut self, standing: &WaitStanding) -> Option<Reply> {
        if let Some(signal) = self.signals.take() {
            return Some(Reply::Interrupted(signal));
        }
        // Whatever is pressed with it or behind it: an Enter does not take the word to stop back.
        let keys = terminal::keys_pressed();
        if keys.iter().any(|key| key.eq_ignore_ascii_case(&b's')) {
            return Some(Reply::Stop(Reason::KeyPressed {}));
        }
        let Some((bar, span)) = &self.waiting else { return None };
        bar.set_position(standing.now_ms.saturating_sub(span.from_ms));
        // A line that wraps is drawn again below itself each time.
        let room = self.style().width.saturating_sub(BAR_SHORT + 6);
        bar.set_message(truncate_str(&message(standing, *span), room, "").into_owned());
        let is_wanted = standing.presence_within_ms.is_some();
        if is_wanted && !std::mem::replace(&mut self.called, true) {
            // What was typed before it was asked is no answer.
            terminal::discard_typed_ahead();
            bar.suspend(|| terminal::err("\x07  Are you there? Press Enter.\n"));
            return None;
        }
        self.called = is_wanted;
        (is_wanted && keys.iter().any(|key| matches!(key, b'\r' | b'\n'))).then_some(Reply::Done)
    }

    fn end(&mut self) {
        if let Some((bar, _)) = self.waiting.take() {
            bar.finish_and_clear();
        }
        self.called = false;
    }
}

/// The columns of the bar: what instruments show needs the rest.
const BAR_SHORT: usize = 12;

/// What stands behind the bar: what matters first.
fn message(standing: &WaitStanding, span: WaitSpan) -> String {
    let left = span.until_ms.saturating_sub(standing.now_ms).div_ceil(1000);
    let left = match standing.left_ms {
        Some(ms) => format!("about {} s left, slower than asked", ms.div_ceil(1000)),
        None => format!("{left} s left"),
    };
    match standing.presence_within_ms {
        Some(ms) => format!("ARE YOU THERE? Enter within {} s", ms.div_ceil(1000)),
        None if standing.shown.is_empty() => left,
        None => format!("{left}  {}", standing.shown),
    }
}

fn progress(span: WaitSpan, style: Style) -> ProgressBar {
    let bar = ProgressBar::new(span.until_ms.saturating_sub(span.from_ms));
    let width = style.width.saturating_sub(20).clamp(6, BAR_SHORT);
    let look = ProgressStyle::with_template(&format!("  {{bar:{width}}} {{msg}}"));
    if let Ok(look) = look {
        bar.set_style(look.progress_chars(terminal::bar_marks(style)));
    }
    bar.enable_steady_tick(Duration::from_millis(200));
    bar
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_instruments_show_stands_behind_the_time_that_is_left() {
        let span = WaitSpan { from_ms: 0, until_ms: 123_000 };
        let shown = "plus 41.2 mA, rising  minus 40.1 mA, falling".to_owned();
        let standing = WaitStanding { shown, ..WaitStanding::default() };
        let usual = message(&standing, span);
        assert_eq!(usual, "123 s left  plus 41.2 mA, rising  minus 40.1 mA, falling");
        assert!(usual.len() + BAR_SHORT + 6 <= 80, "two outputs fit on 80 columns");
        let slow = WaitStanding { left_ms: Some(495_000), ..WaitStanding::default() };
        assert_eq!(message(&slow, span), "about 495 s left, slower than asked");
    }
}
