//! A file of what the instruments got, one message a line, for whoever has to know afterwards.

use std::fs::File;
use std::io::Write;
use std::path::Path;
use std::time::{SystemTime, UNIX_EPOCH};

/// Writes what the instruments got, or nothing.
#[derive(Debug)]
pub(super) struct Log(Option<File>);

impl Log {
    /// Begins a log, if a file is named.
    ///
    /// # Errors
    /// A file that cannot be made.
    pub(super) fn begin(path: Option<&Path>) -> std::io::Result<Self> {
        Ok(Self(path.map(File::create).transpose()?))
    }

    /// Writes a line: ms since 1970, bench seconds, the instrument, its message.
    pub(super) fn line(&mut self, bench_s: f64, instrument: &str, message: &str) {
        let Some(file) = &mut self.0 else { return };
        let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
        let line = format!(
            "{} {bench_s:.6} {instrument} {}\n",
            since.as_millis(),
            message.escape_default()
        );
        // A log that cannot be written must not take the bench down with it.
        let _ = file.write_all(line.as_bytes());
    }
}
