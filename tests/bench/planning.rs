//! How long it takes in one process to plan a run of the largest bundled procedure, and to start it: to read it, its
//! equipment file and the bench file, check them, and work out the whole plan or start the run up to its first question.
//!
//! The aim: less than 20 ms for the plan.
#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a benchmark fails loudly and prints"
)]

use std::fs;
use std::hint::black_box;
use std::time::{Duration, Instant};

use wattstep::test_points::procedure::{
    Subject, bundled, check, check_equipment, read_bench, read_equipment, read_procedure,
};
use wattstep::test_points::record::{Event, FORMAT, Mode, Moment, Opening, Provided};
use wattstep::test_points::runner::{Effect, Runner};

const ROUNDS: usize = 300;

const BENCH: &str = "quillmere.bench.yaml";

fn main() {
    let largest = *bundled::NAMES.iter().max_by_key(|name| text(name).len()).unwrap();
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/procedures");
    let read = |name: &str| fs::read_to_string(format!("{folder}/{name}")).unwrap();
    let (equipment, bench) = (read(&format!("{largest}/equipment.yaml")), read(BENCH));
    let mut rounds: Vec<_> = (0..ROUNDS).map(|_| plan(text(largest), &equipment, &bench)).collect();
    rounds.sort_by_key(|parts| parts.iter().sum::<Duration>());
    let median = rounds.get(ROUNDS / 2).unwrap();
    println!("{largest}, {} kB, median of {ROUNDS} runs", text(largest).len() / 1000);
    for (part, time) in ["read", "check", "plan", "start"].into_iter().zip(median) {
        println!("{part:<5}  {:.2} ms", ms(*time));
    }
    let [read, check, plan, start] = *median;
    println!("plan as a whole   {:.2} ms", ms(read + check + plan));
    println!("start as a whole  {:.2} ms", ms(read + check + start));
}

fn text(name: &str) -> &'static str {
    bundled::text(name).unwrap()
}

/// Plans once; the time of each part.
fn plan(text: &str, equipment_text: &str, bench_text: &str) -> [Duration; 4] {
    let begun = Instant::now();
    let procedure = read_procedure(black_box(text)).unwrap();
    let equipment = read_equipment(black_box(equipment_text)).unwrap();
    let bench = read_bench(black_box(bench_text)).unwrap();
    let read = begun.elapsed();
    let subject = Subject::new(&procedure, Some(&equipment), Some(&bench));
    let mut findings = check(&subject);
    findings.extend(check_equipment(Some(&procedure), &equipment));
    assert!(findings.is_empty(), "{findings:?}");
    let checked = begun.elapsed();
    let runner =
        || Runner::new(procedure.clone(), Some(equipment.clone())).on_bench(Some(bench.clone()));
    let plan = runner().plan();
    assert!(plan.missing.is_empty() && plan.errors.is_empty(), "{plan:?}");
    let planned = begun.elapsed();
    let started = started(text, equipment_text);
    let before_start = begun.elapsed();
    let mut runner = runner();
    let effects = runner.handle(Moment { wall: Default::default(), elapsed_ms: 0 }, started);
    let done = begun.elapsed();
    assert!(effects.iter().any(|effect| matches!(effect, Effect::Ask(_))), "{effects:?}");
    [read, checked - read, planned - checked, done - before_start]
}

/// The event that starts a run; what is frozen into its record does not enter the plan.
fn started(procedure: &str, equipment: &str) -> Event {
    let file = |text: &str| Provided {
        name: "invented".to_owned(),
        sha256: String::new(),
        text: text.to_owned(),
    };
    Event::Started(Box::new(Opening {
        format: FORMAT,
        run: "planning".to_owned(),
        program: "bench".to_owned(),
        mode: Mode::Scripted,
        operator: "An Invented Name".to_owned(),
        title: "planning".to_owned(),
        equipment_name: None,
        procedure: file(procedure),
        equipment: Some(file(equipment)),
        bench: None,
        people: None,
        signers: None,
        rehearsal: None,
        judged_at: None,
        approval: None,
    }))
}

fn ms(time: Duration) -> f64 {
    time.as_secs_f64() * 1000.0
}
