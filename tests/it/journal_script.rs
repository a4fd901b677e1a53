//! The page about the journal's format promises that a journal can be checked without the program.
//! Its script and its commands must agree with the program's own reader.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;
use wattstep::test_points::journal::{Journal, read, sha256_hex};

const PAGE: &str = include_str!("../../docs/journal-format.md");

/// The fenced blocks of one language on the page.
fn blocks(language: &str) -> Vec<&'static str> {
    let fence = format!("```{language}\n");
    PAGE.split(&fence).skip(1).map(|rest| rest.split("```\n").next().unwrap()).collect()
}

fn run(program: &str, arguments: &[&str], folder: &Path) -> Output {
    Command::new(program).args(arguments).current_dir(folder).output().unwrap_or_else(|error| {
        panic!("{program} is needed to check what docs/journal-format.md promises: {error}")
    })
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

/// The bytes of a journal whose fourth line was cut off, and whose fifth declares it.
fn journal_with_declared_tear(folder: &Path) -> Vec<u8> {
    let mut journal = Journal::create(folder, "made").unwrap();
    let path = journal.path().to_owned();
    let append = |journal: &mut Journal<_>, n: u32| {
        journal.append(&serde_json::json!({"reading": n, "text": "±\n\""})).unwrap();
    };
    (1..=4).for_each(|n| append(&mut journal, n));
    drop(journal);
    let bytes = fs::read(&path).unwrap();
    fs::write(&path, &bytes[..bytes.len() - 30]).unwrap();
    let (mut journal, _) = Journal::resume::<Value>(&path).unwrap();
    (4..=5).for_each(|n| append(&mut journal, n));
    fs::read(&path).unwrap()
}

/// Whole, cut, changed, dropped, doubled and swapped.
fn samples(bytes: &[u8]) -> Vec<Vec<u8>> {
    let lines: Vec<&[u8]> = bytes.split_inclusive(|&byte| byte == b'\n').collect();
    let mut samples = vec![bytes.to_vec(), Vec::new()];
    samples.extend((1..bytes.len()).step_by(83).map(|length| bytes[..length].to_vec()));
    // Cut off just around the start of the line that declares the torn bytes.
    let declaring = lines[..4].concat().len();
    samples.extend([0, 1, 16, 17, 150].map(|kept| bytes[..declaring + kept].to_vec()));
    samples.extend((0..bytes.len()).step_by(71).map(|at| {
        let mut changed = bytes.to_vec();
        changed[at] ^= 1;
        changed
    }));
    for order in
        [&[1, 2, 3, 4, 5][..], &[0, 1, 2, 4, 5], &[0, 1, 1, 2, 3, 4, 5], &[0, 2, 1, 3, 4, 5]]
    {
        samples.push(order.iter().map(|&n| lines[n]).collect::<Vec<_>>().concat());
    }
    samples
}

#[test]
#[ignore = "needs python3: run by .ci/run"]
fn the_script_agrees_with_the_program() {
    let folder = tempfile::tempdir().unwrap();
    let scripts = blocks("python");
    assert_eq!(scripts.len(), 1);
    fs::write(folder.path().join("check.py"), scripts[0]).unwrap();
    let (mut good, mut torn, mut damaged) = (0, 0, 0);
    for sample in samples(&journal_with_declared_tear(folder.path())) {
        fs::write(folder.path().join("sample.jsonl"), &sample).unwrap();
        let output = run("python3", &["check.py", "sample.jsonl"], folder.path());
        let (printed, complaint) = (text(&output.stdout), text(&output.stderr));
        match read::<Value>(&sample) {
            Ok(contents) => {
                let holds = format!(
                    "{} lines, chain holds; head {}\n",
                    contents.entries.len(),
                    contents.head
                );
                let expected = match contents.torn {
                    Some(tail) => {
                        torn += 1;
                        format!(
                            "torn tail of {} bytes after the last whole line\n{holds}",
                            tail.bytes
                        )
                    }
                    None => holds,
                };
                good += 1;
                assert_eq!((output.status.code(), printed), (Some(0), expected), "{complaint}");
            }
            Err(damage) => {
                damaged += 1;
                assert_eq!(output.status.code(), Some(1), "{damage}, but: {printed}");
                let start = format!("line {}", damage.line);
                let named = complaint.strip_prefix(&start);
                assert!(
                    named.is_some_and(|rest| rest.starts_with([' ', ':'])),
                    "{damage}, but: {complaint}"
                );
            }
        }
    }
    // The samples are of every sort.
    assert!(good > torn && torn > 5 && damaged > 20, "{good} good, {torn} torn, {damaged} damaged");
}

#[test]
fn the_commands_for_checking_by_hand_give_the_hashes_in_the_example() {
    let folder = tempfile::tempdir().unwrap();
    let example = blocks("json")[0];
    fs::write(folder.path().join("example.jsonl"), example).unwrap();
    let second: Value = serde_json::from_str(example.lines().nth(1).unwrap()).unwrap();
    let commands = blocks("sh");
    assert_eq!(commands.len(), 2);
    for (command, member) in commands.iter().zip(["prev", "sha256"]) {
        let output = run("sh", &["-c", command], folder.path());
        let printed = text(&output.stdout);
        assert_eq!(printed.split(' ').next(), second[member].as_str(), "{command}");
    }
    // The head on the page is the hash of the example's last line.
    let head = sha256_hex(example.lines().last().unwrap().as_bytes());
    assert!(PAGE.contains(&format!("`{head}`")));
}
