//! The archive over many records: how fast its index is built, how long an answer takes, and what memory it needs.
//!
//! `cargo bench --bench archive -- 1000 10000` takes these numbers of records in turn; they are written for it and removed.
#![expect(clippy::unwrap_used, reason = "a benchmark fails loudly")]

mod child;
#[path = "../it/support/shop.rs"]
mod shop;

use std::io::{self, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use wattstep::test_points::archive::{Archive, Filter, Proposal, Sides, Thoroughness, Trend};

const ROUNDS: usize = 7;

fn main() {
    let asked: Vec<u32> = std::env::args().filter_map(|arg| arg.parse().ok()).collect();
    let counts = if asked.is_empty() { vec![1_000] } else { asked };
    counts.into_iter().for_each(measure);
}

fn measure(count: u32) {
    // Under target/, as /tmp may be memory.
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    generate(folder.path(), count);
    let mut out = io::stdout().lock();
    let mut line = |what: &str, figure: String| writeln!(out, "{what:<34} {figure}").unwrap();
    line("records", format!("{count}, {} entries each", shop::ENTRIES));

    let start = Instant::now();
    let mut archive = Archive::open(folder.path()).unwrap();
    let before = processor();
    let built = archive.refresh(Thoroughness::Quick).unwrap();
    let (time, processor) = (start.elapsed(), processor() - before);
    let per_second = built.entries as f64 / time.as_secs_f64();
    line("index built", format!("{:.2} s, {per_second:.0} entries/s", time.as_secs_f64()));
    let each = processor * 1e6 / built.entries as f64;
    line("  processor, each entry", format!("{each:.2} us on all cores together"));
    line("  each record", format!("{:.0} us", time.as_secs_f64() * 1e6 / f64::from(count)));
    let index = folder.path().join(wattstep::test_points::archive::INDEX_NAME);
    line("  index", format!("{:.1} MB", index.metadata().unwrap().len() as f64 / 1e6));
    line("  most memory", memory());

    let looked = shortest(|| archive.refresh(Thoroughness::Every).unwrap());
    line("looking at every file", milliseconds(looked));
    let all = Filter::default();
    let person = Filter { person: Some("example-3".to_owned()), ..all.clone() };
    let serial = Filter { serial: Some("L-000123".to_owned()), ..all.clone() };
    let since = "2021-03-01".parse().unwrap();
    let points = archive.history("idle-plus", &all).unwrap();
    let model = Filter { equipment: Some("Pellow lantern 3 (invented)".to_owned()), ..all.clone() };
    let instrument = Filter {
        equipment: Some("lantern 7".to_owned()),
        instrument: Some("SM-2".to_owned()),
        ..all.clone()
    };
    for (what, time) in [
        ("records, all", shortest(|| archive.records(&all).unwrap())),
        ("records, one serial number", shortest(|| archive.records(&serial).unwrap())),
        ("records, one person", shortest(|| archive.records(&person).unwrap())),
        ("records, equipment and instrument", shortest(|| archive.records(&instrument).unwrap())),
        (
            "trend of one model of twenty",
            shortest(|| Trend::of(&archive.history("idle-plus", &model).unwrap())),
        ),
        ("history of one reading", shortest(|| archive.history("idle-plus", &all).unwrap())),
        ("trend of it", shortest(|| Trend::of(&points))),
        ("window learned from it", shortest(|| Proposal::learn(&points, Sides::Both))),
        (
            "affected by one meter of three",
            shortest(|| archive.affected("SM-1", since, false, false).unwrap()),
        ),
    ] {
        line(what, milliseconds(time));
    }
    line("  most memory", memory());
    drop(archive);
    whole_processes(folder.path(), count, &mut line);
}

/// What answers take from the start of the program to its end.
fn whole_processes(folder: &Path, count: u32, line: &mut dyn FnMut(&str, String)) {
    // Long enough for the folder to be at rest, so that not every file has to be looked at.
    thread::sleep(Duration::from_secs(3));
    // A meter that turned out to be off at its last check: the readings of the last weeks.
    let since = shop::Run::nth(count.saturating_sub(count / 100)).opened;
    let since = since.format("%Y-%m-%d").to_string();
    for arguments in [
        &["records", "--serial", "L-000123"][..],
        &["records", "--person", "example-3", "--from", "2021-03-01", "--to", "2021-03-31"],
        &["trend", "idle-plus", "--equipment", "Pellow lantern 3 (invented)"],
        &["propose", "idle-plus", "--equipment", "Pellow lantern 3 (invented)"],
        &["affected", "--instrument", "SM-1", "--since", since.as_str()],
        &["records", "--format", "json"],
    ] {
        let time = answered(folder, arguments);
        let words = arguments.iter().take(3).copied().collect::<Vec<_>>().join(" ");
        line(&format!("wattstep {words}"), milliseconds(time));
    }
    let mut json = Command::new(env!("CARGO_BIN_EXE_wattstep"));
    json.args(["records", "--format", "json", "--records"]).arg(folder);
    line("  most memory of the last", format!("{} kB", child::measured(&mut json).1));
    let edited = edit_an_old_record(folder);
    line("told of an edited old record", edited);
}

/// Changes a byte of the first record, and says when an answer tells of it: at once where it is asked to look again.
fn edit_an_old_record(folder: &Path) -> String {
    let mut records: Vec<_> =
        std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    records.retain(|path| path.extension().is_some_and(|end| end == "jsonl"));
    records.retain(|path| !path.ends_with("register.jsonl"));
    records.sort();
    let first = records.first().unwrap();
    let mut bytes = std::fs::read(first).unwrap();
    let middle = bytes.len() / 2;
    *bytes.get_mut(middle).unwrap() ^= 1;
    std::fs::write(first, bytes).unwrap();
    let said = |arguments: &[&str]| {
        let mut program = Command::new(env!("CARGO_BIN_EXE_wattstep"));
        let begun = Instant::now();
        let printed = program.args(arguments).arg("--records").arg(folder).output().unwrap();
        let time = milliseconds(begun.elapsed());
        let is_told = String::from_utf8_lossy(&printed.stdout).starts_with("DAMAGED: 1 record");
        (if is_told { "told" } else { "not told" }, time)
    };
    let quick = said(&["records", "--serial", "L-000123"]);
    let looked = said(&["records", "--serial", "L-000123", "--look-again"]);
    format!("{} in {}; with --look-again {} in {}", quick.0, quick.1, looked.0, looked.1)
}

fn generate(folder: &Path, count: u32) {
    let write = |half| {
        let runs = (half..count).step_by(2);
        runs.flat_map(|number| shop::Run::nth(number).write(folder)).collect::<Vec<_>>()
    };
    let lines = thread::scope(|scope| {
        let halves = [0, 1].map(|half| scope.spawn(move || write(half)));
        halves.map(|half| half.join().unwrap())
    });
    shop::register(folder, lines.into_iter().flatten());
}

/// What a call of the whole program takes, from its start to its end, where nothing has changed since the last one.
fn answered(folder: &Path, arguments: &[&str]) -> Duration {
    let call = || {
        let mut program = Command::new(env!("CARGO_BIN_EXE_wattstep"));
        program.args(arguments).arg("--records").arg(folder).stdout(Stdio::null());
        assert!(program.status().unwrap().success(), "{arguments:?}");
    };
    call();
    shortest(call)
}

/// The shortest of some rounds: what the work takes where nothing else comes between.
fn shortest<T>(mut round: impl FnMut() -> T) -> Duration {
    let times = (0..ROUNDS).map(|_| {
        let start = Instant::now();
        std::hint::black_box(round());
        start.elapsed()
    });
    times.min().unwrap()
}

fn milliseconds(time: Duration) -> String {
    format!("{:.2} ms", time.as_secs_f64() * 1e3)
}

/// The most memory that this process has held, as Linux tells it.
fn memory() -> String {
    let status = std::fs::read_to_string("/proc/self/status").unwrap();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.unwrap_or("unknown").trim().to_owned()
}

/// The time that this process has had the processors for, with all its threads (s), as Linux tells it.
fn processor() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap();
    let after_name = stat.rsplit_once(')').unwrap().1;
    let ticks =
        after_name.split_whitespace().skip(11).take(2).map(|word| word.parse::<f64>().unwrap());
    ticks.sum::<f64>() / 100.0
}
