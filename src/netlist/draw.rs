//! A netlist with its parts off their values, as every sound set has them within their tolerances.

use super::circuit::{Netlist, Subcircuit, place_of};
use super::element::{Element, ElementKind};
use super::number::number;

/// A part that is off: its value, or a parameter of its model, times a factor.
#[derive(Clone, Debug, PartialEq)]
pub struct OffValue {
    /// The element by its name; one of a subcircuit as `X2.R13`.
    pub element: String,
    /// The parameter of its model, as `bf`; without it its value.
    pub parameter: Option<String>,
    /// What it is multiplied by.
    pub factor: f64,
}

impl Netlist {
    /// Every element that can be off, by its name: those outside of subcircuits, then those of each subcircuit that stands there.
    #[must_use]
    pub fn every_element(&self) -> Vec<(String, ElementKind)> {
        let outside = self.elements.iter().map(|element| (element.name.clone(), element.letter));
        let inside = self.elements.iter().flat_map(|outer| {
            let subcircuit = outer.subcircuit().and_then(|name| self.subcircuit(&name));
            let elements = subcircuit.into_iter().flat_map(|subcircuit| &subcircuit.elements);
            elements.map(|inner| (format!("{}.{}", outer.name, inner.name), inner.letter))
        });
        outside.chain(inside).collect()
    }

    /// The circuit with parts off their values.
    ///
    /// # Errors
    /// A part that is not there, a value that is no plain number, or a model without such a parameter, in words.
    pub fn off(&self, values: &[OffValue]) -> Result<Self, String> {
        let mut netlist = self.clone();
        for value in values {
            match value.element.split_once('.') {
                None => netlist.put_off(None, &value.element, value)?,
                Some((outer, inner)) => {
                    let at = netlist.own_subcircuit(outer).ok_or_else(|| no_element(value))?;
                    netlist.put_off(Some(at), inner, value)?;
                }
            }
        }
        Ok(netlist)
    }

    fn subcircuit(&self, name: &str) -> Option<&Subcircuit> {
        self.subcircuits.iter().find(|subcircuit| subcircuit.name == name)
    }

    /// The subcircuit of an element, with a copy of it where others stand for the same.
    fn own_subcircuit(&mut self, outer: &str) -> Option<usize> {
        let at = place_of(&self.elements, outer)?;
        let name = self.elements.get(at)?.subcircuit()?;
        let copy = format!("{name}_of_{}", outer.to_ascii_lowercase());
        let place = |netlist: &Self, name: &str| {
            netlist.subcircuits.iter().position(|subcircuit| subcircuit.name == name)
        };
        if name.ends_with(&format!("_of_{}", outer.to_ascii_lowercase())) {
            return place(self, &name);
        }
        let mut subcircuit = self.subcircuit(&name)?.clone();
        // The head is `.subckt NAME nodes`.
        let nodes = subcircuit.head.split_whitespace().skip(2).collect::<Vec<_>>().join(" ");
        subcircuit.head = format!(".subckt {copy} {nodes}");
        subcircuit.name.clone_from(&copy);
        let element = self.elements.get_mut(at)?;
        let more = element.rest.split_whitespace().skip(1);
        element.rest = std::iter::once(copy.as_str()).chain(more).collect::<Vec<_>>().join(" ");
        self.subcircuits.push(subcircuit);
        Some(self.subcircuits.len() - 1)
    }

