//! Signatures: what is signed, who may sign, and whether a signature holds.
//!
//! For: the text of a statement, the reading of an OpenSSH file of allowed signers, and the check of an SSHSIG signature
//! against both. The format is OpenSSH's (`PROTOCOL.sshsig`), so `ssh-keygen -Y verify` checks the same.
//!
//! May use: `record`, `procedure` (the people file). No file, clock or agent: private keys are read and asked for elsewhere.
//!
//! Always true:
//! - a statement names its run, its line, the hash of the line before, the question and the answer, so a signature holds
//!   in one place alone;
//! - two different acts never make the same statement;
//! - whether a signature holds depends on its statement and the file of allowed signers, never on the day it is checked.

mod authority;
mod flaw;
mod moment;
mod pattern;
mod shop;
mod signers;
mod statement;
mod verify;

#[cfg(test)]
mod tests;

pub use authority::{Authority, CheckedSignature, SignerLine};
pub use shop::Shop;
pub use signers::Signers;
pub use statement::{HAND_OVER, NAMESPACE, Statement, hand_over};
pub use verify::fingerprint;
