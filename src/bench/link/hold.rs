//! One program at a time on a network address: sockets, unlike serial and USB lines, can be opened by any number of them.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Write};
use std::net::SocketAddr;
use std::os::unix::fs::{MetadataExt, OpenOptionsExt};
use std::path::{Path, PathBuf};
use std::{env, process};

use rustix::fs::OFlags;

/// How often a file is tried that another program takes away at that moment.
const TRIES: u32 = 100;

/// An address held for this program, for as long as it lives: by a lock on a file in the system's folder for such, which the system
/// lets go of however the program ends.
#[derive(Debug)]
pub(super) struct AddressHold {
    path: PathBuf,
    /// None where this very program holds it already, for another of its lines.
    file: Option<File>,
}

impl AddressHold {
    /// Takes hold of an address.
    ///
    /// # Errors
    /// Another program holds it, or the system's folder cannot be written to.
    pub(super) fn take(address: SocketAddr) -> io::Result<Self> {
        let plain = |c: char| if c.is_ascii_alphanumeric() { c } else { '-' };
        let name: String = address.to_string().chars().map(plain).collect();
        // Not the folder of one login: two people may share a bench.
        Self::at(env::temp_dir().join(format!("wattstep-{name}.lock")))
    }

    fn at(path: PathBuf) -> io::Result<Self> {
        for _ in 0..TRIES {
            let mut file = open(&path)?;
            if file.try_lock().is_err() {
                let holder = fs::read_to_string(&path).unwrap_or_default();
                if process_of(&holder) == Some(process::id()) {
                    return Ok(Self { path, file: None });
                }
                let holder = holder.lines().next().filter(|holder| !holder.is_empty());
                let holder = holder.unwrap_or("another program");
                return Err(io::Error::other(format!("it is in use by {holder}")));
            }
            // The one that held it before may have removed it after it was opened here.
            if is_still(&file, &path) {
                // Another person's file can be locked, and not written to.
                let _ = file.set_len(0).and_then(|()| file.write_all(holder().as_bytes()));
                return Ok(Self { path, file: Some(file) });
            }
        }
        Err(io::Error::other("its lock cannot be had"))
    }
}

impl Drop for AddressHold {
    fn drop(&mut self) {
        if self.file.is_some() {
            // One that stays behind holds nothing.
            let _ = fs::remove_file(&self.path);
        }
    }
}

/// Opens a lock, which is made if it is not there. Never through a link: anybody may put one into that folder.
fn open(path: &Path) -> io::Result<File> {
    let no_link = i32::try_from(OFlags::NOFOLLOW.bits()).unwrap_or_default();
    let file = OpenOptions::new()
        .read(true)
        .write(true)
        .create(true)
        .truncate(false)
        .custom_flags(no_link)
        .open(path);
    file.or_else(|error| {
        let others = OpenOptions::new().read(true).custom_flags(no_link).open(path);
        others.map_err(|_| io::Error::other(format!("its lock {} fails: {error}", path.display())))
    })
}

fn is_still(file: &File, path: &Path) -> bool {
    let same = |one: fs::Metadata, other: fs::Metadata| {
        (one.dev(), one.ino()) == (other.dev(), other.ino())
    };
    file.metadata().ok().zip(fs::symlink_metadata(path).ok()).is_some_and(|(a, b)| same(a, b))
}

/// Who holds it, in words: what was called, and which process it is.
fn holder() -> String {
    let called: Vec<_> = env::args().skip(1).collect();
    format!("`wattstep {}` (process {})\n", called.join(" "), process::id())
}

fn process_of(holder: &str) -> Option<u32> {
    let (_, id) = holder.trim_end().strip_suffix(')')?.rsplit_once("(process ")?;
    id.parse().ok()
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::*;

    #[test]
    fn what_another_program_holds_is_refused_with_its_name_and_what_this_one_holds_is_shared() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("lock");
        let held = AddressHold::at(path.clone()).unwrap();
        assert!(AddressHold::at(path.clone()).is_ok_and(|hold| hold.file.is_none()));
        fs::write(&path, "`wattstep run lantern.yaml` (process 1)\n").unwrap();
        let refused = AddressHold::at(path.clone()).unwrap_err();
        assert_eq!(refused.to_string(), "it is in use by `wattstep run lantern.yaml` (process 1)");
        drop(held);
        assert!(!path.exists());
        // One that a killed program left behind holds nothing.
        fs::write(&path, "`wattstep run lantern.yaml` (process 1)\n").unwrap();
        assert!(AddressHold::at(path).is_ok_and(|hold| hold.file.is_some()));
    }

    #[test]
    fn a_lock_is_never_opened_through_a_link() {
        let folder = tempfile::tempdir().unwrap();
        let (target, path) = (folder.path().join("target"), folder.path().join("lock"));
        std::os::unix::fs::symlink(&target, &path).unwrap();
        assert!(AddressHold::at(path).is_err() && !target.exists());
    }
}
