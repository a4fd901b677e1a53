//! What came out: values, the one that matters first, and remarks.

use std::time::Duration;

use serde_json::{Value as Json, json};

use crate::physics::source::{FigureSource, SourceStanding};
use crate::quantity::{Dimension, Quantity, Unit};
use crate::report::{Sheet, Tone};
use crate::sitting::screen::duration;
use crate::window::is_absurd;

/// Digits of a value that rests on parts with tolerances.
const DIGITS: u32 = 3;

/// The most energy that is stored in a piece of equipment or goes into one of its parts (J; common practice, no source): a
/// hundred times that of 100 mF at 450 V.
const STORED_MOST_J: f64 = 1e6;

/// Shown for what is no number.
const BEYOND: &str = "beyond reckoning";

/// An answer under construction.
#[derive(Clone, Debug, Default)]
pub(super) struct Answer {
    values: Vec<AnswerValue>,
    remarks: Vec<(Remark, String)>,
}

#[derive(Clone, Debug)]
struct AnswerValue {
    name: String,
    /// As shown; the number behind it where it is one.
    text: String,
    quantity: Option<Quantity>,
}

/// What a remark is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Remark {
    /// Something that injures.
    Hazard,
    /// Something that will not work, or that a person should not rely on.
    Warning,
    /// What a rule of the trade, or of a standard, says to it.
    Rule,
    /// Anything else worth knowing.
    Note,
}

impl Remark {
    fn word(self) -> &'static str {
        match self {
            Self::Hazard => "hazard",
            Self::Warning => "warning",
            Self::Rule => "rule",
            Self::Note => "note",
        }
    }

    fn tone(self) -> Tone {
        match self {
            Self::Hazard => Tone::Bad,
            Self::Warning => Tone::Caution,
            Self::Rule | Self::Note => Tone::Plain,
        }
    }
}

impl Answer {
    /// Adds an estimate, rounded, in a unit.
    pub(super) fn estimate(&mut self, name: impl Into<String>, value: f64, symbol: &str) {
        let unit = unit(symbol);
        self.number(name.into(), value, &unit, |quantity| {
            quantity.engineering(DIGITS, Some(&unit))
        });
    }

    /// Adds a value with all its digits, in a unit.
    pub(super) fn exact(&mut self, name: impl Into<String>, value: f64, symbol: &str) {
        let unit = unit(symbol);
        self.number(name.into(), value, &unit, |quantity| quantity.engineering_exact(Some(&unit)));
    }

    /// Adds a time as plans write it; one below a minute is rounded to three digits.
    pub(super) fn time(&mut self, name: impl Into<String>, seconds: f64) {
        if !is_said_in_minutes(seconds) {
            return self.estimate(name, seconds, "s");
        }
        let quantity = Quantity::from_f64(seconds, Dimension::TIME);
        self.push(AnswerValue { name: name.into(), text: shown_time(seconds), quantity });
    }

    /// Adds a value that is words.
    pub(super) fn words(&mut self, name: impl Into<String>, text: impl Into<String>) {
        self.values.push(AnswerValue { name: name.into(), text: text.into(), quantity: None });
    }

    /// Adds words behind the value that was added last.
    pub(super) fn qualify(&mut self, words: &str) {
        if let Some(value) = self.values.last_mut() {
            value.text = format!("{} ({words})", value.text);
        }
    }

    /// Adds a remark.
    pub(super) fn remark(&mut self, kind: Remark, text: impl Into<String>) {
        self.remarks.push((kind, text.into()));
    }

    fn number(
        &mut self,
        name: String,
        value: f64,
        unit: &Unit,
        show: impl Fn(&Quantity) -> String,
    ) {
        let quantity = Quantity::from_f64(value, unit.dimension());
        let text = quantity.as_ref().map_or_else(|| BEYOND.to_owned(), show);
        self.push(AnswerValue { name, text, quantity });
    }

    /// Adds a value, with a word where nothing at a bench has it: each input may be one, and what comes of them none.
    fn push(&mut self, value: AnswerValue) {
        if value.quantity.as_ref().is_none_or(is_beyond_a_bench) {
            let AnswerValue { name, text, .. } = &value;
            let words = format!(
                "{name}, {text}: nothing at a bench has that; check the prefixes of what you typed"
            );
            self.remark(Remark::Warning, words);
        }
        self.values.push(value);
    }

