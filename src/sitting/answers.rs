//! The answers of a scripted run, as they are given.

use std::collections::{BTreeMap, VecDeque};

use crate::procedure::GivenAnswer;
use crate::shell::documents::sound_answers;
use crate::shell::fault::Fault;
use crate::shell::file::NamedFile;

/// How often one answer is given: a script that goes round in circles ends.
const USES_MAX: u32 = 20;

/// Answers by the keys of their questions.
#[derive(Debug)]
pub(crate) struct Answers {
    pub(super) operator: Option<String>,
    by_key: BTreeMap<String, ScriptedAnswer>,
}

#[derive(Debug)]
enum ScriptedAnswer {
    /// The same answer every time, so many times.
    Always(String, u32),
    /// One after the other, then no more.
    InTurn(VecDeque<String>),
}

impl ScriptedAnswer {
    fn new(answer: &GivenAnswer, text: &str) -> Self {
        match answer {
            GivenAnswer::Text(answer) => Self::Always(answer.value.clone(), USES_MAX),
            GivenAnswer::Written(span) => {
                let written = text.get(span.start..span.end).unwrap_or_default();
                Self::Always(written.to_owned(), USES_MAX)
            }
            GivenAnswer::InTurn(answers) => {
                Self::InTurn(answers.iter().map(|answer| answer.value.clone()).collect())
            }
        }
    }
}

impl Answers {
    /// Reads an answers file in which nothing is wrong.
    pub(crate) fn read(document: &NamedFile) -> Result<Self, Fault> {
        let file = sound_answers(document)?;
        let mut by_key = BTreeMap::new();
        file.answers.visit(&mut |key, answer| {
            by_key.insert(key.to_owned(), ScriptedAnswer::new(answer, &document.file.text));
        });
        Ok(Self { operator: file.operator.map(|operator| operator.value), by_key })
    }

    /// Takes the next answer to a question.
    pub(crate) fn take(&mut self, key: &str) -> Option<String> {
        match self.by_key.get_mut(key)? {
            ScriptedAnswer::Always(text, uses) => {
                *uses = uses.checked_sub(1)?;
                Some(text.clone())
            }
            ScriptedAnswer::InTurn(texts) => texts.pop_front(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Answers;
    use crate::record::Provided;
    use crate::shell::file::NamedFile;

    fn answers(text: &str) -> Answers {
        let name = "a.yaml".to_owned();
        let file = Provided { name: name.clone(), sha256: String::new(), text: text.to_owned() };
        let Ok(answers) = Answers::read(&NamedFile { shown: name, file }) else {
            panic!("the file is sound")
        };
        answers
    }

    #[test]
    fn scalars_stay_as_they_were_written_and_lists_run_out() {
        let text = "format: 1\nanswers:\n  idle: 1.10\n  again: [30, '4.0', OL]\n  dead: {plus: {at: 0.010 V}}\n  on: true\n";
        let mut answers = answers(text);
        assert_eq!(answers.take("idle").as_deref(), Some("1.10"));
        assert_eq!(answers.take("idle").as_deref(), Some("1.10"));
        assert_eq!(answers.take("again").as_deref(), Some("30"));
        assert_eq!(answers.take("again").as_deref(), Some("4.0"));
        assert_eq!(answers.take("again").as_deref(), Some("OL"));
        assert_eq!(answers.take("again"), None);
        assert_eq!(answers.take("dead.plus.at").as_deref(), Some("0.010 V"));
        assert_eq!(answers.take("on").as_deref(), Some("true"));
        assert_eq!(answers.take("nothing"), None);
    }
}
