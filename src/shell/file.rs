//! Reading the files people write and attach, within limits, and writing what they ask for.

use std::fs::{File, OpenOptions};
use std::io::{self, Read as _, Write as _};
use std::os::unix::fs::OpenOptionsExt as _;
use std::path::Path;

use rustix::fs::OFlags;

use super::fault::Fault;
use super::terminal;
use crate::diagnostic::clean_lines;
use crate::journal::{check_attachment, sha256_hex};
use crate::procedure::BYTES_MAX;
use crate::record::Provided;

/// A file as it was read, under the name that the person gave.
#[derive(Clone, Debug)]
pub(crate) struct NamedFile {
    /// The path as it was given, for messages.
    pub(crate) shown: String,
    /// What goes into a record.
    pub(crate) file: Provided,
}

/// Opens a regular file for reading. What is none is refused unopened or at once: a pipe would wait for its other end, and a signal
/// could not end that.
pub(crate) fn open(path: &Path) -> io::Result<File> {
    let mut options = OpenOptions::new();
    let file = options.read(true).custom_flags(OFlags::NONBLOCK.bits().cast_signed()).open(path)?;
    if file.metadata()?.is_file() {
        Ok(file)
    } else {
        Err(io::Error::other("it is no regular file"))
    }
}

/// Reads a text file, and no more of it than such a file can have.
pub(crate) fn read(path: &Path) -> Result<NamedFile, Fault> {
    let shown = path.display().to_string();
    let file =
        open(path).map_err(|error| Fault::failed(format!("cannot open {shown}: {error}")))?;
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
    Ok(NamedFile { shown, file: Provided { name, sha256, text } })
}

/// Writes what was made to a new file, or to standard output.
///
/// A file that is there already stays: it may be a report that was handed out.
pub(crate) fn put(out: Option<&Path>, bytes: &[u8], is_binary: bool) -> Result<(), Fault> {
    let Some(path) = out else {
        if is_binary && terminal::out_is_terminal() {
            let fault = Fault::usage("this is not text: a terminal cannot show it");
            return Err(fault.help("give --out FILE"));
        }
        terminal::out_bytes(bytes);
        return Ok(());
    };
    let shown = path.display().to_string();
    create(path, bytes).map_err(|error| match error.kind() {
        io::ErrorKind::AlreadyExists => Fault::failed(format!("{shown} exists already"))
            .help("give another name, or move that file away first"),
        _ => Fault::failed(format!("cannot write {shown}: {error}")),
    })?;
    terminal::err(&clean_lines(&format!("written: {shown}\n")));
    Ok(())
}

/// Writes a new file; what is there already stays, and is an error.
pub(crate) fn create(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = File::create_new(path)?;
    file.write_all(bytes)?;
    file.sync_all()
}

/// Puts a text in the place of a file, whole or not at all: a crash leaves the one or the other.
pub(crate) fn replace(path: &Path, text: &str) -> io::Result<()> {
    let name = path.file_name().unwrap_or(path.as_os_str()).to_string_lossy();
    let new = path.with_file_name(format!(".{name}.new"));
    let mut file = File::create(&new)?;
    file.write_all(text.as_bytes())?;
    file.sync_all()?;
    std::fs::rename(&new, path)?;
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    File::open(folder.unwrap_or(Path::new(".")))?.sync_all()
}

/// Reads an attached file of at most so many bytes; `None` where it is missing, altered or larger.
pub(crate) fn attached(folder: &Path, run: &str, sha256: &str, most: usize) -> Option<Vec<u8>> {
    // It also refuses a hash that is none, which could lead out of the folder.
    check_attachment(folder, run, sha256).ok()?;
    let file = open(&folder.join(format!("{run}.files")).join(sha256)).ok()?;
    let mut bytes = Vec::new();
    file.take(most as u64 + 1).read_to_end(&mut bytes).ok()?;
    (bytes.len() <= most && sha256_hex(&bytes) == sha256).then_some(bytes)
}
