//! How the run ended.

use crate::diagnostic::Style;
use crate::record::{Energy, Mode, Outcome};
use crate::report::{Sheet, Tone};

/// Shows how the run ended and what is known of the energy in the equipment.
pub(in crate::sitting) fn finish(
    outcome: Outcome,
    energy: &Energy,
    unmeasured: &[String],
    mode: Mode,
    style: Style,
) -> String {
    let mut sheet = Sheet::new(style);
    sheet.gap();
    if *energy != Energy::ProvedDead {
        let text = "NOT CONFIRMED SAFE. Treat the equipment as live: switch off, pull the plug, prove it dead.";
        sheet.line(Tone::Bad, text);
    }
    sheet.rule(mode.mark().unwrap_or(""));
    let tone = if outcome == Outcome::Finished { Tone::Good } else { Tone::Bad };
    sheet.line(tone, &format!("Outcome: {}", outcome.words()));
    sheet.line(Tone::Plain, &format!("Energy: {}", energy.words()));
    if let Some(words) = super::question::unmeasured(unmeasured) {
        sheet.line(Tone::Caution, &words);
    }
    sheet.finish()
}
