//! A file of what the instruments got, one message a line, for the one that has to know afterwards.

use std::fs::{File, OpenOptions};
use std::io::{self, Write};
use std::os::unix::fs::OpenOptionsExt as _;
use std::path::Path;
use std::time::{SystemTime, UNIX_EPOCH};

use rustix::fs::OFlags;

/// Writes what the instruments got, or nothing.
#[derive(Debug)]
pub(super) struct Log(Option<File>);

impl Log {
    /// Begins a log, if a file is named.
    ///
    /// # Errors
    /// A file that cannot be made, or one with something in it: it may be anything.
    pub(super) fn begin(path: Option<&Path>) -> io::Result<Self> {
        Ok(Self(path.map(begin).transpose()?))
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

fn begin(path: &Path) -> io::Result<File> {
    let named =
        |error: io::Error| io::Error::new(error.kind(), format!("{}: {error}", path.display()));
    // A pipe would wait for its other end, and a signal could not end that; opened both ways it has one, and is seen to be a pipe.
    let unwaiting = OFlags::NONBLOCK.bits().cast_signed();
    let mut options = OpenOptions::new();
    let options = options.read(true).append(true).create(true).custom_flags(unwaiting);
    let file = options.open(path).map_err(named)?;
    let found = file.metadata().map_err(named)?;
    match found.len() {
        _ if !found.is_file() => Err(named(io::Error::other("it is no regular file"))),
        0 => Ok(file),
        _ => Err(named(io::Error::other("there is something in it already; name a new file"))),
    }
}
