//! The numbers of a plan in words.

use crate::procedure::{NONE, no_resistor};
use crate::quantity::{Quantity, Unit};
use crate::runner::plan::{Figure, Foreseen, Needs, StepPlan, Verified};
use crate::window::Uncertainty;

/// Digits of a worked-out value.
const DIGITS: u32 = 4;

/// Tells whether a figure is a quantity and nothing else.
pub(super) fn is_plain(figure: &Figure) -> bool {
    figure.inputs.is_empty() && Quantity::parse(&figure.formula).is_ok()
}

/// A formula as written, what comes out, and what is in it: `0.6 * rail = 24.9 V (rail 41.5 V)`.
pub(super) fn formula(figure: &Figure, unit: Option<&Unit>) -> String {
    if is_plain(figure) {
        return figure.formula.clone();
    }
    let result = found(&figure.found, unit);
    if figure.inputs.iter().any(|input| input.name == figure.formula.trim()) {
        return format!("{} {result}", figure.formula);
    }
    // What is not known yet stands in the result.
    let known = figure.inputs.iter().filter(|input| !matches!(input.found, Foreseen::Needs(_)));
    let known =
        known.map(|input| format!("{} {}", input.name, found(&input.found, input.unit.as_ref())));
    match known.collect::<Vec<_>>().as_slice() {
        [] => format!("{} = {result}", figure.formula),
        known => format!("{} = {result} ({})", figure.formula, known.join(", ")),
    }
}

/// A number with its uncertainty, or what it needs.
pub(super) fn found(found: &Foreseen, unit: Option<&Unit>) -> String {
    match found {
        Foreseen::Value { value, .. } if *value == no_resistor() => NONE.to_owned(),
        Foreseen::Value { value, uncertainty } => {
            let doubt = uncertainty
                .map(|uncertainty| plus_minus(value, &uncertainty, unit))
                .unwrap_or_default();
            format!("{}{doubt}", short(value, unit))
        }
        Foreseen::Needs(needs) => open(needs),
        Foreseen::Error { .. } => "CANNOT BE WORKED OUT".to_owned(),
    }
}

/// A value with the digits that matter.
pub(super) fn short(value: &Quantity, unit: Option<&Unit>) -> String {
    let unit = unit.filter(|unit| unit.dimension() == value.dimension);
    let rounded = Quantity { value: value.value.round_significant(DIGITS), ..*value };
    rounded.engineering_exact(unit)
}

/// How many times as wide, with a decimal where it matters.
pub(super) fn times(ratio: f64) -> String {
    if ratio < 10.0 { format!("{ratio:.1}") } else { format!("{ratio:.0}") }
}

/// The expanded uncertainty behind a value, in its unit and with its prefix.
pub(super) fn plus_minus(
    value: &Quantity,
    uncertainty: &Uncertainty,
    unit: Option<&Unit>,
) -> String {
    format!(" +/- {}", value.doubt_beside(&uncertainty.expanded, unit))
}

/// What has to come first: a missing fact stands before a step.
fn open(needs: &Needs) -> String {
    let list = |names: &std::collections::BTreeSet<String>| {
        names.iter().cloned().collect::<Vec<_>>().join(", ")
    };
    match (needs.missing.is_empty(), needs.after.is_empty()) {
        (true, true) => "not known".to_owned(),
        (true, false) => format!("known after {}", list(&needs.after)),
        (false, _) => format!("MISSING {}", list(&needs.missing)),
    }
}

/// What figures need that has to come first.
pub(super) fn open_in<'a>(figures: impl IntoIterator<Item = &'a Figure>) -> String {
    let needs = Needs::of(figures.into_iter().map(|figure| &figure.found));
    needs.map_or_else(|| "not known".to_owned(), |needs| open(&needs))
}

/// What a step's value has to be inside of, and how long it takes.
pub(super) fn window(step: &StepPlan) -> String {
    let mut words = Vec::new();
    for window in &step.windows {
        let limits = window.bounds.describe(step.unit.as_ref());
        words.push(match window.of {
            "drift" => format!("drifts {limits} in a minute"),
            "settled" => format!("{limits} from its mean at the end"),
            _ => limits,
        });
    }
    match &step.open {
        Some(Foreseen::Needs(needs)) if words.is_empty() => words.push(open(needs)),
        Some(Foreseen::Needs(needs)) if step.kind == "work_out" => {
            words.push(format!("value {}", open(needs)));
        }
        Some(Foreseen::Needs(needs)) => words.push(format!("the rest {}", open(needs))),
        Some(_) => words.push("CANNOT BE WORKED OUT".to_owned()),
        None => {}
    }
    let written = |key: &str| {
        let figure = step.figures.iter().find(|figure| figure.name == key)?;
        Some(time(figure.found.value()?))
    };
    let over = step.time_ms.map(duration).or_else(|| written("over"));
    match (step.kind, over) {
        ("watch", Some(time)) => {
            let every = written("every").unwrap_or_default();
            words.push(format!("for {time}, read every {every} by hand"));
        }
        ("wait", Some(time)) => words.push(format!("wait {time}")),
        ("set", Some(time)) if step.windows.is_empty() => {
            words.push(format!("wait {time} after it"));
        }
        ("set", Some(time)) => words.push(format!("over {time}")),
        _ => {}
    }
    if words.is_empty() && step.verified == Some(Verified::AgreedBefore) {
        words.push("agreed on by two".to_owned());
    }
    words.join(", ")
}

/// How a second person verifies a step, as a sentence.
pub(super) fn verified_words(step: &StepPlan, verified: Verified) -> String {
    match verified {
        Verified::ReadTwice => {
            let within = step.figures.iter().find(|figure| figure.name == "agree_within");
            let within = within.map(|figure| formula(figure, step.unit.as_ref()));
            let within = within.unwrap_or_else(|| "not known".to_owned());
            format!(
                "A second person reads it again without knowing the first value: at most {within} apart."
            )
        }
        Verified::AgreedBefore => {
            "Two people agree on it first; then one acts while the other watches.".to_owned()
        }
    }
}

fn time(time: &Quantity) -> String {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a time of a procedure is 0 to a week"
    )]
    let ms = (time.to_f64().max(0.0) * 1000.0).round() as u64;
    duration(ms)
}

/// A time as a person says it: `12.5 s`, `1 min 50 s`, `2 h 5 min`.
pub(crate) fn duration(ms: u64) -> String {
    // Rounded up: nobody is told to wait less than is needed.
    let (minutes, seconds, tenths) = (ms.div_ceil(60_000), ms.div_ceil(1000), ms.div_ceil(100));
    let two = |big: u64, unit: &str, small: u64, of: &str| match small {
        0 => format!("{big} {unit}"),
        _ => format!("{big} {unit} {small} {of}"),
    };
    match seconds {
        0..60 if !ms.is_multiple_of(1000) => format!("{}.{} s", tenths / 10, tenths % 10),
        0..60 => format!("{seconds} s"),
        60..3600 => two(seconds / 60, "min", seconds % 60, "s"),
        _ => two(minutes / 60, "h", minutes % 60, "min"),
    }
}

#[cfg(test)]
mod tests {
    use super::found;
    use crate::procedure::no_resistor;
    use crate::runner::plan::Foreseen;

    #[test]
    fn a_resistor_that_is_not_there_is_none_and_no_number() {
        let none = Foreseen::Value { value: no_resistor(), uncertainty: None };
        assert_eq!(found(&none, None), "none");
    }
}
