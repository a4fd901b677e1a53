//! Sets, each worked out situation by situation: a control is turned for what the readings before it were.

use std::collections::BTreeMap;

use super::levels::{Common, MainsLevel};
use super::trim::{Aimed, TRIES, Turning};
use crate::circuit::answer::{CaseError, CircuitValues};
use crate::circuit::error::CircuitError;
use crate::circuit::model::{State, asked};
use crate::circuit::rail::number;
use crate::circuit::situation::Situation;
use crate::circuit::solver::Solver;
use crate::circuit::walk::{Readings, Seen};
use crate::netlist::{Case, Netlist};
use crate::procedure::{ControlAim, Expression};
use crate::quantity::Dimension;

/// What came of one set.
pub(super) struct SetDraw {
    /// Its number, from 0 on.
    pub(super) number: u32,
    /// How far everything is off.
    pub(super) drawn: Vec<f64>,
    /// All that was read, in order; or why nothing is known.
    pub(super) readings: Result<Vec<Seen>, String>,
    /// How many operating points were worked out for it.
    pub(super) cases: usize,
    /// How many of them to turn its controls.
    pub(super) tries: usize,
}

/// A state that is kept.
type KeptState = (Case, Result<CircuitValues, CaseError>);

/// A set on its way.
struct OpenSet<'a> {
    number: u32,
    drawn: Vec<f64>,
    netlist: Netlist,
    level: &'a MainsLevel,
    states: Vec<KeptState>,
    /// Where its controls were left (ohm).
    turned: BTreeMap<Aimed, f64>,
    /// Those that are being turned now.
    turning: BTreeMap<Aimed, Turning>,
    /// The readings before they are turned.
    readings: Readings,
    /// How far they stand beside their places in the sound circuit, as a factor, by element.
    beside: BTreeMap<String, f64>,
    cases: usize,
    tries: usize,
}

/// What the set without tolerances tells.
pub(super) struct SoundSet {
    pub(super) cases: usize,
    pub(super) readings: Vec<Seen>,
    /// How steeply what is shown follows each control.
    pub(super) slopes: BTreeMap<Aimed, f64>,
}

/// Works the set without tolerances out.
///
/// # Errors
/// It is stopped, or not known.
pub(super) fn sound(common: &mut Common<'_>) -> Result<SoundSet, CircuitError> {
    common.see_levels(&[0.0])?;
    let level = common.level(0.0)?;
    let netlist = common.order.circuit.netlist.clone();
    let mut set = OpenSet::new(0, Vec::new(), netlist, level);
    let (mut solver, mut slopes) = (Solver::default(), BTreeMap::new());
    for at in 0..level.route.situations.len() {
        set.begin_turning(common, at)?;
        let (case, values) = set.worked_out(common, &mut solver, at)?;
        if !set.is_turned(common, (&case, &values)) && values.is_ok() {
            set.turning.values_mut().for_each(Turning::turn);
            let (case, values) = set.worked_out(common, &mut solver, at)?;
            set.is_turned(common, (&case, &values));
        }
        for (aimed, turning) in &mut set.turning {
            slopes.extend(turning.slope().map(|slope| (aimed.clone(), slope)));
            turning.back();
        }
        set.keep(case, values, at);
    }
    let mut stop = None;
    let mut all = Vec::new();
    let ended = set.walk(common, |stage_stop, seen| {
        stop = stop.take().or(stage_stop);
        all.extend(seen);
    });
    ended.map_err(CircuitError::Unworkable)?;
    match stop {
        Some((step, reads)) => Err(CircuitError::SoundIsStopped { step, reads }),
        None => Ok(SoundSet { cases: set.cases, readings: all, slopes }),
    }
}

