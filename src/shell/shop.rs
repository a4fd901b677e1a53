//! The files that the shop keeps its keys in, as they are named on the command line.

use std::path::Path;

use super::fault::Fault;
use super::file;
use crate::signature::{Shop, Signers};

/// Reads the shop's own file of allowed signers and its revoked keys.
pub(crate) fn shop(signers: &Path, revoked: Option<&Path>) -> Result<Shop, Fault> {
    let unreadable = |path: &Path, why: String| Fault::usage(format!("{}: {why}", path.display()));
    let text = file::read(signers)?.file.text;
    let read = Signers::parse(&text).map_err(|error| unreadable(signers, error.to_string()))?;
    let shop = Shop::with(read);
    let Some(revoked) = revoked else { return Ok(shop) };
    let text = file::read(revoked)?.file.text;
    shop.revoking(&text).map_err(|error| unreadable(revoked, error.to_string()))
}
