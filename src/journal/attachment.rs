//! Copies of files that belong to a run, kept beside its journal under their hash.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Read, Write};
use std::path::Path;
use std::process;
use std::sync::atomic::{AtomicU64, Ordering};

use super::chain::{Running, is_hash};
use super::disk::open_regular;
use super::error::JournalError;
use super::folder;
use super::limits::ATTACHMENT_MAX;

/// A file that was copied to the run, as an entry should name it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Attached {
    /// The file's own name without folders, as it was when attached; characters that are no text
    /// are replaced.
    pub name: String,
    /// The hash of its bytes, which is also the name of the copy.
    pub sha256: String,
    /// How many bytes it has.
    pub bytes: u64,
}

/// Copies a file to `<run>.files/<sha256>` in the folder and returns when the copy is on the disk.
///
/// # Errors
/// When the source is no regular file or too big, an altered copy is in the way, or the system
/// refuses.
pub fn attach(folder: &Path, run: &str, source: &Path) -> Result<Attached, JournalError> {
    let attachments = folder::attachments(folder, run)?;
    let not_a_file = || JournalError::NotAFile { path: source.to_owned() };
    let name = source.file_name().ok_or_else(not_a_file)?.to_string_lossy().into_owned();
    let mut from = open_regular(OpenOptions::new().read(true), source)?;
    let bytes = from.metadata().map_err(JournalError::io("open", source))?.len();
    check_size(bytes, source)?;
    folder::ensure(&attachments)?;
    let aside = attachments.join(aside_name());
    let placed = copy(&mut from, source, &aside).and_then(|copied| {
        place(&aside, folder, run, &copied.hex())?;
        Ok(Attached { name, sha256: copied.hex(), bytes: copied.bytes() })
    });
    // Gone already when it was renamed; otherwise it is of no use and no record.
    let _ = fs::remove_file(&aside);
    placed
}

/// Checks that an attachment is there and still what was attached.
///
/// # Errors
/// When it is missing, altered or cannot be read, or when the name is no hash.
pub fn check_attachment(folder: &Path, run: &str, sha256: &str) -> Result<(), JournalError> {
    // The hash comes from a record, and a record may be forged: it must not lead out of the folder.
    if !is_hash(sha256) {
        return Err(JournalError::AttachmentHash { text: sha256.to_owned() });
    }
    let path = folder::attachments(folder, run)?.join(sha256);
    let mut file = match open_regular(OpenOptions::new().read(true), &path) {
        Err(JournalError::Io { cause, .. }) if cause.kind() == io::ErrorKind::NotFound => {
            return Err(JournalError::AttachmentMissing { path });
        }
        opened => opened?,
    };
    let mut hashing = Hashing { inner: io::sink(), running: Running::default() };
    copy_bounded(&mut file, &mut hashing).map_err(JournalError::io("read", &path))?;
    if hashing.running.hex() != sha256 {
        return Err(JournalError::AttachmentAltered { path });
    }
    Ok(())
}

/// Copies the source aside and syncs the copy.
fn copy(from: &mut File, source: &Path, aside: &Path) -> Result<Running, JournalError> {
    let file = File::create(aside).map_err(JournalError::io("create", aside))?;
    let mut hashing = Hashing { inner: file, running: Running::default() };
    copy_bounded(from, &mut hashing).map_err(JournalError::io("copy", source))?;
    // Again, because the file may have grown meanwhile.
    check_size(hashing.running.bytes(), source)?;
    hashing.inner.sync_all().map_err(JournalError::io("sync", aside))?;
    Ok(hashing.running)
}

fn check_size(bytes: u64, source: &Path) -> Result<(), JournalError> {
    if bytes > ATTACHMENT_MAX {
        return Err(JournalError::AttachmentTooBig { path: source.to_owned() });
    }
    Ok(())
}

/// Gives the copy its name. A copy that is there already stays, because nothing written is ever
/// replaced.
fn place(aside: &Path, folder: &Path, run: &str, sha256: &str) -> Result<(), JournalError> {
    match check_attachment(folder, run, sha256) {
        Err(JournalError::AttachmentMissing { path }) => {
            fs::rename(aside, &path).map_err(JournalError::io("rename to", &path))?;
            folder::sync(&folder::attachments(folder, run)?)
        }
        there => there,
    }
}

/// Copies up to one byte more than an attachment may have, enough to see that it is too big.
fn copy_bounded(from: &mut File, to: &mut impl Write) -> io::Result<u64> {
    io::copy(&mut from.take(ATTACHMENT_MAX + 1), to)
}

