//! An ammeter across what it shorts.

use super::defeated_protection::{advice, is_refused};
use super::words::{Word, among, is_number, mentions, words};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::safety::{dimension, function, measured};
use crate::procedure::{At, Step};
use crate::quantity::Dimension;

pub(super) const CHECK: Check =
    Check::new("HAZ030", "shorting-ammeter", include_str!("shorting_ammeter.md")).of_procedure(run);

/// Roots of a meter that is nothing but an ammeter.
const AMMETERS: &str = "ammeter microammeter milliammeter";
/// Roots of a meter that may be set to current.
const METERS: &str = "dmm meter multimeter";
/// Words of a range or a socket of current.
const CURRENT: &str = "a amp ampere amperes amps current ma milliamp milliamperes milliamps";
/// Roots of what is measured as it should be: in series, in the place of what was opened, from outside, through its own resistor. Across
/// the output of a limited supply an ammeter is the way to set the limit.
const AS_DUE: &str = "clamp fuse gap instead leak link output place residual series shunt switch";
/// Words of what an ammeter shorts.
const FED: &str = "battery bridge bulk capacitor ht live line mains neutral outlet phase pins plug primary rail rails reservoir \
    secondary smoothing socket supply tags winding";
/// Words of one pole, and of the other.
const POLES: [(&str, &str); 2] = [
    ("hot line live phase", "neutral"),
    ("anode ht plus positive rail", "0 chassis earth ground minus negative"),
];

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let procedure = subject.procedure;
    let told = advice(procedure).into_iter().filter(|text| is_told(text));
    let read = procedure.steps().filter_map(|(stage, step)| {
        let what = measured(step).filter(|what| !is_told(what))?;
        (stage.source.is_mains() && reads_amps(step) && joins_the_mains(what)).then_some(what)
    });
    told.chain(read).map(finding).collect()
}

fn finding(text: &At<String>) -> Finding {
    CHECK
        .error("an ammeter from pole to pole is a short circuit")
        .at(text.span)
        .help("put it in series, in the place of a fuse or of an opened wire, while the equipment is dead; or read the power meter")
}

/// Whether a text has a person put an ammeter across something.
fn is_told(text: &str) -> bool {
    let clauses = text.split([',', '.', ';', ':']).filter(|clause| !is_refused(clause));
    let text = clauses.collect::<Vec<_>>().join(" ");
    let words = words(&text);
    let is_ammeter =
        mentions(&text, AMMETERS) || mentions(&text, METERS) && is_set_to_current(&words);
    is_ammeter && !mentions(&text, AS_DUE) && (is_across(&words) || joins(&words, &POLES))
}

fn reads_amps(step: &Step) -> bool {
    dimension(step) == Some(Dimension::CURRENT)
        && !function(step).is_some_and(|function| function.contains("leakage"))
}

/// Whether what a current is read of is both poles of the mains.
fn joins_the_mains(what: &str) -> bool {
    let [mains, _] = POLES;
    joins(&words(what), &[mains]) && !mentions(what, AS_DUE)
}

/// "Set to current", "on amps", "on its 10 A range".
fn is_set_to_current(words: &[Word<'_>]) -> bool {
    let behind = |at: usize| {
        let mut rest = words.iter().skip(at + 1).map(|word| word.low.as_str());
        let first = rest.find(|word| !among("ac dc its the", word));
        match first {
            Some(number) if is_number(number) => {
                let unit = rest.next().is_some_and(|word| among(CURRENT, word));
                unit && rest.next().is_some_and(|word| among("input jack range socket", word))
            }
            // "To current limiting" is a state of a supply.
            Some(word) => {
                let limits = rest.next().is_some_and(|next| next.starts_with("limit"));
                word != "a" && among(CURRENT, word) && !limits
            }
            None => false,
        }
    };
    let leads = |(_, word): &(usize, &Word<'_>)| among("at for in on to", &word.low);
    words.iter().enumerate().filter(leads).any(|(at, _)| behind(at))
}

fn is_across(words: &[Word<'_>]) -> bool {
    let at = words.iter().position(|word| word.low == "across");
    at.is_some_and(|at| {
        words.iter().skip(at + 1).take(5).any(|word| among(FED, word.low.trim_end_matches("'s")))
    })
}

/// "Line and neutral", "from the live tag to the neutral tag".
fn joins(words: &[Word<'_>], poles: &[(&str, &str)]) -> bool {
    let named = |list: &str, at: usize| words.get(at).is_some_and(|word| among(list, &word.low));
    let second = |other: &str, at: usize| {
        let tie = (at + 1..=at + 2).find(|at| named("and or to", *at));
        tie.is_some_and(|tie| (tie + 1..=tie + 2).any(|at| named(other, at)))
    };
    (0..words.len()).any(|at| {
        poles.iter().any(|(one, other)| {
            named(one, at) && second(other, at) || named(other, at) && second(one, at)
        })
    })
}

#[cfg(test)]
mod tests {
    use super::{is_told, joins_the_mains};

    #[test]
    fn an_ammeter_across_a_source_is_told_from_one_in_series() {
        for text in [
            "Clip the ammeter across line and neutral",
            "Connect a milliammeter between the HT tag and chassis",
            "Clip the meter, set to current, across the secondary tags",
            "Put the multimeter on its 10 A range, from the live tag to the neutral tag",
            "Set the meter to amps; clip it across the mains terminals",
            "Hang the DMM on DC milliamps from the plus rail to the chassis",
            "Ammeter across the battery",
        ] {
            assert!(is_told(text), "{text}");
        }
        for text in [
            "Clip the ammeter in series with the rail",
            "Clip the ammeter across the open fuse holder of the rail",
            "Clip the voltmeter across the reservoir",
            "Clip the meter across the rail; the supply is limited to 50 mA",
            "Clip the meter on the rail, set to volts; never the ammeter across the rail",
            "Connect the reference ammeter straight across the output terminals",
            "Clip the ammeter across the bench supply's output and set its limit",
            "Put the clamp meter, set to current, round the line wire of the plug",
            "Set the bench supply to current limiting, meter across the rail",
        ] {
            assert!(!is_told(text), "{text}");
        }
        assert!(joins_the_mains("Line current, the ammeter's probes on line and neutral"));
        for text in ["Current from the plus rail", "Residual current of line and neutral together"]
        {
            assert!(!joins_the_mains(text), "{text}");
        }
    }
}
