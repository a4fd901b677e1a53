//! Disks that fail, files that are locked, formats that are newer.

use super::*;

/// How a disk fails, on the second line.
#[derive(Debug, Clone, Copy)]
enum DiskFault {
    /// Nothing is written.
    Full,
    /// Some of it is written before the disk is full.
    Short,
    /// All is written, but not known to be on the disk.
    Sync,
}

struct FaultyDisk {
    memory: MemoryDisk,
    fault: DiskFault,
    lines: usize,
}

impl Disk for FaultyDisk {
    fn append(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.lines += 1;
        match (self.lines, self.fault) {
            (2, DiskFault::Full) => Err(io::ErrorKind::StorageFull.into()),
            (2, DiskFault::Short) => {
                self.memory.append(&bytes[..bytes.len() / 2])?;
                Err(io::ErrorKind::StorageFull.into())
            }
            _ => self.memory.append(bytes),
        }
    }

    fn sync(&mut self) -> io::Result<()> {
        match (self.lines, self.fault) {
            (2, DiskFault::Sync) => Err(io::Error::other("input/output error")),
            _ => Ok(()),
        }
    }
}

#[test]
fn a_journal_that_is_resumed_knows_where_it_ended() {
    let shelf = Shelf::new();
    let bytes = journal_of(3);
    let path = shelf.put(&bytes);
    let (mut journal, contents) = Journal::resume::<ExampleNote>(&path).unwrap();
    assert_eq!((journal.lines(), journal.head()), (3, contents.head.as_str()));
    assert_ne!(journal.head(), GENESIS);
    journal.append(&note(4)).unwrap();
    assert_eq!(fs::read(&path).unwrap(), journal_of(4), "as if it had never been closed");
}

#[test]
fn after_any_failure_nothing_more_is_taken() {
    for fault in [DiskFault::Full, DiskFault::Short, DiskFault::Sync] {
        let memory = MemoryDisk::default();
        let disk = FaultyDisk { memory: memory.clone(), fault, lines: 0 };
        let mut journal = Journal::over(disk, PathBuf::from("run-1.jsonl"));
        journal.append(&note(1)).unwrap();
        let head = journal.head().to_owned();

        let failed = journal.append(&note(2)).unwrap_err();
        assert!(matches!(failed, JournalError::Io { .. }), "{fault:?}: {failed}");
        let written = memory.bytes();
        for _ in 0..2 {
            let refused = journal.append(&note(3)).unwrap_err();
            assert!(matches!(refused, JournalError::Poisoned { .. }), "{fault:?}: {refused}");
        }
        assert_eq!(memory.bytes(), written, "{fault:?}");
        // It speaks of what is known to be on the disk.
        assert_eq!((journal.lines(), journal.head()), (1, head.as_str()), "{fault:?}");

        let contents = read_notes(&written).unwrap();
        let (entries, torn) = match fault {
            DiskFault::Full => (1, false),
            DiskFault::Short => (1, true),
            DiskFault::Sync => (2, false),
        };
        assert_eq!(
            (contents.entries, contents.torn.is_some()),
            (notes(entries), torn),
            "{fault:?}"
        );
    }
}

#[test]
fn an_entry_that_is_no_json_or_too_long_writes_nothing_and_closes_the_journal() {
    let unnamed = std::collections::BTreeMap::from([(vec![1], 1)]);
    let long = "x".repeat(LINE_MAX);
    let memory = MemoryDisk::default();
    let mut journal = Journal::over(memory.clone(), PathBuf::from("run-1.jsonl"));
    assert!(matches!(journal.append(&unnamed), Err(JournalError::Entry { .. })));
    assert!(matches!(journal.append(&note(1)), Err(JournalError::Poisoned { .. })));
    let mut journal = Journal::over(memory.clone(), PathBuf::from("run-1.jsonl"));
    assert!(matches!(journal.append(&long), Err(JournalError::TooLong { .. })));
    assert!(matches!(journal.append(&note(1)), Err(JournalError::Poisoned { .. })));
    assert!(memory.bytes().is_empty());
}

