//! Which parts the repairs of a shop name.

use std::collections::BTreeMap;

use crate::netlist::PlacedFault;

/// How many repairs name each part; a part that none names is left out. A repair is what somebody wrote of it, as "replaced Q11 and R17":
/// a word of it that is the name of a part, in capitals or not.
#[must_use]
pub fn named(faults: &[PlacedFault], repairs: &[String]) -> BTreeMap<String, u64> {
    let mut counts = BTreeMap::new();
    for faults in faults.chunk_by(|one, next| one.part == next.part) {
        let Some(part) = faults.first().map(|fault| fault.part.as_str()) else { continue };
        let is_named = |text: &&String| {
            let mut words = text.split(|c: char| !c.is_alphanumeric() && c != '_');
            words.any(|word| word.eq_ignore_ascii_case(part))
        };
        let count = repairs.iter().filter(is_named).count();
        if count > 0 {
            counts.insert(part.to_owned(), u64::try_from(count).unwrap_or(u64::MAX));
        }
    }
    counts
}
