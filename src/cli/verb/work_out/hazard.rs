//! What a charged capacitor can do to a person, for every topic that meets one.

use super::answer::{Answer, Remark, source};
use crate::physics::stored_energy::{ChargedCapacitor, PROFILES};

/// Adds a remark for every published threshold that it reaches.
pub(super) fn remarks(answer: &mut Answer, charged: ChargedCapacitor) {
    for profile in &PROFILES {
        for threshold in profile.reached(charged) {
            let source = source(&threshold.source);
            let text = format!("{}: {source} ({})", threshold.name, profile.country);
            answer.remark(Remark::Hazard, text);
        }
    }
}
