//! How the run ended.

use crate::diagnostic::Style;
use crate::record::{Energy, Outcome, Run};
use crate::report::{Sheet, Tone};

/// Shows how the run ended and what is known of the energy in the equipment.
pub(in crate::cli) fn finish(outcome: Outcome, run: &Run, style: Style) -> String {
    let mut sheet = Sheet::new(style);
    sheet.gap();
    if run.energy != Energy::ProvedDead {
        let text = "NOT CONFIRMED SAFE. Treat the equipment as live: switch off, pull the plug, prove it dead.";
        sheet.line(Tone::Bad, text);
    }
    sheet.rule(run.opening.mode.mark().unwrap_or(""));
    let tone = if outcome == Outcome::Finished { Tone::Good } else { Tone::Bad };
    sheet.line(tone, &format!("Outcome: {}", outcome.words()));
    sheet.line(Tone::Plain, &format!("Energy: {}", run.energy.words()));
    sheet.finish()
}
