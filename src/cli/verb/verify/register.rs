//! What is found of the register itself.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use super::found::{dates, findings};
use crate::diagnostic::clean;
use crate::journal::register::{Digest, Index, NO_REGISTER, REGISTER};
use crate::shell::fault::Fault;

/// The register of a folder.
pub(super) struct FolderRegister {
    path: PathBuf,
    /// What it says; nothing when it is damaged or missing.
    pub(super) index: Option<Index>,
    pub(super) wrong: Option<String>,
    /// What it was checked against.
    pub(super) digest: Option<Digest>,
}

impl FolderRegister {
    /// Reads the register of a folder and checks it against a digest.
    pub(super) fn read(folder: &Path, digest: Option<&Digest>) -> Result<Self, Fault> {
        let (index, wrong) = match Index::read(folder) {
            Ok(Some(index)) => {
                let differs = digest.map(|digest| digest.is_extended_in(folder)).transpose();
                (Some(index), differs.map_err(Fault::failed)?.and_then(|differs| differs.err()))
            }
            Ok(None) => (None, None),
            // Damaged, shut or no file at all: it vouches for nothing, and the records are looked at all the same.
            Err(error) => return Ok(Self::of(folder, None, Some(error.to_string()), digest)),
        };
        let is_missing = index.is_none() && digest.is_some();
        let missing = is_missing.then(|| NO_REGISTER.to_owned());
        Ok(Self::of(
            folder,
            index,
            wrong.map(|not_extended| not_extended.to_string()).or(missing),
            digest,
        ))
    }

    fn of(
        folder: &Path,
        index: Option<Index>,
        wrong: Option<String>,
        digest: Option<&Digest>,
    ) -> Self {
        Self { path: folder.join(REGISTER), index, wrong, digest: digest.cloned() }
    }

    /// Where there are records there has to be a register.
    pub(super) fn must_be_there(&mut self) {
        if self.index.is_none() && self.wrong.is_none() {
            self.wrong = Some(NO_REGISTER.to_owned());
        }
    }

    pub(super) fn text(&self) -> String {
        let path = clean(&self.path.display().to_string());
        if let Some(wrong) = &self.wrong {
            return format!("DOES NOT VERIFY  {path}\n  {}\n", clean(wrong));
        }
        let Some(index) = &self.index else { return String::new() };
        let (lines, head) = (index.chain.lines, &index.chain.head);
        let digest = self
            .digest
            .as_ref()
            .map(|digest| format!("  it goes on from the digest of {}\n", digest.at.to_rfc3339()));
        let torn = index.chain.torn.as_ref().map(|_| "  a torn tail: the last write was cut off\n");
        let (digest, torn) = (digest.unwrap_or_default(), torn.unwrap_or_default());
        let found = findings(&self.findings());
        format!("register  {path}\n  {lines} lines, head {head}\n{torn}{digest}{found}")
    }

    /// What is to be looked at although nothing was altered.
    pub(super) fn findings(&self) -> Vec<String> {
        self.index.iter().flat_map(|index| dates(&index.dated_back, index.order())).collect()
    }

    pub(super) fn json(&self) -> Value {
        let chain = self.index.as_ref().map(|index| &index.chain);
        json!({
            "register": self.path.display().to_string(),
            "verified": self.wrong.is_none(),
            "wrong": self.wrong,
            "lines": chain.map(|chain| chain.lines),
            "head": chain.map(|chain| &chain.head),
            "findings": self.findings(),
        })
    }
}
