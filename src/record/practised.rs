//! Whether a practice is over, and what came of it.

use super::{Fact, PracticeResult, Reason, Run, StopReason};

impl Run {
    /// What came of it, where it is a practice and the person has said what is wrong.
    #[must_use]
    pub fn practised(&self) -> Option<&PracticeResult> {
        self.facts().find_map(|fact| match fact {
            Fact::Practised(result) => Some(result.as_ref()),
            _ => None,
        })
    }

    /// Whether the person has still to say what is wrong: it is over, or they stopped it.
    #[must_use]
    pub fn awaits_diagnosis(&self) -> bool {
        let is_said_to_stop = |fact: &Fact| match fact {
            Fact::Stopped { reason: StopReason::Halted { reason }, .. } => {
                matches!(reason, Reason::Words(_) | Reason::NotGiven {} | Reason::KeyPressed {})
            }
            _ => false,
        };
        let last = self.facts().rev().find(|fact| matches!(fact, Fact::Stopped { .. }));
        let is_over = self
            .closing
            .is_some_and(|closing| !closing.resumable || last.is_some_and(is_said_to_stop));
        self.opening.hidden().is_some() && self.practised().is_none() && is_over
    }
}
