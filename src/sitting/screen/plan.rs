//! The plan of a run, stage by stage: the number first, then where it comes from, then what it is for.

use super::at_hand;
use super::plan_words::{
    duration, formula, found, is_plain, open_in, plus_minus, short, times, verified_words, window,
};
use crate::diagnostic::Style;
use crate::procedure::without_bleeder;
use crate::quantity::Unit;
use crate::report::{Sheet, Tone};
use crate::runner::plan::{
    Figure, GuardPlan, JudgedBy, MakingSafe, Missing, Plan, PlanError, StagePlan, StepPlan,
};

/// The places of use that are shown; programs get all.
const USES_SHOWN: usize = 5;

/// The least width of a window over twice U. A ratio of 4 to 1 is common practice, no source.
const RATIO_MIN: f64 = 4.0;

/// Shows the whole plan.
pub(crate) fn plan(title: &str, equipment: Option<&str>, plan: &Plan, style: Style) -> String {
    let mut sheet = Sheet::new(style);
    sheet.rule("PLAN: nothing is switched on, nothing is recorded");
    sheet.line(Tone::Strong, title);
    sheet.line(Tone::Plain, equipment.unwrap_or("No equipment file."));
    sheet.line(
        Tone::Faint,
        "Behind +/- stands the expanded uncertainty (95 %), where a value has one.",
    );
    missing(&mut sheet, &plan.missing);
    if !plan.errors.is_empty() {
        heading(&mut sheet, "What cannot be worked out: look at the facts");
    }
    for PlanError { place, error } in &plan.errors {
        sheet.indented(Tone::Bad, "  ", &format!("{place}: {error}"));
    }
    heading(&mut sheet, "What it takes");
    at_hand::rows(&mut sheet, &plan.at_hand);
    worked_out(&mut sheet, &plan.worked_out);
    making_safe(&mut sheet, &plan.making_safe);
    for (n, plan_of_stage) in plan.stages.iter().enumerate() {
        stage(&mut sheet, n + 1, plan.stages.len(), plan_of_stage);
    }
    let advice = "It advises; you decide. Follow local codes, work within your licence and competence, and have someone \
                  in reach.";
    sheet.gap();
    sheet.line(Tone::Faint, advice);
    sheet.finish()
}

fn heading(sheet: &mut Sheet, words: &str) {
    sheet.gap();
    sheet.line(Tone::Strong, words);
}

fn missing(sheet: &mut Sheet, missing: &[Missing]) {
    if missing.is_empty() {
        return;
    }
    heading(sheet, "Facts that are missing: put them into the equipment file");
    for fact in missing {
        let unit = fact.unit.as_ref().map(|unit| format!(" ({})", unit.symbol()));
        let reason = fact.reason.as_ref().map(|reason| format!(" NOT USABLE: {reason}"));
        let ask = format!("{}{}{}", fact.ask, unit.unwrap_or_default(), reason.unwrap_or_default());
        sheet.indented(Tone::Bad, "  MISSING  ", &format!("{}: {ask}", fact.name));
    }
}

fn worked_out(sheet: &mut Sheet, figures: &[Figure]) {
    if figures.is_empty() {
        return;
    }
    heading(sheet, "Worked out from the facts");
    for figure in figures {
        number(sheet, &format!("{}   {}", found(&figure.found, None), figure.name));
        detail(sheet, Tone::Faint, &formula(figure, None));
        let mut used = figure.used_for.iter().take(USES_SHOWN).cloned().collect::<Vec<_>>();
        let more = figure.used_for.len().saturating_sub(USES_SHOWN);
        if more > 0 {
            used.push(format!("{more} more"));
        }
        if !used.is_empty() {
            detail(sheet, Tone::Plain, &format!("Used for {}.", used.join(", ")));
        }
    }
}

fn making_safe(sheet: &mut Sheet, safe: &MakingSafe) {
    heading(sheet, "Whenever the source goes off");
    let figures = safe.points.iter().flat_map(|point| &point.figures);
    let wait = safe.wait_ms.map_or_else(|| open_in(figures), duration);
    number(sheet, &format!("{wait}   wait for stored charge"));
    if safe.unknown.is_empty() {
        let text = "Do not touch: the bleeders need that long. Then dead is proved.";
        detail(sheet, Tone::Plain, text);
    } else {
        detail(sheet, Tone::Plain, "Do not touch. Then dead is proved.");
        let unknown = safe.unknown.join(", ");
        let text = format!("How fast the charge leaves is NOT KNOWN for: {unknown}.");
        detail(sheet, Tone::Caution, &text);
    }
    if let Some(kept) = without_bleeder(&safe.kept) {
        detail(sheet, Tone::Caution, &format!("{kept}."));
    }
    if let Some(window) = &safe.known_source_window {
        number(sheet, &format!("{}   the meter on a known source", window.describe(None)));
        detail(
            sheet,
            Tone::Plain,
            &format!("Before and after every proof: {}.", safe.known_source),
        );
    }
    for point in &safe.points {
        let dead = point.window.as_ref().map(|window| window.describe(None));
        number(
            sheet,
            &format!(
                "{}   dead at {}",
                dead.unwrap_or_else(|| "not known".to_owned()),
                point.point
            ),
        );
        detail(sheet, Tone::Plain, &point.at);
        formulas(sheet, &point.figures, None);
        if let Some(ms) = point.wait_ms {
            let text = format!(
                "{} to get there through its bleeder: R C ln(V0 / V), with 20 % on the capacitance and 5 % on the \
                 resistance.",
                duration(ms)
            );
            detail(sheet, Tone::Faint, &text);
        }
    }
    number(sheet, &format!("{}   a proof of dead is believed", duration(safe.proof_lasts_ms)));
    formulas(sheet, safe.proof_lasts.as_slice(), None);
}

