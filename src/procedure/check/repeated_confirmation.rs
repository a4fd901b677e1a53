//! A DANGER notice that asks what another one asked already.

use super::words::words;
use super::wrong_signal_word::notices;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{At, Confirm, Hazard};
use crate::record::Signal;

pub(super) const CHECK: Check =
    Check::new("HAZ021", "repeated-confirmation", include_str!("repeated_confirmation.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let danger = |hazard: &&Hazard| hazard.signal.value == Signal::Danger;
    let asked: Vec<&Confirm> = notices(subject.procedure)
        .filter(danger)
        .filter_map(|hazard| hazard.confirm.as_ref())
        .collect();
    let earlier = (0..asked.len()).map(|n| asked.iter().take(n));
    let findings = asked.iter().zip(earlier).filter_map(|(confirm, mut earlier)| {
        let same = earlier.clone().find(|other| plain(&other.ask) == plain(&confirm.ask));
        let same = same.map(|other| {
            finding(&confirm.ask, &other.ask, "asks the same question as an earlier one")
        });
        same.or_else(|| {
            let (one, last) = (answer(confirm)?, answer(earlier.next_back()?)?);
            (plain(one) == plain(last))
                .then(|| finding(one, last, "takes the same answer as the one before it"))
        })
    });
    findings.collect()
}

fn answer(confirm: &Confirm) -> Option<&At<String>> {
    confirm.word.as_ref().or(confirm.voltage.as_ref().map(|expression| &expression.text))
}

fn plain(text: &str) -> Vec<String> {
    words(text).into_iter().map(|word| word.low).collect()
}

fn finding(at: &At<String>, earlier: &At<String>, what: &str) -> Finding {
    CHECK
        .error(format!("this DANGER notice {what}"))
        .at(at.span)
        .related(earlier.span, "the earlier one")
        .help("ask for what is new here: a voltage at one notice, a word of the notice at the next")
}
