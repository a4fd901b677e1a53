//! What connected instruments do in a run: they take readings when told to, sample while time passes, and feed outputs.

use super::effect::Presence;
use super::machine::Runner;
use super::task::Task;
use crate::procedure::act::{Guard, Way};
use crate::procedure::{Acceptance, OutputValue, Point, Role, Stage};
use crate::quantity::Quantity;
use crate::record::{Origin, Source};
use crate::window::Bounds;

/// How often presence is confirmed on the mains where the procedure does not say (ms).
const PRESENCE_EVERY_MS: u64 = 10 * 60 * 1000;

/// How long a person has to answer (ms).
const PRESENCE_GRACE_MS: u64 = 60 * 1000;

impl Runner {
    /// The outputs of connected instruments that feed the stage at hand; none where a person switches.
    pub(super) fn outputs(&self) -> Vec<String> {
        self.stage().map(|stage| self.outputs_of(stage)).unwrap_or_default()
    }

    /// The outputs of connected instruments that feed a stage.
    pub(super) fn outputs_of(&self, stage: &Stage) -> Vec<String> {
        let Some(bench) = &self.bench else { return Vec::new() };
        if stage.source.value.is_mains() {
            let switch = bench.instruments.iter().find(|(_, instrument)| {
                instrument.role == Role::MainsSwitch && instrument.connection.is_some()
            });
            return switch.map(|(name, _)| name.value.clone()).into_iter().collect();
        }
        if stage.source.value != Source::BenchSupply {
            return Vec::new();
        }
        let source = stage.source.value;
        // All stages on one source are fed alike: the supply stays connected from one to the next.
        let stages = self.procedure.stages.iter().filter(|stage| stage.source.value == source);
        let mut names: Vec<String> = Vec::new();
        for name in stages.flat_map(|stage| stage.channels()) {
            if !names.contains(&name.value) {
                names.push(name.value.clone());
            }
        }
        let connected = |name: &String| {
            bench.supply(name).is_some_and(|(_, supply)| supply.connection.is_some())
        };
        // A supply of which one output is turned by hand is a supply turned by hand.
        if names.iter().all(connected) { names } else { Vec::new() }
    }

    /// Every output of a connected supply on the bench.
    pub(super) fn supply_outputs(&self) -> Vec<&str> {
        let Some(bench) = &self.bench else { return Vec::new() };
        let supplies = bench.instruments.iter().map(|(_, instrument)| instrument);
        let connected = supplies.filter(|instrument| {
            instrument.role == Role::Supply && instrument.connection.is_some()
        });
        connected
            .flat_map(|instrument| instrument.channels.iter())
            .map(|(name, _)| name.value.as_str())
            .collect()
    }

    pub(super) fn is_connected(&self, point: &Point) -> bool {
        match point {
            Point::Output { channel, .. } => self.outputs().contains(channel),
            Point::Function(_) => {
                self.bench.as_ref().is_some_and(|bench| bench.connected(point).is_some())
            }
        }
    }

    /// The way to take a reading, when the instrument for it is connected.
    pub(super) fn by(&self, way: Option<&Way>) -> Option<Box<Way>> {
        let way = way?.clone();
        let is_connected = match &way {
            Way::At(point) => self.is_connected(point),
            Way::Ramp { channels, .. } => {
                let outputs = self.outputs();
                channels.iter().all(|channel| outputs.contains(channel))
            }
        };
        is_connected.then(|| Box::new(way))
    }

    /// What has to stay inside its window while the source of the stage at hand is on, where an instrument can tell.
    pub(super) fn guards(&self) -> Vec<Guard> {
        // After a stop the outputs are off, and what is asked is for hands.
        let is_on = self.power.is_live() && !self.stopping.is_on();
        let Some(stage) = self.stage().filter(|_| is_on) else {
            return Vec::new();
        };
        let values = |name: &str| self.scope.values(name);
        let windows = stage.while_on.iter().map(|(point, window)| (Point::parse(point), window));
        let windows = windows.filter(|(point, _)| self.is_connected(point));
        // The checks refuse a window that cannot be worked out.
        let guard = |(point, window): (Point, &Acceptance)| {
            Some(self.guard(point, window.bounds(&values).ok()?))
        };
        windows.filter_map(guard).collect()
    }

