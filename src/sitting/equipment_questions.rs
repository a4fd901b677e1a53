//! The questions about a piece of equipment, put to the person at the terminal until its file is whole.

use std::path::{Path, PathBuf};

use super::equipment_file::{AtPlace, EquipmentFile, usual_name};
use super::person::{NoAnswer, PersonFront};
use super::screen;
use crate::journal::sha256_hex;
use crate::procedure::Procedure;
use crate::questionnaire::{LineTaken, Questionnaire};
use crate::record::Provided;
use crate::shell::documents;
use crate::shell::fault::Fault;
use crate::shell::file::NamedFile;
use crate::shell::file_findings::FileFindings;
use crate::shell::terminal;

/// What came of the questions.
#[derive(Debug)]
pub(crate) enum EquipmentAnswered {
    /// The file is whole.
    Whole(NamedFile),
    /// The person left, or a signal came. What was answered is in the file, if one was begun.
    Left(Option<PathBuf>),
}

/// A procedure whose questions are asked.
#[derive(Clone, Copy, Debug)]
pub(crate) struct AskedBy<'a> {
    /// Its file, for the checks.
    pub(crate) document: &'a NamedFile,
    pub(crate) procedure: &'a Procedure,
}

/// Asks for all that the equipment file of a procedure has to hold, and writes it to `out`, or where the equipment's name says.
pub(crate) fn ask(
    person: &PersonFront,
    asked_by: AskedBy<'_>,
    out: Option<&Path>,
) -> Result<EquipmentAnswered, Fault> {
    let questions = Questionnaire::new(asked_by.procedure.clone());
    let mut asking = AskingFacts { person, asked_by, questions, file: None };
    if let Some(path) = out
        && !asking.settle(path.to_owned())?
    {
        return Ok(EquipmentAnswered::Left(None));
    }
    asking.tell(INTRODUCTION);
    match asking.until_whole() {
        Ok(whole) => Ok(EquipmentAnswered::Whole(whole)),
        Err(End::Left) => {
            let left = asking.file.filter(|_| asking.questions.counts()[0] > 0);
            Ok(EquipmentAnswered::Left(left.map(|file| file.path)))
        }
        Err(End::Fault(fault)) => Err(fault),
    }
}

const INTRODUCTION: &str = "Each answer is kept at once. `back` goes to the question before, `all` shows the answers, `leave` lets you go on \
                            another time.";

/// Why the questions ended before the file was whole.
enum End {
    Left,
    Fault(Fault),
}

impl From<NoAnswer> for End {
    fn from(_: NoAnswer) -> Self {
        Self::Left
    }
}

struct AskingFacts<'a> {
    person: &'a PersonFront,
    asked_by: AskedBy<'a>,
    questions: Questionnaire,
    /// Where the answers go; none before the equipment has a name.
    file: Option<EquipmentFile>,
}

