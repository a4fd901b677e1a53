//! Whether a signature holds.

use ssh_key::{Algorithm, HashAlg, PublicKey, SshSig};

use super::flaw::Flaw;
use super::signers::Signers;
use super::statement::{NAMESPACE, Statement};

/// Tells whether the signature of a statement was made over it, with a key of the person it names that was valid then.
/// Gives the fingerprint of that key.
///
/// # Errors
/// Why it does not hold.
pub(super) fn holds(statement: &Statement<'_>, signers: &Signers) -> Result<String, Flaw> {
    let key = signing_key(statement)?;
    signers.admit(&key, &statement.signature.principal, statement.signature.at)?;
    Ok(key.fingerprint(HashAlg::Sha256).to_string())
}

/// The key that the signature of a statement was made over it with, no matter whose it is.
pub(super) fn signing_key(statement: &Statement<'_>) -> Result<PublicKey, Flaw> {
    let signature = statement.signature;
    let read = SshSig::from_pem(&signature.armored).map_err(|_| Flaw::Unreadable)?;
    if read.namespace() != NAMESPACE {
        return Err(Flaw::Namespace { found: read.namespace().to_owned() });
    }
    let key = PublicKey::from(read.public_key().clone());
    if key.algorithm() != Algorithm::Ed25519 {
        return Err(Flaw::KeyKind { kind: key.algorithm().as_str().to_owned() });
    }
    let text = statement.to_string();
    key.verify(NAMESPACE, text.as_bytes(), &read).map_err(|_| Flaw::Altered)?;
    Ok(key)
}

/// The fingerprint of the key in a signature, as `ssh-keygen -l` shows it; `None` where there is no signature to read.
#[must_use]
pub fn fingerprint(armored: &str) -> Option<String> {
    let read = SshSig::from_pem(armored).ok()?;
    Some(read.public_key().fingerprint(HashAlg::Sha256).to_string())
}
