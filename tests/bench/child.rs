//! A process that a benchmark waits for: how long it takes and how much memory it needs.

use std::fs;
use std::process::{Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

/// The time it takes, and the most memory that was in use (KiB).
pub(crate) fn measured(command: &mut Command) -> (Duration, u64) {
    let begun = Instant::now();
    let mut child = command.stdout(Stdio::null()).spawn().unwrap();
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
    assert!(exit.success(), "{command:?}: {exit}");
    (begun.elapsed(), memory_kib)
}

fn highest_mark(status: String) -> Option<u64> {
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}
