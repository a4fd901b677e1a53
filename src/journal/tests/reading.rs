//! Every cut and every change of a small journal, and lines that went missing or moved.

use super::*;

const COUNT: usize = 5;

#[test]
fn a_whole_journal_reads_back_exactly() {
    let bytes = journal_of(COUNT);
    let contents = read_notes(&bytes).unwrap();
    assert_eq!(contents.entries, notes(COUNT));
    assert_eq!(contents.torn, None);
    let last = lines_of(&bytes)[COUNT - 1].strip_suffix(b"\n").unwrap();
    assert_eq!(contents.head, sha256_hex(last));
}

/// Without the `float_roundtrip` feature of serde_json about one number in ten comes back changed.
#[test]
fn numbers_come_back_to_the_last_bit() {
    let numbers: Vec<f64> = (1..2000).map(|n| 1.0 / f64::from(n) * 1.1e-7).collect();
    let disk = MemoryDisk::default();
    Journal::over(disk.clone(), PathBuf::new()).append(&numbers).unwrap();
    let contents: Contents<Vec<f64>> = read(&disk.bytes()).unwrap();
    let bits = |numbers: &[f64]| numbers.iter().map(|n| n.to_bits()).collect::<Vec<_>>();
    assert_eq!(bits(&contents.entries[0]), bits(&numbers));
}

#[test]
fn every_cut_is_a_shorter_whole_a_torn_tail_or_nothing_recorded() {
    let bytes = journal_of(COUNT);
    let first_line = lines_of(&bytes)[0].len();
    for length in 0..bytes.len() {
        let cut = &bytes[..length];
        let whole = cut.iter().filter(|&&byte| byte == b'\n').count();
        let tail = cut.len() - cut.iter().rposition(|&byte| byte == b'\n').map_or(0, |at| at + 1);
        match read_notes(cut) {
            Ok(contents) => {
                assert_eq!(contents.entries, notes(whole), "cut to {length}");
                let torn = (tail > 0).then(|| Torn {
                    bytes: tail as u64,
                    sha256: sha256_hex(&cut[length - tail..]),
                });
                assert_eq!(contents.torn, torn, "cut to {length}");
            }
            Err(damage) => {
                assert!(length < first_line, "cut to {length}: {damage}");
                let kind =
                    if length == 0 { DamageKind::Empty } else { DamageKind::NothingRecorded };
                assert_eq!(damage, Damage { line: 1, kind }, "cut to {length}");
            }
        }
    }
}

#[test]
fn every_changed_byte_is_damage_at_its_line_or_a_torn_tail() {
    let bytes = journal_of(COUNT);
    for at in 0..bytes.len() {
        let line = 1 + bytes[..at].iter().filter(|&&byte| byte == b'\n').count();
        for replacement in [bytes[at] ^ 1, bytes[at] ^ 0x80, b'\n', b' ', b'0'] {
            if replacement == bytes[at] {
                continue;
            }
            let mut changed = bytes.clone();
            changed[at] = replacement;
            match read_notes(&changed) {
                Ok(contents) => {
                    assert_eq!(at, bytes.len() - 1, "accepted with byte {at} as {replacement}");
                    assert_eq!(contents.entries, notes(COUNT - 1));
                    assert!(contents.torn.is_some());
                }
                Err(damage) => {
                    assert_eq!(damage.line, line, "byte {at} as {replacement}: {damage}")
                }
            }
        }
    }
}

#[test]
fn lines_that_moved_are_named() {
    let bytes = journal_of(COUNT);
    let lines = lines_of(&bytes);
    let order = |order: &[usize]| {
        let moved: Vec<&[u8]> = order.iter().map(|&n| lines[n - 1]).collect();
        read_notes(&moved.concat()).unwrap_err()
    };
    let number =
        |line, expected, found| Damage { line, kind: DamageKind::Number { expected, found } };
    assert_eq!(order(&[2, 3, 4, 5]), number(1, 1, 2), "first dropped");
    assert_eq!(order(&[1, 2, 4, 5]), number(3, 3, 4), "third dropped");
    assert_eq!(order(&[1, 3, 2, 4, 5]), number(2, 2, 3), "second and third swapped");
    assert_eq!(order(&[1, 2, 3, 3, 4, 5]), number(4, 4, 3), "third doubled");
}

#[test]
fn a_line_of_another_run_breaks_the_chain() {
    let bytes = journal_of(COUNT);
    let disk = MemoryDisk::default();
    let mut other = Journal::over(disk.clone(), PathBuf::new());
    (2..=4).for_each(|n| other.append(&note(n)).unwrap());
    let other = disk.bytes();
    let mixed = [&lines_of(&bytes)[..2], &lines_of(&other)[2..]].concat().concat();
    assert_eq!(read_notes(&mixed).unwrap_err(), Damage { line: 3, kind: DamageKind::Chain });
}

