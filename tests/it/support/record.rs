//! A record read back as JSON, without the program's own types: as anyone may read it in ten years.

use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;

/// The entries of a record.
pub(crate) struct Record {
    pub(crate) path: PathBuf,
    pub(crate) entries: Vec<Value>,
}

impl Record {
    /// Reads the whole lines; what is left of a cut-off write is not looked at.
    pub(crate) fn read(path: &Path) -> Self {
        let text = String::from_utf8_lossy(&fs::read(path).unwrap()).into_owned();
        let whole = text.rfind('\n').map_or("", |end| &text[..end]);
        let entry = |line: &str| serde_json::from_str::<Value>(line).unwrap()["entry"].clone();
        Self { path: path.to_owned(), entries: whole.lines().map(entry).collect() }
    }

    /// All facts of one name, in order.
    pub(crate) fn facts(&self, name: &str) -> Vec<&Value> {
        let facts = self.entries.iter().flat_map(|entry| entry["facts"].as_array().unwrap());
        facts.filter_map(|fact| fact.get(name)).collect()
    }

    /// All events of one name, in order.
    pub(crate) fn events(&self, name: &str) -> Vec<&Value> {
        self.entries.iter().filter_map(|entry| entry["event"].get(name)).collect()
    }

    /// Why it was last stopped, as one word or the name of an object: `outside`, `interrupted`.
    pub(crate) fn last_stop(&self) -> (String, String) {
        let facts = self.facts("stopped");
        let stop = facts.last().unwrap();
        let reason = match &stop["reason"] {
            Value::Object(reason) => reason.keys().next().unwrap().clone(),
            reason => reason.as_str().unwrap().to_owned(),
        };
        (stop["key"].as_str().unwrap_or_default().to_owned(), reason)
    }

    /// Whether it is closed, and then whether the equipment was confirmed safe.
    pub(crate) fn closed_safe(&self) -> Option<bool> {
        let closed = self.facts("closed").last()?["safe"].as_bool().unwrap();
        self.entries.last().unwrap()["facts"].to_string().contains("\"closed\"").then_some(closed)
    }
}
