//! What a check is: its code, its name, its page, and what it looks at.

use super::{Keys, Subject};
use crate::diagnostic::Finding;
use crate::netlist::Netlist;
use crate::procedure::{
    AnswersFile, At, BenchFile, CircuitFile, Equipment, ModelFile, People, Procedure,
};

/// Looks at a circuit file, and at its netlist where that could be read.
type CircuitCheck = fn(&CircuitFile, Option<&Netlist>) -> Vec<Finding>;

/// Looks at one text.
type OfText = fn(&At<String>) -> Option<Finding>;

/// One check.
#[derive(Clone, Copy, Debug)]
pub struct Check {
    /// Its code, never used for anything else.
    pub code: &'static str,
    /// Its name, which reads after "allow".
    pub name: &'static str,
    /// Its page: what it finds, why that matters, a bad and a good example.
    pub page: &'static str,
    pub(super) text: Option<OfText>,
    pub(super) procedure: Option<fn(&Subject<'_>) -> Vec<Finding>>,
    pub(super) equipment: Option<fn(&Equipment) -> Vec<Finding>>,
    pub(super) facts: Option<fn(&Procedure, &Equipment) -> Vec<Finding>>,
    pub(super) bench: Option<fn(&BenchFile) -> Vec<Finding>>,
    pub(super) people: Option<fn(&People) -> Vec<Finding>>,
    pub(super) keys: Option<fn(&People, Keys<'_>) -> Vec<Finding>>,
    pub(super) answers: Option<fn(&AnswersFile) -> Vec<Finding>>,
    pub(super) model: Option<fn(&ModelFile) -> Vec<Finding>>,
    pub(super) circuit: Option<CircuitCheck>,
}

impl Check {
    pub(super) const fn new(code: &'static str, name: &'static str, page: &'static str) -> Self {
        Self {
            code,
            name,
            page,
            text: None,
            procedure: None,
            equipment: None,
            facts: None,
            bench: None,
            people: None,
            keys: None,
            answers: None,
            model: None,
            circuit: None,
        }
    }

    /// Looks at each text of any of the files, and points into the file.
    pub(super) const fn of_texts(self, run: OfText) -> Self {
        Self { text: Some(run), ..self }
    }

    /// Looks at the procedure.
    pub(super) const fn of_procedure(self, run: fn(&Subject<'_>) -> Vec<Finding>) -> Self {
        Self { procedure: Some(run), ..self }
    }

    /// Looks at the equipment file by itself, and points into it.
    pub(super) const fn of_equipment(self, run: fn(&Equipment) -> Vec<Finding>) -> Self {
        Self { equipment: Some(run), ..self }
    }

    /// Looks at what the equipment file answers to the procedure, and points into the equipment file.
    pub(super) const fn of_facts(self, run: fn(&Procedure, &Equipment) -> Vec<Finding>) -> Self {
        Self { facts: Some(run), ..self }
    }

    /// Looks at the bench file by itself, and points into it.
    pub(super) const fn of_bench(self, run: fn(&BenchFile) -> Vec<Finding>) -> Self {
        Self { bench: Some(run), ..self }
    }

    /// Looks at the people file, and points into it.
    pub(super) const fn of_people(self, run: fn(&People) -> Vec<Finding>) -> Self {
        Self { people: Some(run), ..self }
    }

    /// Looks at the people file and at the keys of its people, and points into the people file.
    pub(super) const fn of_keys(self, run: fn(&People, Keys<'_>) -> Vec<Finding>) -> Self {
        Self { keys: Some(run), ..self }
    }

    /// Looks at the answers file, and points into it.
    pub(super) const fn of_answers(self, run: fn(&AnswersFile) -> Vec<Finding>) -> Self {
        Self { answers: Some(run), ..self }
    }

    /// Looks at the model file, and points into it.
    pub(super) const fn of_model(self, run: fn(&ModelFile) -> Vec<Finding>) -> Self {
        Self { model: Some(run), ..self }
    }

    /// Looks at the circuit file with its netlist, and points into the circuit file.
    pub(super) const fn of_circuit(self, run: CircuitCheck) -> Self {
        Self { circuit: Some(run), ..self }
    }

    /// Starts a finding that keeps the file from being used.
    pub(super) fn error(&self, message: impl Into<String>) -> Finding {
        Finding::error(self.code, self.name, message)
    }

    /// Starts a finding that someone should look at.
    pub(super) fn warning(&self, message: impl Into<String>) -> Finding {
        Finding::warning(self.code, self.name, message)
    }
}