    /// Puts an element off, outside of subcircuits or in one of them.
    fn put_off(
        &mut self,
        inside: Option<usize>,
        name: &str,
        value: &OffValue,
    ) -> Result<(), String> {
        let elements = match inside {
            Some(at) => self.subcircuits.get(at).map(|subcircuit| &subcircuit.elements),
            None => Some(&self.elements),
        };
        let found = elements.and_then(|elements| {
            let at = place_of(elements, name)?;
            Some((at, elements.get(at)?))
        });
        let (at, element) = found.ok_or_else(|| no_element(value))?;
        let off = match &value.parameter {
            None => element.scaled(value.factor).ok_or_else(|| {
                format!("the value of `{}` is no plain number in the netlist", value.element)
            })?,
            Some(parameter) => {
                let (element, card) = self.modelled(inside, element, parameter, value)?;
                let cards = match inside.and_then(|at| self.subcircuits.get_mut(at)) {
                    Some(subcircuit) => &mut subcircuit.cards,
                    None => &mut self.cards,
                };
                cards.retain(|card| model_name(card) != element.model());
                cards.push(card);
                element
            }
        };
        let elements = match inside.and_then(|at| self.subcircuits.get_mut(at)) {
            Some(subcircuit) => &mut subcircuit.elements,
            None => &mut self.elements,
        };
        if let Some(place) = elements.get_mut(at) {
            *place = off;
        }
        Ok(())
    }

    /// An element with a model of its own, and that model with a parameter off.
    fn modelled(
        &self,
        inside: Option<usize>,
        element: &Element,
        parameter: &str,
        value: &OffValue,
    ) -> Result<(Element, String), String> {
        let inner = inside.and_then(|at| self.subcircuits.get(at));
        let cards = inner.into_iter().flat_map(|subcircuit| &subcircuit.cards).chain(&self.cards);
        let model = element.model();
        let card = cards.into_iter().find(|card| model.is_some() && model_name(card) == model);
        let lacks =
            || format!("the model of `{}` names no number for `{parameter}`", value.element);
        let (model, card) = model.as_deref().zip(card).ok_or_else(lacks)?;
        let card = scaled(card, parameter, value.factor).ok_or_else(lacks)?;
        let suffix = format!("_of_{}", element.name.to_ascii_lowercase());
        let model =
            if model.ends_with(&suffix) { model.to_owned() } else { format!("{model}{suffix}") };
        let rest = |line: &str, skip: usize| {
            line.split_whitespace().skip(skip).collect::<Vec<_>>().join(" ")
        };
        let card = format!(".model {model} {}", rest(&card, 2));
        let off =
            Element { rest: format!("{model} {}", rest(&element.rest, 1)), ..element.clone() };
        Ok((off, card))
    }
}

impl Element {
    /// The model that it names, in small letters.
    fn model(&self) -> Option<String> {
        let has_model = matches!(
            self.letter,
            ElementKind::Diode | ElementKind::Transistor | ElementKind::Mosfet | ElementKind::Jfet
        );
        let word = self.rest.split_whitespace().next();
        word.filter(|_| has_model).map(str::to_ascii_lowercase)
    }
}

fn no_element(value: &OffValue) -> String {
    format!("the netlist has no element `{}`", value.element)
}

/// The name that a line gives to a model, in small letters.
fn model_name(card: &str) -> Option<String> {
    let mut words = card.split_whitespace();
    words.next().filter(|word| word.eq_ignore_ascii_case(".model"))?;
    words.next().map(str::to_ascii_lowercase)
}

