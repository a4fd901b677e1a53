//! Sets that are worked out together, situation by situation: a control is turned for what the readings before it were.

use std::collections::BTreeMap;

use super::levels::{Common, MainsLevel};
use super::trim::{TRIES, Turning};
use crate::circuit::answer::{CaseError, CircuitValues};
use crate::circuit::error::CircuitError;
use crate::circuit::model::{State, asked};
use crate::circuit::rail::number;
use crate::circuit::situation::Situation;
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
}

/// A state that is kept.
type KeptState = (Case, Result<CircuitValues, CaseError>);

/// A control, and the key under `until` for which it is turned.
type Aimed = (String, String);

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
    cases: usize,
}

/// The set without tolerances: how many operating points, and what it reads.
///
/// # Errors
/// It is stopped, or not known.
pub(super) fn sound(common: &mut Common<'_>) -> Result<(usize, Vec<Seen>), CircuitError> {
    common.see_level(0.0)?;
    let level = common.level(0.0)?;
    let netlist = common.order.circuit.netlist.clone();
    let mut set = OpenSet::new(0, Vec::new(), netlist, level);
    for situation in &level.route.situations {
        let case = set.case(common, situation, "the sound circuit".to_owned())?;
        let mut values = common.engine.run(std::slice::from_ref(&case), &|_| {})?;
        set.keep(case, values.pop());
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
        None => Ok((set.cases, all)),
    }
}

/// Works sets out.
pub(super) fn worked_out(
    common: &mut Common<'_>,
    numbers: &[u32],
) -> Result<Vec<SetDraw>, CircuitError> {
    let drawn: Vec<_> = numbers.iter().map(|number| common.sampler.draw(*number)).collect();
    for drawn in &drawn {
        common.see_level(common.sampler.mains(drawn))?;
    }
    let mut sets = Vec::new();
    for (number, drawn) in numbers.iter().zip(drawn) {
        let level = common.level(common.sampler.mains(&drawn))?;
        let values = common.sampler.values(&drawn);
        let netlist =
            common.order.circuit.netlist.off(&values).map_err(CircuitError::Unworkable)?;
        sets.push(OpenSet::new(*number, drawn, netlist, level));
    }
    let count = sets.first().map_or(0, |set| set.level.route.situations.len());
    for at in 0..count {
        situation(common, &mut sets, at)?;
    }
    Ok(sets.into_iter().map(|set| set.close(common)).collect())
}

/// Works one situation of all sets out, with the controls turned that are turned there.
fn situation(common: &Common<'_>, sets: &mut [OpenSet<'_>], at: usize) -> Result<(), CircuitError> {
    for set in &mut *sets {
        set.begin_turning(common, at)?;
    }
    let mut open: Vec<_> = sets.iter_mut().filter(|set| set.is_known()).collect();
    for tries in 0..=TRIES {
        let name = |set: &OpenSet<'_>| format!("set {}, situation {}", set.number + 1, at + 1);
        let cases = open.iter().map(|set| set.case(common, set.situation(at), name(set)));
        let cases = cases.collect::<Result<Vec<_>, _>>()?;
        let results = common.engine.run(&cases, &|_| {})?;
        let mut left = Vec::new();
        for ((set, case), values) in open.into_iter().zip(cases).zip(results) {
            if tries == TRIES || set.is_turned(common, (&case, &values)) {
                set.keep(case, Some(values));
            } else {
                set.cases += 1;
                let is_last = tries + 1 == TRIES;
                let turn = if is_last { Turning::settle } else { Turning::turn };
                set.turning.values_mut().for_each(turn);
                left.push(set);
            }
        }
        open = left;
    }
    Ok(())
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
            cases: 0,
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
            let ohm = now.controls.get(&aimed.0).copied().unwrap_or_default();
            self.turning.insert(aimed, Turning::new(ohm, [least?, most?], shows));
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
    fn keep(&mut self, case: Case, values: Option<Result<CircuitValues, CaseError>>) {
        let lost = || Err(CaseError::NotDone { case: case.name.clone() });
        let values = values.unwrap_or_else(lost);
        self.states.push((case, values));
        self.cases += 1;
        let turned = std::mem::take(&mut self.turning);
        self.turned.extend(turned.into_iter().map(|(aimed, turning)| (aimed, turning.ohm)));
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
