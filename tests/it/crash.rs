//! The program killed at any moment: what it had shown as taken is in the record.

use std::fs;
use std::io::Read;
use std::process::{Command, Stdio};
use std::time::{SystemTime, UNIX_EPOCH};

use crate::support::WATTSTEP;
use crate::support::bench::Bench;
use crate::support::call::environment;
use crate::support::desk::Desk;
use crate::support::record::Record;
use crate::support::terminal::Look;

const ROUNDS: usize = 16;

/// Numbers that can be had again: the seed is printed, and taken from `WATTSTEP_SEED` when that is set.
struct Random(u64);

impl Random {
    #[expect(clippy::print_stdout, reason = "the seed is what makes a failure repeatable")]
    fn seeded() -> Self {
        let seed = match std::env::var("WATTSTEP_SEED") {
            Ok(seed) => seed.parse().unwrap(),
            Err(_) => SystemTime::now().duration_since(UNIX_EPOCH).unwrap().as_nanos() as u64,
        };
        println!("WATTSTEP_SEED={seed}");
        Self(seed | 1)
    }

    /// A number below `end`, by xorshift.
    fn below(&mut self, end: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % end as u64) as usize
    }
}

/// Starts the good run and kills it once so many bytes have been read from it; gives everything it printed.
fn killed_after(bench: &Bench, bytes: usize) -> String {
    let mut command = Command::new(WATTSTEP);
    command.args(["run", "lantern.yaml", "--answers", "good.yaml"]).current_dir(bench.folder());
    command.env_clear().envs(environment()).stdin(Stdio::null()).stdout(Stdio::piped());
    let mut child = command.spawn().unwrap();
    let mut out = child.stdout.take().unwrap();
    let mut printed = vec![0; bytes];
    // A run that ends before has printed less: its end is a moment like any other.
    let read = read_up_to(&mut out, &mut printed);
    printed.truncate(read);
    child.kill().unwrap();
    child.wait().unwrap();
    out.read_to_end(&mut printed).unwrap();
    String::from_utf8_lossy(&printed).into_owned()
}

fn read_up_to(from: &mut impl Read, into: &mut [u8]) -> usize {
    let mut filled = 0;
    while filled < into.len() {
        match from.read(&mut into[filled..]).unwrap() {
            0 => break,
            count => filled += count,
        }
    }
    filled
}

/// The answers that the screen has shown to be taken: those with another question below them.
fn acknowledged(printed: &str) -> Vec<&str> {
    let above = printed.rfind("\nStage ").unwrap_or(0);
    let lines = printed[..above].lines().filter_map(|line| line.strip_prefix("> "));
    lines.filter(|line| !line.starts_with("(waits")).collect()
}

/// The answers in a record, in order; what was acknowledged has no text of its own.
fn recorded(record: &Record) -> Vec<Option<&str>> {
    let answer = |entry: &'_ serde_json::Value| {
        let event = &entry["event"];
        event.get("entered").or(event.get("acknowledged")).is_some()
    };
    let answers = record.entries.iter().filter(|entry| answer(entry));
    answers.map(|entry| entry["event"]["entered"]["text"].as_str()).collect()
}

#[test]
fn what_was_shown_as_taken_is_in_the_record_after_a_kill_at_any_moment() {
    let mut random = Random::seeded();
    let whole = killed_after(&Bench::new(), usize::MAX / 2_usize.pow(30)).len();
    for _ in 0..ROUNDS {
        let moment = random.below(whole);
        let bench = Bench::new();
        let printed = killed_after(&bench, moment);
        let acknowledged = acknowledged(&printed);
        let records = bench.records();
        let Some(path) = records.first() else {
            assert!(acknowledged.is_empty(), "killed after {moment} bytes: no record");
            continue;
        };
        let before = fs::read(path).unwrap();
        if !before.contains(&b'\n') {
            assert!(acknowledged.is_empty(), "killed after {moment} bytes: an empty record");
            continue;
        }
        let record = bench.record();
        let recorded = recorded(&record);
        assert!(recorded.len() >= acknowledged.len(), "killed after {moment} bytes:\n{printed}");
        for (taken, written) in acknowledged.iter().zip(&recorded) {
            assert!(written.is_none_or(|written| written == *taken), "{taken:?}, {written:?}");
        }
        bench.wattstep(&["verify", "--all"]).out("verified").exit(0);
        if record.closed_safe().is_some() {
            continue;
        }
        let resumed = bench.wattstep(&["resume", "--answers", "good.yaml"]).any_out().exit(0);
        let first = resumed.out.find("\n> ").unwrap();
        assert!(resumed.out[..first].contains("SWITCH EVERYTHING OFF"), "{}", resumed.out);
        assert!(fs::read(path).unwrap().starts_with(&before), "what was written is still there");
        bench.wattstep(&["verify", "--all"]).out("closed: finished").exit(0);
    }
}

#[test]
fn a_tail_torn_at_any_byte_is_declared_and_gone_on_from() {
    let mut random = Random::seeded();
    let bench = Bench::new();
    let path = bench.leave_unfinished();
    let whole = fs::read(&path).unwrap();
    let first = whole.iter().position(|byte| *byte == b'\n').unwrap() + 1;
    for _ in 0..ROUNDS {
        let cut = first + random.below(whole.len() - first);
        fs::write(&path, &whole[..cut]).unwrap();
        bench.forget_ends();
        bench.wattstep(&["verify", "--all"]).out("verified").exit(0);
        bench.wattstep(&["resume", "--answers", "good.yaml"]).any_out().exit(0);
        assert!(fs::read(&path).unwrap().starts_with(&whole[..cut]), "cut after {cut} bytes");
        bench.wattstep(&["verify", "--all"]).out("closed: finished").exit(0);
        bench.wattstep(&["show", path.to_str().unwrap()]).any_out().exit(0);
    }
}

#[test]
fn a_run_at_a_terminal_that_was_killed_is_taken_up_by_making_safe() {
    let bench = Bench::new();
    let mut desk = Desk::run(&bench, &Look::usual());
    desk.until("Power on the power meter");
    let before = bench.record().entries.len();
    desk.terminal.signal("KILL");
    desk.terminal.exit_code();
    assert_eq!(bench.record().entries.len(), before);
    let mut desk = Desk::resume(&bench, &Look::usual());
    let question = desk.question();
    assert!(question.contains("NOW: SWITCH EVERYTHING OFF"), "{question}");
    assert!(question.contains("ENERGY STATE UNKNOWN: treat as live"), "{question}");
    assert_eq!(desk.finish(), 0);
}

#[test]
fn a_record_that_another_program_writes_to_is_left_alone() {
    let bench = Bench::new();
    let mut desk = Desk::run(&bench, &Look::usual());
    desk.until("Lead end to end");
    let path = bench.record().path;
    let before = fs::read(&path).unwrap();
    let path = path.to_str().unwrap().to_owned();
    bench
        .wattstep(&["resume", &path, "--answers", "good.yaml"])
        .err("another program has this record open")
        .exit(1);
    assert_eq!(fs::read(&path).unwrap(), before);
    assert_eq!(desk.finish(), 0);
}