#[test]
fn starts_in_a_folder_it_makes_and_never_over_another_run() {
    let shelf = Shelf::new();
    let folder = shelf.path().join("shop/records");
    let mut journal = Journal::create(&folder, "run-1").unwrap();
    assert_eq!(journal.path(), folder.join("run-1.jsonl"));
    assert_eq!((journal.lines(), journal.head()), (0, GENESIS));
    journal.append(&note(1)).unwrap();
    drop(journal);
    let again = Journal::create(&folder, "run-1").unwrap_err();
    assert!(matches!(again, JournalError::Exists { .. }), "{again}");
    assert_eq!(read_file::<ExampleNote>(&folder.join("run-1.jsonl")).unwrap().entries, notes(1));
    assert_eq!(list(&folder).unwrap(), [folder.join("run-1.jsonl")]);
}

#[test]
fn a_journal_has_one_writer_at_a_time() {
    let shelf = Shelf::new();
    let mut journal = Journal::create(shelf.path(), "run-1").unwrap();
    let path = journal.path().to_owned();
    journal.append(&note(1)).unwrap();
    let busy = Journal::resume::<ExampleNote>(&path).unwrap_err();
    assert!(matches!(busy, JournalError::Busy { .. }), "{busy}");
    assert!(busy.to_string().contains("another program has this record open"));
    // Reading needs no lock.
    assert_eq!(read_file::<ExampleNote>(&path).unwrap().entries, notes(1));

    drop(journal);
    let (mut journal, _) = Journal::resume::<ExampleNote>(&path).unwrap();
    journal.append(&note(2)).unwrap();
    assert!(matches!(Journal::resume::<ExampleNote>(&path), Err(JournalError::Busy { .. })));
    assert_eq!(read_file::<ExampleNote>(&path).unwrap().entries, notes(2));
}

#[test]
fn a_newer_format_is_read_by_no_one_and_written_by_no_one() {
    let first = br#"{"prev":"0","n":1,"format":2,"seal":"of another kind"}"#;
    let shelf = Shelf::new();
    let path = shelf.put(&[&first[..], b"\n{}\n"].concat());
    let before = fs::read(&path).unwrap();
    for error in [
        Journal::resume::<ExampleNote>(&path).unwrap_err(),
        read_file::<ExampleNote>(&path).unwrap_err(),
    ] {
        let JournalError::Damaged { damage, .. } = &error else { panic!("{error}") };
        assert_eq!(*damage, Damage { line: 1, kind: DamageKind::Newer(2) });
        assert!(error.to_string().contains("written by a newer version"), "{error}");
    }
    assert_eq!(fs::read(&path).unwrap(), before);
}

#[test]
fn a_damaged_journal_is_not_resumed_and_not_touched() {
    let mut bytes = journal_of(3);
    bytes[300] ^= 1;
    let shelf = Shelf::new();
    let path = shelf.put(&bytes);
    let refused = Journal::resume::<ExampleNote>(&path).unwrap_err();
    assert!(matches!(refused, JournalError::Damaged { .. }), "{refused}");
    assert_eq!(fs::read(&path).unwrap(), bytes);
}

#[test]
fn what_is_no_file_is_not_opened() {
    let shelf = Shelf::new();
    let refused = Journal::resume::<ExampleNote>(shelf.path()).unwrap_err();
    assert!(matches!(refused, JournalError::NotAFile { .. }), "{refused}");
    let missing = Journal::resume::<ExampleNote>(&shelf.path().join("none.jsonl")).unwrap_err();
    assert!(missing.to_string().starts_with("cannot open "), "{missing}");
}

#[test]
fn a_file_past_the_limit_is_neither_read_nor_continued() {
    let shelf = Shelf::new();
    let path = shelf.put(b"");
    fs::File::options().write(true).open(&path).unwrap().set_len(FILE_MAX + 1).unwrap();
    assert!(matches!(read_file::<ExampleNote>(&path), Err(JournalError::Full { .. })));
    assert!(matches!(Journal::resume::<ExampleNote>(&path), Err(JournalError::Full { .. })));
}
