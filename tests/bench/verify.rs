//! How long `wattstep verify --all` takes on an archive, against `sha256sum` over the same bytes on the same cores, and
//! how much memory it needs for archives of two sizes.
//!
//! The aim: no more than 1.5 times `sha256sum`, and memory that does not grow with the bytes.
#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a benchmark fails loudly and prints"
)]

mod child;

use std::fs;
use std::io;
use std::num::NonZero;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::thread::available_parallelism;
use std::time::{Duration, Instant};

use chrono::DateTime;
use serde_json::Value;
use wattstep::test_points::journal::{Change, Disk, Journal, RecordEnd, Registration};
use wattstep::test_points::record::{Mode, Outcome};

const ROUNDS: usize = 7;
const RECORDS: usize = 3_000;
const WATTSTEP: &str = env!("CARGO_BIN_EXE_wattstep");

/// Bytes of a journal in the making, without the syncs that a real one waits for.
#[derive(Default)]
struct Memory(Vec<u8>);

impl Disk for &mut Memory {
    fn append(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.0.extend_from_slice(bytes);
        Ok(())
    }

    fn sync(&mut self) -> io::Result<()> {
        Ok(())
    }
}

fn main() {
    let entries = entries();
    let small = archive(RECORDS / 10, &entries);
    let large = archive(RECORDS, &entries);
    let bytes: u64 = files(large.path()).iter().map(|path| path.metadata().unwrap().len()).sum();
    let (mut ours, mut plain) = (Vec::new(), Vec::new());
    let mut memory_kib = 0;
    for _ in 0..ROUNDS {
        plain.push(sha256sum(large.path()));
        let (time, memory) = verify(large.path());
        ours.push(time);
        memory_kib = memory.max(memory_kib);
    }
    let (ours, plain) = (median(ours), median(plain));
    let (_, small_kib) = verify(small.path());
    println!("{RECORDS} records, {:.0} MB, median of {ROUNDS} rounds", bytes as f64 / 1e6);
    println!("verify --all {:.3} s, {:.0} MB/s", ours, bytes as f64 / 1e6 / ours);
    println!("sha256sum    {:.3} s, {:.0} MB/s", plain, bytes as f64 / 1e6 / plain);
    println!("ratio        {:.2} (aim: 1.5 or less)", ours / plain);
    println!("peak memory  {:.1} MB", megabytes(memory_kib));
    println!("             {:.1} MB for a tenth of the records", megabytes(small_kib));
}

fn megabytes(kib: u64) -> f64 {
    kib as f64 * 1024.0 / 1e6
}

fn median(mut rounds: Vec<Duration>) -> f64 {
    rounds.sort();
    rounds.get(ROUNDS / 2).unwrap().as_secs_f64()
}

/// The entries of a good run of the largest bundled procedure.
fn entries() -> Vec<Value> {
    let folder = tempfile::tempdir().unwrap();
    let example = Path::new(env!("CARGO_MANIFEST_DIR")).join("procedures/amplifier-class-ab");
    let run = Command::new(WATTSTEP)
        .args(["run", "amplifier-class-ab", "--equipment"])
        .arg(example.join("equipment.yaml"))
        .arg("--answers")
        .arg(example.join("good.answers.yaml"))
        .arg("--records")
        .arg(folder.path())
        .stdout(Stdio::null())
        .status();
    assert!(run.unwrap().success());
    let is_record = |path: &PathBuf| !path.ends_with("register.jsonl");
    let record = files(folder.path()).into_iter().find(is_record).unwrap();
    let text = fs::read_to_string(record).unwrap();
    let entry = |line: &str| serde_json::from_str::<Value>(line).unwrap().get("entry").cloned();
    text.lines().map(|line| entry(line).unwrap()).collect()
}

/// A folder with so many records of these entries, each registered.
fn archive(records: usize, entries: &[Value]) -> tempfile::TempDir {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let mut lines = Memory::default();
    let mut register = Journal::over(&mut lines, PathBuf::from("memory"));
    let at = DateTime::UNIX_EPOCH.fixed_offset();
    for n in 0..records {
        let run = format!("20260302-091500-{n:05}");
        let mut bytes = Memory::default();
        let mut journal = Journal::over(&mut bytes, PathBuf::from("memory"));
        let mut first = String::new();
        for entry in entries {
            let mut entry = entry.clone();
            // So that no two records have the same bytes.
            if let Some(by) = entry.get_mut("by") {
                *by = format!("Kim Bench-Test {n} (invented)").into();
            }
            journal.append(&entry).unwrap();
            if journal.lines() == 1 {
                journal.head().clone_into(&mut first);
            }
        }
        let end = RecordEnd { lines: journal.lines(), head: journal.head().to_owned(), torn: None };
        let (program, operator) = ("0".to_owned(), "Kim Bench-Test (invented)".to_owned());
        let mode = Mode::Scripted;
        for what in [
            Change::Opened { first, program, mode, operator },
            Change::Ended { end, outcome: Outcome::Finished },
        ] {
            register.append(&Registration { at, run: run.clone(), what }).unwrap();
        }
        fs::write(folder.path().join(format!("{run}.jsonl")), bytes.0).unwrap();
    }
    fs::write(folder.path().join("register.jsonl"), lines.0).unwrap();
    folder
}

fn files(folder: &Path) -> Vec<PathBuf> {
    let found = fs::read_dir(folder).unwrap();
    found.map(|file| file.unwrap().path()).filter(|path| path.extension().is_some()).collect()
}

fn sha256sum(folder: &Path) -> Duration {
    let cores = available_parallelism().map_or(1, NonZero::get);
    let script = format!("find . -name '*.jsonl' -print0 | xargs -0 -n 64 -P {cores} sha256sum");
    let begun = Instant::now();
    let sum =
        Command::new("sh").args(["-c", &script]).current_dir(folder).stdout(Stdio::null()).status();
    assert!(sum.unwrap().success());
    begun.elapsed()
}

fn verify(folder: &Path) -> (Duration, u64) {
    let verify = ["verify", "--all", "--records", "."];
    child::measured(Command::new(WATTSTEP).args(verify).current_dir(folder))
}
