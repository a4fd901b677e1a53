//! The answers file of a scripted run.

use std::collections::BTreeMap;
use std::fmt;

use serde::de::{Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};

use crate::procedure::read_yaml;
use crate::shell::documents;
use crate::shell::fault::Fault;
use crate::shell::file::Document;

/// How often one answer is given: a script that goes round in circles ends.
const USES_MAX: u32 = 20;

/// Answers by the keys of their questions.
#[derive(Debug)]
pub(crate) struct Answers {
    pub(super) operator: Option<String>,
    by_key: BTreeMap<String, Given>,
}

#[derive(Debug)]
enum Given {
    /// The same answer every time, so many times.
    Always(String, u32),
    /// One after the other, then no more.
    InTurn(std::collections::VecDeque<String>),
}

#[derive(Debug, serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct AnswersFile {
    format: u32,
    #[serde(default, rename = "scenario")]
    _scenario: Option<String>,
    operator: Option<String>,
    answers: Node,
}

/// A node of the file: text, a list, or a mapping, each scalar as it was written.
#[derive(Debug)]
enum Node {
    Text(String),
    /// A scalar that is not text by YAML's rules (`12`, `true`): its place in the file says how it was written.
    Written {
        start: usize,
        end: usize,
    },
    List(Vec<Node>),
    Map(Vec<(String, Node)>),
}

impl Answers {
    /// Reads an answers file.
    pub(crate) fn read(document: &Document) -> Result<Self, Fault> {
        let parsed: AnswersFile = read_yaml(&document.file.text)
            .map_err(|finding| documents::fault(&finding, document))?;
        if parsed.format != 1 {
            let message = format!(
                "{} has format {}; this program reads format 1",
                document.shown, parsed.format
            );
            return Err(Fault::failed(message).help("use a newer program for it"));
        }
        let mut by_key = BTreeMap::new();
        collect(&parsed.answers, String::new(), &document.file.text, &mut by_key);
        Ok(Self { operator: parsed.operator, by_key })
    }

    /// Takes the next answer to a question.
    pub(crate) fn take(&mut self, key: &str) -> Option<String> {
        match self.by_key.get_mut(key)? {
            Given::Always(text, uses) => {
                *uses = uses.checked_sub(1)?;
                Some(text.clone())
            }
            Given::InTurn(texts) => texts.pop_front(),
        }
    }
}

fn collect(node: &Node, key: String, text: &str, into: &mut BTreeMap<String, Given>) {
    let scalar = |node: &Node| match node {
        Node::Text(text) => text.clone(),
        Node::Written { start, end } => text.get(*start..*end).unwrap_or_default().to_owned(),
        Node::List(_) | Node::Map(_) => String::new(),
    };
    match node {
        Node::Map(pairs) => {
            for (name, node) in pairs {
                let key = if key.is_empty() { name.clone() } else { format!("{key}.{name}") };
                collect(node, key, text, into);
            }
        }
        Node::List(nodes) => {
            drop(into.insert(key, Given::InTurn(nodes.iter().map(scalar).collect())))
        }
        Node::Text(_) | Node::Written { .. } => {
            drop(into.insert(key, Given::Always(scalar(node), USES_MAX)))
        }
    }
}

impl<'de> Deserialize<'de> for Node {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let spanned = serde_yaml::Spanned::<Bare>::deserialize(deserializer)?;
        let span = spanned.referenced.span();
        let place = |at: Option<u64>| at.and_then(|at| usize::try_from(at).ok()).unwrap_or(0);
        Ok(match spanned.value {
            Bare::Text(text) => Self::Text(text),
            Bare::List(nodes) => Self::List(nodes),
            Bare::Map(pairs) => Self::Map(pairs),
            Bare::Other => {
                let start = place(span.byte_offset());
                Self::Written { start, end: start + place(span.byte_len()) }
            }
        })
    }
}

enum Bare {
    Text(String),
    Other,
    List(Vec<Node>),
    Map(Vec<(String, Node)>),
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
        let mut nodes = Vec::new();
        while let Some(node) = seq.next_element()? {
            nodes.push(node);
        }
        Ok(Bare::List(nodes))
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
mod tests {
    use super::Answers;
    use crate::record::Provided;
    use crate::shell::file::Document;

    fn answers(text: &str) -> Answers {
        let name = "a.yaml".to_owned();
        let file = Provided { name: name.clone(), sha256: String::new(), text: text.to_owned() };
        let Ok(answers) = Answers::read(&Document { shown: name, file }) else {
            panic!("the file is sound")
        };
        answers
    }

    #[test]
    fn scalars_stay_as_they_were_written_and_lists_run_out() {
        let text = "format: 1\nanswers:\n  idle: 1.10\n  again: [30, '4.0', OL]\n  dead: {plus: {at: 0.010 V}}\n  on: true\n";
        let mut answers = answers(text);
        assert_eq!(answers.take("idle").as_deref(), Some("1.10"));
        assert_eq!(answers.take("idle").as_deref(), Some("1.10"));
        assert_eq!(answers.take("again").as_deref(), Some("30"));
        assert_eq!(answers.take("again").as_deref(), Some("4.0"));
        assert_eq!(answers.take("again").as_deref(), Some("OL"));
        assert_eq!(answers.take("again"), None);
        assert_eq!(answers.take("dead.plus.at").as_deref(), Some("0.010 V"));
        assert_eq!(answers.take("on").as_deref(), Some("true"));
        assert_eq!(answers.take("nothing"), None);
    }
}
