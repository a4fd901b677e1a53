//! What has to be there before a run begins: meters, people, items, time.

use std::cmp::Ordering;
use std::collections::BTreeMap;

use serde::Serialize;

use super::machine::Runner;
use crate::procedure::act::{Act, Keyed};
use crate::procedure::{Procedure, Stage, Step, safety};
use crate::record::{Ceiling, Source};

/// What has to be at hand.
#[derive(Clone, Debug, Serialize)]
pub struct AtHand {
    /// Each source that the run uses, in the order of its stages, with the highest ceiling it has.
    pub sources: Vec<SourceUse>,
    /// The least time that waits, watches and ramps take (ms); what hands take comes on top, and what hangs on a reading.
    pub least_ms: u64,
    /// Who is needed besides the person at the bench.
    pub people: Vec<PeopleNeed>,
    /// What measures, by the name of the instrument; under no name what no instrument of the bench file measures.
    pub meters: Vec<MeterNeed>,
    /// The source of known voltage that proves the meter.
    pub known_source: String,
    /// What is put in, or changed, for a time.
    pub temporary: Vec<String>,
}

/// A source that the run uses.
#[derive(Clone, Debug, Serialize)]
pub struct SourceUse {
    /// Which.
    pub source: Source,
    /// The highest ceiling it has, where it is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ceiling: Option<Ceiling>,
}

/// Who is needed besides the person at the bench, and how often.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct PeopleNeed {
    /// The role, or `second person`.
    pub role: String,
    /// What for.
    pub duty: PeopleDuty,
    /// At how many steps.
    pub times: usize,
}

/// What somebody besides the person at the bench is needed for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PeopleDuty {
    /// Stays in reach.
    StaysInReach,
    /// Releases a hold.
    Releases,
    /// Is called to see something.
    Witnesses,
    /// Takes a reading again, or agrees before something is switched.
    Verifies,
}

/// What one instrument measures.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct MeterNeed {
    /// Its name in the bench file.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub instrument: Option<String>,
    /// The functions that the readings use.
    pub functions: Vec<String>,
}

impl Runner {
    /// What the run takes, by the facts that are known now.
    #[must_use]
    pub fn at_hand(&self) -> AtHand {
        AtHand {
            sources: self.sources(),
            least_ms: self.least_ms(),
            people: people(&self.procedure),
            meters: self.meters(),
            known_source: self.scope.fill(&self.procedure.known_source.what),
            temporary: temporary(&self.procedure),
        }
    }

    /// Each source in the order of its stages, with the highest of its ceilings.
    fn sources(&self) -> Vec<SourceUse> {
        let mut uses: Vec<SourceUse> = Vec::new();
        for stage in self.procedure.stages.iter() {
            let source = stage.source.value;
            let ceiling = self.ceiling(stage).ok().flatten();
            match uses.iter_mut().find(|used| used.source == source) {
                _ if source == Source::None => {}
                Some(used) if is_above(ceiling.as_ref(), used.ceiling.as_ref()) => {
                    used.ceiling = ceiling
                }
                Some(_) => {}
                None => uses.push(SourceUse { source, ceiling }),
            }
        }
        uses
    }

    /// The sum of what the steps wait, watch and ramp. What hangs on a reading counts nothing.
    fn least_ms(&self) -> u64 {
        let safe_ms = self.safe_wait().ms;
        let of_act = |keyed: &Keyed| match &keyed.act {
            Act::SourceOff { .. } => safe_ms,
            act => act.time_ms().unwrap_or_default(),
        };
        let values = |name: &str| self.scope.values(name);
        let of_step = |stage: &Stage, step: &Step| {
            let acts = stage.acts(step, &values).unwrap_or_default();
            let named = step.for_each.iter().flatten().map(|name| name.value.as_str());
            let parts = u64::try_from(self.scope.each(named).len()).unwrap_or(1).max(1);
            acts.iter().map(of_act).sum::<u64>().saturating_mul(parts)
        };
        let of_stage =
            |stage: &Stage| stage.steps.iter().map(|step| of_step(stage, step)).sum::<u64>();
        self.procedure.stages.iter().map(of_stage).sum()
    }

    /// The functions of all readings, by the instrument of the bench file that has them.
    fn meters(&self) -> Vec<MeterNeed> {
        let (procedure, bench) = (&self.procedure, self.bench.as_ref());
        let instrument = |function: &str| Some(bench?.meter(function)?.name.to_owned());
        let of_proofs = procedure.known_source.function.as_ref();
        let of_proofs = of_proofs.map(|function| function.value.as_str());
        let of_steps = procedure.steps().filter_map(|(_, step)| safety::function(step));
        let mut meters: Vec<MeterNeed> = Vec::new();
        for function in of_proofs.into_iter().chain(of_steps) {
            let instrument = instrument(function);
            let function = function.to_owned();
            match meters.iter_mut().find(|need| need.instrument == instrument) {
                Some(need) if need.functions.contains(&function) => {}
                Some(need) => need.functions.push(function),
                None => meters.push(MeterNeed { instrument, functions: vec![function] }),
            }
        }
        meters
    }
}

fn is_above(ceiling: Option<&Ceiling>, other: Option<&Ceiling>) -> bool {
    match (ceiling, other) {
        (Some(one), Some(other)) => one.voltage.compare(&other.voltage) == Some(Ordering::Greater),
        (one, other) => one.is_some() && other.is_none(),
    }
}

fn people(procedure: &Procedure) -> Vec<PeopleNeed> {
    let mut duties: BTreeMap<(PeopleDuty, String), usize> = BTreeMap::new();
    let mut need = |role: &str, duty: PeopleDuty| {
        *duties.entry((duty, role.to_owned())).or_default() += 1;
    };
    for stage in &procedure.stages {
        if let Some(hold) = &stage.hold {
            need(&hold.released_by.value, PeopleDuty::Releases);
        }
        for (n, step) in stage.steps.iter().enumerate() {
            if step.is_read_twice() || stage.is_agreed_on(n) {
                need("second person", PeopleDuty::Verifies);
            }
            of_step(step, &mut need);
        }
    }
    let need = |((duty, role), times)| PeopleNeed { role, duty, times };
    duties.into_iter().map(need).collect()
}

fn of_step(step: &Step, need: &mut impl FnMut(&str, PeopleDuty)) {
    if let Some(hold) = &step.hold {
        need(&hold.released_by.value, PeopleDuty::Releases);
    }
    if let Some(witness) = &step.witness {
        let duty = match witness.in_reach {
            true => PeopleDuty::StaysInReach,
            false => PeopleDuty::Witnesses,
        };
        need(&witness.by.value, duty);
    }
}

fn temporary(procedure: &Procedure) -> Vec<String> {
    let fitted = procedure.steps().filter_map(|(_, step)| step.fits.as_ref());
    fitted.map(|item| item.value.clone()).collect()
}
