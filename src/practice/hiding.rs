//! How a record holds a fault that nobody is to read in it.

use sha2::{Digest as _, Sha256};

use super::draw::DrawnFault;
use crate::netlist::PlacedFault;
use crate::record::HiddenFault;

/// What stands for a fault where nothing is wrong.
const SOUND: &str = "sound";

/// Hides a fault behind its hash, with a salt that no other practice has.
#[must_use]
pub fn hidden(fault: &DrawnFault, salt: u64, among: usize, repairs: usize) -> HiddenFault {
    let salt = format!("{salt:016x}");
    let sha256 = hash(&salt, fault.as_ref().map(ToString::to_string).as_deref());
    HiddenFault { sha256, salt, among, repairs }
}

/// Whether this fault is the one that was hidden, by how it is written; none is sound equipment.
#[must_use]
pub fn is_this(hidden: &HiddenFault, fault: Option<&str>) -> bool {
    hash(&hidden.salt, fault) == hidden.sha256
}

/// Finds the hidden fault again among all that it can be; nothing where it is none of them. So few are tried at once: a hash hides
/// it from the eye, not from a program.
#[must_use]
pub fn opened(hidden: &HiddenFault, faults: &[PlacedFault]) -> Option<DrawnFault> {
    let all = faults.iter().cloned().map(Some).chain([None]);
    let mut found =
        all.filter(|fault| is_this(hidden, fault.as_ref().map(ToString::to_string).as_deref()));
    found.next()
}

fn hash(salt: &str, fault: Option<&str>) -> String {
    let digest = Sha256::digest(format!("{salt} {}", fault.unwrap_or(SOUND)).as_bytes());
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}
