//! What connected instruments do in a run: they take readings when told to, sample while time passes, and feed outputs.

use super::answer::Target;
use super::effect::Presence;
use super::judge::Judging;
use super::machine::{Batch, Runner};
use super::task::{StepAt, Task};
use crate::procedure::act::{Act, Guard, Steady, Watching, Way};
use crate::procedure::{Acceptance, Output, Point, Role, Stage};
use crate::quantity::{Dimension, Quantity, Reading, Unit};
use crate::record::{Energy, Fact, Origin, Source, Trace};
use crate::window::Bounds;

/// How often presence is confirmed on the mains where the procedure does not say (ms).
const PRESENCE_EVERY_MS: u64 = 10 * 60 * 1000;

/// How long a person has to answer (ms).
const PRESENCE_GRACE_MS: u64 = 60 * 1000;

/// Digits to which a value sampled as a binary number is shown and kept.
const DIGITS: u32 = 7;

impl Runner {
    /// The outputs of connected instruments that feed the stage at hand; none where a person switches.
    pub(super) fn outputs(&self) -> Vec<String> {
        self.stage().map(|stage| self.outputs_of(stage)).unwrap_or_default()
    }

    /// The outputs of connected instruments that feed a stage.
    pub(super) fn outputs_of(&self, stage: &Stage) -> Vec<String> {
        let Some(bench) = &self.bench else { return Vec::new() };
        if stage.source.value.is_mains() {
            let switch = bench
                .instruments
                .iter()
                .find(|(_, own)| own.role == Role::MainsSwitch && own.connection.is_some());
            return switch.map(|(name, _)| name.value.clone()).into_iter().collect();
        }
        if stage.source.value != Source::BenchSupply {
            return Vec::new();
        }
        let source = stage.source.value;
        // All stages on one source are fed alike: the supply stays connected from one to the next.
        let stages = self.procedure.stages.iter().filter(|own| own.source.value == source);
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
        let supplies = bench.instruments.iter().map(|(_, own)| own);
        let connected = supplies.filter(|own| own.role == Role::Supply && own.connection.is_some());
        connected.flat_map(|own| own.channels.iter()).map(|(name, _)| name.value.as_str()).collect()
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
        let is_on = self.energy.is_energised() && self.stop.is_none();
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
            Point::Output { channel, what: Output::Current } => tells(channel).is_some(),
            _ => false,
        };
        Guard { point, bounds, limiting_is_outside }
    }

    /// What is sampled while a task waits: with a watch, the value that it watches too.
    pub(super) fn guards_of(&self, task: &Task) -> Vec<Guard> {
        let mut guards = self.guards();
        if let Task::Sample { watching, .. } = task
            && let Some(point) = watching.point.clone()
        {
            match guards.iter_mut().find(|guard| guard.point == point) {
                Some(guard) => guard.bounds = both(guard.bounds, watching.bounds),
                None => guards.insert(0, self.guard(point, watching.bounds)),
            }
        }
        guards
    }

    /// How presence is confirmed now: on the mains, which no supply limits. After a stop nobody is called any more: what is
    /// asked then is the alarm.
    pub(super) fn presence(&self) -> Option<Presence> {
        let is_stopped = self.stop.is_some();
        let Energy::Energised { source, .. } = &self.energy else { return None };
        if is_stopped {
            return None;
        }
        self.presence_on(*source)
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
        let Some(current) = &self.current else { return false };
        let Expects::Value { by: Some(by), .. } = &current.question.expects else { return false };
        matches!(**by, Way::Ramp { .. }) && !origin.is_sent()
    }

    /// Keeps what instruments sampled while the question at hand stood.
    pub(super) fn sampled(&mut self, batch: &mut Batch, traces: &[Trace]) {
        let origin = self.instrument_origin();
        let Some(current) = &mut self.current else { return };
        let key = current.question.key.clone();
        for trace in traces {
            let guard =
                current.question.guards.iter().find(|guard| guard.point.to_string() == trace.point);
            let bounds = guard.map(|guard| Box::new(guard.bounds));
            batch.facts.extend(watched(&key, trace, origin, bounds));
        }
        current.traces.extend(traces.iter().cloned());
    }

    /// Begins to watch a value: a connected instrument samples it, or a person reads it at intervals.
    pub(super) fn begin_watch(
        &mut self,
        key: String,
        part: String,
        at: StepAt,
        watching: Box<Watching>,
    ) {
        self.readings_by_hand.clear();
        let Some(point) = watching.point.clone().filter(|point| self.is_connected(point)) else {
            return self.watch_by_hand(&key, &part, at, &watching);
        };
        let clips = matches!(point, Point::Function(_)).then(|| Task::Act {
            key: format!("{key}.clips"),
            part: part.clone(),
            at,
            act: Act::Do {
                what: format!("Clip the meter on, it then reads by itself: {}", watching.what),
            },
        });
        self.first(
            clips.into_iter().chain([Task::Sample { key, part, at, watching }]).collect::<Vec<_>>(),
        );
    }

    fn watch_by_hand(&mut self, key: &str, part: &str, at: StepAt, watching: &Watching) {
        let task = |suffix: String, act: Act| Task::Act {
            key: format!("{key}.{suffix}"),
            part: part.to_owned(),
            at,
            act,
        };
        let wait = Act::Wait { ms: watching.every_ms, what: "Until the next reading".to_owned() };
        let mut tasks = vec![task("1".to_owned(), watching.read())];
        for n in 2..=watching.waits() + 1 {
            tasks.push(task(format!("wait-{n}"), wait.clone()));
            tasks.push(task(n.to_string(), watching.read()));
        }
        if watching.steady != Steady::default() {
            let (what, unit) = (watching.what.clone(), watching.unit.clone());
            let act = Act::Steady { what, unit, steady: watching.steady.clone() };
            tasks.push(Task::Act { key: key.to_owned(), part: part.to_owned(), at, act });
        }
        self.first(tasks);
    }

    /// Judges a value whose watch is over: its last sample, and how steady it was.
    pub(super) fn watched(
        &mut self,
        batch: &mut Batch,
        at: (String, String, StepAt),
        watching: &Watching,
        traces: &[Trace],
    ) {
        let (key, part, at) = at;
        let point = watching.point.as_ref().map(ToString::to_string).unwrap_or_default();
        let trace = whole(traces, &point);
        // An instrument that reads less often than a person would have to has not watched.
        let often = trace.as_ref().filter(|trace| trace.count() >= watching.waits());
        let last = often.and_then(Trace::last);
        let dimension = watching.unit.dimension();
        let reading = last
            .and_then(|last| value(last, dimension))
            .map_or(Reading::NotANumber, Reading::Number);
        let text = last
            .map_or_else(|| "sampled too seldom".to_owned(), |last| words(last, &watching.unit));
        if let Some(trace) = &trace {
            let (what, unit) = (watching.what.clone(), watching.unit.clone());
            self.steady(batch, (&key, at), what, unit, &watching.steady, trace);
        }
        if self.stop.is_some() {
            return;
        }
        // Nothing moves on by itself while the equipment is live.
        if self.energy.is_energised() {
            let (key, what) = (format!("{key}.over"), watching.what.clone());
            self.first([Task::WaitOver { key, what }]);
        }
        let target = Target {
            key: key.clone(),
            part,
            at,
            what: watching.what.clone(),
            act: watching.read(),
        };
        let (bounds, unit) = (watching.bounds, watching.unit.clone());
        let origin = self.instrument_origin();
        let what = target.what.clone();
        self.current = None;
        self.take(batch, Judging { key, what, text, reading, origin, unit, bounds }, target);
    }

    /// Judges how steady readings by hand were.
    pub(super) fn steady_by_hand(
        &mut self,
        batch: &mut Batch,
        key: &str,
        at: StepAt,
        (what, unit, steady): (String, Unit, &Steady),
    ) {
        let spans = std::mem::take(&mut self.readings_by_hand);
        let trace = Trace { point: String::new(), unit: unit.clone(), spans };
        self.steady(batch, (key, at), what, unit, steady, &trace);
    }

    fn steady(
        &mut self,
        batch: &mut Batch,
        (key, at): (&str, StepAt),
        what: String,
        unit: Unit,
        steady: &Steady,
        trace: &Trace,
    ) {
        if let Some(most) = steady.drift_per_minute {
            let what = format!("{what}: drift in a minute");
            let drift = trace.drift_per_minute().map(f64::abs);
            self.judge_steady(batch, (format!("{key}.drift"), at), what, &unit, drift, most);
        }
        if let (Some((within, over_ms)), None) = (steady.settled, &self.stop) {
            let what = format!("{what}: farthest from its mean in the last {} s", over_ms / 1000);
            let farthest = trace.unsettled(over_ms);
            self.judge_steady(batch, (format!("{key}.settled"), at), what, &unit, farthest, within);
        }
    }

    fn judge_steady(
        &mut self,
        batch: &mut Batch,
        (key, at): (String, StepAt),
        what: String,
        unit: &Unit,
        found: Option<f64>,
        most: Quantity,
    ) {
        let dimension = most.dimension;
        let reading = found
            .and_then(|found| value(found, dimension))
            .map_or(Reading::NotANumber, Reading::Number);
        let text = found.map_or_else(|| "not known".to_owned(), |found| words(found, unit));
        let bounds = Bounds::at_most(most);
        let act = Act::Steady { what: what.clone(), unit: unit.clone(), steady: Steady::default() };
        let target = Target { key: key.clone(), part: String::new(), at, what: what.clone(), act };
        let origin = Origin::WorkedOut;
        self.take(
            batch,
            Judging { key, what, text, reading, origin, unit: unit.clone(), bounds },
            target,
        );
    }
}

