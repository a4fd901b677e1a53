//! One typed line, key by key: what else may end the wait for a key is waited for beside the keyboard.

use std::io;

use console::{Key, Term, measure_text_width};
use rustix::event::{PollFd, PollFlags, poll};

use super::beside::{BesideWord, PromptEnd};
use crate::record::Reason;
use crate::shell::terminal::Raw;

/// What came of it.
#[derive(Debug)]
pub(super) enum Typed {
    /// A line that ended in Enter.
    Whole(String),
    /// What stood there when it was ended from beside.
    Cut(String),
}

/// Takes a line behind a prompt.
pub(super) fn read(prompt: &str, beside: Option<&PromptEnd>) -> io::Result<Typed> {
    let term = Term::stderr();
    if !term.is_term() {
        return Err(io::Error::new(io::ErrorKind::NotConnected, "not a terminal"));
    }
    let _raw = Raw::begin();
    let mut line = EditedLine::new(&term, format!("{prompt}: "));
    term.write_str(&line.prompt)?;
    term.flush()?;
    loop {
        match wait_for_key(beside)? {
            None => beside.into_iter().for_each(PromptEnd::key),
            Some(BesideWord::Call) => {
                line.call("ARE YOU THERE? Press any key.")?;
                continue;
            }
            Some(BesideWord::End) => {
                line.go_to(line.chars.len())?;
                return Ok(Typed::Cut(line.text()));
            }
        }
        match term.read_key()? {
            Key::Enter => {
                line.go_to(line.chars.len())?;
                term.write_line("")?;
                return Ok(Typed::Whole(line.text()));
            }
            key => line.press(key)?,
        }
    }
}

/// A line with its cursor.
struct EditedLine<'a> {
    term: &'a Term,
    prompt: String,
    chars: Vec<char>,
    /// The cursor is before the character at this place.
    at: usize,
    /// The row of the screen that the cursor is in, from the one of the prompt.
    row: usize,
}

impl<'a> EditedLine<'a> {
    fn new(term: &'a Term, prompt: String) -> Self {
        Self { term, prompt, chars: Vec::new(), at: 0, row: 0 }
    }

    fn text(&self) -> String {
        self.chars.iter().collect()
    }

    fn press(&mut self, key: Key) -> io::Result<()> {
        match key {
            Key::Char(char) if !char.is_control() => {
                self.chars.insert(self.at, char);
                self.at += 1;
                if self.at == self.chars.len() {
                    return self.append(char);
                }
            }
            Key::Backspace if self.at > 0 => {
                self.at -= 1;
                self.chars.remove(self.at);
            }
            Key::Del if self.at < self.chars.len() => {
                self.chars.remove(self.at);
            }
            Key::ArrowLeft => return self.go_to(self.at.saturating_sub(1)),
            Key::ArrowRight => return self.go_to((self.at + 1).min(self.chars.len())),
            Key::Home => return self.go_to(0),
            Key::End => return self.go_to(self.chars.len()),
            _ => return Ok(()),
        }
        self.draw()
    }

    /// Writes a character at the end.
    fn append(&mut self, char: char) -> io::Result<()> {
        self.term.write_str(char.encode_utf8(&mut [0; 4]))?;
        self.row = self.place(self.at).0;
        self.break_full_row()
    }

    /// Writes words above the line, with a bell; what is typed stays as it is.
    fn call(&mut self, words: &str) -> io::Result<()> {
        self.term.move_cursor_up(std::mem::take(&mut self.row))?;
        self.term.write_str("\r")?;
        self.term.clear_to_end_of_screen()?;
        self.term.write_line(&format!("\x07  {words}"))?;
        self.draw()
    }

    /// Writes the whole line again.
    fn draw(&mut self) -> io::Result<()> {
        self.term.move_cursor_up(self.row)?;
        self.term.write_str("\r")?;
        self.term.clear_to_end_of_screen()?;
        self.term.write_str(&format!("{}{}", self.prompt, self.text()))?;
        let at = std::mem::replace(&mut self.at, self.chars.len());
        self.row = self.place(self.at).0;
        self.break_full_row()?;
        self.go_to(at)
    }

    fn go_to(&mut self, at: usize) -> io::Result<()> {
        let (row, column) = self.place(at);
        self.term.move_cursor_up(self.row.saturating_sub(row))?;
        self.term.move_cursor_down(row.saturating_sub(self.row))?;
        if at != self.at {
            self.term.write_str("\r")?;
            self.term.move_cursor_right(column)?;
        }
        (self.at, self.row) = (at, row);
        self.term.flush()
    }

    /// A terminal goes to the next row only with the next character.
    fn break_full_row(&self) -> io::Result<()> {
        if self.place(self.at).1 == 0 { self.term.write_str("\n") } else { Ok(()) }
    }

    /// The row, from the one of the prompt, and the column before the character at this place.
    fn place(&self, at: usize) -> (usize, usize) {
        let before: String = self.chars.iter().take(at).collect();
        let columns = usize::from(self.term.size().1).max(1);
        let place = measure_text_width(&self.prompt) + measure_text_width(&before);
        (place / columns, place % columns)
    }
}

/// Waits for a key, or for a word from beside the question, which is taken.
pub(super) fn wait_for_key(beside: Option<&PromptEnd>) -> io::Result<Option<BesideWord>> {
    let stdin = io::stdin();
    let key = PollFd::new(&stdin, PollFlags::IN);
    let Some(beside) = beside else {
        return poll(&mut [key], None).map(|_| None).map_err(io::Error::from);
    };
    let mut both = [key, PollFd::new(beside.pipe(), PollFlags::IN)];
    poll(&mut both, None)?;
    let is_word = both.last().is_some_and(|pipe| !pipe.revents().is_empty());
    Ok(is_word.then(|| beside.word()))
}

/// A reason as it goes into the record; a person in a hurry may leave it out.
pub(super) fn reason(line: String) -> Reason {
    if line.trim().is_empty() { Reason::NotGiven {} } else { Reason::Words(line) }
}
