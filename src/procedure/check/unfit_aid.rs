//! What helps with a question, and is no answer to it itself.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{Ask, At, Procedure};

pub(super) const CHECK: Check =
    Check::new("QTY018", "unfit-aid", include_str!("unfit_aid.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let asks = subject.procedure.asks.iter();
    asks.flat_map(|(name, ask)| {
        let stand_in = ask.unknown.as_ref().map(|unknown| &unknown.take);
        let example = unfit(subject, ask, "the example", ask.example.as_ref());
        let stand_in = unfit(subject, ask, "what stands in", stand_in);
        example.into_iter().chain(stand_in).chain(inputs(subject.procedure, name, ask))
    })
    .collect()
}

/// A text that is no answer to its question, whatever the other facts are.
fn unfit(
    subject: &Subject<'_>,
    ask: &Ask,
    what: &str,
    answer: Option<&At<String>>,
) -> Option<Finding> {
    let answer = answer?;
    let mut refused = None;
    for trial in subject.trials() {
        refused = Some(ask.take(answer, &|name: &str| trial.named(name)).err()?);
    }
    let found = CHECK.error(format!("{what} is no answer: {}", refused?)).at(answer.span);
    Some(found.help("write one that the question itself takes"))
}

/// What a way to a fact asks for: plain values, under names that stand for nothing else.
fn inputs(procedure: &Procedure, fact: &At<String>, ask: &Ask) -> Vec<Finding> {
    let inputs = ask.offer.iter().flat_map(|offer| offer.from.iter());
    inputs.filter_map(|(name, input)| input_finding(procedure, fact, name, input)).collect()
}

fn input_finding(
    procedure: &Procedure,
    fact: &str,
    name: &At<String>,
    input: &Ask,
) -> Option<Finding> {
    let is_plain = input.is_value() && !input.none_ok && input.between.is_some();
    if !is_plain || input.offer.is_some() || input.unknown.is_some() || input.group.is_some() {
        let message = format!("`{}` is asked for to work `{fact}` out: a plain value", name.value);
        let help = "give it `ask`, `unit` and `between`, and `find` where that helps";
        return Some(CHECK.error(message).at(name.span).help(help));
    }
    let is_taken = procedure.asks.get(name).is_some() || procedure.work_out.get(name).is_some();
    is_taken.then(|| {
        let message = format!("`{}` is the name of a value of the procedure", name.value);
        CHECK
            .error(message)
            .at(name.span)
            .help("choose another name: what is asked for here is no fact")
    })
}