#[test]
fn a_line_resealed_after_a_change_breaks_the_chain_after_it() {
    let bytes = journal_of(COUNT);
    let lines = lines_of(&bytes);
    let head = sha256_hex(lines[0].strip_suffix(b"\n").unwrap());
    let mut forged = note(2);
    forged.value = 0.0;
    let entry = serde_json::to_vec(&forged).unwrap();
    let mut line = frame::LinePlace { prev: &head, n: 2, torn: None }.line(&entry);
    line.push(b'\n');
    let forgery = [&[lines[0], &line], &lines[2..]].concat().concat();
    assert_eq!(read_notes(&forgery).unwrap_err(), Damage { line: 3, kind: DamageKind::Chain });
}

#[test]
fn a_damaged_last_line_does_not_pass_for_torn_before_a_short_tail() {
    let bytes = journal_of(COUNT);
    let end = bytes.len() - lines_of(&bytes)[COUNT - 1].len();
    let mut damaged = bytes.clone();
    damaged[end - 10] ^= 1;
    for tail in 0..200 {
        let damage = read_notes(&damaged[..end + tail]).unwrap_err();
        assert_eq!(damage.line, COUNT - 1, "{damage}");
    }
}

#[test]
fn an_entry_of_another_shape_is_named_and_never_taken_for_torn() {
    let bytes = journal_of(1);
    // The second tail is how a line would begin that declares the first one torn.
    for tail in [&b""[..], br#"{"prev":"0000000000"#] {
        let damage = read::<u32>(&[&bytes, tail].concat()).unwrap_err();
        assert_eq!(damage.line, 1);
        assert!(matches!(damage.kind, DamageKind::Entry(_)), "{damage}");
    }
}

#[test]
fn a_line_that_is_too_long_is_damage_torn_or_not() {
    let mut bytes = journal_of(2);
    bytes.resize(bytes.len() + LINE_MAX + 1, b'x');
    assert_eq!(read_notes(&bytes).unwrap_err(), Damage { line: 3, kind: DamageKind::TooLong });
    bytes.push(b'\n');
    assert_eq!(read_notes(&bytes).unwrap_err(), Damage { line: 3, kind: DamageKind::TooLong });
}

#[test]
fn what_is_no_journal_is_refused_without_a_panic() {
    let deep = "[".repeat(100_000);
    for text in ["\n", "\n\n", "x", "x\n", "{}\n", "null\n", "\0\0\0", "\u{feff}{}\n", &deep] {
        let damage = read_notes(text.as_bytes()).unwrap_err();
        assert_eq!(damage.line, 1, "{text:.10}");
    }
}

#[test]
fn a_message_says_where_what_and_what_to_do() {
    let mut bytes = journal_of(COUNT);
    let second = lines_of(&bytes)[0].len();
    let at = find(&bytes[second..], b"reading");
    bytes[second + at] = b'R';
    assert_eq!(
        read_notes(&bytes).unwrap_err().to_string(),
        "line 2: the line was changed after it was written (its own hash does not fit); \
         keep the file as it is, work on a copy, and compare it with a backup"
    );
}

/// Going through a file line by line finds what reading it whole finds.
#[test]
fn checking_a_file_agrees_with_reading_it() {
    let shelf = Shelf::new();
    let sound = journal_of(4);
    let lines = lines_of(&sound);
    let mut samples: Vec<Vec<u8>> =
        (0..=sound.len()).step_by(7).map(|n| sound[..n].to_vec()).collect();
    samples.extend((0..sound.len()).step_by(5).map(|at| {
        let mut changed = sound.clone();
        changed[at] ^= 1;
        changed
    }));
    samples.push([lines[0], lines[2], lines[1]].concat());
    for sample in samples {
        let path = shelf.put(&sample);
        let mut seen = Vec::new();
        let checked = check_file(&path, |line| seen.push(line.hash.to_owned()));
        match (read_notes(&sample), checked) {
            (Ok(contents), Ok(chain)) => {
                assert_eq!((contents.entries.len(), contents.torn), (chain.lines, chain.torn));
                assert_eq!((contents.head, sample.len() as u64), (chain.head, chain.bytes));
                assert_eq!(seen.len(), chain.lines);
            }
            (Err(damage), Ok(chain)) => {
                let nothing = [DamageKind::Empty, DamageKind::NothingRecorded];
                assert!(chain.lines == 0 && nothing.contains(&damage.kind), "{damage}");
            }
            (Err(expected), Err(JournalError::Damaged { damage, .. })) => {
                assert_eq!(damage, expected);
            }
            (expected, found) => panic!("{expected:?}, but {found:?}"),
        }
    }
}