impl Watching {
    /// One reading of it.
    fn read(&self) -> Act {
        Act::Read {
            what: self.what.clone(),
            unit: self.unit.clone(),
            bounds: self.bounds,
            meter: self.meter.clone(),
            way: self.point.clone().map(Way::At),
        }
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

/// The whole of what was sampled at a point, however often the watch was looked at in between.
fn whole(traces: &[Trace], point: &str) -> Option<Trace> {
    let mut parts = traces.iter().filter(|trace| trace.point == point).cloned();
    let mut whole = parts.next()?;
    whole.spans.extend(parts.flat_map(|part| part.spans));
    Some(whole)
}

fn watched(key: &str, trace: &Trace, origin: Origin, bounds: Option<Box<Bounds>>) -> Option<Fact> {
    Some(Fact::Watched {
        key: key.to_owned(),
        point: trace.point.clone(),
        unit: trace.unit.clone(),
        count: trace.count(),
        low: trace.min()?,
        high: trace.max()?,
        mean: trace.mean()?,
        last: trace.last()?,
        origin,
        bounds,
    })
}

fn value(number: f64, dimension: Dimension) -> Option<Quantity> {
    let exact = Quantity::from_f64(number, dimension)?;
    Some(Quantity { value: exact.value.round_significant(DIGITS), ..exact })
}

/// A sampled value as it is shown: in the step's unit.
fn words(number: f64, unit: &Unit) -> String {
    match value(number, unit.dimension()) {
        Some(value) => value.engineering_exact(Some(unit)),
        None => "no number".to_owned(),
    }
}
