//! Records, registers and folders that others delete, move or change while they are open.

use chrono::DateTime;

use super::*;
use crate::journal::register::{Announcement, REGISTER};
use crate::record::Mode;

/// A journal with two notes, in a folder of its own.
fn open() -> (Shelf, Journal<FileDisk>) {
    let shelf = Shelf::new();
    let mut journal = Journal::create(shelf.path(), "run-1").unwrap();
    for n in 1..=2 {
        journal.append(&note(n)).unwrap();
    }
    (shelf, journal)
}

/// What the third note leads to; after it the journal takes no more.
fn third(journal: &mut Journal<FileDisk>) -> (Displaced, Option<PathBuf>) {
    let failed = journal.append(&note(3)).unwrap_err();
    let poisoned = journal.append(&note(4)).unwrap_err();
    assert!(matches!(poisoned, JournalError::Poisoned { .. }), "{poisoned}");
    match failed {
        JournalError::Displaced { displaced, rescued, .. } => (displaced, rescued),
        other => panic!("{other}"),
    }
}

/// The notes in a file, all whole.
fn notes_in(path: &Path) -> Vec<ExampleNote> {
    read_notes(&fs::read(path).unwrap()).unwrap().entries
}

#[test]
fn a_record_that_was_deleted_is_written_again_with_the_entry_at_hand() {
    let (shelf, mut journal) = open();
    let path = shelf.path().join("run-1.jsonl");
    fs::remove_file(&path).unwrap();
    assert_eq!(third(&mut journal), (Displaced::Gone, Some(path.clone())));
    assert_eq!(notes_in(&path), notes(3));
    assert_eq!((journal.lines(), journal.head().len()), (3, 64));
    // It can be gone on with: the head is that of the last line.
    drop(journal);
    let (mut journal, contents) = Journal::resume::<ExampleNote>(&path).unwrap();
    assert_eq!(contents.entries.len(), 3);
    journal.append(&note(4)).unwrap();
    assert_eq!(notes_in(&path), notes(4));
}

#[test]
fn a_record_that_was_renamed_has_all_entries_under_both_names() {
    let (shelf, mut journal) = open();
    let (path, other) = (shelf.path().join("run-1.jsonl"), shelf.path().join("other"));
    fs::rename(&path, &other).unwrap();
    assert_eq!(third(&mut journal), (Displaced::Gone, Some(path.clone())));
    assert_eq!(fs::read(&path).unwrap(), fs::read(&other).unwrap());
    assert_eq!(notes_in(&other), notes(3));
}

#[test]
fn what_stands_in_the_place_of_a_record_is_left_alone_and_the_record_kept_beside_it() {
    let (shelf, mut journal) = open();
    let path = shelf.path().join("run-1.jsonl");
    fs::remove_file(&path).unwrap();
    fs::write(&path, "precious").unwrap();
    let beside = shelf.path().join("run-1.jsonl.rescued");
    assert_eq!(third(&mut journal), (Displaced::Replaced, Some(beside.clone())));
    assert_eq!(fs::read(&path).unwrap(), b"precious");
    assert_eq!(notes_in(&beside), notes(3));
    assert_eq!(list(shelf.path()).unwrap(), [path], "what was rescued is no record yet");
}

#[test]
fn a_record_whose_folder_is_gone_is_kept_among_temporary_files() {
    let shelf = Shelf::new();
    let folder = shelf.path().join("records");
    let name = format!("displaced-{}", std::process::id());
    let mut journal = Journal::create(&folder, &name).unwrap();
    for n in 1..=2 {
        journal.append(&note(n)).unwrap();
    }
    fs::remove_dir_all(&folder).unwrap();
    let kept = std::env::temp_dir().join(format!("{name}.jsonl.rescued"));
    assert_eq!(third(&mut journal), (Displaced::Gone, Some(kept.clone())));
    assert_eq!(notes_in(&kept), notes(3));
    fs::remove_file(kept).unwrap();
}

#[test]
fn a_record_that_was_cut_or_added_to_takes_no_more() {
    for bytes in [&b""[..], &[b'x'; 10_000]] {
        let (shelf, mut journal) = open();
        let path = shelf.path().join("run-1.jsonl");
        fs::write(&path, bytes).unwrap();
        let (displaced, rescued) = third(&mut journal);
        assert!(matches!(displaced, Displaced::Changed { .. }), "{displaced}");
        assert_eq!(rescued, None);
        assert_eq!(fs::read(&path).unwrap(), bytes);
    }
}

#[test]
fn a_register_that_is_gone_or_another_one_is_found_at_the_next_entry() {
    for replaced in [false, true] {
        let shelf = Shelf::new();
        let announcement = Announcement {
            at: DateTime::from_timestamp_millis(0).unwrap().fixed_offset(),
            run: "run-1".to_owned(),
            program: "1".to_owned(),
            mode: Mode::Real,
            operator: "A. Tester (invented)".to_owned(),
        };
        let journal = Journal::create(shelf.path(), "run-1").unwrap();
        let mut journal = journal.announcing(announcement);
        journal.append(&note(1)).unwrap();
        let register = shelf.path().join(REGISTER);
        if replaced {
            // Kept under another name, so that the new one can't have its inode.
            fs::rename(&register, shelf.path().join("kept")).unwrap();
            fs::write(&register, "").unwrap();
        } else {
            fs::remove_file(&register).unwrap();
        }
        let failed = journal.append(&note(2)).unwrap_err();
        assert!(matches!(failed, JournalError::RegisterDisplaced { .. }), "{failed}");
        assert!(matches!(journal.append(&note(3)).unwrap_err(), JournalError::Poisoned { .. }));
        // The entry itself is whole.
        assert_eq!(notes_in(&shelf.path().join("run-1.jsonl")), notes(2));
    }
}
