//! A rail behind transformer and rectifier as the circuit meets it.

use std::collections::BTreeMap;

use crate::netlist::{CurvePoint, FeedCurve, FeedState};
use crate::procedure::{CircuitFile, CircuitRail, Expression, ValueLookup};
use crate::quantity::{Dimension, Quantity};
use crate::record::Source;

/// The name by which the voltage of a rail follows what is drawn from it.
const DRAWN: &str = "drawn";

/// The currents at which such a rail is worked out (A): the least, the most, and how they grow. Between them it is straight, which misses
/// less than a hundredth of its fall.
const LEAST_A: f64 = 1e-3;
const MOST_A: f64 = 1e3;
const GROWTH: f64 = 1.5;

/// The part of its voltage below which nothing is left of a rail.
const GONE: f64 = 0.01;

/// The rails of a circuit, by the source of the circuit file and what feeds it.
pub(super) type Rails = BTreeMap<(String, Source), FeedState>;

/// Works every rail of a circuit file out.
///
/// # Errors
/// As [`rail_feed`].
pub(super) fn rails(file: &CircuitFile, known: &ValueLookup<'_>) -> Result<Rails, String> {
    let mut rails = Rails::new();
    // Two rails of one transformer are written alike, and each is thirty solved rectifiers.
    let mut curves: BTreeMap<&str, FeedState> = BTreeMap::new();
    for (name, source) in file.sources.iter() {
        for on in [Source::MainsThroughLamp, Source::MainsVariable, Source::Mains] {
            let Some(rail) = source.rail(on) else { continue };
            let text = rail.voltage.text.value.as_str();
            let feed = match curves.get(text) {
                Some(curve) => curve.clone(),
                None => rail_feed(rail, known)?,
            };
            if matches!(feed, FeedState::Curve(_)) {
                curves.insert(text, feed.clone());
            }
            rails.insert((name.value.clone(), on), feed);
        }
    }
    Ok(rails)
}

/// How a rail feeds the circuit.
///
/// # Errors
/// A formula without a value of its kind, or a rail that gains volts by being loaded, in words.
fn rail_feed(rail: &CircuitRail, known: &ValueLookup<'_>) -> Result<FeedState, String> {
    let follows = rail
        .voltage
        .formula()
        .is_ok_and(|formula| formula.names().iter().any(|(name, _)| *name == DRAWN));
    if follows {
        return curve(&rail.voltage, known).map(FeedState::Curve);
    }
    let volts = number(&rail.voltage, Dimension::VOLTAGE, known)?;
    if let Some(current) = &rail.current {
        let amps = number(current, Dimension::CURRENT, known)?;
        return Ok(FeedState::Limited { volts, amps });
    }
    let ohm = rail.resistance.as_ref().map(|formula| number(formula, Dimension::RESISTANCE, known));
    Ok(FeedState::Stiff { volts, ohm: ohm.transpose()?.unwrap_or_default() })
}

/// The voltage of a rail over what is drawn from it, up to where nothing is left.
fn curve(voltage: &Expression, known: &ValueLookup<'_>) -> Result<FeedCurve, String> {
    let mut points: Vec<CurvePoint> = Vec::new();
    let mut amps = LEAST_A;
    while amps <= MOST_A {
        let drawn = Quantity::from_f64(amps, Dimension::CURRENT);
        let value =
            |name: &str| if name == DRAWN { drawn.map(|drawn| vec![drawn]) } else { known(name) };
        let volts = number(voltage, Dimension::VOLTAGE, &value)?;
        points.push(CurvePoint { amps, volts });
        if points.first().is_some_and(|first| volts <= GONE * first.volts) {
            break;
        }
        amps *= GROWTH;
    }
    // Beyond that more current brings no volts back.
    points.extend([2.0, 4.0].map(|times| CurvePoint { amps: times * amps, volts: 0.0 }));
    FeedCurve::new(&points).ok_or_else(|| {
        format!("circuit file, `{}`: a rail doesn't rise with what is drawn", voltage.text.value)
    })
}

