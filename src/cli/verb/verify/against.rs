//! What is kept outside the folder, to check records and register against.

use std::path::{Path, PathBuf};

use crate::journal::register::{Digest, DigestError};
use crate::shell::fault::Fault;
use crate::shell::file;
use crate::shell::shop::shop;
use crate::signature::Shop;

#[derive(Debug, clap::Args)]
pub(super) struct Against {
    /// A line that `wattstep digest` printed or a file with it, for the register; the shop's own file of allowed signers,
    /// for the signatures. May be given twice
    #[arg(long, value_name = "DIGEST|FILE")]
    against: Vec<String>,
    /// Public keys that the shop counts no longer, one a line
    #[arg(long, value_name = "FILE", requires = "against")]
    revoked: Option<PathBuf>,
}

/// The same, read.
#[derive(Default)]
pub(super) struct Kept {
    pub(super) digest: Option<Digest>,
    pub(super) shop: Option<Shop>,
}

impl Against {
    pub(super) fn read(&self) -> Result<Kept, Fault> {
        let mut kept = Kept::default();
        for given in &self.against {
            let path = Path::new(given);
            let text = match path.exists() {
                true => file::read(path)?.file.text,
                false => given.clone(),
            };
            let is_first = match text.parse::<Digest>() {
                Ok(digest) => kept.digest.replace(digest).is_none(),
                // What no file is can only be meant for a digest, and so can what begins like one.
                Err(error) if !path.exists() || DigestError::is_meant(&text) => {
                    return Err(Fault::usage(error));
                }
                Err(_) => kept.shop.replace(shop(path, self.revoked.as_deref())?).is_none(),
            };
            if !is_first {
                return Err(Fault::usage("--against names two of a kind")
                    .help("one digest and one file of allowed signers is the most"));
            }
        }
        if self.revoked.is_some() && kept.shop.is_none() {
            return Err(Fault::usage("revoked keys without a file of allowed signers")
                .help("name the shop's own file with --against"));
        }
        Ok(kept)
    }
}
