//! How long the program takes to start, and to check a bundled procedure, against a program that does nothing.
//!
//! All run in turns in one go, so that what else the machine does falls on all of them.
#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a benchmark fails loudly and prints"
)]

use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const ROUNDS: usize = 200;

const WATTSTEP: &str = env!("CARGO_BIN_EXE_wattstep");

const PROCEDURE: &str = "amplifier-class-ab";

fn main() {
    let (mut nothing, mut version, mut check) = (Vec::new(), Vec::new(), Vec::new());
    for _ in 0..ROUNDS {
        nothing.push(time("/bin/true", &[]));
        version.push(time(WATTSTEP, &["--version"]));
        check.push(time(WATTSTEP, &["check", PROCEDURE]));
    }
    let nothing = median(nothing);
    println!("medians of {ROUNDS} runs");
    println!("/bin/true                         {:.2} ms", ms(nothing));
    for (name, times) in [("wattstep --version", version), ("wattstep check", check)] {
        let time = median(times);
        let ratio = time.as_secs_f64() / nothing.as_secs_f64();
        println!("{name:<33} {:.2} ms, {ratio:.1} times /bin/true", ms(time));
    }
}

fn time(program: &str, arguments: &[&str]) -> Duration {
    let mut command = Command::new(program);
    command.args(arguments).env_clear().stdin(Stdio::null()).stdout(Stdio::null());
    let begun = Instant::now();
    let status = command.status().unwrap();
    let taken = begun.elapsed();
    assert!(status.success(), "{program} {arguments:?}: {status}");
    taken
}

fn median(mut times: Vec<Duration>) -> Duration {
    times.sort();
    *times.get(times.len() / 2).unwrap()
}

fn ms(time: Duration) -> f64 {
    time.as_secs_f64() * 1000.0
}
