//! A person's private key in a file, protected by a passphrase.

use std::io::Read as _;
use std::path::Path;

use ssh_key::PrivateKey;

use super::outside::{NoSignature, asked};
use crate::diagnostic::clean_lines;
use crate::shell::file;
use crate::sitting::beside::PromptEnd;
use crate::sitting::front::Front;

/// How often a passphrase is asked for.
const TRIES: usize = 3;

/// More than any key is long (bytes).
const BYTES_MAX: u64 = 64 * 1024;

/// A key as it is on the disk.
pub(super) struct KeyFile {
    /// The file's name, as it is shown.
    name: String,
    key: PrivateKey,
}

impl KeyFile {
    /// Reads a key file in OpenSSH's format.
    pub(in crate::sitting) fn read(path: &Path) -> Result<Self, String> {
        let name = path.display().to_string();
        let mut text = String::new();
        file::open(path)
            .and_then(|file| file.take(BYTES_MAX).read_to_string(&mut text))
            .map_err(|error| format!("the key file {name} can't be read: {error}"))?;
        let key = PrivateKey::from_openssh(&text)
            .map_err(|error| format!("{name} is not an OpenSSH private key: {error}"))?;
        Ok(Self { name, key })
    }

    /// Tells whether it is one of these public keys.
    pub(super) fn is_one_of(&self, allowed: &[Vec<u8>]) -> bool {
        self.key.public_key().to_bytes().is_ok_and(|key| allowed.contains(&key))
    }

    /// Unlocks it with the passphrase of the person it belongs to. An empty line gives up.
    pub(super) fn unlock(
        self,
        front: &mut dyn Front,
        ended: Option<&PromptEnd>,
    ) -> Result<Box<PrivateKey>, NoSignature> {
        if !self.key.is_encrypted() {
            return Ok(Box::new(self.key));
        }
        let title = format!("  Key {}. Enter alone: not now.\n", self.name);
        front.show(&clean_lines(&title));
        for _ in 0..TRIES {
            let Some(passphrase) = front.passphrase(ended).map_err(NoSignature::Reply)? else {
                let words = format!("a script can't unlock {}: use an ssh-agent", self.name);
                return Err(NoSignature::Told(words));
            };
            if passphrase.is_empty() {
                return Err(NoSignature::Told("no passphrase was given".to_owned()));
            }
            // To try one takes a while on purpose.
            let locked = self.key.clone();
            let tried = move || Ok(locked.decrypt(&passphrase).ok());
            if let Some(key) = asked("the key", front, ended, tried)? {
                return Ok(Box::new(key));
            }
            front.show("  That is not its passphrase.\n");
        }
        Err(NoSignature::Told("the passphrase was wrong three times".to_owned()))
    }
}
