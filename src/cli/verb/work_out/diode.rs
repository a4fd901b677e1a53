//! Which rectifier is fitted, as it is chosen on the command line.

use super::answer::{Answer, Remark};
use super::option::above_nought;
use crate::physics::rectifier::Fitted;

/// Reads `small`, `standard`, or the amps of a bridge.
pub(super) fn fitted(text: &str) -> Result<Fitted, String> {
    match text.trim() {
        "small" => Ok(Fitted::Small),
        "standard" => Ok(Fitted::Standard),
        amps => above_nought("A")(amps).map(Fitted::Bridge).map_err(|error| {
            format!("{error}; give `small`, `standard`, or the amps of a bridge, such as `25A`")
        }),
    }
}

/// Says which one was counted with.
pub(super) fn remark(chosen: Option<Fitted>, counted: Fitted, answer: &mut Answer) {
    let text = match chosen {
        Some(_) => format!("rectifier: {counted}"),
        None => format!("rectifier: {counted}, chosen by the load; give --diode for another"),
    };
    answer.remark(Remark::Note, text);
}
