//! The instruments of a bench file by the names they have on the bench.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use serde::Deserialize;

use super::glance::BenchGlance;

/// Each instrument in words, by its name.
pub(super) type InstrumentWords = BTreeMap<String, String>;

/// Bench files that were read already: a shop has few of them, and every record holds one.
#[derive(Default)]
pub(super) struct BenchFiles(Mutex<BTreeMap<String, Arc<InstrumentWords>>>);

#[derive(Deserialize)]
struct File {
    #[serde(default)]
    instruments: BTreeMap<String, InstrumentGlance>,
}

#[derive(Deserialize)]
struct InstrumentGlance {
    what: String,
    serial: String,
    calibration_due: Option<String>,
}

impl InstrumentGlance {
    /// In the words in which a record names the meter of a reading.
    fn words(&self) -> String {
        let due = self.calibration_due.iter().map(|due| format!(", calibration due {due}"));
        format!("{}, serial {}{}", self.what, self.serial, due.collect::<String>())
    }
}

impl BenchFiles {
    /// The instruments of a bench file; none where it can't be read, as its record counts all the same.
    pub(super) fn instruments(&self, bench: &BenchGlance) -> Arc<InstrumentWords> {
        let mut known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(instruments) = known.get(&bench.sha256) {
            return Arc::clone(instruments);
        }
        let file = serde_yaml::from_str::<File>(&bench.text).ok();
        let named = file.into_iter().flat_map(|file| file.instruments);
        let instruments =
            Arc::new(named.map(|(name, instrument)| (name, instrument.words())).collect());
        known.insert(bench.sha256.clone(), Arc::clone(&instruments));
        instruments
    }
}
