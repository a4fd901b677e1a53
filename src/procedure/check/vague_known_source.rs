//! A known source of which nothing is known.

use super::words::{among, mentions, words};
use super::{Check, Subject};
use crate::diagnostic::Finding;

pub(super) const CHECK: Check =
    Check::new("HAZ025", "vague-known-source", include_str!("vague_known_source.md"))
        .of_procedure(run);

/// The most that the high end may be over the low end. Common practice, no source: a battery from new to spent.
const SPREAD_MAX: f64 = 1.5;

/// How words begin that name no source in particular.
const ANY: &str = "any anything some something whatever whichever";

/// Words of the mains, whose voltage is AC.
const MAINS: &str = "grid mains outlet receptacle socket wall";
/// Roots of a source of DC that may stand or hang at an outlet.
const DC: &str = "battery cell dc proving";
/// Words of what the equipment itself has.
const ITS_OWN: &str = "bulk eht ht rail rails reservoir set set's smoothing";

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let [low, high] = subject.procedure.known_source.between.as_slice() else { return Vec::new() };
    let is_vague = subject.trials().iter().any(|trial| {
        let ends = trial.value(low).zip(trial.value(high));
        ends.is_some_and(|(low, high)| {
            low.to_f64() > 0.0 && high.to_f64() > SPREAD_MAX * low.to_f64()
        })
    });
    let what = &subject.procedure.known_source.what;
    let is_any = words(what).first().is_some_and(|word| among(ANY, &word.low));
    let unnamed = is_any.then(|| {
        CHECK
            .error("a source that is just any one has no known voltage")
            .at(what.span)
            .help("name the one that is kept for it and whose voltage is known")
    });
    let says = |list: &str| words(what).iter().any(|word| among(list, &word.low));
    let its_own = (says(ITS_OWN) && !mentions(what, DC) && !mentions(what, "bench")).then(|| {
        CHECK.error("what is to be proved dead can't prove the meter").at(what.span).help(
            "name a source that has nothing to do with the equipment: a battery, a proving unit",
        )
    });
    let is_mains = says(MAINS) && !mentions(what, DC);
    let on_mains = is_mains.then(|| {
        CHECK
            .error("the mains are AC: a meter that is proved on them shows nothing of a charged capacitor")
            .at(what.span)
            .help("prove it on a known DC voltage, on the range that the charge points are measured on")
    });
    // A meter that is proved on AC shows nothing of a charged capacitor.
    let function = subject.procedure.known_source.function.as_ref();
    let on_ac = function.filter(|function| function.value.starts_with("ac")).map(|function| {
        CHECK
            .error("a meter that is proved on AC shows nothing of a charged capacitor")
            .at(function.span)
            .help("prove it on DC, on the range that the charge points are measured on")
    });
    let finding = is_vague.then(|| {
        CHECK
            .error("so wide a range would pass a meter on the wrong range or with a broken lead")
            .at(high.text.span)
            .related(low.text.span, "the low end")
            .help("write the range that the source really has, as 8 V to 10 V for a 9 V battery")
    });
    [finding, unnamed, its_own, on_mains, on_ac].into_iter().flatten().collect()
}
