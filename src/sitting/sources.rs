//! What feeds the equipment in a sitting: connected instruments, those of a rehearsal, or a person's hands.

use std::path::Path;

use chrono::{DateTime, FixedOffset};

use super::clock::Clock;
use super::rehearsal;
use crate::bench::instruments::{Instruments, OutputFoundOn, Refused, SimulatedAddresses};
use crate::bench::simulated::SimulatedBench;
use crate::bench::{Bench, Manual, NotOff, Trip};
use crate::diagnostic::clean_lines;
use crate::procedure::{BenchFile, Day, Equipment, OverduePolicy, Procedure, Role};
use crate::record::Rehearsed;
use crate::shell::fault::Fault;
use crate::shell::terminal;

/// Any bench: which one is known only when a run begins.
pub(super) type AnyBench = Box<dyn Bench + Send>;

/// The sources of a sitting, all off.
pub(crate) struct Sources {
    pub(super) bench: Trip<AnyBench>,
    /// Outputs that were on when they were reached.
    pub(super) found: Vec<OutputFoundOn>,
    /// The simulated bench, which has to be told where the probes are.
    pub(crate) hands: Option<SimulatedBench>,
}

/// What a sitting is carried out on.
pub(crate) struct On<'a> {
    pub(crate) procedure: &'a Procedure,
    pub(crate) equipment: Option<&'a Equipment>,
    pub(crate) bench: Option<&'a BenchFile>,
    pub(crate) rehearsed: Option<&'a Rehearsed>,
}

impl Sources {
    /// Reaches every connected instrument and switches its outputs off.
    pub(crate) fn reach(on: &On<'_>, clock: &Clock, log: Option<&Path>) -> Result<Self, Fault> {
        let simulated = match on.rehearsed.zip(on.equipment) {
            Some((rehearsed, equipment)) => {
                Some(rehearsal::begin(rehearsed, on.procedure, equipment, clock.bench(), log)?)
            }
            None => None,
        };
        let (hands, reach) = simulated
            .map_or((None, SimulatedAddresses::default()), |(bench_file, reach)| {
                (Some(bench_file), reach)
            });
        let (bench, found): (AnyBench, _) = match on.bench.filter(|bench| bench.is_connected()) {
            Some(file) => {
                let (instruments, found) =
                    Instruments::connect(file, &reach).map_err(|error| refused(&error, file))?;
                (Box::new(instruments.by_clock(clock.bench().clone())), found)
            }
            None => (Box::new(Manual), Vec::new()),
        };
        let bench = Trip::arm(bench).map_err(|unconfirmed| not_off(&unconfirmed.0))?;
        Ok(Self { bench, found, hands })
    }

    /// Says at once what was found on: the person who is asked for a name next has to know it first.
    pub(crate) fn tell_found(&self) {
        for found_on in &self.found {
            let words = format!("{found_on}. Touch nothing it feeds: ENERGY STATE UNKNOWN.\n");
            terminal::err(&clean_lines(&words));
        }
    }

    /// A refusal after they were reached: what was found on is said whatever else is wrong.
    pub(crate) fn with_found(&self, fault: Fault) -> Fault {
        let one =
            |found_on: &OutputFoundOn| format!("; {found_on}, what it fed is in an unknown state");
        fault.and(&self.found.iter().map(one).collect::<String>())
    }
}

/// An instrument that feeds nothing is no alarm: what was found on is said all the same.
fn refused(refused: &Refused, bench: &BenchFile) -> Fault {
    let fault = Fault::instrument(refused);
    if !refused.alarms.is_empty() {
        return fault.help(LIVE);
    }
    let instrument = bench.instruments.get(&refused.lost.instrument);
    fault.help(if instrument.is_some_and(|instrument| instrument.role == Role::Meter) {
        ALL_OFF
    } else {
        UNKNOWN
    })
}

/// Instruments that confirmed off when they were reached, and no more.
fn not_off(alarms: &[NotOff]) -> Fault {
    let alarms: Vec<_> = alarms.iter().map(NotOff::alarm).collect();
    Fault::instrument(alarms.join("; ")).help(LIVE)
}

/// What to do about outputs that are not confirmed to be off.
const LIVE: &str = "ENERGY STATE UNKNOWN: what it feeds may be live until its plug is out. Then `wattstep bench FILE` says more about \
                    each instrument";

/// What to do about a supply that is not as it should be, with its outputs off.
const UNKNOWN: &str = "ENERGY STATE UNKNOWN until it answers: check the supply. `wattstep bench FILE` says more about each \
                       instrument";

/// What to do about an instrument that feeds nothing.
const ALL_OFF: &str = "nothing was switched on. Is it on, its cable in, its address right, may you open it? `wattstep bench FILE` \
                       says more about each instrument";

/// Refuses instruments whose calibration is overdue at the newest known time, where the shop wants that.
pub(crate) fn calibrated(
    bench: Option<&BenchFile>,
    newest: DateTime<FixedOffset>,
) -> Result<(), Fault> {
    let Some(bench) = bench.filter(|bench| bench.overdue == OverduePolicy::Refuse) else {
        return Ok(());
    };
    let overdue = bench.overdue_on(Day::from(newest.date_naive()));
    let names: Vec<_> = overdue
        .iter()
        .map(|overdue| format!("{} since {}", overdue.instrument, overdue.due))
        .collect();
    if names.is_empty() {
        return Ok(());
    }
    let fault = Fault::usage(format!("calibration overdue: {}", names.join(", ")));
    Err(fault.help(
        "have it calibrated, or take another instrument; the bench file says `overdue: refuse`",
    ))
}
