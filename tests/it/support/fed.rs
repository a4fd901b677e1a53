//! A bench whose supply is connected, with the lantern on it: rehearsed on the simulated bench, or fed by an instrument of
//! a test.

use std::fs;
use std::thread::sleep;
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

use super::bench::Bench;
use super::desk::Desk;
use super::terminal::Look;

/// The lantern with a connected supply: a ramp of minutes, a watch, and a wait on the mains.
pub(crate) const FED: &str = include_str!("fed.yaml");

const ANSWERS: &str = include_str!("fed.answers.yaml");

const EQUIPMENT: &str = include_str!("fed.equipment.yaml");

const MODEL: &str = include_str!("fed.simulated.yaml");

/// Everything that can come on at the simulated bench, each with what switches it off.
const OUTPUTS: [(&str, &str); 3] = [
    ("supply", "INST:NSEL 1;:OUTP OFF"),
    ("supply", "INST:NSEL 2;:OUTP OFF"),
    ("limiter", "OUTP OFF"),
];

/// How a rehearsal of it is asked for.
pub(crate) const REHEARSE: [&str; 10] = [
    "run",
    "fed.yaml",
    "--equipment",
    "fed.equipment.yaml",
    "--bench",
    "simulated",
    "--model",
    "fed.simulated.yaml",
    "--simulated-log",
    "log",
];

/// A message that a simulated instrument got.
#[derive(Clone, Debug)]
pub(crate) struct Got {
    pub(crate) unix_ms: u64,
    pub(crate) instrument: String,
    pub(crate) message: String,
}

/// A bench with the lantern's files on it; some words of the procedure may be others.
pub(crate) fn bench(changes: &[(&str, &str)]) -> Bench {
    let bench = Bench::new();
    let fed = changes.iter().fold(FED.to_owned(), |text, (from, to)| {
        assert!(text.contains(from), "the procedure has no {from:?}");
        text.replace(from, to)
    });
    bench.write("fed.yaml", fed);
    bench.write("fed.answers.yaml", ANSWERS);
    bench.write("fed.equipment.yaml", EQUIPMENT);
    bench.write("fed.simulated.yaml", MODEL);
    bench
}

/// Sits down at a rehearsal.
pub(crate) fn rehearse(bench: &Bench) -> Desk {
    let person = ["--operator", "Kim Example-Tech"];
    Desk::start(bench.folder(), &Look::usual(), &[&REHEARSE[..], &person].concat())
}

/// What the simulated instruments got, in order.
pub(crate) fn log(bench: &Bench) -> Vec<Got> {
    let text = fs::read_to_string(bench.path("log")).unwrap();
    let whole = text.rfind('\n').map_or("", |end| &text[..end]);
    whole.lines().map(got).collect()
}

fn got(line: &str) -> Got {
    let mut words = line.splitn(4, ' ');
    let mut word = || words.next().unwrap().to_owned();
    let (unix_ms, _, instrument, message) = (word().parse().unwrap(), word(), word(), word());
    Got { unix_ms, instrument, message }
}

/// The time now, as the log has it.
pub(crate) fn unix_ms() -> u64 {
    SystemTime::now().duration_since(UNIX_EPOCH).unwrap().as_millis() as u64
}

/// Waits until every output was told to go off after this moment; gives how long the last of them took (ms).
pub(crate) fn off_after(bench: &Bench, since_ms: u64) -> u64 {
    let by = Instant::now() + Duration::from_secs(20);
    loop {
        let log = log(bench);
        let off = |(instrument, message): &(&str, &str)| {
            let is_it = |got: &&Got| {
                got.unix_ms >= since_ms && got.instrument == *instrument && got.message == *message
            };
            log.iter().find(is_it).map(|got| got.unix_ms - since_ms)
        };
        if let Some(all) = OUTPUTS.iter().map(off).collect::<Option<Vec<_>>>() {
            return all.into_iter().max().unwrap();
        }
        assert!(Instant::now() < by, "not every output was told to go off");
        sleep(Duration::from_millis(5));
    }
}

/// Whether anything was told to come on, and nothing went off after it.
pub(crate) fn is_on(log: &[Got]) -> bool {
    let last = |word: &str| log.iter().rposition(|got| got.message.ends_with(word));
    last("OUTP ON") > last("OUTP OFF")
}
