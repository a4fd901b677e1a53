//! The shop's own keys, kept outside the record: anyone who forges a whole record forges the keys in it too.

use chrono::{DateTime, FixedOffset};
use ssh_key::{Algorithm, HashAlg, PublicKey};

use super::flaw::Flaw;
use super::signers::{Signers, UnreadableSigners, written};

/// Who may sign by the shop's own file, and which keys count no longer, whenever they signed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Shop {
    signers: Signers,
    revoked: Vec<PublicKey>,
}

impl Shop {
    /// The shop with this file of allowed signers.
    #[must_use]
    pub fn with(signers: Signers) -> Self {
        Self { signers, revoked: Vec::new() }
    }

    /// Takes in a file of revoked keys: one public key a line (ssh-keygen(1), option `-r`).
    ///
    /// # Errors
    /// The first line that holds no public key. OpenSSH's binary list (KRL) is not taken.
    pub fn revoking(mut self, text: &str) -> Result<Self, UnreadableSigners> {
        for (line, key) in written(text) {
            let key = PublicKey::from_openssh(key);
            let why = "there is no public key, as `ssh-ed25519 AAAA...` in a .pub file";
            let key = key.map_err(|_| UnreadableSigners { line, why: why.to_owned() });
            self.revoked.extend(Some(key?).filter(|key| key.algorithm() == Algorithm::Ed25519));
        }
        Ok(self)
    }

    /// Tells whether a key may sign a record for this person at this time.
    pub(super) fn admit(
        &self,
        key: &PublicKey,
        principal: &str,
        at: DateTime<FixedOffset>,
    ) -> Result<(), Flaw> {
        if self.revoked.iter().any(|revoked| revoked.key_data() == key.key_data()) {
            return Err(Flaw::Revoked {
                fingerprint: key.fingerprint(HashAlg::Sha256).to_string(),
            });
        }
        let admitted = self.signers.admit(key, principal, at);
        admitted.map_err(|flaw| Flaw::ByShop(Box::new(flaw)))
    }
}
