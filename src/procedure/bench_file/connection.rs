//! How the program reaches an instrument and speaks to it.

use serde::Deserialize;

use super::{Address, Dialect};
use crate::procedure::At;
use crate::quantity::Quantity;

/// How the program reaches an instrument and speaks to it.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Connection {
    /// Where it is reached.
    pub address: At<Address>,
    /// What ends a message to it (default: line feed). Its replies may end with any of them.
    #[serde(default)]
    pub terminator: Terminator,
    /// How long a reply may take (default 1 s).
    pub timeout: Option<Quantity>,
    /// The least time between two messages (default none).
    pub pause: Option<Quantity>,
    /// What its answer to the identification question has to contain.
    pub identity: Option<At<String>>,
    /// Where its commands differ from the standard ones.
    #[serde(default)]
    pub dialect: Dialect,
}

/// What ends a message.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum Terminator {
    /// Line feed.
    #[default]
    Lf,
    /// Carriage return.
    Cr,
    /// Carriage return and line feed.
    CrLf,
    /// Nothing: the message ends where the write ends.
    None,
}

impl Terminator {
    /// Its bytes.
    #[must_use]
    pub fn bytes(self) -> &'static [u8] {
        match self {
            Self::Lf => b"\n",
            Self::Cr => b"\r",
            Self::CrLf => b"\r\n",
            Self::None => b"",
        }
    }
}