/// A formula as a number of base units, zero or more.
pub(super) fn number(
    formula: &Expression,
    wanted: Dimension,
    known: &ValueLookup<'_>,
) -> Result<f64, String> {
    let told = |why: &str| format!("circuit file, `{}`: {why}", formula.text.value);
    let value = formula.evaluate(known).map_err(|error| told(&error.to_string()))?;
    if value.dimension == wanted && value.to_f64() >= 0.0 {
        return Ok(value.to_f64());
    }
    Err(told(&format!("{} of zero or more belongs here", wanted.name())))
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::*;
    use crate::procedure::read_circuit;

    /// What feeds the circuit on the mains, of a rail that is written like this.
    fn fed(rail: &str) -> Result<FeedState, String> {
        let text = format!(
            "format: 1\ncircuit: A stage (invented)\nrehearses: base\nnetlist: stage.cir\n\
             sources: {{plus: {{element: V1, mains: {{{rail}}}}}}}\npoints: {{}}\nreadings: {{}}\nparts: {{}}\n"
        );
        let file = read_circuit(&text).unwrap();
        let (_, source) = file.sources.iter().next().unwrap();
        rail_feed(source.mains.as_ref().unwrap(), &|_: &str| None)
    }

    fn points(rail: &str) -> Vec<CurvePoint> {
        let FeedState::Curve(curve) = fed(rail).unwrap() else { panic!("no curve") };
        curve.points().to_vec()
    }

    #[test]
    fn a_rail_that_names_what_is_drawn_is_a_curve_down_to_nothing() {
        let points = points("voltage: \"max(30 V - 2 ohm * drawn, 0 V)\"");
        let (first, last) = (points.first().unwrap(), points.last().unwrap());
        assert!((first.volts - 29.998).abs() < 1e-6 && last.volts.abs() < 1e-9, "{points:?}");
        assert!(last.amps < 100.0, "nothing is left behind 15 A: {points:?}");
        let inside = points.iter().find(|point| point.amps > 1.0).unwrap();
        assert!((inside.volts - (30.0 - 2.0 * inside.amps)).abs() < 1e-6, "{inside:?}");
    }

    #[test]
    fn a_rail_as_formulas_for_rectifiers_give_it_is_one() {
        for rail in [
            "voltage: \"bridge_average(34 V, 0.6 ohm, 10 mF, drawn, 50 Hz)\"",
            "voltage: \"split_average(31 V, 0.5 ohm, 10 mF, drawn, 50 Hz)\"",
            "voltage: \"lamp_split_average(60 W, 230 V, 8.5 ohm, 31 V, 0.22 ohm, 10 mF, drawn, 50 Hz)\"",
            "voltage: \"lamp_bridge_average(60 W, 230 V, 14 ohm, 34 V, 0.25 ohm, 10 mF, drawn, 50 Hz)\"",
        ] {
            let points = points(rail);
            assert!(
                points.len() > 10 && points.first().unwrap().volts > 30.0,
                "{rail}: {points:?}"
            );
            assert!(points.iter().all(|point| point.volts >= 0.0), "{rail}: {points:?}");
        }
    }

    #[test]
    fn a_rail_that_no_transformer_gives_is_refused_in_words() {
        for (rail, why) in [
            ("voltage: \"30 V + 2 ohm * drawn\"", "doesn't rise with what is drawn"),
            ("voltage: \"30 V - 2 ohm * drawn\"", "voltage of zero or more"),
            ("voltage: \"2 ohm * drawn\"", "doesn't rise with what is drawn"),
            ("voltage: drawn", "voltage of zero or more"),
            ("voltage: \"nothing * drawn\"", "nothing"),
            ("voltage: \"-30 V\"", "voltage of zero or more"),
            ("voltage: 30 V, resistance: \"-1 ohm\"", "resistance of zero or more"),
            ("voltage: 30 V, current: 2 ohm", "current of zero or more"),
        ] {
            let refused = fed(rail).unwrap_err();
            assert!(
                refused.contains("circuit file, `") && refused.contains(why),
                "{rail}: {refused}"
            );
        }
    }

    #[test]
    fn a_rail_that_does_not_name_it_stays_as_it_was() {
        let stiff = FeedState::Stiff { volts: 30.0, ohm: 2.0 };
        assert_eq!(fed("voltage: 30 V, resistance: 2 ohm"), Ok(stiff));
        let limited = FeedState::Limited { volts: 30.0, amps: 0.5 };
        assert_eq!(fed("voltage: 30 V, current: 0.5 A"), Ok(limited));
    }
}
