//! The program fails while outputs are on: what is left of it switches them off.
#![expect(clippy::unwrap_used, reason = "a test fails loudly")]

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};

use super::answers::Answers;
use super::beside::PromptEnd;
use super::clock::Clock;
use super::front::{Front, Reply, View, WaitStanding};
use super::opening::{self, Answering};
use super::rehearsal::{RehearsalOptions, SIMULATED};
use crate::bench::trip;
use crate::diagnostic::Style;
use crate::record::Outcome;
use crate::record::{Mode, Origin};
use crate::runner::{Expects, Question, WaitSpan};
use crate::shell::fault::Fault;
use crate::shell::file;

/// Where it fails.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum PanicPlace<'a> {
    Question(&'a str),
    Look(&'a str),
}

/// Answers as a script does, and does something at its moments.
struct Acting {
    answers: Answers,
    takes_time: bool,
    act: Box<dyn FnMut(PanicPlace<'_>)>,
    waits_at: String,
}

impl Front for Acting {
    fn origin(&self) -> Origin {
        Origin::Scripted
    }

    fn style(&self) -> Style {
        Style { width: 80, colour: false, ascii: true }
    }

    fn show(&mut self, _: &str) {}

    /// What is watched while a question stands has to end with it.
    fn takes_time(&self) -> bool {
        self.takes_time
    }

    fn ask(&mut self, question: &Question, _: View<'_>, _: Option<PromptEnd>) -> Reply {
        (self.act)(PanicPlace::Question(question.key.as_str()));
        match &question.expects {
            Expects::Value { by: Some(_), .. } => Reply::Measure,
            Expects::Done => Reply::Done,
            _ => Reply::Answer(self.answers.take(question.key.as_str()).unwrap()),
        }
    }

    fn choose(&mut self, _: &str, _: &str) -> Result<String, Reply> {
        Err(Reply::Cut)
    }

    fn begin(&mut self, question: &Question, _: View<'_>, _: WaitSpan) {
        question.key.as_str().clone_into(&mut self.waits_at);
    }

    /// Somebody is there, whenever that is asked.
    fn live(&mut self, standing: &WaitStanding) -> Option<Reply> {
        (self.act)(PanicPlace::Look(&self.waits_at));
        standing.presence_within_ms.map(|_| Reply::Done)
    }

    fn end(&mut self) {}
}

fn supporting(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/it/support").join(name)
}

/// Runs on a simulated bench with this clock, in this folder, and writes what the instruments get to a file `log` there.
pub(super) fn act(
    folder: &Path,
    clock: Clock,
    takes_time: bool,
    act: impl FnMut(PanicPlace<'_>) + 'static,
) -> Result<Outcome, Fault> {
    let log = folder.join("log");
    let (equipment, model) = (supporting("fed.equipment.yaml"), supporting("fed.simulated.yaml"));
    let wanted =
        RehearsalOptions { model: Some(&model), log: Some(&log), ..RehearsalOptions::default() };
    let quick = fs::read_to_string(supporting("fed.yaml")).unwrap();
    let quick = quick.replace("over: 4 min", "over: 20 s").replace("time: 30 min", "time: 1 min");
    fs::write(folder.join("fed.yaml"), quick).unwrap();
    let procedure = file::read(&folder.join("fed.yaml")).unwrap();
    let bench = Some(Path::new(SIMULATED));
    let files = opening::files(procedure, Some(&equipment), bench, wanted).unwrap();
    let answers = Answers::read(&file::read(&supporting("fed.answers.yaml")).unwrap()).unwrap();
    let answering = Answering {
        front: Box::new(Acting {
            answers,
            takes_time,
            act: Box::new(act),
            waits_at: String::new(),
        }),
        clock: clock.rehearsing(),
        mode: Mode::Scripted,
        operator: Some("Kim Example-Tech (invented)".to_owned()),
    };
    opening::start(files, folder, answering, Some(&log))
}

/// Runs until it fails, and gives what the instruments got, in order.
fn fail(moment: PanicPlace<'static>) -> Vec<String> {
    let folder = tempfile::tempdir().unwrap();
    let takes_time = matches!(moment, PanicPlace::Question(_));
    let fails = move |now: PanicPlace<'_>| assert_ne!(now, moment, "the program fails on purpose");
    let failed = catch_unwind(AssertUnwindSafe(|| {
        act(folder.path(), Clock::skipping(), takes_time, fails).unwrap()
    }));
    assert!(failed.is_err(), "{moment:?} was never reached");
    let log = fs::read_to_string(folder.path().join("log")).unwrap();
    log.lines().map(|line| line.splitn(3, ' ').last().unwrap().to_owned()).collect()
}

#[test]
fn a_panic_while_energised_switches_every_output_off() {
    // It fires every trip of the process.
    let _alone = trip::alone();
    let moments = [
        PanicPlace::Question("feed-up"),
        PanicPlace::Look("feed-up"),
        PanicPlace::Look("feed-watch"),
    ];
    for moment in moments {
        let got = fail(moment);
        let on = got.iter().rposition(|message| message.ends_with("OUTP ON")).unwrap();
        for off in
            ["supply INST:NSEL 1;:OUTP OFF", "supply INST:NSEL 2;:OUTP OFF", "limiter OUTP OFF"]
        {
            assert!(got.iter().skip(on).any(|message| message == off), "{moment:?}: {off}");
        }
    }
}
