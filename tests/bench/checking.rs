//! How long one process takes to check a thousand procedures, and how much memory it needs for that.
//!
//! The aim: less than 2 s on 2 cores and less than 64 MB.
#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a benchmark fails loudly and prints"
)]

mod child;

use std::fs;
use std::path::Path;
use std::process::Command;
use std::time::Duration;

use wattstep::test_points::procedure::bundled;

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

fn check(folder: &Path, names: &[String]) -> (Duration, u64) {
    let wattstep = env!("CARGO_BIN_EXE_wattstep");
    child::measured(Command::new(wattstep).arg("check").args(names).current_dir(folder))
}
