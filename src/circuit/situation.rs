//! How the sources of a circuit are fed and its controls stand, and the case that comes of it.

use std::collections::BTreeMap;

use super::model::Circuit;
use crate::netlist::{
    Case, CircuitPoint, Element, FeedState, Netlist, PartFault, PlacedFault, SourceFeed,
};

/// How sources and controls stand.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Situation {
    /// How each source is fed, by its name in the circuit file.
    pub(super) feeds: BTreeMap<String, FeedState>,
    /// The resistance of each control, by its element.
    pub(super) controls: BTreeMap<String, f64>,
    /// What it was last turned for, where it was for something: by its element the key under `until`.
    pub(super) aims: BTreeMap<String, String>,
}

/// A situation put into the circuit: its netlist with the controls as they stand, and its feeds.
pub(super) struct SetCircuit {
    netlist: Netlist,
    feeds: Vec<SourceFeed>,
}

impl Situation {
    /// Of a circuit that nobody knows.
    pub(super) const EMPTY: Self =
        Self { feeds: BTreeMap::new(), controls: BTreeMap::new(), aims: BTreeMap::new() };

    /// Nothing is fed.
    pub(super) fn off(circuit: &Circuit) -> Self {
        let sources = circuit.file.sources.iter();
        let feeds = sources.map(|(name, _)| (name.value.clone(), FeedState::Off)).collect();
        Self { feeds, ..Self::default() }
    }

    pub(super) fn is_fed(&self) -> bool {
        self.feeds.values().any(|feed| *feed != FeedState::Off)
    }

    /// Whether this is the same for every meter: outputs may differ by as little as a supply rounds its settings.
    pub(super) fn is_like(&self, other: &Self) -> bool {
        let is_near =
            |one: f64, other: f64| (one - other).abs() <= 1e-3 * one.abs().max(other.abs());
        let alike = |(one, other): (&FeedState, &FeedState)| match (one, other) {
            (
                FeedState::Limited { volts, amps },
                FeedState::Limited { volts: other_volts, amps: other_amps },
            ) => is_near(*volts, *other_volts) && is_near(*amps, *other_amps),
            _ => one == other,
        };
        self.controls == other.controls && self.feeds.values().zip(other.feeds.values()).all(alike)
    }

    /// With each output of a supply set to a multiple of so many volts.
    pub(super) fn rounded(&self, step: f64) -> Self {
        let mut rounded = self.clone();
        for feed in rounded.feeds.values_mut() {
            let FeedState::Limited { volts, amps } = *feed else { continue };
            let volts = (volts / step).round() * step;
            *feed = if volts > 0.0 { FeedState::Limited { volts, amps } } else { FeedState::Off };
        }
        rounded
    }

    /// The netlist with its controls as they stand.
    pub(super) fn set(&self, netlist: &Netlist) -> Result<Netlist, String> {
        let mut set = netlist.clone();
        for (part, ohm) in &self.controls {
            let was = netlist.element(part).and_then(Element::value);
            let factor = ohm / was.filter(|ohm| *ohm > 0.0).unwrap_or(*ohm);
            set = set.with(&PlacedFault { part: part.clone(), fault: PartFault::Value(factor) })?;
        }
        Ok(set)
    }

    /// The circuit as it stands now, with a netlist whose parts may have other values than the circuit's.
    pub(super) fn stand(&self, circuit: &Circuit, netlist: &Netlist) -> Result<SetCircuit, String> {
        let feed = |(name, feeding): (&String, &FeedState)| {
            let source = circuit.file.sources.get(name)?;
            Some(SourceFeed { element: source.element.value.clone(), feeding: feeding.clone() })
        };
        let feeds = self.feeds.iter().filter_map(feed).collect();
        Ok(SetCircuit { netlist: self.set(netlist)?, feeds })
    }
}

impl SetCircuit {
    /// The case of this stand with something wrong with the circuit, of the points that it still has.
    pub(super) fn case(
        &self,
        name: String,
        spoiled: &[PlacedFault],
        points: &[CircuitPoint],
    ) -> Result<Case, String> {
        let netlist =
            spoiled.iter().try_fold(self.netlist.clone(), |netlist, fault| netlist.with(fault))?;
        // What a fault has taken out has no values of its own.
        let points = points.iter().filter(|point| point.is_in(&netlist).is_ok());
        Ok(Case { name, points: points.cloned().collect(), feeds: self.feeds.clone(), netlist })
    }
}
