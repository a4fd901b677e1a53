//! Why a signature does not hold.

use thiserror::Error;

/// Why a signature does not hold.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum Flaw {
    /// It is no SSHSIG signature.
    #[error("it can't be read as an OpenSSH signature")]
    Unreadable,
    /// It was made for something else.
    #[error("it was made for `{found}`, not for a record")]
    Namespace {
        /// The namespace in it.
        found: String,
    },
    /// Its key is of a kind that is not taken.
    #[error("its key is {kind}: only ssh-ed25519 keys sign here")]
    KeyKind {
        /// The kind of key.
        kind: String,
    },
    /// The name and the identity are not one person's.
    #[error("it names {name} as {principal}, and the people file has no such person")]
    Stranger {
        /// The name.
        name: String,
        /// The identity.
        principal: String,
    },
    /// Its time is not that of its line.
    #[error("its time is not that of its line")]
    OtherTime,
    /// It is not over this statement.
    #[error("it was made over another statement: it was moved here, or the record was edited")]
    Altered,
    /// The file of allowed signers does not know its key.
    #[error("its key {fingerprint} is not in the file of allowed signers")]
    UnknownKey {
        /// The key's fingerprint.
        fingerprint: String,
    },
    /// The key is another person's.
    #[error("its key {fingerprint} is not one of {principal}")]
    Principal {
        /// The key's fingerprint.
        fingerprint: String,
        /// Who is said to have signed.
        principal: String,
    },
    /// The key is allowed for other things only.
    #[error("its key {fingerprint} is not allowed for records (namespace {namespace})")]
    NotForRecords {
        /// The key's fingerprint.
        fingerprint: String,
        /// The namespace that it would have to be allowed for.
        namespace: &'static str,
    },
    /// The key was not valid yet.
    #[error("its key {fingerprint} was not valid yet at that time (valid-after)")]
    NotYet {
        /// The key's fingerprint.
        fingerprint: String,
    },
    /// The key was valid no longer.
    #[error("its key {fingerprint} was no longer valid at that time (valid-before)")]
    Expired {
        /// The key's fingerprint.
        fingerprint: String,
    },
    /// The shop counts its key no longer.
    #[error("its key {fingerprint} is revoked by the shop")]
    Revoked {
        /// The key's fingerprint.
        fingerprint: String,
    },
    /// It holds by the keys in the record, but not by the shop's own file.
    #[error("by the shop's own file of allowed signers: {0}")]
    ByShop(Box<Flaw>),
}
