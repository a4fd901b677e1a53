//! A fact whose answers nothing bounds, or a range that bounds nothing.

use super::trial::Trial;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{Ask, At};
use crate::quantity::{Dimension, Quantity};

pub(super) const CHECK: Check =
    Check::new("QTY014", "incredible-range", include_str!("incredible_range.md")).of_procedure(run);

/// The most that the high end may be over the low one: four decades, as of capacitors across a mains input.
const SPREAD_MAX: f64 = 1e4;
/// What no equipment on a repair bench has (V, A, ohm, W, F), or may get as hot as (degC). Common practice, no source.
const INCREDIBLE: &[(Dimension, f64)] = &[
    (Dimension::VOLTAGE, 50e3),
    (Dimension::CURRENT, 1e3),
    (Dimension::RESISTANCE, 100e9),
    (Dimension::POWER, 100e3),
    (Dimension::CAPACITANCE, 10.0),
    (Dimension::CELSIUS, 400.0),
];
/// Quantities of which a sound set never has none.
const NEVER_ZERO: &[Dimension] = &[Dimension::VOLTAGE, Dimension::CAPACITANCE, Dimension::POWER];

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let asks = subject.procedure.asks.iter().filter(|(_, ask)| ask.is_value());
    asks.filter_map(|(name, ask)| finding(name, ask, subject.trials())).collect()
}

fn finding(name: &At<String>, ask: &Ask, trials: &[Trial]) -> Option<Finding> {
    let Some([low, high]) = ask.between.as_deref() else {
        let message = format!("any answer to `{}` is taken", name.value);
        let found = CHECK.warning(message).at(name.span);
        return ask
            .between
            .is_none()
            .then(|| found.help("add `between` with the lowest and the highest credible answer"));
    };
    let ends = |trial: &Trial| Some((trial.value(low)?, trial.value(high)?));
    let why = trials.iter().filter_map(ends).find_map(|(low, high)| incredible(&low, &high))?;
    Some(
        CHECK
            .warning(format!("the range of `{}` takes what no equipment has: {why}", name.value))
            .at(high.text.span)
            .related(low.text.span, "the low end")
            .help("write the range of the equipment that the procedure is for: a slip of a prefix has to fall outside"),
    )
}

fn incredible(low: &Quantity, high: &Quantity) -> Option<String> {
    let (least, most) = (low.to_f64(), high.to_f64());
    let limit = INCREDIBLE.iter().find(|(dimension, _)| *dimension == high.dimension);
    if limit.is_some_and(|(_, limit)| most > *limit) {
        return Some(high.engineering(3, None));
    }
    if least > 0.0 && most > SPREAD_MAX * least * (1.0 + 1e-9) {
        return Some(format!("its high end is {:.0e} times its low end", most / least));
    }
    (NEVER_ZERO.contains(&low.dimension) && least == 0.0 && most > 0.0).then(|| "zero".to_owned())
}
