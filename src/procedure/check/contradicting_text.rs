//! A text that names another quantity, another limit or another source than its step has.

use super::limit_in_text::{Limit, limit};
use super::trial::Trial;
use super::words::{among, mentions, told, words};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{At, Stage, Step};
use crate::quantity::Dimension;
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("TXT008", "contradicting-text", include_str!("contradicting_text.md"))
        .of_procedure(run);

/// Words with which the text of a reading begins, and what is then measured.
const MEASURED: &[(&str, Dimension)] = &[
    ("voltage", Dimension::VOLTAGE),
    ("volts", Dimension::VOLTAGE),
    ("current", Dimension::CURRENT),
    ("amps", Dimension::CURRENT),
    ("resistance", Dimension::RESISTANCE),
    ("power", Dimension::POWER),
    ("watts", Dimension::POWER),
    ("capacitance", Dimension::CAPACITANCE),
    ("temperature", Dimension::CELSIUS),
    ("frequency", Dimension::FREQUENCY),
];

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let steps = subject.procedure.steps().filter_map(|(stage, step)| {
        let text = told(step)?;
        of_quantity(step, text)
            .or_else(|| subject.trials().iter().find_map(|trial| of_limit(step, text, trial)))
            .or_else(|| of_source(stage, step, text))
            .or_else(|| of_poles(step, text))
    });
    let asks = subject.procedure.asks.iter().filter(|(_, ask)| !ask.parts);
    let asks = asks.filter_map(|(_, ask)| of_unit(&ask.ask, ask.unit().dimension()));
    asks.chain(steps).collect()
}

fn of_quantity(step: &Step, text: &At<String>) -> Option<Finding> {
    if step.read.is_none() && step.watch.is_none() {
        return None;
    }
    of_unit(text, step.kind()?.unit()?.dimension())
}

fn of_unit(text: &At<String>, dimension: Dimension) -> Option<Finding> {
    let words = words(text);
    let first = words.first()?.low.as_str();
    // The power of "power supply" is none; "power factor" and "voltage gain" are plain numbers; a rise is in K.
    let is_other = words
        .get(1)
        .is_some_and(|word| among("amplifier cord lead meter supply transformer", &word.low))
        || matches!(dimension, Dimension::NONE | Dimension::TEMPERATURE | Dimension::LEVEL);
    let (word, _) =
        MEASURED.iter().find(|(word, measured)| *word == first && *measured != dimension)?;
    (!is_other).then(|| {
        finding(
            text,
            &format!(
                "the text begins with \"{word}\", and the unit is one of {}",
                dimension.name()
            ),
        )
    })
}

fn of_limit(step: &Step, text: &At<String>, trial: &Trial) -> Option<Finding> {
    let kind = step.kind()?;
    let (unit, window) = kind.unit().zip(kind.window())?;
    let Limit { words, sort, value } = limit(text)?;
    let (value, bounds) = (value?, trial.bounds(window, unit.dimension())?);
    let is_upper = among("below under most maximum max within than exceed exceeds", &sort);
    let is_lower = among("above over least minimum min beyond", &sort);
    let is_upper = is_upper
        && !words.contains("more than")
        && !text.contains("more than")
        && !text.contains("greater than");
    let (size, said) = (|quantity: crate::quantity::Quantity| quantity.to_f64(), value.to_f64());
    let contradicts = value.dimension == unit.dimension()
        && (is_upper && bounds.high.is_some_and(|high| size(high) > said * (1.0 + 1e-9))
            || is_lower && bounds.low.is_some_and(|low| size(low) < said * (1.0 - 1e-9)));
    contradicts
        .then(|| finding(text, &format!("the text says \"{words}\", and the window takes more")))
}

/// A source that is brought up by the name of another.
fn of_source(stage: &Stage, step: &Step, text: &At<String>) -> Option<Finding> {
    let set = step.set.as_ref().filter(|set| !set.is_off())?;
    let other = match stage.source.value {
        Source::BenchSupply => "outlet mains variac limiter",
        Source::MainsThroughLamp => "variac",
        Source::Mains | Source::MainsVariable => "",
        Source::None => return None,
    };
    let is_bench = stage.source.value.is_mains() && text.to_lowercase().contains("bench supply");
    let is_other = is_bench || !other.is_empty() && mentions(text, other);
    is_other.then(|| finding(&set.what, "the text names another source than that of the stage"))
}

/// Poles that are crossed where a supply is connected.
fn of_poles(step: &Step, text: &At<String>) -> Option<Finding> {
    let low = text.to_lowercase();
    let says = |pairs: &[&str]| pairs.iter().any(|pair| low.contains(pair));
    let crossed = says(&["plus to minus", "positive to negative", "red to black"])
        && says(&["minus to plus", "negative to positive", "black to red"]);
    (step.r#do.is_some() && crossed)
        .then(|| finding(text, "the text connects each pole to the other one"))
}

fn finding(at: &At<String>, message: &str) -> Finding {
    CHECK
        .warning(message.to_owned())
        .at(at.span)
        .help("bring text, unit, window and source together: one of them is wrong")
}