/// A name that no other program and no other thread uses at the same time.
fn aside_name() -> String {
    static COUNT: AtomicU64 = AtomicU64::new(0);
    format!(".aside-{}-{}", process::id(), COUNT.fetch_add(1, Ordering::Relaxed))
}

/// Hashes what passes through.
struct Hashing<W> {
    inner: W,
    running: Running,
}

impl<W: Write> Write for Hashing<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let written = self.inner.write(bytes)?;
        self.running.add(bytes.get(..written).unwrap_or(bytes));
        Ok(written)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.inner.flush()
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use std::path::PathBuf;

    use super::*;
    use crate::journal::sha256_hex;

    const RUN: &str = "run-1";

    struct TestFolder {
        folder: tempfile::TempDir,
    }

    impl TestFolder {
        fn new() -> Self {
            Self { folder: tempfile::tempdir().unwrap() }
        }

        fn records(&self) -> PathBuf {
            self.folder.path().join("records")
        }

        fn file(&self, name: &str, bytes: &[u8]) -> PathBuf {
            let path = self.folder.path().join(name);
            fs::write(&path, bytes).unwrap();
            path
        }

        fn attach(&self, source: &Path) -> Result<Attached, JournalError> {
            attach(&self.records(), RUN, source)
        }

        fn check(&self, sha256: &str) -> Result<(), JournalError> {
            check_attachment(&self.records(), RUN, sha256)
        }

        fn kept(&self, sha256: &str) -> PathBuf {
            self.records().join("run-1.files").join(sha256)
        }

        fn names(&self) -> Vec<String> {
            let found = fs::read_dir(self.records().join("run-1.files")).unwrap();
            found.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect()
        }
    }

    #[test]
    fn keeps_a_copy_under_its_hash_and_nothing_else() {
        let shop = TestFolder::new();
        let source = shop.file("scope shot.png", b"picture");
        let attached = shop.attach(&source).unwrap();
        let sha256 = sha256_hex(b"picture");
        assert_eq!(
            attached,
            Attached { name: "scope shot.png".to_owned(), sha256: sha256.clone(), bytes: 7 }
        );
        assert_eq!(fs::read(shop.kept(&sha256)).unwrap(), b"picture");
        shop.check(&sha256).unwrap();
        // The same bytes under another name are the same copy.
        assert_eq!(shop.attach(&shop.file("again.png", b"picture")).unwrap().sha256, sha256);
        assert_eq!(shop.names(), [sha256]);
    }

    #[test]
    fn a_missing_or_altered_copy_shows() {
        let shop = TestFolder::new();
        let source = shop.file("a.csv", b"1,2\n");
        let sha256 = shop.attach(&source).unwrap().sha256;
        fs::write(shop.kept(&sha256), b"1,3\n").unwrap();
        assert!(matches!(shop.check(&sha256), Err(JournalError::AttachmentAltered { .. })));
        // It is evidence, so attaching the same file again does not replace it.
        assert!(matches!(shop.attach(&source), Err(JournalError::AttachmentAltered { .. })));
        assert_eq!(fs::read(shop.kept(&sha256)).unwrap(), b"1,3\n");
        assert_eq!(shop.names(), [sha256.as_str()]);
        fs::remove_file(shop.kept(&sha256)).unwrap();
        assert!(matches!(shop.check(&sha256), Err(JournalError::AttachmentMissing { .. })));
    }

    #[test]
    fn a_name_that_is_no_hash_leads_nowhere() {
        let shop = TestFolder::new();
        shop.file("secret", b"x");
        for text in ["", "../../secret", &sha256_hex(b"x").to_uppercase()] {
            assert!(
                matches!(shop.check(text), Err(JournalError::AttachmentHash { .. })),
                "{text:?}"
            );
        }
    }

    #[test]
    fn only_regular_files_of_a_bounded_size() {
        let shop = TestFolder::new();
        let folder = shop.folder.path();
        for source in [folder, Path::new("/dev/null"), Path::new("/"), &folder.join("..")] {
            assert!(
                matches!(shop.attach(source), Err(JournalError::NotAFile { .. })),
                "{source:?}"
            );
        }
        let missing = shop.attach(&folder.join("missing")).unwrap_err().to_string();
        assert!(missing.starts_with("cannot open "), "{missing}");

        let big = shop.file("big", b"");
        File::options().write(true).open(&big).unwrap().set_len(ATTACHMENT_MAX + 1).unwrap();
        assert!(matches!(shop.attach(&big), Err(JournalError::AttachmentTooBig { .. })));
        assert!(!shop.records().exists());
    }
}