/// Works sets out, on all cores.
pub(super) fn worked_out(
    common: &mut Common<'_>,
    numbers: &[u32],
) -> Result<Vec<SetDraw>, CircuitError> {
    let off = |number: &u32| common.sampler.mains(&common.sampler.draw(*number));
    let offs: Vec<_> = numbers.iter().map(off).collect();
    common.see_levels(&offs)?;
    let common = &*common;
    common.engine.on_all_cores(numbers, |solver, number| one(common, solver, *number))
}

/// Works one set out, situation by situation.
fn one(common: &Common<'_>, solver: &mut Solver, number: u32) -> Result<SetDraw, CircuitError> {
    let drawn = common.sampler.draw(number);
    let level = common.level(common.sampler.mains(&drawn))?;
    let values = common.sampler.values(&drawn);
    let netlist = common.order.circuit.netlist.off(&values).map_err(CircuitError::Unworkable)?;
    let mut set = OpenSet::new(number, drawn, netlist, level);
    solver.begin();
    for at in 0..level.route.situations.len() {
        set.situation_worked_out(common, solver, at)?;
    }
    Ok(set.close(common))
}

impl<'a> OpenSet<'a> {
    fn new(number: u32, drawn: Vec<f64>, netlist: Netlist, level: &'a MainsLevel) -> Self {
        Self {
            number,
            drawn,
            netlist,
            level,
            states: Vec::new(),
            turned: BTreeMap::new(),
            turning: BTreeMap::new(),
            readings: Readings::new(),
            beside: BTreeMap::new(),
            cases: 0,
            tries: 0,
        }
    }

    /// Whether every state so far has an operating point: nothing is worked out behind one that has none.
    fn is_known(&self) -> bool {
        self.states.iter().all(|(_, values)| values.is_ok())
    }

