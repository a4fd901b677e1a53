//! The answers file: what is answered in a scripted run.

use std::fmt;

use serde::de::{Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};

use super::At;
use super::at::span_of;
use crate::diagnostic::Span;

/// The answers of a scripted run.
#[derive(Clone, Debug, serde::Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct AnswersFile {
    /// Number of the file format: 1.
    pub format: At<u32>,
    /// What it plays, in one line.
    pub scenario: Option<At<String>>,
    /// Who is at the bench.
    pub operator: Option<At<String>>,
    /// Answers by the keys of their questions; nested keys join with dots.
    pub answers: AnswerTree,
}

/// Answers by keys, or by what keys begin with.
#[derive(Clone, Debug)]
pub enum AnswerTree {
    /// What is answered to one question.
    Leaf(GivenAnswer),
    /// Answers under a key, or under its beginning.
    Branch(Vec<(At<String>, AnswerTree)>),
}

/// What is answered to one question.
#[derive(Clone, Debug)]
pub enum GivenAnswer {
    /// The same text every time.
    Text(At<String>),
    /// The same every time, and not text by YAML's rules (`12`, `true`): its place says how it was written.
    Written(Span),
    /// One after the other, then no more.
    InTurn(Vec<At<String>>),
}

impl AnswerTree {
    /// Calls `see` with the key of each question and with what is answered.
    pub fn visit<'a>(&'a self, see: &mut dyn FnMut(&str, &'a GivenAnswer)) {
        self.visit_below("", see);
    }

    fn visit_below<'a>(&'a self, key: &str, see: &mut dyn FnMut(&str, &'a GivenAnswer)) {
        match self {
            Self::Leaf(answer) => see(key, answer),
            Self::Branch(pairs) => {
                for (name, tree) in pairs {
                    let dot = if key.is_empty() { "" } else { "." };
                    tree.visit_below(&format!("{key}{dot}{}", name.value), see);
                }
            }
        }
    }
}

impl<'de> Deserialize<'de> for AnswerTree {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let spanned = serde_yaml::Spanned::<Bare>::deserialize(deserializer)?;
        let span = span_of(&spanned.referenced);
        Ok(match spanned.value {
            Bare::Text(value) => Self::Leaf(GivenAnswer::Text(At { value, span })),
            Bare::Other => Self::Leaf(GivenAnswer::Written(span)),
            Bare::List(answers) => Self::Leaf(GivenAnswer::InTurn(answers)),
            Bare::Map(pairs) => Self::Branch(pairs),
        })
    }
}

/// A node without its place.
enum Bare {
    Text(String),
    Other,
    List(Vec<At<String>>),
    Map(Vec<(At<String>, AnswerTree)>),
}

impl<'de> Deserialize<'de> for Bare {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(Any)
    }
}

struct Any;

impl<'de> Visitor<'de> for Any {
    type Value = Bare;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("an answer, a list of answers, or a mapping of keys to answers")
    }

    fn visit_str<E>(self, text: &str) -> Result<Bare, E> {
        Ok(Bare::Text(text.to_owned()))
    }

    fn visit_bool<E>(self, _: bool) -> Result<Bare, E> {
        Ok(Bare::Other)
    }

    fn visit_i64<E>(self, _: i64) -> Result<Bare, E> {
        Ok(Bare::Other)
    }

    fn visit_u64<E>(self, _: u64) -> Result<Bare, E> {
        Ok(Bare::Other)
    }

    fn visit_f64<E>(self, _: f64) -> Result<Bare, E> {
        Ok(Bare::Other)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Bare, A::Error> {
        let mut answers = Vec::new();
        while let Some(answer) = seq.next_element()? {
            answers.push(answer);
        }
        Ok(Bare::List(answers))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Bare, A::Error> {
        let mut pairs = Vec::new();
        while let Some(pair) = map.next_entry()? {
            pairs.push(pair);
        }
        Ok(Bare::Map(pairs))
    }
}

#[cfg(test)]
impl schemars::JsonSchema for AnswerTree {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "AnswerTree".into()
    }

    fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
        let below = generator.subschema_for::<Self>();
        schemars::json_schema!({
            "description": "An answer, a list of answers given one after the other, or a mapping of keys to answers",
            "anyOf": [
                { "type": ["string", "number", "boolean"] },
                { "type": "array", "items": { "type": ["string", "number", "boolean"] } },
                { "type": "object", "additionalProperties": below }
            ]
        })
    }
}