/// The line of a model with one of its numbers multiplied.
fn scaled(card: &str, parameter: &str, factor: f64) -> Option<String> {
    let small = card.to_ascii_lowercase();
    let is_word = |c: char| c.is_ascii_alphanumeric() || c == '_';
    let found = small.match_indices(parameter).find_map(|(at, _)| {
        let (before, rest) = small.split_at(at);
        let after = rest.strip_prefix(parameter)?.trim_start().strip_prefix('=')?.trim_start();
        (!before.ends_with(is_word)).then(|| small.len() - after.len())
    })?;
    let (before, after) = (card.get(..found)?, card.get(found..)?);
    let end = after.find(|c: char| c.is_whitespace() || "(),".contains(c)).unwrap_or(after.len());
    let (word, more) = after.split_at(end);
    let value = number(word)? * factor;
    Some(format!("{before}{value:e}{more}"))
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::super::deck::{Case, deck};
    use super::*;

    const NETLIST: &str = "title\n.model qn NPN(is=1e-14 bf = 200 tbf=3 vaf=100)\nV1 vp 0 10\nR1 vp c 1k tc=1\n\
        Q1 c b 0 qn area=2\nQ2 c b 0 qn\nX1 vp 0 half\nX2 vp 0 half\n.subckt half a b\n.model qi PNP(bf=50)\nR1 a m 2k\nQ1 b m a qi\n.ends\n";

    fn off(values: &[(&str, Option<&str>, f64)]) -> Result<String, String> {
        let netlist = Netlist::read(NETLIST).unwrap();
        let value = |(element, parameter, factor): &(&str, Option<&str>, f64)| OffValue {
            element: (*element).to_owned(),
            parameter: parameter.map(str::to_owned),
            factor: *factor,
        };
        let values: Vec<_> = values.iter().map(value).collect();
        let netlist = netlist.off(&values)?;
        Ok(deck(&Case { name: String::new(), netlist, feeds: Vec::new(), points: Vec::new() }))
    }

    #[test]
    fn a_value_and_the_models_of_one_transistor_are_off_and_those_of_its_neighbour_are_not() {
        let deck =
            off(&[("R1", None, 1.5), ("Q1", Some("bf"), 0.5), ("q1", Some("is"), 2.0)]).unwrap();
        assert!(deck.contains("R1 vp c 1.5e3 tc=1\n"), "{deck}");
        assert!(deck.contains("Q1 c b 0 qn_of_q1 area=2\n"), "{deck}");
        let model = ".model qn_of_q1 NPN(is=2e-14 bf = 1e2 tbf=3 vaf=100)\n";
        assert_eq!(deck.matches(model).count(), 1, "{deck}");
        assert_eq!(deck.matches("qn_of_q1").count(), 2, "{deck}");
        assert!(deck.contains(".model qn NPN(is=1e-14 bf = 200 tbf=3 vaf=100)\n"), "{deck}");
        assert!(deck.contains("Q2 c b 0 qn\n"), "{deck}");
    }

    #[test]
    fn what_stands_in_a_subcircuit_is_off_in_its_place_alone() {
        let deck = off(&[("X2.R1", None, 2.0), ("X2.Q1", Some("bf"), 2.0)]).unwrap();
        let (before, copy) = deck.split_once(".subckt half_of_x2 a b\n").unwrap();
        assert!(copy.contains("R1 a m 4e3\n") && copy.contains("Q1 b m a qi_of_q1"), "{deck}");
        assert!(copy.contains(".model qi_of_q1 PNP(bf=1e2)\n"), "{deck}");
        assert!(before.contains("R1 a m 2k\n") && before.contains("PNP(bf=50)"), "{deck}");
        assert!(deck.contains("X1 vp 0 half\n") && deck.contains("X2 vp 0 half_of_x2\n"), "{deck}");
    }

    #[test]
    fn what_cannot_be_off_is_told() {
        for (element, parameter, why) in [
            ("R9", None, "the netlist has no element `R9`"),
            ("X3.R1", None, "the netlist has no element `X3.R1`"),
            ("X1.R9", None, "the netlist has no element `X1.R9`"),
            ("R1.R1", None, "the netlist has no element `R1.R1`"),
            ("Q1", None, "the value of `Q1` is no plain number"),
            ("Q1", Some("ikf"), "the model of `Q1` names no number for `ikf`"),
            ("Q1", Some("f"), "the model of `Q1` names no number for `f`"),
            ("R1", Some("bf"), "the model of `R1` names no number for `bf`"),
        ] {
            let refused = off(&[(element, parameter, 2.0)]).unwrap_err();
            assert!(refused.starts_with(why), "{refused}");
        }
    }

    #[test]
    fn every_element_is_named_once_those_inside_by_where_they_stand() {
        let all = Netlist::read(NETLIST).unwrap().every_element();
        let names: Vec<_> = all.iter().map(|(name, _)| name.as_str()).collect();
        let due = ["V1", "R1", "Q1", "Q2", "X1", "X2", "X1.R1", "X1.Q1", "X2.R1", "X2.Q1"];
        assert_eq!(names, due);
    }
}
