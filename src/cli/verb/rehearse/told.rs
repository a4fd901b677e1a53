//! What became of every fault, for a person and for a program.

use serde_json::{Value, json};

use crate::circuit::coverage::{FaultCoverage, FaultOutcome};
use crate::diagnostic::Style;
use crate::quantity::{Dimension, Quantity};
use crate::report::{Sheet, Tone};
use crate::shell::fault::Fault;

/// For programs.
pub(super) fn json(title: &str, coverage: &FaultCoverage) -> Result<Value, Fault> {
    let named = |faults: &mut dyn Iterator<Item = &FaultOutcome>| -> Vec<String> {
        faults.map(|outcome| outcome.fault.clone()).collect()
    };
    Ok(json!({
        "mode": "rehearsal",
        "title": title,
        "coverage": serde_json::to_value(coverage).map_err(Fault::failed)?,
        "uncaught": named(&mut coverage.uncaught()),
        "overloaded_on_mains": named(&mut coverage.destructive()),
        "stopped_at": coverage.stopped_at(),
        "stops_nothing": coverage.idle(),
    }))
}

/// For people.
pub(super) fn text(heading: &[String; 3], coverage: &FaultCoverage, style: Style) -> String {
    let mut sheet = Sheet::new(style);
    sheet.rule("REHEARSAL on a model of the circuit, not on equipment");
    heading
        .iter()
        .filter(|words| !words.is_empty())
        .for_each(|words| sheet.line(Tone::Strong, words));
    sheet.line(
        Tone::Faint,
        &format!("{} operating points by ngspice {}", coverage.cases, coverage.engine),
    );
    sheet.gap();
    coverage.faults.iter().for_each(|outcome| fault(&mut sheet, outcome));
    sheet.gap();
    summary(&mut sheet, coverage);
    sheet.finish()
}

fn fault(sheet: &mut Sheet, outcome: &FaultOutcome) {
    let place = outcome.position.as_ref().map(|outcome| format!(", {outcome}")).unwrap_or_default();
    let name = format!("{}{place}", outcome.fault);
    if let Some(why) = &outcome.unknown {
        sheet.line(Tone::Bad, &format!("{name}: NOT KNOWN"));
        sheet.indented(Tone::Plain, "    ", why);
        return;
    }
    match &outcome.stop {
        Some(stop) => {
            sheet.line(
                Tone::Good,
                &format!("{name}: stopped at {} on {}", stop.step, stop.source.words()),
            );
            sheet.indented(Tone::Plain, "    ", &stop.reads);
        }
        None => {
            let reached = if outcome.reaches_mains { ", and reaches the direct mains" } else { "" };
            sheet.line(Tone::Caution, &format!("{name}: NOT STOPPED{reached}"));
        }
    }
    if let Some(worst) = &outcome.worst {
        let joules = worst.joules.and_then(|energy| Quantity::from_f64(energy, Dimension::ENERGY));
        let joules = joules.map(|energy| format!(", {} until then", energy.engineering(3, None)));
        let joules = joules.unwrap_or_default();
        let (tone, word) =
            if outcome.overloads() { (Tone::Bad, "OVERLOADED ") } else { (Tone::Faint, "") };
        let text = format!(
            "{word}{}: {} of {} ({:.2} times){joules}",
            worst.part, worst.most, worst.rating, worst.times
        );
        sheet.indented(tone, "    worst ", &text);
    }
}

fn summary(sheet: &mut Sheet, coverage: &FaultCoverage) {
    let (all, missed) = (coverage.faults.len(), coverage.uncaught().count());
    let unknown = coverage.faults.iter().filter(|outcome| outcome.unknown.is_some()).count();
    let stopped = all - missed - unknown;
    sheet.line(Tone::Strong, &format!("{stopped} of {all} faults are stopped, {missed} are not"));
    if unknown > 0 {
        sheet.line(Tone::Bad, &format!("of {unknown} NOTHING IS KNOWN"));
    }
    let on_mains = coverage.faults.iter().filter(|outcome| outcome.reaches_mains).count();
    sheet.line(Tone::Plain, &format!("{on_mains} reach the direct mains"));
    let direct = coverage.destructive().map(|outcome| outcome.fault.clone()).collect();
    list(sheet, Tone::Bad, "on the direct mains with a part OVERLOADED", direct);
    let stops = coverage.stopped_at();
    let stops = stops.iter().map(|(step, count)| format!("{step} {count}")).collect();
    list(sheet, Tone::Plain, "stopped at", stops);
    let idle = coverage.idle().into_iter().map(str::to_owned).collect();
    list(sheet, Tone::Plain, "where nothing is stopped that was not before", idle);
    list(sheet, Tone::Plain, "not in the circuit, so not judged", coverage.unread.clone());
    let untried = coverage.untried.clone();
    list(sheet, Tone::Plain, "no parts of the circuit file, so not tried", untried);
    sheet.line(
        Tone::Faint,
        "Looks, cold readings and signals are not in it, nor what a part does between two steps. It advises; you decide.",
    );
}

fn list(sheet: &mut Sheet, tone: Tone, words: &str, names: Vec<String>) {
    if !names.is_empty() {
        sheet.line(tone, &format!("{words}:"));
        sheet.indented(tone, "    ", &names.join(", "));
    }
}
