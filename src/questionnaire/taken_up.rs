//! An equipment file that was left before its last question, taken up again.

use super::questions::{FactAnswer, Questionnaire};
use crate::procedure::{At, Equipment, Procedure, read_equipment};

/// Why a file can't be taken up.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum TakenUpError {
    /// It can't be read, or is no equipment file.
    #[error("{message}")]
    Unreadable {
        /// What is wrong.
        message: String,
    },
    /// Nothing is open in it.
    #[error("it is a whole equipment file, with nothing left to ask")]
    Whole,
    /// Another procedure asks its questions.
    #[error("it was begun for the procedure `{procedure}`")]
    Elsewhere {
        /// That procedure.
        procedure: String,
    },
}

impl Questionnaire {
    /// Goes on where a file was left. Answers that the procedure would refuse, or does not ask for, are asked for again.
    ///
    /// # Errors
    /// A file of which nothing can be taken up.
    pub fn taken_up(procedure: Procedure, text: &str) -> Result<Self, TakenUpError> {
        let equipment = read_equipment(text)
            .map_err(|finding| TakenUpError::Unreadable { message: finding.message })?;
        let begun_for = equipment.incomplete.as_ref().ok_or(TakenUpError::Whole)?;
        if begun_for.value != procedure.procedure.value {
            return Err(TakenUpError::Elsewhere { procedure: begun_for.value.clone() });
        }
        let mut questions = Self::new(procedure);
        let filled = |text: &At<String>| Some(text.value.clone()).filter(|text| !text.is_empty());
        questions.identity = [filled(&equipment.equipment), filled(&equipment.serial)];
        questions.remarks = equipment.remarks.as_ref().map(|remarks| remarks.value.clone());
        let names: Vec<_> =
            questions.procedure.asks.iter().map(|(name, _)| name.value.clone()).collect();
        for (n, name) in names.iter().enumerate() {
            let Some(answer) = answer(&equipment, text, name) else { continue };
            questions.restore(n, answer);
        }
        questions.go_on();
        Ok(questions)
    }
}

/// What the file says to a question.
fn answer(equipment: &Equipment, text: &str, name: &str) -> Option<FactAnswer> {
    let note = equipment.facts.get(name).and_then(|fact| note(text, fact));
    Some(FactAnswer { text: equipment.answer(name)?, note })
}

/// The comment behind a fact, on its line.
fn note(text: &str, fact: &At<String>) -> Option<String> {
    let behind = text.get(fact.span.end..)?.lines().next()?;
    let (_, comment) = behind.split_once("# ")?;
    Some(comment.trim().to_owned())
}
