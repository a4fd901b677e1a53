//! A rehearsal of a bundled procedure in which something is otherwise than in the files beside it.

use std::fs;

use super::PROCEDURES;
use super::bench::Bench;
use super::call::Call;
use super::record::Record;

/// What is wrong.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Wrong<'a> {
    /// A fault of the simulated equipment or bench, by its name.
    Fault(&'a str),
    /// A fact of the equipment file, as it is then.
    Fact(&'a str, &'a str),
    /// What a person sees at a step.
    Seen(&'a str, &'a str),
}

/// The files of a rehearsal, to be changed before it is run.
pub(crate) struct Rehearsal {
    pub(crate) bench: Bench,
    /// The text of the procedure.
    pub(crate) procedure: String,
    model: String,
    equipment: String,
    answers: String,
    fault: Vec<String>,
}

impl Rehearsal {
    /// With the files beside a bundled procedure, and its good answers.
    pub(crate) fn of(procedure: &str) -> Self {
        let text =
            |name: &str| fs::read_to_string(format!("{PROCEDURES}/{procedure}/{name}")).unwrap();
        Self {
            bench: Bench::new(),
            procedure: text("procedure.yaml"),
            model: text("simulated.yaml"),
            equipment: text("equipment.yaml"),
            answers: text("good.answers.yaml"),
            fault: Vec::new(),
        }
    }

    pub(crate) fn fact(mut self, name: &str, value: &str) -> Self {
        self.equipment = with(&self.equipment, name, value);
        self
    }

    pub(crate) fn seen(mut self, step: &str, answer: &str) -> Self {
        self.answers = with(&self.answers, step, answer);
        self
    }

    /// Answers of which each that is this is another.
    pub(crate) fn answers(mut self, from: &str, to: &str) -> Self {
        assert!(self.answers.contains(from), "{from}");
        self.answers = self.answers.replace(from, to);
        self
    }

    pub(crate) fn wrong(mut self, wrong: Wrong<'_>) -> Self {
        match wrong {
            Wrong::Fault(name) => {
                self.fault = vec!["--fault".to_owned(), name.to_owned()];
                self
            }
            Wrong::Fact(name, value) => self.fact(name, value),
            Wrong::Seen(step, answer) => self.seen(step, answer),
        }
    }

    fn write(&self) {
        for (name, text) in [
            ("procedure.yaml", &self.procedure),
            ("simulated.yaml", &self.model),
            ("equipment.yaml", &self.equipment),
            ("answers.yaml", &self.answers),
        ] {
            self.bench.write(name, text);
        }
    }

    /// What `check` says of the procedure with its equipment.
    pub(crate) fn check(&self) -> Call {
        self.write();
        self.bench.wattstep(&["check", "procedure.yaml", "--equipment", "equipment.yaml"])
    }

    /// Runs it to this exit code.
    pub(crate) fn run(&self, code: i32) -> Record {
        self.write();
        let run = ["run", "procedure.yaml", "--equipment", "equipment.yaml"];
        let fault: Vec<_> = self.fault.iter().map(String::as_str).collect();
        let arguments =
            [&run[..], &["--bench", "simulated", "--answers", "answers.yaml"], &fault].concat();
        self.bench.wattstep(&arguments).any_out().any_err().exit(code);
        self.bench.record()
    }
}

/// A file with another value behind this key.
fn with(text: &str, key: &str, value: &str) -> String {
    let start = text.find(&format!("\n  {key}: ")).unwrap_or_else(|| panic!("no {key}")) + 1;
    let end = start + text[start..].find('\n').unwrap();
    format!("{}  {key}: {value}{}", &text[..start], &text[end..])
}

/// The question at which a run stopped first; a script that has no answer about making safe stops there again.
pub(crate) fn first_stop(record: &Record) -> String {
    record.facts("stopped")[0]["key"].as_str().unwrap().to_owned()
}
