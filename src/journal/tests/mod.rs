//! What the journal must hold up against, across its files.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]

mod displaced;
mod example;
mod reading;
mod tears;
mod writing;

use std::cell::RefCell;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::rc::Rc;

use serde::{Deserialize, Serialize};

use super::limits::{FILE_MAX, LINE_MAX};
use super::reader::Contents;
use super::*;

/// An entry as these tests use it; the journal takes any.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ExampleNote {
    by: String,
    event: String,
    value: f64,
}

/// Notes that differ, with text that JSON has to escape.
fn note(n: usize) -> ExampleNote {
    ExampleNote {
        by: "A. Tester (invented)".to_owned(),
        event: format!("reading {n}: \"+\u{b5}\n\\\""),
        value: 0.1 + f64::from(u32::try_from(n).unwrap()) / 3.0,
    }
}

fn notes(count: usize) -> Vec<ExampleNote> {
    (1..=count).map(note).collect()
}

/// A disk in memory that its test can look at.
#[derive(Debug, Clone, Default)]
struct MemoryDisk(Rc<RefCell<Vec<u8>>>);

impl MemoryDisk {
    fn bytes(&self) -> Vec<u8> {
        self.0.borrow().clone()
    }
}

impl Disk for MemoryDisk {
    fn append(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.0.borrow_mut().extend_from_slice(bytes);
        Ok(())
    }

    fn sync(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// The bytes of a journal with so many notes.
fn journal_of(count: usize) -> Vec<u8> {
    let disk = MemoryDisk::default();
    let mut journal = Journal::over(disk.clone(), PathBuf::from("memory"));
    notes(count).iter().for_each(|note| journal.append(note).unwrap());
    disk.bytes()
}

/// A journal file with the bytes given, in a folder that goes with it.
struct Shelf {
    folder: tempfile::TempDir,
}

impl Shelf {
    fn new() -> Self {
        Self { folder: tempfile::tempdir().unwrap() }
    }

    fn put(&self, bytes: &[u8]) -> PathBuf {
        let path = self.folder.path().join("run-1.jsonl");
        fs::write(&path, bytes).unwrap();
        path
    }

    fn path(&self) -> &Path {
        self.folder.path()
    }
}

/// What reading notes from these bytes gives.
fn read_notes(bytes: &[u8]) -> Result<Contents<ExampleNote>, Damage> {
    read(bytes)
}

/// The lines of a journal, each with its newline.
fn lines_of(bytes: &[u8]) -> Vec<&[u8]> {
    bytes.split_inclusive(|&byte| byte == b'\n').collect()
}

/// Where some bytes are first found in others.
fn find(bytes: &[u8], wanted: &[u8]) -> usize {
    bytes.windows(wanted.len()).position(|found| found == wanted).unwrap()
}
