//! One element of a netlist: its name, its nodes, and what else its line says.

use super::error::NetlistError;
use super::limits::NAME_MAX;
use super::line::NetlistLine;
use super::number::number;
use crate::diagnostic::Span;

/// What an element is, by the first letter of its name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ElementKind {
    /// R
    Resistor,
    /// C
    Capacitor,
    /// L
    Inductor,
    /// K, two inductors on one core
    Coupling,
    /// D
    Diode,
    /// Q
    Transistor,
    /// M
    Mosfet,
    /// J
    Jfet,
    /// V
    VoltageSource,
    /// I
    CurrentSource,
    /// B, a source by a formula
    Formula,
    /// E, G, F, H, a source that follows another value
    Follower,
    /// S, W, a switch
    Switch,
    /// X, a subcircuit
    Subcircuit,
}

/// One element.
#[derive(Clone, Debug, PartialEq)]
pub struct Element {
    /// Its name as it is written.
    pub name: String,
    /// What it is.
    pub letter: ElementKind,
    /// The nodes that it is between, in the order of its kind, in small letters.
    pub nodes: Vec<String>,
    /// What follows: value, model, parameters.
    pub rest: String,
    /// Where it is written.
    pub span: Span,
}

/// The names that a netlist gives to models, by which the nodes of a transistor are counted.
pub(super) type Models = std::collections::BTreeSet<String>;

impl Element {
    /// Reads the line of an element.
    pub(super) fn read(line: &NetlistLine, models: &Models) -> Result<Self, NetlistError> {
        let wrong = |message: String| NetlistError::new(line.span, message);
        let words: Vec<_> = line.text.split_whitespace().collect();
        let name = words.first().copied().unwrap_or_default();
        let letter = letter(name).ok_or_else(|| {
            wrong(format!("no element begins as `{}` does", shown(name)))
                .help("taken are R, C, L, K, D, Q, M, J, V, I, B, E, G, F, H, S, W and X")
        })?;
        if !is_plain(name) {
            let message = format!("`{}` is not a name for an element", shown(name));
            return Err(wrong(message).help("letters, digits and `_`, at most 48 of them"));
        }
        if let Some(word) = words.iter().find(|word| is_old_formula(word)) {
            let message = format!("`{}` is not taken", shown(word));
            return Err(wrong(message).help("write it as a formula: `B1 a b V={...}`"));
        }
        let count = node_count(letter, name, &words, models).ok_or_else(|| {
            wrong(format!("`{name}` lacks a node or its model"))
                .help("name the model in a line `.model` of this netlist")
        })?;
        let nodes = words.get(1..=count).ok_or_else(|| wrong(format!("`{name}` lacks a node")))?;
        if let Some(strange) = nodes.iter().find(|node| !is_node(node)) {
            return Err(wrong(format!("`{}` is not a name for a node", shown(strange))));
        }
        let rest = words.get(count + 1..).unwrap_or_default().join(" ");
        if rest.is_empty() {
            return Err(wrong(format!("`{name}` has no value")));
        }
        refuse_files(&rest).map_err(|word| {
            wrong(format!("`{word}` reads a file, which no netlist may do here"))
        })?;
        let nodes = nodes.iter().map(|node| node.to_ascii_lowercase()).collect();
        Ok(Self { name: name.to_owned(), letter, nodes, rest, span: line.span })
    }

    /// The subcircuit that an X stands for, in small letters.
    pub(super) fn subcircuit(&self) -> Option<String> {
        let name = self.rest.split_whitespace().next();
        name.filter(|_| self.letter == ElementKind::Subcircuit).map(str::to_ascii_lowercase)
    }

    /// The value of a resistor, a capacitor or an inductor, where it is a plain number.
    #[must_use]
    pub fn value(&self) -> Option<f64> {
        let (value, _) = self.value_word()?;
        number(value)
    }

    /// The element with its value multiplied; nothing where its line has no plain number.
    pub(super) fn scaled(&self, factor: f64) -> Option<Self> {
        let (_, more) = self.value_word()?;
        let value = self.value()? * factor;
        Some(Self { rest: format!("{value:e}{more}"), ..self.clone() })
    }

