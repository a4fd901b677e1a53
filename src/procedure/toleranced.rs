//! Which parts of a circuit a tolerance is of.

use super::CircuitFile;
use crate::netlist::{ElementKind, Netlist, PartKind};

/// A part of a circuit, with what of it is off.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TolerancedPart {
    /// The element by its name; one of a subcircuit as `X2.R13`.
    pub element: String,
    /// The parameter of its model; without it its value.
    pub parameter: Option<String>,
}

impl CircuitFile {
    /// The parts that a key under `tolerances` speaks of: all of a kind, or one by its name; behind a dot the parameter of their models.
    /// What a control sets stands as it is set.
    #[must_use]
    pub fn toleranced(&self, key: &str, netlist: &Netlist) -> Vec<TolerancedPart> {
        let all = netlist.every_element();
        let named = |name: &str| all.iter().find(|(element, _)| element.eq_ignore_ascii_case(name));
        let of = |element: &str, parameter: Option<&str>| TolerancedPart {
            element: element.to_owned(),
            parameter: parameter.map(str::to_ascii_lowercase),
        };
        if let Some((element, _)) = named(key) {
            return vec![of(element, None)];
        }
        let (name, parameter) = match key.rsplit_once('.') {
            Some((name, parameter)) => (name, Some(parameter)),
            None => (key, None),
        };
        if let Some((element, _)) = named(name) {
            return vec![of(element, parameter)];
        }
        let is_set = |element: &str| {
            let mut controls = self.controls.iter();
            controls.any(|(_, control)| control.element.eq_ignore_ascii_case(element))
        };
        let is_of_kind = |element: &str, letter: ElementKind| {
            let part = self.parts.iter().find(|(part, _)| part.eq_ignore_ascii_case(element));
            let kind = match part {
                Some((_, part)) => Some(part.kind.value),
                // Inside a subcircuit nobody says more than the letter does.
                None => element.contains('.').then(|| PartKind::of_letter(letter)).flatten(),
            };
            kind.is_some_and(|kind| kind.word() == name)
        };
        let parts = all.iter().filter(|(element, letter)| is_of_kind(element, *letter));
        let parts = parts.filter(|(element, _)| !is_set(element));
        parts.map(|(element, _)| of(element, parameter)).collect()
    }
}
