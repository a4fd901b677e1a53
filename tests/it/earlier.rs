//! Records of earlier versions of the program stay readable: each verifies, shows and reports as it did.

use std::fs;
use std::path::{Path, PathBuf};

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