    fn situation(&self, at: usize) -> &'a Situation {
        static NONE: Situation = Situation::EMPTY;
        self.level.route.situations.get(at).unwrap_or(&NONE)
    }

    /// Works one situation out, with the controls turned that are turned there.
    fn situation_worked_out(
        &mut self,
        common: &Common<'_>,
        solver: &mut Solver,
        at: usize,
    ) -> Result<(), CircuitError> {
        if !self.is_known() {
            return Ok(());
        }
        self.begin_turning(common, at)?;
        for tries in 0..=TRIES {
            let (case, values) = self.worked_out(common, solver, at)?;
            if tries == TRIES || self.is_turned(common, (&case, &values)) {
                self.keep(case, values, at);
                break;
            }
            self.tries += 1;
            let turn = if tries + 1 == TRIES { Turning::settle } else { Turning::turn };
            self.turning.values_mut().for_each(turn);
        }
        Ok(())
    }

    /// What comes of a situation with the controls as they stand.
    fn worked_out(
        &mut self,
        common: &Common<'_>,
        solver: &mut Solver,
        at: usize,
    ) -> Result<KeptState, CircuitError> {
        let name = if self.drawn.is_empty() {
            "the sound circuit".to_owned()
        } else {
            format!("set {}, situation {}", self.number + 1, at + 1)
        };
        let case = self.case(common, self.situation(at), name)?;
        let values = solver.work_out(&case)?;
        self.cases += 1;
        Ok((case, values))
    }

    /// The case of a situation with the controls where this set has them.
    fn case(
        &self,
        common: &Common<'_>,
        situation: &Situation,
        name: String,
    ) -> Result<Case, CircuitError> {
        let mut situation = situation.clone();
        for aimed in situation.aims.clone() {
            let turning = self.turning.get(&aimed).map(|turning| turning.ohm);
            if let Some(ohm) = turning.or_else(|| self.turned.get(&aimed).copied()) {
                situation.controls.insert(aimed.0, ohm);
            }
        }
        let circuit = common.order.circuit;
        let stand = situation.stand(circuit, &self.netlist).map_err(CircuitError::Unworkable)?;
        stand.case(name, &[], &asked(circuit)).map_err(CircuitError::Unworkable)
    }

    /// Finds the controls that are turned in a situation, and what for.
    fn begin_turning(&mut self, common: &Common<'_>, at: usize) -> Result<(), CircuitError> {
        let now = self.situation(at);
        let aims = now.aims.iter().map(|(element, key)| (element.clone(), key.clone()));
        let new: Vec<_> = aims.filter(|aimed| !self.turned.contains_key(aimed)).collect();
        if new.is_empty() || !self.is_known() {
            return Ok(());
        }
        self.readings = self.walk(common, |_, _| {}).map_err(CircuitError::Unworkable)?;
        let walk = common.walk(self.level);
        let lookup = |name: &str| walk.value(name, &self.readings);
        for aimed in new {
            let Some((ends, aim)) = aim(common, &aimed) else { continue };
            let [least, most] = ends
                .map(|end| number(end, Dimension::RESISTANCE, &lookup))
                .map(|end| end.map_err(CircuitError::Unworkable));
            // Where a reading before it is missing there is nothing to turn it for.
            let shows = aim.shows.evaluate(&lookup).map_or(f64::NAN, |shows| shows.to_f64());
            // Where a control had to stand beside its place in the sound circuit before, it has to again.
            let place = now.controls.get(&aimed.0).copied().unwrap_or_default();
            let ohm = place * self.beside.get(&aimed.0).copied().unwrap_or(1.0);
            let slope = common.slopes.get(&aimed).copied();
            self.turning.insert(aimed, Turning::new(ohm, [least?, most?], shows, slope));
        }
        Ok(())
    }

    /// Looks whether every control is where it should be.
    fn is_turned(&mut self, common: &Common<'_>, state: State<'_>) -> bool {
        let walk = common.walk(self.level);
        for (aimed, turning) in &mut self.turning {
            let Some((_, aim)) = aim(common, aimed) else { continue };
            let truth = |name: &str| walk.true_value(name, &self.readings);
            let shown = common.order.circuit.worked_out(&aim.reads, state, &truth);
            turning.look(shown.map_or(f64::NAN, |shown| shown.to_f64()));
        }
        self.turning.values().all(Turning::is_met)
    }

    /// Keeps the state of a situation, and where the controls were left.
    fn keep(&mut self, case: Case, values: Result<CircuitValues, CaseError>, at: usize) {
        self.states.push((case, values));
        for (aimed, turning) in std::mem::take(&mut self.turning) {
            if let Some(place) = self.situation(at).controls.get(&aimed.0) {
                self.beside.insert(aimed.0.clone(), turning.ohm / place);
            }
            self.turned.insert(aimed, turning.ohm);
        }
    }

    /// Takes the states so far through the procedure.
    fn walk(
        &self,
        common: &Common<'_>,
        mut hear: impl FnMut(Option<(String, String)>, Vec<Seen>),
    ) -> Result<Readings, String> {
        let states: Vec<State<'_>> =
            self.states.iter().map(|(case, values)| (case, values)).collect();
        let walk = common.walk(self.level);
        walk.each(&states, &mut |passed| {
            let mut seen = passed.guarded;
            seen.extend(passed.seen);
            let stop = seen.iter().find(|seen| seen.is_outside());
            hear(stop.map(|seen| (seen.step.clone(), seen.reads())), seen);
        })
    }

    fn close(self, common: &Common<'_>) -> SetDraw {
        let mut all = Vec::new();
        let ended = self.walk(common, |_, seen| all.extend(seen));
        SetDraw {
            number: self.number,
            readings: ended.map(|_| all),
            cases: self.cases,
            tries: self.tries,
            drawn: self.drawn,
        }
    }
}

/// What a control is turned for, and between which ends.
fn aim<'a>(
    common: &Common<'a>,
    (element, key): &Aimed,
) -> Option<([&'a Expression; 2], &'a ControlAim)> {
    let mut controls = common.order.circuit.file.controls.iter();
    let (_, control) = controls.find(|(_, control)| control.element.value == *element)?;
    let [least, most] = control.ends.as_ref()?;
    Some(([least, most], control.until.get(key)?))
}