    /// What has to stay inside while the source of the stage at hand is on, with its limits, where no instrument can tell.
    pub(super) fn unwatched(&self) -> Vec<String> {
        let Some(stage) = self.stage() else { return Vec::new() };
        let values = |name: &str| self.scope.values(name);
        let named = |(name, window): (&crate::procedure::At<String>, &Acceptance)| {
            let point = Point::parse(name);
            let limits =
                window.bounds(&values).map(|bounds| bounds.describe(point.unit().as_ref()));
            let limits = limits.map(|limits| format!(" ({limits})")).unwrap_or_default();
            (!self.is_connected(&point)).then(|| format!("{point}{limits}"))
        };
        stage.while_on.iter().filter_map(named).collect()
    }

    /// A guard on a point. A supply that says how it tells that it limits the current is held to that as well.
    pub(super) fn guard(&self, point: Point, bounds: Bounds) -> Guard {
        let tells = |channel: &String| {
            let (_, supply) = self.bench.as_ref()?.supply(channel)?;
            supply.connection.as_ref()?.dialect.constant_current.as_ref()
        };
        let limiting_is_outside = match &point {
            Point::Output { channel, what: OutputValue::Current } => tells(channel).is_some(),
            _ => false,
        };
        Guard { point, bounds, limiting_is_outside }
    }

    /// What is sampled while a task waits: with a watch, the value that it watches too.
    pub(super) fn guards_of(&self, task: &Task) -> Vec<Guard> {
        let mut guards = self.guards();
        if let Task::Sample { watching, at, .. } = task
            && let Some(point) = watching.point.clone()
        {
            // A voltage on equipment that is taken for dead trips, whatever the window says.
            let dead = self.dead_window(*at);
            let bounds = dead.map_or(watching.bounds, |dead| both(dead, watching.bounds));
            match guards.iter_mut().find(|guard| guard.point == point) {
                Some(guard) => guard.bounds = both(guard.bounds, bounds),
                None => guards.insert(0, self.guard(point, bounds)),
            }
        }
        guards
    }

    /// How presence is confirmed now: on the mains, which no supply limits. After a stop nobody is called any more: what is
    /// asked then is the alarm.
    pub(super) fn presence(&self) -> Option<Presence> {
        let is_stopped = self.stopping.is_on();
        let source = self.power.source().filter(|_| !is_stopped)?;
        self.presence_on(source)
    }

    /// How presence is confirmed while this source is on.
    pub(super) fn presence_on(&self, source: Source) -> Option<Presence> {
        let every = self.own_time(self.procedure.presence_every.as_ref());
        source.is_mains().then_some(Presence {
            every_ms: every.unwrap_or(PRESENCE_EVERY_MS),
            grace_ms: PRESENCE_GRACE_MS,
        })
    }

    /// Where the values that instruments send come from.
    pub(super) fn instrument_origin(&self) -> Origin {
        if self.rehearses { Origin::Simulated } else { Origin::Instrument }
    }

    /// Tells whether a value is typed for what a connected supply sets by itself.
    pub(super) fn is_set_by_hand_in_vain(&self, origin: Origin) -> bool {
        use super::effect::Expects;
        let Some(current) = self.progress.current() else { return false };
        let Expects::Value { by: Some(by), .. } = &current.question.expects else { return false };
        matches!(**by, Way::Ramp { .. }) && !origin.is_sent()
    }
}

/// What is inside both windows; a window that judges nothing takes nothing away.
fn both(one: Bounds, other: Bounds) -> Bounds {
    if other.record_only {
        return one;
    }
    let tightest = |limits: [Option<Quantity>; 4], is_low: bool| {
        let [one, other, ..] = limits;
        // A side that neither says follows from the other side.
        one.or(other)?;
        let above = |a: Quantity, b: Quantity| if (a.value > b.value) == is_low { a } else { b };
        limits.into_iter().flatten().reduce(above)
    };
    let (reach, others) = (one.reach(), other.reach());
    Bounds {
        low: tightest([one.low, other.low, reach.low, others.low], true),
        high: tightest([one.high, other.high, reach.high, others.high], false),
        open_ok: other.open_ok && one.open_ok,
        record_only: false,
        ..other
    }
}
