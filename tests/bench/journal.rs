//! Entries per second through the journal, against the bare disk: the same bytes written and synced
//! without it.
//!
//! Both run in turns in one go and on one disk, so that what else the machine does falls on both.
#![expect(clippy::unwrap_used, reason = "a benchmark fails loudly")]

use std::fs::File;
use std::io::{self, Write};
use std::path::Path;
use std::time::{Duration, Instant};

use serde::Serialize;
use wattstep::test_points::journal::Journal;

const ROUNDS: usize = 30;
const ENTRIES: usize = 100;

/// An entry of a usual size.
#[derive(Serialize)]
struct Entry {
    by: &'static str,
    event: &'static str,
    facts: [(&'static str, &'static str); 5],
}

const ENTRY: Entry = Entry {
    by: "A. Tester (invented)",
    event: "measured",
    facts: [
        ("step", "idle-plus"),
        ("typed", "30 mA"),
        ("with", "meter"),
        ("window", "18 mA to 42 mA"),
        ("verdict", "inside"),
    ],
};

fn main() {
    // Under target/, as /tmp may be memory, where a sync costs nothing.
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let lengths = line_lengths(folder.path());
    let mut journal = Journal::create(folder.path(), "journal").unwrap();
    let mut bare =
        File::options().append(true).create(true).open(folder.path().join("bare")).unwrap();
    let (mut through_journal, mut through_bare) = (Vec::new(), Vec::new());
    for _ in 0..ROUNDS {
        through_journal.push(timed(|| (0..ENTRIES).for_each(|_| journal.append(&ENTRY).unwrap())));
        through_bare.push(timed(|| lengths.iter().for_each(|&length| write(&mut bare, length))));
    }
    let (journal, bare) = (per_second(through_journal), per_second(through_bare));
    let mut out = io::stdout().lock();
    writeln!(out, "journal      {journal:8.0} entries/s (median of {ROUNDS} rounds of {ENTRIES})")
        .unwrap();
    writeln!(out, "bare disk    {bare:8.0} writes/s of the same lengths").unwrap();
    writeln!(out, "ratio        {:8.3} (aim: 0.9 or more)", journal / bare).unwrap();
}

/// The lengths of the lines that a round writes.
fn line_lengths(folder: &Path) -> Vec<usize> {
    let mut journal = Journal::create(folder, "lengths").unwrap();
    (0..ENTRIES).for_each(|_| journal.append(&ENTRY).unwrap());
    let bytes = std::fs::read(journal.path()).unwrap();
    bytes.split_inclusive(|&byte| byte == b'\n').map(<[u8]>::len).collect()
}

fn write(bare: &mut File, length: usize) {
    bare.write_all(&vec![b'x'; length]).unwrap();
    bare.sync_data().unwrap();
}

fn timed(round: impl FnOnce()) -> Duration {
    let start = Instant::now();
    round();
    start.elapsed()
}

/// Entries per second in the median round.
fn per_second(mut rounds: Vec<Duration>) -> f64 {
    rounds.sort();
    let median = rounds.get(rounds.len() / 2).unwrap();
    ENTRIES as f64 / median.as_secs_f64()
}
