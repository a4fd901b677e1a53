//! A safety test whose window has the wrong side, or a limit that no published rule has.

use super::trial::Trial;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::safety::{Test, test_of, window};
use crate::procedure::step::{Kind, Step};

pub(super) const CHECK: Check =
    Check::new("SAF003", "unfit-safety-limit", include_str!("unfit_safety_limit.md"))
        .of_procedure(run);

/// The highest resistance of the protective earth (ohm): VDE 0701-0702:2008 and EN 50678:2020, lead of any length, as
/// test-gear makers print them; AS/NZS 3760 has the same.
const EARTH_MAX: f64 = 1.0;
/// The lowest insulation resistance (ohm): VDE 0701-0702:2008, class I with heating elements, as test-gear makers print it.
const INSULATION_MIN: f64 = 0.3e6;
/// The highest current that may leak (A): VDE 0701-0702:2008, heating elements of 10 kW, as test-gear makers print it.
const LEAKAGE_MAX: f64 = 10e-3;
/// Rounding in a formula is no other limit.
const ROUNDING: f64 = 1.000_001;

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let trials = subject.trials();
    let steps = subject.procedure.steps();
    steps.filter_map(|(_, step)| finding(step, test_of(step)?, trials)).collect()
}

fn finding(step: &Step, test: Test, trials: &[Trial]) -> Option<Finding> {
    let window = window(step).filter(|window| !window.is_record_only())?;
    let above = window.at_most.is_some() || window.between.is_some() || window.near.is_some();
    let below = window.at_least.is_some() || window.between.is_some() || window.near.is_some();
    let name = step.step.value.as_str();
    let (message, help) = match test {
        Test::Insulation if !below => {
            (format!("`{name}` has no lower limit, and insulation is good when it is high"), LEAST)
        }
        Test::Lead | Test::Earth | Test::Leakage if !above => {
            (format!("`{name}` has no upper limit, and a low value is the good one"), MOST)
        }
        Test::Lead => return None,
        Test::Earth | Test::Insulation | Test::Leakage => {
            let limit = trials.iter().find_map(|trial| unpublished(step, test, trial))?;
            (
                format!("`{name}` is good as far as {limit}, which no published limit allows"),
                PUBLISHED,
            )
        }
    };
    Some(CHECK.error(message).at(step.step.span).help(help))
}

const LEAST: &str = "write `at_least`";
const MOST: &str = "write `at_most`";
const PUBLISHED: &str =
    "at most 1 ohm of earth and 10 mA of leakage, at least 0.3 Mohm of insulation: see the page";

/// The limit that is beyond every published one.
fn unpublished(step: &Step, test: Test, trial: &Trial) -> Option<String> {
    let dimension = step.kind().and_then(Kind::unit)?.dimension();
    let bounds = trial.bounds(window(step)?, dimension)?;
    let (limit, beyond) = match test {
        Test::Lead => return None,
        Test::Earth => (bounds.high?, bounds.high?.to_f64() > EARTH_MAX * ROUNDING),
        Test::Leakage => (bounds.high?, bounds.high?.to_f64() > LEAKAGE_MAX * ROUNDING),
        Test::Insulation => (bounds.low?, bounds.low?.to_f64() * ROUNDING < INSULATION_MIN),
    };
    beyond.then(|| limit.engineering(3, None))
}