impl AskingFacts<'_> {
    fn tell(&self, words: &str) {
        terminal::err(&screen::fact_told(words, terminal::err_style()));
    }

    /// Asks until all is answered, looked over and without an error.
    fn until_whole(&mut self) -> Result<NamedFile, End> {
        loop {
            if let Some(question) = self.questions.question() {
                let equipment = self.questions.name().unwrap_or_default();
                terminal::err(&screen::fact(&question, equipment, terminal::err_style()));
                let line = self.person.line(&question.prompt)?;
                self.take(&line)?;
            } else if let Some(whole) = self.look_over()? {
                return Ok(whole);
            }
        }
    }

    fn take(&mut self, line: &str) -> Result<(), End> {
        match line.trim().to_lowercase().as_str() {
            "leave" | "stop" => return Err(End::Left),
            "all" => {
                self.show_answers("Answered so far:", true);
                return Ok(());
            }
            _ => {}
        }
        match self.questions.take(line) {
            LineTaken::Answer(text) => {
                self.tell(&format!("taken: {text}"));
                self.keep(Questionnaire::draft)
            }
            LineTaken::Moved => Ok(()),
            LineTaken::Refused(why) => {
                self.tell(&format!("not taken: {why}"));
                Ok(())
            }
        }
    }

    fn show_answers(&self, words: &str, all: bool) {
        let answers = self.questions.answers(all);
        terminal::err(&screen::facts_answered(words, &answers, terminal::err_style()));
    }

    /// Shows what nobody read anywhere; on Enter the file is checked and written.
    fn look_over(&mut self) -> Result<Option<NamedFile>, End> {
        let [all, _] = self.questions.counts();
        let words = format!(
            "All {all} questions are answered. Look once more at what was not read anywhere:"
        );
        let is_none = self.questions.answers(false).is_empty();
        let words = if is_none { format!("All {all} questions are answered.") } else { words };
        self.show_answers(&words, false);
        self.tell("Enter writes the file; the number of a question goes back to it.");
        let line = self.person.line("Enter, or a number")?;
        if line.trim().is_empty() {
            return self.finish();
        }
        match line.trim().parse() {
            Ok(number) => {
                if let Err(why) = self.questions.go_to(number) {
                    self.tell(&format!("not taken: {why}"));
                }
            }
            Err(_) => self.take(&line)?,
        }
        Ok(None)
    }

    /// Checks the whole file; one with an error is not written.
    fn finish(&mut self) -> Result<Option<NamedFile>, End> {
        let document = self.document();
        let found = documents::findings(self.asked_by.document, (Some(&document), None));
        let found = found.map_err(End::Fault)?;
        let is_refused = found.iter().any(FileFindings::has_error);
        let shown = found.iter().filter(|of| of.has_error() || of.document.shown == document.shown);
        shown.for_each(|of| terminal::err(&of.text()));
        if is_refused {
            self.tell("With these answers nothing can be run: correct the one that is meant.");
            return Ok(None);
        }
        self.keep(Questionnaire::text)?;
        // The place may have changed while it was kept.
        let document = self.document();
        self.tell(&format!("written: {}", document.shown));
        Ok(Some(document))
    }

    /// What the file holds, or will.
    fn document(&self) -> NamedFile {
        let path = self.file.as_ref().map(|file| file.path.clone()).unwrap_or_default();
        let text = self.questions.text();
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let sha256 = sha256_hex(text.as_bytes());
        NamedFile { shown: path.display().to_string(), file: Provided { name, sha256, text } }
    }

    /// Writes what is answered so far, elsewhere where it can't be written here.
    fn keep(&mut self, text: fn(&Questionnaire) -> String) -> Result<(), End> {
        if self.file.is_none() {
            let Some(name) = self.questions.name() else { return Ok(()) };
            if !self.settle(usual_name(name)).map_err(End::Fault)? {
                return Err(End::Left);
            }
        }
        loop {
            let text = text(&self.questions);
            let Some(file) = &mut self.file else { return Err(End::Left) };
            let Err(error) = file.save(&text) else { return Ok(()) };
            let shown = file.path.display().to_string();
            self.tell(&format!("cannot write {shown}: {error}"));
            let line = self.person.line("another file name")?;
            if !self.settle_named(&line).map_err(End::Fault)? {
                return Err(End::Left);
            }
        }
    }

    fn settle_named(&mut self, line: &str) -> Result<bool, Fault> {
        let name = line.trim();
        if name.is_empty() {
            return Ok(true);
        }
        if name == "leave" { Ok(false) } else { self.settle(PathBuf::from(name)) }
    }

    /// Finds the place of the file: nothing that is there is written over without a word of the person. False where that person leaves.
    fn settle(&mut self, mut path: PathBuf) -> Result<bool, Fault> {
        loop {
            let (file, taken_up, words) = match EquipmentFile::at(&path, self.asked_by.procedure) {
                AtPlace::Free(file) => {
                    self.file = Some(file);
                    return Ok(true);
                }
                AtPlace::Left(file, questions) => {
                    let [answered, all] = questions.counts();
                    let words = format!("was left with {answered} of {all} answers");
                    (file, Some(questions), words)
                }
                AtPlace::Other(file, why) => (file, None, format!("is there already: {why}")),
            };
            self.tell(&format!("{} {words}", path.display()));
            let go_on = if taken_up.is_some() { "Enter goes on with it, " } else { "" };
            let replace = if file.is_replaceable() { "`replace` begins it again, " } else { "" };
            let line = match self.person.line(&format!("{go_on}{replace}or another file name")) {
                Ok(line) => line,
                Err(_) => return Ok(false),
            };
            match (line.trim(), taken_up) {
                ("leave", _) => return Ok(false),
                ("", Some(questions)) => {
                    self.questions = *questions;
                    self.file = Some(file);
                    return Ok(true);
                }
                ("", None) => {}
                ("replace", _) if file.is_replaceable() => {
                    self.file = Some(file);
                    return Ok(true);
                }
                (other, _) => path = PathBuf::from(other),
            }
        }
    }
}
