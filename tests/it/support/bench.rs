//! A bench: a folder of its own with the files of one run on it.

use std::fs;
use std::path::{Path, PathBuf};

use tempfile::TempDir;

use super::call::Call;
use super::record::Record;

/// A procedure small enough to be typed through by hand: cold, bench supply, mains, end.
pub(crate) const LANTERN: &str = include_str!("lantern.yaml");

/// Good answers to it.
pub(crate) const ANSWERS: &str = include_str!("lantern.answers.yaml");

/// Which lantern it is: without such a file a person is asked.
const SET_FILE: &str = "format: 1\nequipment: Lantern 2 (invented)\nserial: L-2 (invented)\n";

/// The words of a run that name it.
pub(crate) const SET: [&str; 2] = ["--equipment", "set.equipment.yaml"];

/// A folder with `lantern.yaml`, `set.equipment.yaml` and `good.yaml`; records go into `records`. Gone when dropped.
pub(crate) struct Bench {
    folder: TempDir,
}

impl Bench {
    pub(crate) fn new() -> Self {
        let bench = Self { folder: tempfile::tempdir().unwrap() };
        bench.write("lantern.yaml", LANTERN);
        bench.write("good.yaml", ANSWERS);
        bench.write("set.equipment.yaml", SET_FILE);
        bench
    }

    pub(crate) fn folder(&self) -> &Path {
        self.folder.path()
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub(crate) fn write(&self, name: &str, bytes: impl AsRef<[u8]>) {
        fs::write(self.path(name), bytes).unwrap();
    }

    /// Writes good answers in which some lines are other ones: `("power-seen: 31 W", "power-seen: 90 W")`.
    pub(crate) fn write_answers(&self, name: &str, changes: &[(&str, &str)]) {
        let text = changes.iter().fold(ANSWERS.to_owned(), |text, (from, to)| {
            assert!(text.contains(from), "the good answers have no {from:?}");
            text.replace(from, to)
        });
        self.write(name, text);
    }

    /// A call of the program on this bench.
    pub(crate) fn wattstep(&self, arguments: &[&str]) -> Call {
        Call::new(self.folder(), arguments)
    }

    /// A scripted run of the lantern.
    pub(crate) fn run(&self, answers: &str) -> Call {
        self.wattstep(&["run", "lantern.yaml", "--answers", answers])
    }

    /// A run that is left unfinished at its last stage, with the short answers for it in `short.yaml`; gives its record, or the
    /// first of them.
    pub(crate) fn leave_unfinished(&self) -> PathBuf {
        self.write_answers("short.yaml", &[("  power-seen: 31 W\n", "")]);
        self.run("short.yaml").any_out().exit(4);
        self.records().remove(0)
    }

    pub(crate) fn records(&self) -> Vec<PathBuf> {
        let Ok(found) = fs::read_dir(self.path("records")) else { return Vec::new() };
        let mut paths: Vec<_> = found.map(|file| file.unwrap().path()).collect();
        paths.retain(|path| path.extension().is_some_and(|extension| extension == "jsonl"));
        paths.retain(|path| !path.ends_with("register.jsonl"));
        paths.sort();
        paths
    }

    /// The name of the only run in the records of a folder.
    pub(crate) fn record_name(folder: &Path) -> String {
        let found = fs::read_dir(folder.join("records")).unwrap().map(|file| file.unwrap().path());
        let mut names = found.map(|path| path.file_stem().unwrap().to_str().unwrap().to_owned());
        names.find(|name| name != "register").unwrap()
    }

    /// The only record.
    pub(crate) fn record(&self) -> Record {
        let paths = self.records();
        assert_eq!(paths.len(), 1, "{paths:?}");
        Record::read(&paths[0])
    }

    /// Leaves the register as after a kill within the first sitting: it knows of no end.
    pub(crate) fn forget_ends(&self) {
        let register = self.path("records/register.jsonl");
        let text = fs::read_to_string(&register).unwrap();
        let opened = text.split_inclusive('\n').take_while(|line| line.contains("\"opened\""));
        fs::write(&register, opened.collect::<String>()).unwrap();
    }
}
