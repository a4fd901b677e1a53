//! What a report is made of, beside the run: all of it is handed in, nothing is looked up.

use std::collections::BTreeMap;

use super::photo::Photo;
use crate::procedure::{BenchFile, Equipment, Procedure};
use crate::record::{Run, Signature};

/// What is known of the record itself.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Seal {
    /// The hash of its last line.
    pub head: String,
    /// How many lines it has.
    pub lines: usize,
    /// What does not verify, if anything.
    pub wrong: Option<String>,
    /// Whether its last write was cut off.
    pub torn: bool,
    /// What the register has to add, although the record is as registered.
    pub caveats: Vec<String>,
    /// Whether somebody took the record over as it was: nothing vouches for it from before.
    pub adopted: bool,
    /// The signatures in it that do not hold.
    pub flawed: Vec<Flawed>,
}

/// A signature that does not hold.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Flawed {
    /// The line that carries it.
    pub line: usize,
    /// The signature.
    pub signature: Signature,
    /// Why it does not hold.
    pub why: String,
}

impl Seal {
    /// Why a signature does not hold; nothing where it does.
    #[must_use]
    pub fn flaw(&self, line: usize, signature: &Signature) -> Option<&str> {
        let is_it = |flawed: &&Flawed| flawed.line == line && flawed.signature == *signature;
        self.flawed.iter().find(is_it).map(|flawed| flawed.why.as_str())
    }
}

/// What the workshop states itself; what it does not state stays a line to write on.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Issuer {
    /// Its name and place.
    pub shop: Option<String>,
    /// Whom the report is for.
    pub customer: Option<String>,
}

/// What a report is made of.
#[derive(Clone, Debug)]
pub struct ReportSubject<'a> {
    /// The run.
    pub run: &'a Run,
    /// The procedure it followed, as frozen in the record.
    pub procedure: &'a Procedure,
    /// The equipment file, as frozen in the record.
    pub equipment: Option<&'a Equipment>,
    /// The bench file, as frozen in the record.
    pub bench: Option<&'a BenchFile>,
    /// What is known of the record itself.
    pub seal: &'a Seal,
    /// The photos among the attached files, by their hash, each checked against it.
    pub photos: &'a BTreeMap<String, Photo>,
    /// What the workshop states itself.
    pub issuer: &'a Issuer,
}

impl ReportSubject<'_> {
    /// What tells this report from every other: the run and the record's last hash, so that a record that went on gives a
    /// report of another name (ISO/IEC 17025:2017 7.8.8).
    #[must_use]
    pub fn id(&self) -> String {
        let head = self.seal.head.get(..8).unwrap_or(&self.seal.head);
        format!("{}/{head}", self.run.opening.run)
    }
}
