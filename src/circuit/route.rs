//! The way of a procedure through the states of a circuit: how its sources are fed and its controls stand at each step.

use super::model::Circuit;
use super::rail::{Rails, number, rails};
use super::situation::Situation;
use crate::netlist::FeedState;
use crate::procedure::act::{Act, Way};
use crate::procedure::{Expression, KnownValues, Procedure, Stage, Step};
use crate::quantity::Dimension;
use crate::record::{Key, Source, Unworkable};

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
    /// What it begins with: nothing fed, each control as it is before a hand is on it.
    pub(super) start: Situation,
    /// The rails, by the source of the circuit file and what feeds it.
    pub(super) rails: Rails,
    pub(super) situations: Vec<Situation>,
    pub(super) places: Vec<RoutePlace>,
}

impl Route {
    /// Finds the way, with what is known before anything is read, and what is so: the rails are worked out by that.
    pub(super) fn of(
        procedure: &Procedure,
        circuit: &Circuit,
        [known, truth]: [&KnownValues; 2],
    ) -> Result<Self, String> {
        let now = Situation::off(circuit);
        let rails = rails(&circuit.file, &|name: &str| truth.value(name))?;
        let mut walker = Walker { circuit, known, now, rails };
        for (_, control) in circuit.file.controls.iter() {
            walker.turn(&control.element, &control.at)?;
        }
        let start = walker.now.clone();
        let (mut situations, mut places) = (Vec::new(), Vec::new());
        for (at_stage, stage) in procedure.stages.iter().enumerate() {
            for (at_step, step) in stage.steps.iter().enumerate() {
                walker.step(stage, step)?;
                let fed = walker.now.is_fed().then(|| walker.now.clone());
                let situation = fed.map(|now| index(&mut situations, now));
                places.push(RoutePlace { stage: at_stage, step: at_step, situation });
            }
        }
        Ok(Self { start, rails: walker.rails, situations, places })
    }
}

/// The place of a situation among those that there are, new or not.
fn index(situations: &mut Vec<Situation>, now: Situation) -> usize {
    situations.iter().position(|situation| *situation == now).unwrap_or_else(|| {
        situations.push(now);
        situations.len() - 1
    })
}

struct Walker<'a> {
    circuit: &'a Circuit,
    known: &'a KnownValues,
    now: Situation,
    rails: Rails,
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
                let set = |name| Some((name, control.set.get(name)?));
                let Some((name, value)) = key.widening().find_map(set) else { continue };
                self.turn(&control.element, value)?;
                let element = &control.element.value;
                match control.until.get(name) {
                    Some(_) => self.now.aims.insert(element.clone(), name.to_owned()),
                    None => self.now.aims.remove(element),
                };
            }
        }
        Ok(())
    }

    fn turn(&mut self, element: &str, value: &Expression) -> Result<(), String> {
        let ohm = number(value, Dimension::RESISTANCE, &|name: &str| self.known.value(name))?;
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
            for (name, _) in self.circuit.file.sources.iter() {
                if let Some(feeding) = self.rails.get(&(name.value.clone(), source)) {
                    self.now.feeds.insert(name.value.clone(), feeding.clone());
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
