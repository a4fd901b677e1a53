//! A single fault of a part, and how it is written: `Q7:ce-short`.

use std::fmt;
use std::str::FromStr;

/// A leg of a transistor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Leg {
    /// Collector.
    Collector,
    /// Base.
    Base,
    /// Emitter.
    Emitter,
    /// Drain.
    Drain,
    /// Gate.
    Gate,
    /// Source.
    Source,
}

impl Leg {
    const ALL: [Self; 6] =
        [Self::Collector, Self::Base, Self::Emitter, Self::Drain, Self::Gate, Self::Source];

    /// Its letter.
    fn letter(self) -> char {
        match self {
            Self::Collector => 'c',
            Self::Base => 'b',
            Self::Emitter => 'e',
            Self::Drain => 'd',
            Self::Gate => 'g',
            Self::Source => 's',
        }
    }

    fn of(letter: char) -> Option<Self> {
        Self::ALL.into_iter().find(|leg| leg.letter() == letter)
    }

    /// Which of the nodes of its part it is.
    pub(super) fn place(self) -> usize {
        match self {
            Self::Collector | Self::Drain => 0,
            Self::Base | Self::Gate => 1,
            Self::Emitter | Self::Source => 2,
        }
    }
}

/// What is wrong with a part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PartFault {
    /// It conducts nothing.
    Open,
    /// Its two legs are joined.
    Short,
    /// It conducts a little where it should not.
    Leaky,
    /// Its value is this many times what it should be.
    Value(f64),
    /// One leg has lost its contact.
    LegOpen(Leg),
    /// Two legs are joined.
    LegsShort(Leg, Leg),
}

impl fmt::Display for PartFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Open => f.write_str("open"),
            Self::Short => f.write_str("short"),
            Self::Leaky => f.write_str("leaky"),
            Self::Value(factor) => write!(f, "value*{factor}"),
            Self::LegOpen(leg) => write!(f, "{}-open", leg.letter()),
            Self::LegsShort(one, other) => write!(f, "{}{}-short", one.letter(), other.letter()),
        }
    }
}

impl FromStr for PartFault {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let found = match text {
            "open" => Some(Self::Open),
            "short" => Some(Self::Short),
            "leaky" => Some(Self::Leaky),
            _ => of_legs(text).or_else(|| of_value(text)),
        };
        found.ok_or_else(|| {
            format!(
                "`{text}` is not a fault: write open, short, leaky, value*2, b-open or ce-short"
            )
        })
    }
}

fn of_legs(text: &str) -> Option<PartFault> {
    let (legs, what) = text.split_once('-')?;
    let mut letters = legs.chars();
    let first = Leg::of(letters.next()?)?;
    match (letters.next(), letters.next(), what) {
        (None, None, "open") => Some(PartFault::LegOpen(first)),
        (Some(other), None, "short") => {
            Leg::of(other).filter(|leg| *leg != first).map(|leg| PartFault::LegsShort(first, leg))
        }
        _ => None,
    }
}

fn of_value(text: &str) -> Option<PartFault> {
    let factor: f64 = text.strip_prefix("value*")?.parse().ok()?;
    // Beyond that it is open or short, and these have names of their own.
    (1e-3..=1e3).contains(&factor).then_some(PartFault::Value(factor))
}

/// A fault of a named part.
#[derive(Clone, Debug, PartialEq, serde::Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(try_from = "String")]
#[cfg_attr(test, schemars(with = "String"))]
pub struct PlacedFault {
    /// The element, by its name in the netlist.
    pub part: String,
    /// What is wrong with it.
    pub fault: PartFault,
}

impl fmt::Display for PlacedFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.part, self.fault)
    }
}

impl FromStr for PlacedFault {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let (part, fault) = text.split_once(':').ok_or_else(|| {
            format!("`{text}` names no fault: write PART:FAULT, as in Q7:ce-short")
        })?;
        Ok(Self { part: part.to_owned(), fault: fault.parse()? })
    }
}

impl TryFrom<String> for PlacedFault {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        text.parse()
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::*;

    #[test]
    fn a_fault_is_written_as_it_is_read() {
        for text in [
            "R5:open",
            "C1:leaky",
            "R5:value*2",
            "R5:value*0.5",
            "Q7:b-open",
            "Q7:ce-short",
            "M1:gs-short",
        ] {
            assert_eq!(text.parse::<PlacedFault>().unwrap().to_string(), text);
        }
    }

    #[test]
    fn what_is_no_fault_is_refused_with_what_is_one() {
        for text in [
            "R5",
            "R5:",
            "R5:value",
            "R5:value*0",
            "R5:value*-2",
            "R5:value*NaN",
            "R5:value*1e9",
            "Q7:x-open",
            "Q7:cc-short",
            "Q7:ce-open",
            "Q7:c-short",
            "Q7:cbe-short",
        ] {
            let refused = text.parse::<PlacedFault>().unwrap_err();
            assert!(refused.contains("write "), "{text}: {refused}");
        }
    }
}
