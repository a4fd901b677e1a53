//! A simulated meter: it shows what the model says of the point its probes are on, as well as it promises to.

use super::scpi::{ScpiCommand, ScpiError, ScpiResult, Status, number};
use crate::procedure::{Dialect, Instrument};
use crate::quantity::Quantity;
use crate::window::{Accuracy, Conditions};

/// What instruments send for a value above their range, and for none at all (SCPI-1999, volume 1, 7.2.1, from memory).
const OVER_RANGE: f64 = 9.9e37;
pub(super) const NOT_A_NUMBER: f64 = 9.91e37;

/// The part of its promise by which a meter is off at most: a sound meter is better than its data sheet.
const OFF_BY: f64 = 0.25;

/// A question and what is promised of its answer on each range.
#[derive(Debug)]
struct MeterFunction {
    question: String,
    ranges: Vec<Accuracy>,
}

/// A meter.
#[derive(Debug)]
pub(super) struct SimulatedMeter {
    pub(super) status: Status,
    functions: Vec<MeterFunction>,
    /// How many readings it has taken.
    readings: u64,
}

impl SimulatedMeter {
    pub(super) fn new(identity: String, instrument: &Instrument) -> Self {
        let standard = Dialect::default();
        let dialect =
            instrument.connection.as_ref().map_or(&standard, |connection| &connection.dialect);
        let functions = instrument.functions.iter().filter_map(|(name, ranges)| {
            let question = dialect.question(name)?;
            Some(MeterFunction { question: question.to_ascii_uppercase(), ranges: ranges.clone() })
        });
        Self { status: Status::new(identity), functions: functions.collect(), readings: 0 }
    }

    /// Answers a question with the value under the probes.
    pub(super) fn execute(
        &mut self,
        command: &ScpiCommand,
        probed: Option<Quantity>,
    ) -> ScpiResult {
        let asked = commands_alike(&self.functions, command);
        if asked.is_empty() {
            return Err(ScpiError::Undefined);
        }
        let measures = |function: &&&MeterFunction, value: &Quantity| {
            function.ranges.iter().any(|accuracy| accuracy.range.dimension == value.dimension)
        };
        let shown = probed.and_then(|value| {
            let function = asked.iter().find(|function| measures(function, &value))?;
            Some(show(&function.ranges, &value, self.readings))
        });
        self.readings += 1;
        Ok(Some(number(shown.unwrap_or(NOT_A_NUMBER))))
    }
}

fn commands_alike<'a>(
    functions: &'a [MeterFunction],
    command: &ScpiCommand,
) -> Vec<&'a MeterFunction> {
    functions.iter().filter(|function| function.question == command.header).collect()
}

/// What is shown of a value: a little off, rounded to the last digit of the range that holds it.
fn show(ranges: &[Accuracy], value: &Quantity, turn: u64) -> f64 {
    let exact = value.to_f64();
    let Some(range) = Accuracy::in_use(ranges, value) else {
        return OVER_RANGE.copysign(exact);
    };
    let promised = range.half_width(value, &Conditions::default()).unwrap_or(0.0);
    let off = exact + OFF_BY * promised * wobble(turn ^ exact.to_bits());
    let count = range.count.to_f64();
    (off / count).round() * count
}

/// A number from -1 to 1 that looks like chance and is the same every time (splitmix64's mixing, from memory).
fn wobble(seed: u64) -> f64 {
    let mut z = seed.wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    let bits = u32::try_from((z ^ (z >> 31)) >> 32).unwrap_or(0);
    2.0 * f64::from(bits) / f64::from(u32::MAX) - 1.0
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::*;
    use crate::bench::simulated::scpi::commands;
    use crate::procedure::read_bench;
    use crate::quantity::{Dimension, Reading, Unit};

    // Invented.
    const BENCH: &str = "
format: 1
bench: A bench (invented)
instruments:
  meter:
    what: A meter (invented)
    serial: \"1\"
    functions:
      dc-voltage: [{range: 6 V, count: 1 mV, of_reading: 0.5 %, counts: 2}, {range: 60 V, count: 10 mV, of_reading: 0.5 %, counts: 2}]
      resistance: [{range: 60 Mohm, count: 10 kohm, of_reading: 1 %}]
";

    fn ask(meter: &mut SimulatedMeter, question: &str, value: Option<&str>) -> String {
        let value = value.map(|text| Quantity::parse(text).unwrap());
        let command = commands(question).remove(0);
        meter.execute(&command, value).unwrap().unwrap()
    }

    fn meter() -> SimulatedMeter {
        let bench = read_bench(BENCH).unwrap();
        SimulatedMeter::new("invented".to_owned(), bench.instruments.get("meter").unwrap())
    }

    #[test]
    fn a_reading_is_within_the_promise_and_not_always_the_same() {
        let mut meter = meter();
        let mut seen = std::collections::BTreeSet::new();
        for _ in 0..50 {
            let text = ask(&mut meter, "MEAS:VOLT:DC?", Some("43.3 V"));
            let shown = Reading::parse(&text, &Unit::base(Dimension::VOLTAGE)).unwrap();
            let Reading::Number(shown) = shown else { panic!("{text}") };
            assert!((shown.to_f64() - 43.3).abs() <= 0.25 * (0.5e-2 * 43.3 + 0.02) + 0.005);
            seen.insert(text);
        }
        assert!(seen.len() > 3, "{seen:?}");
    }

    #[test]
    fn two_meters_that_were_asked_alike_answer_alike() {
        let (mut one, mut other) = (meter(), meter());
        for _ in 0..5 {
            let [a, b] = [&mut one, &mut other].map(|m| ask(m, "MEAS:VOLT:DC?", Some("9.12 V")));
            assert_eq!(a, b);
        }
    }

    #[test]
    fn what_it_cannot_show_is_never_a_number() {
        let mut meter = meter();
        let over = ask(&mut meter, "MEAS:RES?", Some("1 Gohm"));
        assert_eq!(over, "+9.900000E+37");
        assert_eq!(ask(&mut meter, "MEAS:VOLT:DC?", Some("-100 V")), "-9.900000E+37");
        assert_eq!(ask(&mut meter, "MEAS:RES?", Some("12 V")), "+9.910000E+37");
        assert_eq!(ask(&mut meter, "MEAS:VOLT:DC?", None), "+9.910000E+37");
        let unknown = meter.execute(&commands("MEAS:FREQ?").remove(0), None);
        assert_eq!(unknown, Err(ScpiError::Undefined));
    }
}
