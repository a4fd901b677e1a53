//! One case made of another that the simulator has already read: reading costs more than working out.

use super::circuit::Netlist;
use super::deck::{Case, FeedState};
use super::element::{Element, ElementKind};
use super::point::Vector;

/// A number of a circuit that is read already, set to another value.
#[derive(Clone, Debug, PartialEq)]
pub struct Alteration {
    element: String,
    what: &'static str,
    /// The value (base units).
    pub value: f64,
}

impl Alteration {
    fn new(element: &str, what: &'static str, value: f64) -> Self {
        Self { element: element.to_ascii_lowercase(), what, value }
    }

    /// How the simulator is told.
    #[must_use]
    pub fn command(&self) -> String {
        format!("alter {} = {:e}", self.element, self.value)
    }

    /// What shows whether it did so.
    #[must_use]
    pub fn vector(&self) -> Vector {
        Vector(format!("@{}[{}]", self.element, self.what))
    }
}

/// What makes one case of another; nothing where more differs than the values of resistors outside of subcircuits, and what sources are
/// set to.
#[must_use]
pub fn alterations(read: &Case, wanted: &Case) -> Option<Vec<Alteration>> {
    let (one, other) = (&read.netlist, &wanted.netlist);
    let is_alike = one.has_options == other.has_options
        && one.cards == other.cards
        && one.subcircuits == other.subcircuits
        && one.elements.len() == other.elements.len()
        && read.feeds.len() == wanted.feeds.len();
    if !is_alike {
        return None;
    }
    let mut all = Vec::new();
    for (one, other) in one.elements.iter().zip(&other.elements) {
        all.extend(resistance(one, other)?);
    }
    for (at, (one, other)) in read.feeds.iter().zip(&wanted.feeds).enumerate() {
        if one.element != other.element {
            return None;
        }
        all.extend(feed(&read.netlist, at, &one.element, [&one.feeding, &other.feeding])?);
    }
    Some(all)
}

/// What makes one element of another.
fn resistance(one: &Element, other: &Element) -> Option<Option<Alteration>> {
    let is_alike = one.letter == other.letter && one.name == other.name && one.nodes == other.nodes;
    if is_alike && one.rest == other.rest {
        return Some(None);
    }
    let is_resistor = is_alike && one.letter == ElementKind::Resistor;
    let more = |element: &Element| element.value_word().map(|(_, more)| more.to_owned());
    let value = other.value().filter(|_| is_resistor && one.value().is_some())?;
    (more(one) == more(other)).then(|| Some(Alteration::new(&other.name, "resistance", value)))
}

/// What makes one feed of another.
fn feed(
    netlist: &Netlist,
    at: usize,
    source: &str,
    states: [&FeedState; 2],
) -> Option<Vec<Alteration>> {
    match states {
        [one, other] if one == other => Some(Vec::new()),
        [FeedState::Limited { .. }, FeedState::Limited { volts, amps }] => Some(vec![
            Alteration::new(source, "dc", *volts),
            Alteration::new(&netlist.free_element_of_feed('I', at), "dc", *amps),
        ]),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::super::deck::{CurvePoint, FeedCurve, SourceFeed, deck};
    use super::*;

    const NETLIST: &str = "title\n.model qn NPN(bf=200)\nV1 vp 0 10\nR1 vp c 1k tc=1\nRV1 c b {x}\nC1 c 0 1u\nX1 c 0 half\n\
        .param x=1k\n.subckt half a b\nR1 a b 1k\n.ends\n";

    fn case(text: &str, feeding: FeedState) -> Case {
        let feeds = vec![SourceFeed { element: "V1".to_owned(), feeding }];
        let netlist = Netlist::read(text).unwrap();
        Case { name: String::new(), netlist, feeds, points: Vec::new() }
    }

    const AT_15: FeedState = FeedState::Limited { volts: 15.0, amps: 0.1 };

    fn altered(from: &str, to: &str) -> Option<Vec<String>> {
        let wanted = case(&NETLIST.replacen(from, to, 1), AT_15);
        let all = alterations(&case(NETLIST, AT_15), &wanted)?;
        Some(all.iter().map(Alteration::command).collect())
    }

    #[test]
    fn a_resistor_outside_of_subcircuits_is_altered_and_nothing_else_is() {
        assert_eq!(altered("R1 vp c 1k", "R1 vp c 1k"), Some(Vec::new()));
        let two = Some(vec!["alter r1 = 2e3".to_owned()]);
        assert_eq!(altered("R1 vp c 1k", "R1 vp c 2k"), two);
        for (from, to) in [
            ("R1 vp c 1k tc=1", "R1 vp c 1k tc=2"),
            ("R1 vp c 1k tc=1", "R1 vp c 2k"),
            ("R1 vp c 1k", "R1 vp b 1k"),
            ("R1 vp c 1k", "R1 vp c {x}"),
            ("RV1 c b {x}", "RV1 c b 1k"),
            ("R1 vp c 1k tc=1", "R2 vp c 1k tc=1"),
            ("C1 c 0 1u", "C1 c 0 2u"),
            ("bf=200", "bf=100"),
            ("R1 a b 1k", "R1 a b 2k"),
            (".param x=1k", ".param x=2k"),
            ("C1 c 0 1u", "C1 c 0 1u\nC2 c 0 1u"),
            ("title\n", "title\n.options gmin=1e-9\n"),
        ] {
            assert_ne!(NETLIST.replacen(from, to, 1), NETLIST, "{from}");
            assert_eq!(altered(from, to), None, "{from}: {to}");
        }
    }

    #[test]
    fn a_supply_is_set_to_other_volts_and_another_limit_and_any_other_feed_is_read_again() {
        let fed = |feeding: FeedState| {
            let read = case(NETLIST, AT_15);
            let all = alterations(&read, &case(NETLIST, feeding))?;
            // Each name is one of what was read.
            let text = deck(&read).to_ascii_lowercase();
            assert!(all.iter().all(|one| text.contains(&format!("\n{} ", one.element))), "{all:?}");
            Some(all.iter().map(|one| (one.command(), one.vector().0)).collect::<Vec<_>>())
        };
        assert_eq!(fed(AT_15), Some(Vec::new()));
        let set = fed(FeedState::Limited { volts: 30.0, amps: 0.5 }).unwrap();
        let due = [("alter v1 = 3e1", "@v1[dc]"), ("alter ifeed0 = 5e-1", "@ifeed0[dc]")];
        assert_eq!(set, due.map(|(one, other)| (one.to_owned(), other.to_owned())));
        let points = [(1e-3, 15.0), (1.0, 0.0)].map(|(amps, volts)| CurvePoint { amps, volts });
        let curve = FeedCurve::new(&points).unwrap();
        for other in
            [FeedState::Off, FeedState::Stiff { volts: 15.0, ohm: 0.1 }, FeedState::Curve(curve)]
        {
            assert_eq!(fed(other), None);
        }
    }
}
