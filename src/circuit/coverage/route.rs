//! The way of a procedure through the states of a circuit: how its sources are fed and its controls stand at each step.

use std::collections::BTreeMap;

use super::model::Circuit;
use crate::netlist::{Element, FeedState, Netlist, PartFault, PlacedFault};
use crate::procedure::act::{Act, Way};
use crate::procedure::{CircuitRail, Expression, KnownValues, Procedure, Stage, Step};
use crate::quantity::{Dimension, Quantity};
use crate::record::{Key, Source, Unworkable};

/// How sources and controls stand.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Situation {
    /// How each source is fed, by its name in the circuit file.
    pub(super) feeds: BTreeMap<String, FeedState>,
    /// The resistance of each control, by its element.
    controls: BTreeMap<String, f64>,
}

/// Where a step stands in the procedure, and in which situation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct RoutePlace {
    pub(super) stage: usize,
    pub(super) step: usize,
    /// The situation at its end; none while nothing is fed.
    pub(super) situation: Option<usize>,
}

/// The whole way.
#[derive(Clone, Debug)]
pub(super) struct Route {
    pub(super) situations: Vec<Situation>,
    pub(super) places: Vec<RoutePlace>,
}

impl Situation {
    fn is_fed(&self) -> bool {
        self.feeds.values().any(|feed| *feed != FeedState::Off)
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
}

impl Route {
    /// Finds the way, with what is known before anything is read.
    pub(super) fn of(
        procedure: &Procedure,
        circuit: &Circuit,
        known: &KnownValues,
    ) -> Result<Self, String> {
        let mut walker = Walker { circuit, known, now: Situation::default() };
        for (name, _) in circuit.file.sources.iter() {
            walker.now.feeds.insert(name.value.clone(), FeedState::Off);
        }
        for (_, control) in circuit.file.controls.iter() {
            walker.turn(&control.element, &control.at)?;
        }
        let mut route = Self { situations: Vec::new(), places: Vec::new() };
        for (at_stage, stage) in procedure.stages.iter().enumerate() {
            for (at_step, step) in stage.steps.iter().enumerate() {
                walker.step(stage, step)?;
                let fed = walker.now.is_fed().then(|| walker.now.clone());
                let situation = fed.map(|now| route.index(now));
                route.places.push(RoutePlace { stage: at_stage, step: at_step, situation });
            }
        }
        Ok(route)
    }

    fn index(&mut self, now: Situation) -> usize {
        self.situations.iter().position(|situation| *situation == now).unwrap_or_else(|| {
            self.situations.push(now);
            self.situations.len() - 1
        })
    }
}

struct Walker<'a> {
    circuit: &'a Circuit,
    known: &'a KnownValues,
    now: Situation,
}

impl Walker<'_> {
    fn step(&mut self, stage: &Stage, step: &Step) -> Result<(), String> {
        if let Some(set) = &step.set {
            if set.is_off() {
                self.now.feeds.values_mut().for_each(|feed| *feed = FeedState::Off);
            } else {
                self.feed(stage, step)?;
            }
        }
        for part in parts(step, self.known) {
            let key = Key::step(&step.step, &part);
            for (_, control) in self.circuit.file.controls.iter() {
                if let Some(value) = key.widening().find_map(|name| control.set.get(name)) {
                    self.turn(&control.element, value)?;
                }
            }
        }
        Ok(())
    }

    fn turn(&mut self, element: &str, value: &Expression) -> Result<(), String> {
        let ohm = self.number(value, Dimension::RESISTANCE)?;
        if ohm <= 0.0 {
            return Err(format!("`{}`: a control keeps some resistance", value.text.value));
        }
        self.now.controls.insert(element.to_owned(), ohm);
        Ok(())
    }

    /// What a step that brings a source up makes of the feeds.
    fn feed(&mut self, stage: &Stage, step: &Step) -> Result<(), String> {
        let source = stage.source.value;
        if source != Source::BenchSupply {
            for (name, source_of_file) in self.circuit.file.sources.iter() {
                if let Some(rail) = source_of_file.rail(source) {
                    let feeding = self.rail(rail)?;
                    self.now.feeds.insert(name.value.clone(), feeding);
                }
            }
            return Ok(());
        }
        let values = |name: &str| self.known.value(name);
        let told = |error: Unworkable| format!("{}: {error}", step.step.value);
        let acts = stage.acts(step, &values).map_err(told)?;
        let amps = stage.ceiling(&values).map_err(told)?.map(|ceiling| ceiling.current.to_f64());
        let amps = amps.ok_or_else(|| format!("stage {} has no ceiling", stage.stage.value))?;
        for keyed in acts {
            let Act::Read { way: Some(Way::Ramp { channels, to, .. }), .. } = keyed.act else {
                continue;
            };
            let volts = to.to_f64();
            for channel in channels {
                if let Some(feed) = self.now.feeds.get_mut(&channel) {
                    *feed = FeedState::Limited { volts, amps };
                }
            }
        }
        Ok(())
    }

    fn rail(&self, rail: &CircuitRail) -> Result<FeedState, String> {
        let volts = self.number(&rail.voltage, Dimension::VOLTAGE)?;
        if let Some(current) = &rail.current {
            return Ok(FeedState::Limited {
                volts,
                amps: self.number(current, Dimension::CURRENT)?,
            });
        }
        let ohm =
            rail.resistance.as_ref().map(|formula| self.number(formula, Dimension::RESISTANCE));
        Ok(FeedState::Stiff { volts, ohm: ohm.transpose()?.unwrap_or_default() })
    }

    fn number(&self, formula: &Expression, wanted: Dimension) -> Result<f64, String> {
        let value: Quantity = formula
            .evaluate(&|name: &str| self.known.value(name))
            .map_err(|error| format!("circuit file, `{}`: {error}", formula.text.value))?;
        if value.dimension == wanted && value.to_f64() >= 0.0 {
            return Ok(value.to_f64());
        }
        Err(format!(
            "circuit file, `{}`: {} of zero or more belongs here",
            formula.text.value,
            wanted.name()
        ))
    }
}

/// The parts that a step is repeated for; one without a name where it is not.
pub(super) fn parts(step: &Step, known: &KnownValues) -> Vec<String> {
    let Some(names) = &step.for_each else { return vec![String::new()] };
    let each = names.iter().flat_map(|name| match known.parts(name) {
        Some(parts) => parts.to_vec(),
        None => vec![name.value.clone()],
    });
    each.collect()
}