    /// The word of the value, and what follows it.
    pub(super) fn value_word(&self) -> Option<(&str, &str)> {
        let has_value = matches!(
            self.letter,
            ElementKind::Resistor | ElementKind::Capacitor | ElementKind::Inductor
        );
        let rest = has_value.then_some(self.rest.as_str())?;
        let end = rest.find(' ').unwrap_or(rest.len());
        let (word, more) = rest.split_at(end);
        let word = word
            .get(..2)
            .filter(|key| key.ends_with('='))
            .map_or(word, |key| word.strip_prefix(key).unwrap_or(word));
        Some((word, more))
    }

    /// How it is written.
    pub(super) fn line(&self, name: impl Fn(&str) -> String) -> String {
        let nodes = self.nodes.iter().map(|node| name(node)).collect::<Vec<_>>().join(" ");
        format!("{} {nodes} {}", self.name, self.rest)
    }
}

fn letter(name: &str) -> Option<ElementKind> {
    Some(match name.chars().next()?.to_ascii_uppercase() {
        'R' => ElementKind::Resistor,
        'C' => ElementKind::Capacitor,
        'L' => ElementKind::Inductor,
        'K' => ElementKind::Coupling,
        'D' => ElementKind::Diode,
        'Q' => ElementKind::Transistor,
        'M' => ElementKind::Mosfet,
        'J' => ElementKind::Jfet,
        'V' => ElementKind::VoltageSource,
        'I' => ElementKind::CurrentSource,
        'B' => ElementKind::Formula,
        'E' | 'G' | 'F' | 'H' => ElementKind::Follower,
        'S' | 'W' => ElementKind::Switch,
        'X' => ElementKind::Subcircuit,
        _ => return None,
    })
}

/// How many nodes stand behind the name.
fn node_count(letter: ElementKind, name: &str, words: &[&str], models: &Models) -> Option<usize> {
    let is_model =
        |at: usize| words.get(at).is_some_and(|word| models.contains(&word.to_ascii_lowercase()));
    let follows_nodes = name.starts_with(['E', 'e', 'G', 'g']);
    match letter {
        ElementKind::Coupling => Some(0),
        ElementKind::Transistor | ElementKind::Mosfet => {
            [4, 5].into_iter().find(|at| is_model(*at)).map(|at| at - 1)
        }
        ElementKind::Jfet => is_model(4).then_some(3),
        ElementKind::Diode => is_model(3).then_some(2),
        ElementKind::Switch if name.starts_with(['S', 's']) => Some(4),
        // By a formula it has two nodes, else it follows two more.
        ElementKind::Follower if follows_nodes && !words.iter().any(|word| word.contains('=')) => {
            Some(4)
        }
        ElementKind::Subcircuit => {
            let plain = words.iter().take_while(|word| !word.contains('=')).count();
            plain.checked_sub(2).filter(|count| *count > 0)
        }
        _ => Some(2),
    }
}

/// A name that the simulator takes in a formula as well.
pub(super) fn is_plain(name: &str) -> bool {
    let is_word = name.chars().all(|c| c.is_ascii_alphanumeric() || c == '_');
    is_word && (1..=NAME_MAX).contains(&name.len())
}

/// A name for a node, such as circuit editors give: `Net-(Q1-B)`, `+15V`, `/out`.
pub(super) fn is_node(name: &str) -> bool {
    let is_word = name.chars().all(|c| c.is_ascii_alphanumeric() || "_-+./()#$?".contains(c));
    is_word && (1..=NAME_MAX).contains(&name.len())
}

/// Ways to write a source whose nodes can't be told from its numbers.
fn is_old_formula(word: &str) -> bool {
    let word = word.to_ascii_lowercase();
    ["poly", "table", "laplace"].iter().any(|begin| word.starts_with(begin))
}

/// Keys of sources and models that name a file.
pub(super) fn refuse_files(rest: &str) -> Result<(), &'static str> {
    let rest = rest.to_ascii_lowercase();
    let words = rest.split(|c: char| !c.is_ascii_alphanumeric() && c != '_');
    let found = |word: &str| FILE_WORDS.into_iter().find(|file_word| word.contains(file_word));
    words.filter_map(found).next().map_or(Ok(()), Err)
}

/// What names a file somewhere in the simulator.
const FILE_WORDS: [&str; 1] = ["file"];

/// The beginning of a word that may be long.
fn shown(word: &str) -> String {
    word.chars().take(NAME_MAX).collect()
}
