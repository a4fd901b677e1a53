//! The folder that holds the records: names in it, and making sure that names last.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use super::error::JournalError;
use super::register::REGISTER;

const RUN_NAME_MAX: usize = 100;

/// Lists the journals of runs in a folder, in the order of their names, and whatever else is called like one: a pipe or a folder in the
/// place of a record is to be told, not passed over.
///
/// # Errors
/// When the folder cannot be read.
pub fn list(folder: &Path) -> Result<Vec<PathBuf>, JournalError> {
    let cannot = || JournalError::io("list", folder);
    let mut journals = Vec::new();
    for found in fs::read_dir(folder).map_err(cannot())? {
        let found = found.map_err(cannot())?;
        let path = found.path();
        let is_journal = path.extension().is_some_and(|extension| extension == "jsonl");
        if is_journal && !path.ends_with(REGISTER) {
            journals.push(path);
        }
    }
    journals.sort();
    Ok(journals)
}

/// Says where the journal of a run is.
pub(super) fn journal(folder: &Path, run: &str) -> Result<PathBuf, JournalError> {
    check_run_name(run)?;
    Ok(folder.join(format!("{run}.jsonl")))
}

/// Says where the attachments of a run are.
pub(super) fn attachments(folder: &Path, run: &str) -> Result<PathBuf, JournalError> {
    check_run_name(run)?;
    Ok(folder.join(format!("{run}.files")))
}

/// Makes a folder and those above it, so that they last.
pub(super) fn ensure(folder: &Path) -> Result<(), JournalError> {
    if folder.as_os_str().is_empty() || folder.is_dir() {
        return Ok(());
    }
    let above = folder.parent().unwrap_or(Path::new(""));
    ensure(above)?;
    match fs::create_dir(folder) {
        Err(cause) if cause.kind() != io::ErrorKind::AlreadyExists => {
            return Err(JournalError::io("create folder", folder)(cause));
        }
        // Another program may have made it meanwhile.
        Err(_) if !folder.is_dir() => {
            return Err(JournalError::NotAFolder { path: folder.to_owned() });
        }
        _ => {}
    }
    sync(above)
}

/// Returns when the names in a folder are on the disk; a file's own sync does not cover its name.
pub(super) fn sync(folder: &Path) -> Result<(), JournalError> {
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    File::open(folder)
        .and_then(|open| open.sync_all())
        .map_err(JournalError::io("sync folder", folder))
}

/// Keeps a name inside its folder, out of hidden files and plain on every system.
fn check_run_name(name: &str) -> Result<(), JournalError> {
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.');
    let starts_well = name.starts_with(|c: char| c.is_ascii_alphanumeric());
    let is_free = format!("{name}.jsonl") != REGISTER;
    if starts_well && is_free && name.len() <= RUN_NAME_MAX && name.chars().all(plain) {
        return Ok(());
    }
    Err(JournalError::RunName { name: name.to_owned() })
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::*;

    #[test]
    fn names_that_leave_the_folder_or_are_not_plain_are_refused() {
        let long = "a".repeat(RUN_NAME_MAX + 1);
        for name in [
            "", ".", "..", "../a", "a/b", "/a", ".hidden", "-o", "a b", "a\nb", "a\0", "é",
            "register", &long,
        ] {
            assert!(
                matches!(journal(Path::new("x"), name), Err(JournalError::RunName { .. })),
                "{name:?}"
            );
            assert!(
                matches!(attachments(Path::new("x"), name), Err(JournalError::RunName { .. })),
                "{name:?}"
            );
        }
        assert_eq!(
            journal(Path::new("x"), "2026-11_a.2").unwrap(),
            Path::new("x/2026-11_a.2.jsonl")
        );
    }

    #[test]
    fn lists_journals_and_what_is_called_like_one_in_name_order() {
        let folder = tempfile::tempdir().unwrap();
        for name in ["b.jsonl", "a.jsonl", "c.txt", "jsonl", "register.jsonl"] {
            fs::write(folder.path().join(name), "").unwrap();
        }
        fs::create_dir(folder.path().join("d.jsonl")).unwrap();
        let names: Vec<_> = list(folder.path())
            .unwrap()
            .into_iter()
            .map(|path| path.file_name().unwrap().to_owned())
            .collect();
        assert_eq!(names, ["a.jsonl", "b.jsonl", "d.jsonl"]);
    }

    #[test]
    fn a_missing_folder_is_an_error_that_names_it() {
        let folder = tempfile::tempdir().unwrap();
        let missing = folder.path().join("records");
        let error = list(&missing).unwrap_err().to_string();
        assert!(error.starts_with("cannot list ") && error.contains("records"), "{error}");
    }

    #[test]
    fn makes_every_folder_on_the_way() {
        let folder = tempfile::tempdir().unwrap();
        let deep = folder.path().join("shop/bench/records");
        ensure(&deep).unwrap();
        ensure(&deep).unwrap();
        assert!(deep.is_dir());

        fs::write(folder.path().join("file"), "").unwrap();
        let error = ensure(&folder.path().join("file")).unwrap_err();
        assert!(matches!(error, JournalError::NotAFolder { .. }), "{error}");
    }
}
