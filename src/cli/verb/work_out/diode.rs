//! Which rectifier is fitted, as it is chosen on the command line.

use super::answer::{Answer, Remark};
use super::option::above_zero;
use crate::physics::rectifier::Fitted;

/// Reads `small`, `standard`, the amps of a bridge, or the volts that each diode drops.
pub(super) fn fitted(text: &str) -> Result<Fitted, String> {
    match text.trim() {
        "small" => Ok(Fitted::Small),
        "standard" => Ok(Fitted::Standard),
        size => {
            let drop = |_| above_zero("V")(size).map(Fitted::Drop);
            above_zero("A")(size).map(Fitted::Bridge).or_else(drop).map_err(|error| {
                format!("{error}; give `small`, `standard`, the amps of a bridge, such as `25A`, or what each diode drops, such as `0.4V`")
            })
        }
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
