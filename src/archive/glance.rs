//! What the index takes from an entry. Everything else in it is passed over unread.

use std::fmt;
use std::marker::PhantomData;

use serde::Deserialize;
use serde::de::{Deserializer, IgnoredAny, MapAccess, Visitor};

use crate::record::{Mode, Origin, Outcome};
use crate::window::Verdict;

#[derive(Deserialize)]
pub(super) struct Glance {
    pub(super) at: MomentGlance,
    pub(super) by: String,
    #[serde(deserialize_with = "tagged")]
    pub(super) event: EventGlance,
    pub(super) facts: Vec<FactGlance>,
}

#[derive(Deserialize)]
pub(super) struct MomentGlance {
    pub(super) wall: String,
}

#[derive(Deserialize)]
pub(super) struct OpeningGlance {
    pub(super) run: String,
    pub(super) mode: Mode,
    pub(super) operator: String,
    pub(super) title: String,
    pub(super) equipment_name: Option<String>,
    #[serde(default)]
    pub(super) bench: Option<BenchGlance>,
}

#[derive(Deserialize)]
pub(super) struct BenchGlance {
    pub(super) sha256: String,
    pub(super) text: String,
}

/// An event in which an instrument is named.
#[derive(Deserialize)]
pub(super) struct NamedInstrument {
    pub(super) instrument: String,
}

#[derive(Default)]
pub(super) enum EventGlance {
    Started(Box<OpeningGlance>),
    Measured(String),
    /// Something else that an instrument did.
    Instrument(String),
    Resumed,
    Voided,
    Amended,
    #[default]
    Other,
}

#[derive(Deserialize)]
pub(super) struct JudgedGlance {
    pub(super) key: String,
    pub(super) what: String,
    pub(super) reading: ReadingGlance,
    pub(super) unit: String,
    pub(super) origin: Origin,
    pub(super) bounds: BoundsGlance,
    pub(super) verdict: Verdict,
    #[serde(default)]
    pub(super) decision: DecisionGlance,
}

/// A value is kept as it is written: the number in base units, then the unit.
#[derive(Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum ReadingGlance {
    Number(String),
    OverRange,
    NotANumber,
}

#[derive(Deserialize)]
pub(super) struct BoundsGlance {
    #[serde(default)]
    pub(super) low: Option<String>,
    #[serde(default)]
    pub(super) high: Option<String>,
    #[serde(default)]
    pub(super) expected: Option<String>,
    #[serde(default)]
    pub(super) open_ok: bool,
}

#[derive(Default, Deserialize)]
pub(super) struct DecisionGlance {
    #[serde(default)]
    pub(super) meter: Option<String>,
}

#[derive(Clone, Copy, Deserialize)]
pub(super) struct Closed {
    pub(super) outcome: Outcome,
    pub(super) safe: bool,
}

/// A fact in which a second person is named.
#[derive(Deserialize)]
pub(super) struct NamedSecond {
    pub(super) by: String,
}

#[derive(Default)]
pub(super) enum FactGlance {
    Judged(Box<JudgedGlance>),
    Closed(Closed),
    Second(String),
    #[default]
    Other,
}

/// Something written as its name alone, or as one member with its name: only some names matter.
trait Tagged: Default {
    fn member<'de, A: MapAccess<'de>>(name: &str, map: &mut A) -> Result<Option<Self>, A::Error>;
}

impl Tagged for EventGlance {
    fn member<'de, A: MapAccess<'de>>(name: &str, map: &mut A) -> Result<Option<Self>, A::Error> {
        Ok(Some(match name {
            "started" => Self::Started(map.next_value()?),
            "measured" => Self::Measured(map.next_value::<NamedInstrument>()?.instrument),
            "found_on" | "off_unconfirmed" | "instrument_lost" | "tripped" => {
                Self::Instrument(map.next_value::<NamedInstrument>()?.instrument)
            }
            "resumed" => {
                map.next_value::<IgnoredAny>()?;
                Self::Resumed
            }
            "voided" => {
                map.next_value::<IgnoredAny>()?;
                Self::Voided
            }
            "amended" => {
                map.next_value::<IgnoredAny>()?;
                Self::Amended
            }
            _ => return Ok(None),
        }))
    }
}

impl Tagged for FactGlance {
    fn member<'de, A: MapAccess<'de>>(name: &str, map: &mut A) -> Result<Option<Self>, A::Error> {
        Ok(Some(match name {
            "judged" => Self::Judged(map.next_value()?),
            "closed" => Self::Closed(map.next_value()?),
            "conceded" | "released" | "witnessed" | "verified" | "agreed" => {
                Self::Second(map.next_value::<NamedSecond>()?.by)
            }
            _ => return Ok(None),
        }))
    }
}

impl<'de> Deserialize<'de> for FactGlance {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        tagged(deserializer)
    }
}

fn tagged<'de, T: Tagged, D: Deserializer<'de>>(deserializer: D) -> Result<T, D::Error> {
    deserializer.deserialize_any(TaggedVisitor(PhantomData))
}

struct TaggedVisitor<T>(PhantomData<T>);

impl<'de, T: Tagged> Visitor<'de> for TaggedVisitor<T> {
    type Value = T;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a name, or one member with its name")
    }

    fn visit_str<E>(self, _: &str) -> Result<T, E> {
        Ok(T::default())
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<T, A::Error> {
        let mut found = T::default();
        while let Some(name) = map.next_key::<Name>()? {
            match T::member(&name.0, &mut map)? {
                Some(known) => found = known,
                None => {
                    map.next_value::<IgnoredAny>()?;
                }
            }
        }
        Ok(found)
    }
}

/// The name of a member.
#[derive(Deserialize)]
struct Name(String);
