//! The simulator at work on one case after the other.

use super::answer::{CaseError, CircuitValues, values};
use super::dialogue::Dialogue;
use super::error::EngineError;
use super::process::PROGRAM;
use crate::netlist::{Alteration, Case, alterations, deck};

/// What became of one case.
pub(super) type CaseResult = Result<CircuitValues, CaseError>;

/// How many cases one process takes, so that what it leaves behind never piles up.
const CASES: usize = 500;

/// How many processes one after the other may finish no case at all: then it is not the cases.
const IDLE_RUNS: usize = 3;

/// How many values are asked for in one line.
const A_LINE: usize = 16;

/// The file of a case.
const FILE: &str = "case.cir";

/// The simulator, case after case. Where a process ends or stands still that costs one case, and another process goes on.
#[derive(Debug, Default)]
pub(super) struct Solver {
    dialogue: Option<Dialogue>,
    /// The case that it has read, as it was altered since.
    read: Option<Case>,
    idle: usize,
}

impl Solver {
    /// Begins something of its own: what comes of it depends on nothing before.
    pub(super) fn begin(&mut self) {
        self.read = None;
        if self.dialogue.as_ref().is_some_and(|dialogue| dialogue.asked() >= CASES) {
            self.dialogue = None;
        }
    }

    /// Works a case out.
    ///
    /// # Errors
    /// The simulator can't be run at all.
    pub(super) fn work_out(&mut self, case: &Case) -> Result<CaseResult, EngineError> {
        let altered = self.read.as_ref().and_then(|read| alterations(read, case));
        let printed = self.printed(case, altered.as_deref())?;
        let altered = altered.unwrap_or_default();
        let values = values(case, &altered, printed.as_deref());
        // What went wrong with one case is not taken to the next.
        self.read = values.is_ok().then(|| case.clone());
        Ok(values)
    }

    /// What is printed for a case: read from its file, or altered from the one before.
    fn printed(
        &mut self,
        case: &Case,
        altered: Option<&[Alteration]>,
    ) -> Result<Option<String>, EngineError> {
        let mut dialogue = match self.dialogue.take() {
            Some(dialogue) => dialogue,
            None => Dialogue::start()?,
        };
        // What an earlier case left behind must not answer for this one.
        let mut lines = "destroy all\n".to_owned();
        let altered = match altered {
            Some(altered) => altered,
            None => {
                if dialogue.asked() > 0 {
                    lines.push_str("remcirc\n");
                }
                dialogue.put(FILE, &deck(case))?;
                lines.push_str(&format!("source {FILE}\n"));
                &[]
            }
        };
        altered.iter().for_each(|one| lines.push_str(&format!("{}\n", one.command())));
        lines.push_str("op\n");
        let vectors = case.vectors().into_iter().chain(altered.iter().map(Alteration::vector));
        let vectors: Vec<_> = vectors.map(|vector| vector.0).collect();
        for some in vectors.chunks(A_LINE) {
            lines.push_str(&format!("print {}\n", some.join(" ")));
        }
        let is_first = dialogue.asked() == 0;
        let printed = dialogue.ask(&lines)?;
        match (&printed, is_first) {
            (Some(_), _) => {
                self.idle = 0;
                self.dialogue = Some(dialogue);
            }
            (None, true) => self.idle += 1,
            (None, false) => {}
        }
        if self.idle == IDLE_RUNS {
            return Err(EngineError::Idle { program: PROGRAM });
        }
        Ok(printed)
    }
}
