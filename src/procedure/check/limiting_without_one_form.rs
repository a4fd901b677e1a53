//! An indication of limiting that is neither a bit nor a word.

use super::Check;
use crate::diagnostic::Finding;
use crate::procedure::{BenchFile, ConstantCurrent};

pub(super) const CHECK: Check =
    Check::new("BEN007", "limiting-without-one-form", include_str!("limiting_without_one_form.md"))
        .of_bench(run);

fn run(bench: &BenchFile) -> Vec<Finding> {
    let connections =
        bench.instruments.iter().filter_map(|(_, instrument)| instrument.connection.as_ref());
    let told = connections.filter_map(|connection| connection.dialect.constant_current.as_ref());
    told.filter_map(finding).collect()
}

fn finding(load: &ConstantCurrent) -> Option<Finding> {
    let when = load.bit_when_limiting.as_ref();
    let (message, span) = match (&load.bit, &load.word) {
        (None, None) => ("neither a bit nor a word says that it limits", load.ask.span),
        (Some(bit), Some(_)) => ("a bit and a word both say that it limits", bit.span),
        (None, Some(word)) if when.is_some() => ("a word has no `bit_when_limiting`", word.span),
        (Some(bit), None) if bit.value > 63 => ("a register has no such bit", bit.span),
        (Some(_), None) => {
            let odd = when.filter(|when| when.value > 1)?;
            ("a bit is 0 or 1", odd.span)
        }
        (None, Some(_)) => return None,
    };
    let help = "give `bit` (from 0) and what it is while the supply limits, or the `word` that it answers then";
    Some(CHECK.error(message).at(span).help(help))
}
