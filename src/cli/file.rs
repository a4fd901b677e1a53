//! Reading the files people write, within limits.

use std::fs::File;
use std::io::Read as _;
use std::path::Path;

use super::fault::Fault;
use crate::journal::sha256_hex;
use crate::procedure::BYTES_MAX;
use crate::record::Provided;

/// A file as it was read, under the name that the person gave.
#[derive(Clone, Debug)]
pub(super) struct Document {
    /// The path as it was given, for messages.
    pub(super) shown: String,
    /// What goes into a record.
    pub(super) file: Provided,
}

/// Reads a text file, and no more of it than such a file can have.
pub(super) fn read(path: &Path) -> Result<Document, Fault> {
    let shown = path.display().to_string();
    let file =
        File::open(path).map_err(|error| Fault::failed(format!("cannot open {shown}: {error}")))?;
    let mut bytes = Vec::new();
    let limit = BYTES_MAX as u64 + 1;
    let read = file.take(limit).read_to_end(&mut bytes);
    read.map_err(|error| Fault::failed(format!("cannot read {shown}: {error}")))?;
    if bytes.len() > BYTES_MAX {
        return Err(Fault::failed(format!("{shown} is larger than 1 MiB"))
            .help("such files have a few hundred lines: is this the right one?"));
    }
    let sha256 = sha256_hex(&bytes);
    let text = String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        Fault::failed(format!("{shown} is not UTF-8 text: byte {at} fits nothing"))
            .help("save it as UTF-8 and try again")
    })?;
    let name = path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned();
    Ok(Document { shown, file: Provided { name, sha256, text } })
}