fn stage(sheet: &mut Sheet, number_of: usize, stages: usize, stage: &StagePlan) {
    sheet.gap();
    sheet.rule("");
    let title =
        format!("Stage {number_of} of {stages}: {} ({})", stage.title, stage.source.words());
    sheet.line(Tone::Strong, &title);
    if !stage.figures.is_empty() {
        let ceiling = stage.ceiling.as_ref().map(ToString::to_string);
        let ceiling = ceiling.unwrap_or_else(|| open_in(&stage.figures));
        number(sheet, &format!("{ceiling}   ceiling"));
        formulas(sheet, &stage.figures, None);
        let reason = stage.reason.as_deref().unwrap_or_default();
        let text = format!(
            "The most that the source is to deliver in this stage; windows reach beyond it by what setting, mains and meter \
             may deviate. {reason}"
        );
        detail(sheet, Tone::Plain, text.trim());
    }
    for guard in &stage.while_on {
        guarded(sheet, guard);
    }
    if let Some(ms) = stage.presence_every_ms {
        number(sheet, &format!("every {}   you confirm that you are there", duration(ms)));
        detail(sheet, Tone::Plain, "While time passes on the mains.");
        formulas(sheet, stage.presence.as_slice(), None);
    }
    stage.steps.iter().for_each(|plan| step(sheet, plan));
    if stage.steps.is_empty() {
        detail(sheet, Tone::Faint, "No step of this stage has a number in it.");
    }
}

fn guarded(sheet: &mut Sheet, guard: &GuardPlan) {
    let limits = guard.window.as_ref().map(|window| window.describe(None));
    let limits = limits.unwrap_or_else(|| open_in(&guard.figures));
    number(sheet, &format!("{limits}   {} while the source is on", guard.point));
    formulas(sheet, &guard.figures, None);
    match &guard.sampled_by {
        Some(by) => {
            let limiting = if guard.limiting_is_outside { " or limiting" } else { "" };
            let text = format!("Sampled by {by}: outside{limiting}, all outputs go off at once.");
            detail(sheet, Tone::Plain, &text);
        }
        None => {
            detail(sheet, Tone::Caution, "NOT WATCHED here: no connected instrument samples it.")
        }
    }
}

fn step(sheet: &mut Sheet, step: &StepPlan) {
    if step.left_out {
        number(sheet, &format!("left out   {}", step.step));
        return detail(sheet, Tone::Faint, "The connected supply does it.");
    }
    number(sheet, &format!("{}   {}", window(step), step.step));
    let each = if step.parts.is_empty() {
        String::new()
    } else {
        format!(" Each of {}.", step.parts.join(", "))
    };
    detail(sheet, Tone::Plain, &format!("{}.{each}", step.what.trim_end_matches('.')));
    formulas(sheet, &step.figures, step.unit.as_ref());
    if let Some(by) = &step.by {
        detail(sheet, Tone::Plain, &format!("Taken by {by}, which is connected."));
    }
    if let Some(meter) = &step.meter {
        judged_by(sheet, meter);
    }
    if let Some(verified) = step.verified {
        detail(sheet, Tone::Plain, &verified_words(step, verified));
    }
    let basis = step.basis.as_ref().map(|basis| format!("Basis: {basis}"));
    let ramp = (step.kind == "set" && !step.windows.is_empty())
        .then(|| "Brought up slowly, a fault shows while there is time to switch off.".to_owned());
    if let Some(text) = step.why.clone().or(basis).or(ramp) {
        detail(sheet, Tone::Plain, &text);
    }
}

fn judged_by(sheet: &mut Sheet, meter: &JudgedBy) {
    let name = &meter.meter;
    let Some(at) = &meter.at else {
        return detail(sheet, Tone::Plain, &format!("Meter: {name}."));
    };
    let Some(range) = &meter.range else {
        let at = short(at, None);
        let text = format!("Meter: {name}. NO RANGE of it shows {at}.");
        return detail(sheet, Tone::Caution, &text);
    };
    let doubt =
        meter.uncertainty.map(|uncertainty| plus_minus(at, &uncertainty, None)).unwrap_or_default();
    let is_coarse = meter.ratio.is_some_and(|ratio| ratio < RATIO_MIN);
    let coarse = if is_coarse { ": TOO NARROW for this meter" } else { "" };
    let ratio =
        meter.ratio.map(|ratio| format!(", the window is {} times as wide{coarse}", times(ratio)));
    let range = short(range, None);
    let at = short(at, None);
    let text = format!("Meter: {name}, {range} range: {at}{doubt}{}.", ratio.unwrap_or_default());
    detail(sheet, if is_coarse { Tone::Caution } else { Tone::Plain }, &text);
}

/// Writes the formulas; those that are plain numbers stand in the line above already.
fn formulas(sheet: &mut Sheet, figures: &[Figure], unit: Option<&Unit>) {
    if !figures.iter().all(is_plain) {
        for figure in figures {
            let text = format!("{} = {}", figure.name, formula(figure, unit));
            detail(sheet, Tone::Faint, &text);
        }
    }
}

fn number(sheet: &mut Sheet, text: &str) {
    sheet.indented(Tone::Strong, "  ", text);
}

fn detail(sheet: &mut Sheet, tone: Tone, text: &str) {
    let indent = if sheet.width() < 60 { "    " } else { "        " };
    sheet.indented(tone, indent, text);
}
