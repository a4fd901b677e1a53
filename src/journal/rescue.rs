//! What was written to a file that is no longer at its place, kept where somebody finds it.

use std::fs::{File, OpenOptions};
use std::io;
use std::os::unix::fs::FileExt as _;
use std::path::{Path, PathBuf};

use super::folder;

/// Copies the bytes of an open file to its own place if that is free, else beside it, else where temporary files are kept.
pub(super) fn rescue(file: &File, path: &Path) -> io::Result<PathBuf> {
    let beside = |folder: &Path, ending: &str| -> Option<PathBuf> {
        let mut name = path.file_name()?.to_owned();
        name.push(ending);
        Some(folder.join(name))
    };
    let folder = path.parent().unwrap_or(Path::new(""));
    let elsewhere = std::env::temp_dir();
    let places =
        [Some(path.to_owned()), beside(folder, ".rescued"), beside(&elsewhere, ".rescued")];
    let mut failed = io::Error::from(io::ErrorKind::NotFound);
    for place in places.into_iter().flatten() {
        match copy(file, &place) {
            Ok(()) => return Ok(place),
            Err(error) => failed = error,
        }
    }
    Err(failed)
}

/// Writes a new file with these bytes, and returns when it is on the disk under its name.
fn copy(from: &File, to: &Path) -> io::Result<()> {
    // Never over a file that is there.
    let mut new = OpenOptions::new().write(true).create_new(true).open(to)?;
    let copied = io::copy(&mut Bytes { of: from, at: 0 }, &mut new).and_then(|_| new.sync_all());
    let synced = copied.and_then(|()| {
        folder::sync(to.parent().unwrap_or(Path::new(""))).map_err(io::Error::other)
    });
    if synced.is_err() {
        // A part of a record under its name would pass for the record.
        let _ = std::fs::remove_file(to);
    }
    synced
}

/// The bytes of a file from its start, wherever others read it.
struct Bytes<'a> {
    of: &'a File,
    at: u64,
}

impl io::Read for Bytes<'_> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let count = self.of.read_at(into, self.at)?;
        self.at += count as u64;
        Ok(count)
    }
}
