//! A file as it is kept in a record.

use serde::{Deserialize, Serialize};

/// A file frozen into the record: its own text, so that the record needs nothing beside it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Provided {
    /// The file's name, without its folder.
    pub name: String,
    /// SHA-256 of the file's bytes, in lower-case hexadecimal.
    pub sha256: String,
    /// The file's whole text.
    pub text: String,
}
