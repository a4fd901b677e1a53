//! A limit that stands in a step's words, where a window should judge it.

use super::words::{Word, among, is_judged, told, words};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{At, Step};
use crate::quantity::{Dimension, Quantity, Unit};

pub(super) const CHECK: Check =
    Check::new("TXT006", "limit-in-text", include_str!("limit_in_text.md")).of_procedure(run);

/// Words before the number of a limit.
const LIMITS: &str = "above about approximately around be below beyond between exceed exceeds is least maximum max minimum min most \
    near over past reach reaches read reads roughly show shows than under until within";

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let stages = subject.procedure.stages.iter();
    let findings = stages.flat_map(|stage| {
        let later = stage.steps.iter().skip(1).map(Some).chain([None]);
        let steps = stage.steps.iter().zip(later);
        let hold = stage.hold.iter().filter_map(|hold| of_words(&hold.ask));
        hold.chain(steps.filter_map(|(step, later)| of_step(step, later)))
    });
    findings.collect()
}

fn of_step(step: &Step, later: Option<&Step>) -> Option<Finding> {
    if let Some(act) = &step.r#do {
        // An act up to a limit is sound when the next step judges what came of it.
        let is_followed = later.is_some_and(|later| is_judged(later) || later.look.is_some());
        return (!is_followed).then(|| of_act(&act.0)).flatten();
    }
    if let Some(look) = &step.look {
        let answers = look.good.iter().chain(look.bad.iter().map(|bad| &bad.say));
        return std::iter::once(&look.at).chain(answers).find_map(of_words);
    }
    let asked = step
        .hold
        .as_ref()
        .map(|hold| &hold.ask)
        .or(step.witness.as_ref().map(|witness| &witness.ask));
    asked.or(told(step).filter(|_| step.note.is_some())).and_then(of_words)
}

fn of_act(text: &At<String>) -> Option<Finding> {
    let until = || words(text).iter().any(|word| word.low == "until").then(|| "until".to_owned());
    limit(text).map(|limit| limit.words).or_else(until).map(|limit| finding(text, &limit))
}

fn of_words(text: &At<String>) -> Option<Finding> {
    limit(text).map(|limit| finding(text, &limit.words))
}

fn finding(text: &At<String>, limit: &str) -> Finding {
    CHECK
        .warning(format!("\"{limit}\" is a limit in words, and no window judges it"))
        .at(text.span)
        .help("make it a `read` with a window, or put one right behind the act")
}

/// A limit as a text has it.
pub(super) struct Limit {
    /// Its words.
    pub(super) words: String,
    /// The word before the number: `below`, `least`.
    pub(super) sort: String,
    /// The value; none for one in braces.
    pub(super) value: Option<Quantity>,
}

/// The first limit in a text: a word such as "below", and a number with a unit that is no time.
pub(super) fn limit(text: &str) -> Option<Limit> {
    let words = words(text);
    (0..words.len()).find_map(|at| {
        let word = words.get(at).filter(|word| among(LIMITS, &word.low))?;
        let skipped = words
            .iter()
            .skip(at + 1)
            .take_while(|word| among("a about be less more or the to", &word.low));
        let first = at + 1 + skipped.count();
        let number = words.get(first)?;
        let (last, value) = match number.bare.starts_with('{') {
            true => (first, None),
            false => {
                amount(number, words.get(first + 1)).map(|(n, value)| (first + n, Some(value)))?
            }
        };
        let run = words.get(at..=last)?.iter().map(|word| word.bare).collect::<Vec<_>>();
        Some(Limit { words: run.join(" "), sort: word.low.clone(), value })
    })
}

/// A number with its unit in one or two words, and how many words the unit takes.
fn amount(number: &Word<'_>, after: Option<&Word<'_>>) -> Option<(usize, Quantity)> {
    let is_meant = |value: &Quantity| {
        !matches!(value.dimension, Dimension::TIME | Dimension::NONE | Dimension::LENGTH)
    };
    let whole = Quantity::parse(number.bare).ok().filter(is_meant).map(|value| (0, value));
    whole.or_else(|| {
        let unit = after?;
        let unit =
            UNITS.iter().find(|(said, _)| *said == unit.low).map_or(unit.bare, |(_, unit)| unit);
        let value = Quantity::parse_as(number.bare, &Unit::parse(unit).ok()?).ok()?;
        is_meant(&value).then_some((1, value))
    })
}

/// Units as they are said.
const UNITS: &[(&str, &str)] = &[
    ("volt", "V"),
    ("volts", "V"),
    ("millivolts", "mV"),
    ("amp", "A"),
    ("amps", "A"),
    ("amperes", "A"),
    ("milliamps", "mA"),
    ("ohms", "ohm"),
    ("megohms", "Mohm"),
    ("kilohms", "kohm"),
    ("watts", "W"),
    ("degrees", "degC"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_limit_is_told_from_a_setting() {
        for text in [
            "Rail should be about 5 V",
            "Less than 0.3 ohm between pin and case",
            "Turn it until it shows {bias_drop}",
            "it stays below 60 degC",
            "At least 2 megohms",
            "between 4 V and 6 V",
        ] {
            assert!(limit(text).is_some(), "{text}");
        }
        for text in [
            "Set the limit to 125 mA",
            "outlet with 30 mA RCD, test button trips it",
            "1 kHz at about a tenth of a watt",
            "Connect a 100 ohm 10 W resistor from the output to 0 V",
            "from 50 ns to 5 ms a division",
            "nothing that burns within a metre",
        ] {
            assert!(limit(text).is_none(), "{text}");
        }
    }
}
