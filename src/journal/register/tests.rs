//! What the register must hold up against by itself.
#![expect(clippy::unwrap_used, reason = "a test fails loudly")]

use std::fs;
use std::path::Path;

use chrono::DateTime;

use super::*;
use crate::journal::limits::LINE_MAX;
use crate::journal::{Journal, JournalError, check_file};
use crate::record::Mode;

fn announcement(run: &str) -> Announcement {
    Announcement {
        at: DateTime::UNIX_EPOCH.fixed_offset(),
        run: run.to_owned(),
        program: "0".to_owned(),
        mode: Mode::Real,
        operator: "Kim Bench-Test (invented)".to_owned(),
    }
}

/// Adds a line to the register of a folder.
fn opened(folder: &Path, run: &str) {
    let mut register = Register::open(folder).unwrap();
    register.add(announcement(run).with("f".repeat(64))).unwrap();
}

#[test]
fn a_run_is_registered_before_its_first_line_or_does_not_begin() {
    let folder = tempfile::tempdir().unwrap();
    let begin =
        |run: &str| Journal::create(folder.path(), run).unwrap().announcing(announcement(run));
    let mut journal = begin("run-1");
    assert!(Index::read(folder.path()).unwrap().is_none());
    journal.append("entry").unwrap();
    journal.append("another").unwrap();
    let index = Index::read(folder.path()).unwrap().unwrap();
    assert_eq!(index.chain.lines, 1, "it is announced once");
    let mut hashes = Vec::new();
    check_file(journal.path(), |line| hashes.push(line.hash.to_owned())).unwrap();
    assert_eq!(index.run("run-1").unwrap().first.as_ref(), hashes.first());

    fs::write(folder.path().join(REGISTER), "damaged\n").unwrap();
    let mut journal = begin("run-2");
    assert!(matches!(journal.append("entry"), Err(JournalError::Damaged { .. })));
    assert!(matches!(journal.append("entry"), Err(JournalError::Poisoned { .. })));
    assert_eq!(fs::read(journal.path()).unwrap(), b"");
}

#[test]
fn a_torn_tail_of_the_register_is_declared_even_within_its_first_line() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join(REGISTER);
    opened(folder.path(), "run-1");
    opened(folder.path(), "run-2");
    let whole = fs::read(&path).unwrap();
    let first = whole.iter().position(|byte| *byte == b'\n').unwrap() + 1;
    for cut in [0, 1, 40, first - 1, first, first + 1, first + 40, whole.len() - 1] {
        fs::write(&path, whole.get(..cut).unwrap()).unwrap();
        opened(folder.path(), "run-3");
        let index = Index::read(folder.path()).unwrap().unwrap();
        let kept = usize::from(cut >= first);
        assert_eq!((index.chain.lines, index.runs().count()), (kept + 1, kept + 1), "{cut}");
        assert!(fs::read(&path).unwrap().starts_with(whole.get(..cut).unwrap()), "{cut}");
    }
}

#[test]
fn a_line_of_the_register_that_is_no_registration_is_named() {
    let folder = tempfile::tempdir().unwrap();
    opened(folder.path(), "run-1");
    let path = folder.path().join(REGISTER);
    let (mut journal, _) = Journal::resume::<serde_json::Value>(&path).unwrap();
    journal.append("no registration").unwrap();
    journal.append("nor this").unwrap();
    let error = Index::read(folder.path()).unwrap_err().to_string();
    assert!(error.contains("line 2: the entry cannot be read"), "{error}");
}

#[test]
fn a_digest_is_read_as_it_was_printed_and_as_a_mail_wraps_it() {
    let at = DateTime::parse_from_rfc3339("2026-03-02T09:15:00+01:00").unwrap();
    let digest = Digest { lines: 12, head: "a1".repeat(32), at };
    let text = digest.to_string();
    assert_eq!(text.parse(), Ok(digest.clone()));
    assert_eq!(format!("  {}\n", text.replace(' ', "\n ")).parse(), Ok(digest));
    for wrong in ["", "wattstep register", &text.replace("a1", "A1"), &text.replace("12", "x")] {
        assert_eq!(wrong.parse::<Digest>(), Err(DigestError), "{wrong:?}");
    }
}

#[test]
fn a_line_too_long_is_damage_without_being_read_whole() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("run-1.jsonl");
    let mut journal = Journal::create(folder.path(), "run-1").unwrap();
    journal.append("entry").unwrap();
    let whole = fs::read(&path).unwrap();
    for ending in ["", "\n"] {
        let long = [&whole, " ".repeat(LINE_MAX + 5).as_bytes(), ending.as_bytes()].concat();
        fs::write(&path, long).unwrap();
        let error = check_file(&path, |_| {}).unwrap_err().to_string();
        assert!(error.contains("line 2: the line is longer than"), "{error}");
    }
}
