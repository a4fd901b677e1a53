//! A question of a notice that anybody answers without having read it.

use super::trial::{Trial, in_every};
use super::words::{mentions, words};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{At, Confirm, Expression, Harm, Hazard, Stage};

pub(super) const CHECK: Check =
    Check::new("HAZ020", "trivial-confirmation", include_str!("trivial_confirmation.md"))
        .of_procedure(run);

/// Words that a hand types by itself, or that say nothing of what is live.
const BY_ITSELF: &str = "a accept accepted acknowledge acknowledged agree agreed ahead all am and aware be been careful caution clear confirm     confirmed continue danger dead done enter fine follow go good hands have i is isolated it know known live next no nothing nought     off okay on out over proceed read ready safe safely seen start sure take the this to understand understood v volts want warning     we will yes you zero";
/// Roots of what a notice of live equipment is about: what is live, what limits it or stands before it, what it does.
const AT_STAKE: &str = "ac amp anode battery bias board bolt breaker bulb bulk burn burst busbar cabinet cage capacitor case cathode charge chassis collector     cord cover current dc drain earth electro element emitter filter fire fuse gfci grid ground guard heat ht ignit inlet inverter kill lamp lead     limiter line live load magnet mains metal neutral outlet output phase pin plug power primary prong rail rcd rectifier reservoir screen     secondary shield shock socket spark supply switch tab tag terminal transformer tube valve volt winding wire";
/// The shortest word that says what is live.
const LETTERS_MIN: usize = 3;
/// The voltage that is live, over the ceiling: from the least of the mains to a doubler behind it.
const OF_CEILING: std::ops::RangeInclusive<f64> = 0.9..=3.2;

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let stages = subject.procedure.stages.iter();
    let findings = stages.flat_map(|stage| {
        let steps = stage.steps.iter().filter_map(|step| step.hazard.as_ref());
        stage.hazard.iter().chain(steps).filter_map(|hazard| of_notice(hazard, stage, subject))
    });
    findings.collect()
}

fn of_notice(hazard: &Hazard, stage: &Stage, subject: &Subject<'_>) -> Option<Finding> {
    let confirm = hazard.confirm.as_ref()?;
    let (at, message) = match (&confirm.word, &confirm.voltage) {
        (Some(word), None) => (word, of_word(word, hazard, confirm)?),
        (None, Some(voltage)) => (&voltage.text, of_voltage(voltage, stage, subject, confirm)?),
        _ => return None,
    };
    Some(
        CHECK
            .error(message)
            .at(at.span)
            .help("ask for what is live now: its voltage, or a word that stands in `risk`, `result` or `avoid` and not in the question"),
    )
}

fn of_word(word: &At<String>, hazard: &Hazard, confirm: &Confirm) -> Option<String> {
    let (typed, said) = (word.trim().to_lowercase(), |text: &At<String>| text.to_lowercase());
    let is_by_itself = words(&typed).iter().all(|word| {
        super::words::among(BY_ITSELF, &word.low) || word.low.chars().all(|c| c.is_ascii_digit())
    });
    if typed.chars().filter(|c| c.is_alphabetic()).count() < LETTERS_MIN || is_by_itself {
        return Some(format!("`{}` is typed without a thought", word.value));
    }
    if said(&confirm.ask).contains(&typed) {
        return Some(format!("the question itself says `{}`", word.value));
    }
    let notice = [&hazard.risk, &hazard.result, &hazard.avoid].map(said).join(" ");
    if !notice.contains(&typed) {
        return Some(format!("`{}` does not stand in the notice", word.value));
    }
    let for_a_person = matches!(hazard.harm.value, Harm::Death | Harm::SeriousInjury);
    (for_a_person && !mentions(&typed, AT_STAKE))
        .then(|| format!("`{}` says nothing of what is live", word.value))
}

fn of_voltage(
    voltage: &Expression,
    stage: &Stage,
    subject: &Subject<'_>,
    confirm: &Confirm,
) -> Option<String> {
    let volts = |trial: &Trial, expression| Some(trial.value(expression)?.to_f64());
    let ceiling = stage.ceiling.as_ref();
    // Two facts at the ends of their ranges need not be those of one set.
    let is_odd = in_every(subject.trials(), |trial| {
        let asked = volts(trial, voltage)?;
        let most =
            ceiling.and_then(|ceiling| volts(trial, &ceiling.voltage)).filter(|most| *most > 0.0);
        Some(most.map_or(asked <= 0.0, |most| !OF_CEILING.contains(&(asked / most))))
    });
    if is_odd {
        return Some("the answer is not the voltage that is live here".to_owned());
    }
    // A formula is worked out only on the bench; a plain figure in the question is the answer itself.
    let figure = voltage
        .text
        .split(' ')
        .next()
        .filter(|word| word.starts_with(|c: char| c.is_ascii_digit()));
    let is_given = figure.is_some_and(|figure| mentions(&confirm.ask, figure))
        || confirm.ask.contains(&format!("{{{}}}", voltage.text.value));
    is_given.then(|| "the question itself gives the voltage".to_owned())
}