    /// Writes values in a column and remarks below.
    pub(super) fn write(&self, sheet: &mut Sheet) {
        let names = self.values.iter().map(|value| value.name.chars().count());
        let column = names.max().unwrap_or(0).min(sheet.width() / 2);
        for (place, value) in self.values.iter().enumerate() {
            let tone = if place == 0 { Tone::Strong } else { Tone::Plain };
            if value.name.chars().count() > column {
                sheet.line(tone, &value.name);
                sheet.indented(tone, &format!("{:column$}  ", ""), &value.text);
            } else {
                sheet.indented(tone, &format!("{:column$}  ", value.name), &value.text);
            }
        }
        for (kind, text) in &self.remarks {
            sheet.indented(kind.tone(), &format!("{:9}", kind.word()), text);
        }
    }

    /// The values as JSON: a name, the text that people see, and the quantity where there is one.
    pub(super) fn values_json(&self) -> Json {
        let json = |value: &AnswerValue| match value.quantity {
            Some(quantity) => {
                json!({ "name": value.name, "text": value.text, "value": quantity })
            }
            None => json!({ "name": value.name, "text": value.text }),
        };
        self.values.iter().map(json).collect()
    }

    /// The remarks as JSON.
    pub(super) fn remarks_json(&self) -> Json {
        let json = |(kind, text): &(Remark, String)| json!({ "kind": kind.word(), "text": text });
        self.remarks.iter().map(json).collect()
    }

    /// The base value behind a name.
    #[cfg(test)]
    pub(super) fn number_of(&self, name: &str) -> f64 {
        let value = self.values.iter().find(|value| value.name == name);
        value.and_then(|value| value.quantity).expect("a number of that name").to_f64()
    }

    /// The text behind a name.
    #[cfg(test)]
    pub(super) fn text_of(&self, name: &str) -> &str {
        let value = self.values.iter().find(|value| value.name == name);
        &value.expect("a value of that name").text
    }

    /// Whether a remark of a kind has these words.
    #[cfg(test)]
    pub(super) fn remarks_on(&self, kind: Remark, words: &str) -> bool {
        self.remarks.iter().any(|(remark, text)| *remark == kind && text.contains(words))
    }
}

/// Writes a value of a unit in a sentence.
pub(super) fn shown(value: f64, symbol: &str) -> String {
    let unit = unit(symbol);
    Quantity::from_f64(value, unit.dimension())
        .map_or_else(|| BEYOND.to_owned(), |quantity| quantity.engineering_exact(Some(&unit)))
}

/// Writes an estimate of a unit in a sentence.
pub(super) fn rounded(value: f64, symbol: &str) -> String {
    let unit = unit(symbol);
    Quantity::from_f64(value, unit.dimension())
        .map_or_else(|| BEYOND.to_owned(), |quantity| quantity.engineering(DIGITS, Some(&unit)))
}

/// Writes a time in a sentence, as plans do.
pub(super) fn shown_time(seconds: f64) -> String {
    if is_said_in_minutes(seconds) {
        duration(Duration::from_secs_f64(seconds).as_millis().try_into().unwrap_or(u64::MAX))
    } else {
        shown(seconds, "s")
    }
}

/// Names a source, and says where it was not read.
pub(super) fn source(source: &FigureSource) -> String {
    match source.standing {
        SourceStanding::Seen => source.text.to_owned(),
        SourceStanding::Quoted => format!("{}, as quoted", source.text),
        SourceStanding::CarriedOver => format!("{}, from the edition before", source.text),
        SourceStanding::FromMemory => format!("{}, from memory", source.text),
        SourceStanding::OwnRule => format!("{}, by a rule of our own", source.text),
    }
}

/// Whether a result is more than anything at a bench.
fn is_beyond_a_bench(quantity: &Quantity) -> bool {
    let is_stored = quantity.dimension == Dimension::ENERGY;
    is_absurd(quantity) || is_stored && quantity.to_f64() > STORED_MOST_J
}

/// Whether a time is long enough for minutes and hours, and no more than people wait for.
fn is_said_in_minutes(seconds: f64) -> bool {
    (60.0..1e9).contains(&seconds)
}

fn unit(symbol: &str) -> Unit {
    Unit::parse(symbol).expect("a unit of the table")
}

#[cfg(test)]
mod tests {
    use super::{Answer, shown_time};

    /// The same rule as a plan's waits.
    #[test]
    fn a_time_is_said_as_a_plan_says_it() {
        for (seconds, text) in [
            (0.15, "150 ms"),
            (42.0, "42 s"),
            (60.0, "1 min"),
            (110.0, "1 min 50 s"),
            (3600.0, "1 h"),
            (7500.0, "2 h 5 min"),
        ] {
            assert_eq!(shown_time(seconds), text);
        }
        let mut answer = Answer::default();
        answer.time("short", 4.14312);
        answer.time("long", 3725.0);
        assert_eq!((answer.text_of("short"), answer.text_of("long")), ("4.14 s", "1 h 3 min"));
    }
}
