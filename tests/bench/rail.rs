//! How long it takes to work a rail out, against one run of a circuit simulator on the same case.
//!
//! The aim: at least 50 times faster. Both are whole processes, run in turns, so that what else the machine does falls
//! on both; the program works the rail out three times, on nominal, low and high mains. Needs `ngspice`.
#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a benchmark fails loudly and prints"
)]

use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use wattstep::test_points::quantity::Quantity;

const ROUNDS: usize = 50;

const NETLIST: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/tests/data/netlists/rails_split_35V_0.3R_4700u_cc1_50Hz.cir"
);

/// The case of that netlist.
const RAIL: &str = "work-out rail --topology split --secondary 35V --winding 0.3ohm --reservoir 4700uF --load 1A \
     --mains-hz 50Hz --format json";

fn main() {
    let mut wattstep = Command::new(env!("CARGO_BIN_EXE_wattstep"));
    wattstep.args(RAIL.split_whitespace()).env_clear();
    let mut simulator = Command::new("ngspice");
    simulator.args(["-n", "-b", NETLIST]);
    let (mut ours, mut theirs) = (Vec::new(), Vec::new());
    for _ in 0..ROUNDS {
        let (ours_took, answer) = run(&mut wattstep);
        let (theirs_took, measured) = run(&mut simulator);
        let (answer, measured) = (rail_v(&answer), average_v(&measured));
        assert!((answer / measured - 1.0).abs() < 0.01, "{answer} V against {measured} V");
        ours.push(ours_took);
        theirs.push(theirs_took);
    }
    let (ours, theirs) = (median(ours), median(theirs));
    println!("medians of {ROUNDS} runs");
    println!("wattstep work-out rail  {:.2} ms", ms(ours));
    println!("ngspice -n -b           {:.2} ms", ms(theirs));
    println!("ratio                   {:.0}", theirs.as_secs_f64() / ours.as_secs_f64());
}

/// Runs a program to its end: the time it takes, and what it prints.
fn run(command: &mut Command) -> (Duration, String) {
    command.stdin(Stdio::null()).stderr(Stdio::null());
    let begun = Instant::now();
    let output = command.output().unwrap_or_else(|error| panic!("{command:?}: {error}"));
    let taken = begun.elapsed();
    assert!(output.status.success(), "{command:?}: {}", output.status);
    (taken, String::from_utf8(output.stdout).unwrap())
}

fn rail_v(answer: &str) -> f64 {
    let answer: serde_json::Value = serde_json::from_str(answer).unwrap();
    let rail = answer.pointer("/values/0").unwrap();
    assert_eq!(rail.get("name").unwrap(), "rail");
    Quantity::parse(rail.get("value").unwrap().as_str().unwrap()).unwrap().to_f64()
}

fn average_v(measured: &str) -> f64 {
    let line = measured.lines().find_map(|line| line.strip_prefix("vavg")).unwrap();
    let value = line.split_whitespace().find(|word| word.starts_with(|c: char| c.is_ascii_digit()));
    value.unwrap().parse().unwrap()
}

fn median(mut times: Vec<Duration>) -> Duration {
    times.sort();
    *times.get(times.len() / 2).unwrap()
}

fn ms(time: Duration) -> f64 {
    time.as_secs_f64() * 1000.0
}
