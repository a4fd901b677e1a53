//! How long one process takes to check a thousand procedures, and how much memory it needs for that.
//!
//! The aim: less than 2 s on 2 cores and less than 64 MB.
#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a benchmark fails loudly and prints"
)]

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use wattstep::procedure::bundled;

const ROUNDS: usize = 5;
const FILES: usize = 1_000;

fn main() {
    let folder = tempfile::tempdir().unwrap();
    let mut names = Vec::new();
    let mut bytes = 0;
    for n in 0..FILES {
        let bundled = bundled::NAMES.get(n % bundled::NAMES.len()).unwrap();
        let text = bundled::text(bundled).unwrap();
        let name = format!("{bundled}-{n}.yaml");
        fs::write(folder.path().join(&name), text).unwrap();
        bytes += text.len();
        names.push(name);
    }
    let mut rounds: Vec<_> = (0..ROUNDS).map(|_| check(folder.path(), &names)).collect();
    rounds.sort();
    let (time, _) = rounds.get(ROUNDS / 2).unwrap();
    let memory_kib = rounds.iter().map(|(_, memory_kib)| memory_kib).max().unwrap();
    println!("{FILES} procedures, {} kB, median of {ROUNDS} runs", bytes / 1000);
    println!("time         {:.2} s", time.as_secs_f64());
    println!("peak memory  {:.1} MB", *memory_kib as f64 * 1024.0 / 1e6);
}

/// The time it takes, and the most memory that was in use (KiB).
fn check(folder: &Path, names: &[String]) -> (Duration, u64) {
    let begun = Instant::now();
    let mut child = Command::new(env!("CARGO_BIN_EXE_wattstep"))
        .arg("check")
        .args(names)
        .current_dir(folder)
        .stdout(Stdio::null())
        .spawn()
        .unwrap();
    let status = format!("/proc/{}/status", child.id());
    let mut memory_kib = 0;
    // The system keeps the highest mark itself, until the process is gone.
    let exit = loop {
        memory_kib = fs::read_to_string(&status).ok().and_then(highest_mark).unwrap_or(memory_kib);
        match child.try_wait().unwrap() {
            Some(exit) => break exit,
            None => sleep(Duration::from_millis(1)),
        }
    };
    assert!(exit.success(), "{exit}");
    (begun.elapsed(), memory_kib)
}

fn highest_mark(status: String) -> Option<u64> {
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}
