//! The whole procedure with where everything stands.

use crate::diagnostic::Style;
use crate::record::Standing;
use crate::report::{Sheet, Tone};
use crate::runner::Place;
use crate::sitting::front::View;

/// Shows all stages and steps: done, outside, left out and why, here, or still to come.
pub(in crate::sitting) fn overview(view: View<'_>, here: &Place, style: Style) -> String {
    let mut sheet = Sheet::new(style);
    sheet.gap();
    sheet.line(Tone::Strong, &view.procedure.title);
    for (n, stage) in view.procedure.stages.iter().enumerate() {
        let heading = format!("{}. {} ({})", n + 1, *stage.title, stage.source.words());
        sheet.line(Tone::Strong, &heading);
        for (m, step) in stage.steps.iter().enumerate() {
            let is_here = here.stage_number == n + 1 && here.step_number == m + 1;
            // What lies before here was carried out, also where no value tells of it: a proof that held, a source switched off.
            let is_past = (n + 1, m + 1) < (here.stage_number, here.step_number);
            let standing = view.run.step(&step.step).or(is_past.then_some(Standing::Good));
            let (tone, mark) = match (is_here, standing) {
                (true, _) => (Tone::Strong, "  HERE   "),
                (_, Some(Standing::Good)) => (Tone::Good, "  good   "),
                (_, Some(Standing::Bad)) => (Tone::Bad, "  BAD    "),
                (_, Some(Standing::LeftOut)) => (Tone::Faint, "  LEFT   "),
                (_, None) => (Tone::Faint, "  -      "),
            };
            let is_left_out = standing == Some(Standing::LeftOut) && !is_here;
            let why = if is_left_out { ": left out, the connected supply does it" } else { "" };
            sheet.indented(tone, mark, &format!("{}{why}", *step.step));
        }
    }
    sheet.finish()
}
