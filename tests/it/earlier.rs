//! Records of earlier versions of the program stay readable: each verifies, shows and reports as it did.

use std::fs;
use std::path::{Path, PathBuf};

use crate::register::{entry, forged};
use crate::support::WATTSTEP;
use crate::support::call::Call;

/// The folders of records, one for each earlier version of which records are kept.
fn versions() -> Vec<PathBuf> {
    let records = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/records");
    let folders = fs::read_dir(records).unwrap().map(|entry| entry.unwrap().path());
    let mut folders: Vec<PathBuf> = folders.filter(|path| path.is_dir()).collect();
    folders.sort();
    assert!(!folders.is_empty());
    folders
}

/// A copy of a folder of records, so that nothing of the test reaches the records themselves.
fn copied(version: &Path) -> (tempfile::TempDir, Vec<String>) {
    let folder = tempfile::tempdir().unwrap();
    let mut names = Vec::new();
    for entry in fs::read_dir(version).unwrap() {
        let path = entry.unwrap().path();
        fs::copy(&path, folder.path().join(path.file_name().unwrap())).unwrap();
        let name = path.file_stem().unwrap().to_str().unwrap();
        if name != "register" {
            names.push(name.to_owned());
        }
    }
    names.sort();
    (folder, names)
}

fn wattstep(folder: &Path, arguments: &[&str]) -> Call {
    assert!(Path::new(WATTSTEP).exists());
    Call::new(folder, arguments).env("WATTSTEP_RECORDS", folder.to_str().unwrap())
}

#[test]
fn records_of_earlier_versions_verify_with_all_they_conclude() {
    for version in versions() {
        let (folder, names) = copied(&version);
        let all = wattstep(folder.path(), &["verify", "--all", "--conclusions"]);
        let said = all.any_out().exit(0).out;
        assert_eq!(said.matches("verified  ").count(), names.len(), "{said}");
    }
}

#[test]
fn records_of_earlier_versions_show_and_report_how_they_ended() {
    for version in versions() {
        let (folder, names) = copied(&version);
        for name in names {
            let text = fs::read_to_string(folder.path().join(format!("{name}.jsonl"))).unwrap();
            let is_stopped = text.contains(r#""closed":{"outcome":"stopped_on_reading""#);
            let ending = if is_stopped { "stopped on a reading" } else { "every stage held" };
            for arguments in [&["show", &name][..], &["report", &name, "--format", "text"]] {
                let said = wattstep(folder.path(), arguments).any_out().exit(0).out;
                let said = said.to_lowercase();
                assert!(said.contains(ending), "{name} {arguments:?}: {said}");
            }
        }
    }
}

/// Conclusions and what somebody might put in their place.
const FORGERIES: [(&str, &str); 4] = [
    (r#""verdict":"inside""#, r#""verdict":{"outside":"above"}"#),
    (r#"{"energy":{"state":"proved_dead"}}"#, r#"{"energy":{"state":"isolated"}}"#),
    (r#""closed":{"outcome":"finished""#, r#""closed":{"outcome":"left_unfinished""#),
    (r#""role":"supervisor"}"#, r#""role":"owner"}"#),
];

#[test]
fn a_conclusion_that_was_changed_in_an_earlier_record_is_found_with_all_hashes_made_again() {
    let mut tried = 0;
    for version in versions() {
        let (folder, names) = copied(&version);
        for name in names {
            let path = folder.path().join(format!("{name}.jsonl"));
            let text = fs::read_to_string(&path).unwrap();
            for (honest, other) in FORGERIES {
                // The first entry holds whole files; what is changed is a fact.
                let Some(at) = text.find(honest) else { continue };
                let changed = format!("{}{other}{}", &text[..at], &text[at + honest.len()..]);
                fs::write(&path, forged(changed.lines().map(entry))).unwrap();
                let said = wattstep(folder.path(), &["verify", "--alone", &name]).any_out().exit(7);
                let found = ["does not follow from what happened", "SIGNATURE DOES NOT HOLD"];
                assert!(found.iter().any(|words| said.out.contains(words)), "{}", said.out);
                tried += 1;
            }
            fs::write(&path, text).unwrap();
        }
    }
    assert!(tried > 12, "only {tried} were tried");
}

#[test]
fn other_words_in_an_earlier_record_are_told_for_what_they_are() {
    for version in versions() {
        let (folder, names) = copied(&version);
        let mut tried = 0;
        for name in names {
            let path = folder.path().join(format!("{name}.jsonl"));
            let text = fs::read_to_string(&path).unwrap();
            if text.contains("SSH SIGNATURE") {
                continue;
            }
            let facts = r#"},"facts":[{"done":{"key":"#;
            let Some(at) = text.find(facts) else { continue };
            let rest = text[at..].replacen(r#""what":""#, r#""what":"Please: "#, 1);
            let changed = format!("{}{rest}", &text[..at]);
            fs::write(&path, forged(changed.lines().map(entry))).unwrap();
            let said = wattstep(folder.path(), &["verify", "--alone", &name]).any_out().any_err();
            let said = said.exit(0).out;
            assert!(said.contains("none in what it concludes"), "{said}");
            tried += 1;
        }
        assert!(tried > 0);
    }
}
