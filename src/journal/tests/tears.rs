//! Writes that were cut off: resumed, cut off again, and tampered with.

use super::*;

/// Resumes a journal with these bytes, appends a note and gives the bytes afterwards.
fn resumed(bytes: &[u8]) -> Result<Vec<u8>, JournalError> {
    let shelf = Shelf::new();
    let path = shelf.put(bytes);
    let (mut journal, contents) = Journal::resume::<ExampleNote>(&path)?;
    journal.append(&note(contents.entries.len() + 1))?;
    Ok(fs::read(&path).unwrap())
}

/// A journal whose third line was cut off to so many bytes, and that went on.
fn torn_and_resumed(kept: usize) -> Vec<u8> {
    let bytes = journal_of(3);
    let start = lines_of(&bytes)[..2].concat().len();
    resumed(&bytes[..start + kept]).unwrap()
}

#[test]
fn a_torn_tail_stays_and_is_declared_whatever_its_length() {
    let bytes = journal_of(3);
    let start = lines_of(&bytes)[..2].concat().len();
    // Up to the whole line without its newline.
    for kept in 1..lines_of(&bytes)[2].len() {
        let torn = &bytes[start..start + kept];
        let after = torn_and_resumed(kept);
        assert_eq!(after[..start + kept], bytes[..start + kept], "{kept} bytes kept");
        let contents = read_notes(&after).unwrap();
        assert_eq!(contents.entries, notes(3), "{kept} bytes kept");
        assert_eq!(contents.torn, None);
        let declared =
            format!(r#","n":3,"torn":{{"bytes":{kept},"sha256":"{}"}},"entry":"#, sha256_hex(torn));
        let line = String::from_utf8_lossy(lines_of(&after)[3]).into_owned();
        assert!(line.contains(&declared), "{line}");
    }
}

#[test]
fn entries_before_and_after_a_torn_tail_are_all_there() {
    let shelf = Shelf::new();
    let bytes = journal_of(3);
    let path = shelf.put(&bytes[..bytes.len() - 20]);
    let (mut journal, contents) = Journal::resume::<ExampleNote>(&path).unwrap();
    assert_eq!(contents.entries, notes(2));
    assert!(contents.torn.is_some());
    assert_eq!((journal.lines(), journal.head()), (2, contents.head.as_str()));
    (3..=6).for_each(|n| journal.append(&note(n)).unwrap());
    let contents = read_file::<ExampleNote>(&path).unwrap();
    assert_eq!(contents.entries, notes(6));
    assert_eq!((contents.torn, contents.head.as_str()), (None, journal.head()));
}

#[test]
fn every_changed_byte_around_declared_torn_bytes_is_damage() {
    for kept in [1, 40, 150, lines_of(&journal_of(3))[2].len() - 1] {
        let bytes = torn_and_resumed(kept);
        // The last newline is left out: without it the last line is a torn tail, as it should be.
        for at in 0..bytes.len() - 1 {
            for replacement in [bytes[at] ^ 1, bytes[at] ^ 0x80, b'\n'] {
                if replacement == bytes[at] {
                    continue;
                }
                let mut changed = bytes.clone();
                changed[at] = replacement;
                let read = read_notes(&changed);
                assert!(read.is_err(), "{kept} kept, byte {at} as {replacement}: {read:?}");
            }
        }
    }
}

#[test]
fn torn_bytes_added_removed_or_undeclared_are_damage() {
    let bytes = torn_and_resumed(40);
    let lines = lines_of(&bytes);
    let removed = [&lines[..2], &lines[3..]].concat().concat();
    assert_eq!(read_notes(&removed).unwrap_err(), Damage { line: 3, kind: DamageKind::Torn });
    let doubled = [&lines[..3], &lines[2..]].concat().concat();
    assert_eq!(read_notes(&doubled).unwrap_err().line, 4);

    let whole = journal_of(3);
    let lines = lines_of(&whole);
    let added = [lines[0], lines[1], b"{\"prev\":\"0\n", lines[2]].concat();
    assert_eq!(read_notes(&added).unwrap_err(), Damage { line: 3, kind: DamageKind::NotJson(10) });
}

/// The first write is cut off, and then the write that declares it, at every length.
#[test]
fn a_second_tear_in_a_row_can_be_resumed_too() {
    const TELLING: usize = 17;
    for kept in [1, 40, 150] {
        let once = torn_and_resumed(kept);
        let start = lines_of(&once)[..2].concat().len();
        for length in start + kept..once.len() {
            let twice = &once[..length];
            let second = length - start - kept;
            // Within its newline and its first letters the second tear cannot be told from damage.
            if (1..=TELLING).contains(&second) {
                assert_eq!(read_notes(twice).unwrap_err().line, 3, "{kept} kept, then {second}");
                continue;
            }
            let contents = read_notes(twice).unwrap();
            assert_eq!(contents.entries, notes(2), "{kept} kept, then {second}");
            let torn = Torn { bytes: (length - start) as u64, sha256: sha256_hex(&twice[start..]) };
            assert_eq!(contents.torn, Some(torn), "{kept} kept, then {second}");
            let after = resumed(twice).unwrap();
            assert_eq!(after[..length], *twice);
            assert_eq!(read_notes(&after).unwrap().entries, notes(3), "{kept} kept, then {second}");
        }
    }
}

/// A line that lacked only its newline gets it from the write that declares it. As long as that
/// declaration is not there in full, the line counts: it is sound, and nothing says otherwise.
#[test]
fn a_line_that_lacked_its_newline_is_torn_only_once_declared() {
    let once = torn_and_resumed(lines_of(&journal_of(3))[2].len() - 1);
    let lines = lines_of(&once);
    let declaring = lines[..3].concat().len();
    let declared = declaring + find(lines[3], br#","entry":"#) + br#","entry":"#.len();
    for length in declaring..once.len() {
        let whole = if length < declared { 3 } else { 2 };
        let torn_from = lines[..whole].concat().len();
        let contents = read_notes(&once[..length]).unwrap();
        assert_eq!(contents.entries, notes(whole), "{length} bytes");
        let bytes = contents.torn.map_or(0, |torn| torn.bytes);
        assert_eq!(bytes, (length - torn_from) as u64, "{length} bytes");
        let after = resumed(&once[..length]).unwrap();
        assert_eq!(read_notes(&after).unwrap().entries, notes(whole + 1), "{length} bytes");
    }
}

#[test]
fn a_run_that_left_nothing_is_not_resumed_and_not_touched() {
    let whole = journal_of(1);
    for (bytes, kind) in
        [(&whole[..0], DamageKind::Empty), (&whole[..whole.len() - 1], DamageKind::NothingRecorded)]
    {
        let shelf = Shelf::new();
        let path = shelf.put(bytes);
        match Journal::resume::<ExampleNote>(&path) {
            Err(JournalError::Damaged { damage, .. }) => assert_eq!(damage.kind, kind),
            other => panic!("{other:?}"),
        }
        assert_eq!(fs::read(&path).unwrap(), bytes);
    }
}
