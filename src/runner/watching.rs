//! A value that is watched for a time: what was sampled or read, and how steady it was.

use super::answer::Target;
use super::batch::Batch;
use super::judge::Judging;
use super::machine::Runner;
use super::step_at::StepAt;
use super::task::Task;
use crate::procedure::Point;
use crate::procedure::act::{Act, Steady, Watching, Way};
use crate::quantity::{Dimension, Quantity, Reading, Unit};
use crate::record::{Fact, Key, Matter, Origin, Trace};
use crate::window::Bounds;

/// Digits to which a value sampled as a binary number is shown and kept.
const DIGITS: u32 = 7;

/// A value that has to be steady.
pub(super) struct SteadyValue {
    pub(super) key: Key,
    pub(super) at: StepAt,
    pub(super) what: String,
    pub(super) unit: Unit,
}

impl Runner {
    /// Keeps what instruments sampled while the question at hand stood.
    pub(super) fn sampled(&mut self, batch: &mut Batch, traces: &[Trace]) {
        let origin = self.instrument_origin();
        let Some(current) = self.progress.current_mut() else { return };
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
        key: Key,
        part: String,
        at: StepAt,
        watching: Box<Watching>,
    ) {
        self.results.begin_watch();
        let Some(point) = watching.point.clone().filter(|point| self.is_connected(point)) else {
            return self.watch_by_hand(&key, &part, at, &watching);
        };
        let clips = matches!(point, Point::Function(_)).then(|| Task::Act {
            key: key.about(Matter::Clips),
            part: part.clone(),
            at,
            act: Act::Do {
                what: format!("Clip the meter on, it then reads by itself: {}", watching.what),
            },
        });
        self.progress.first(
            clips.into_iter().chain([Task::Sample { key, part, at, watching }]).collect::<Vec<_>>(),
        );
    }

    fn watch_by_hand(&mut self, key: &Key, part: &str, at: StepAt, watching: &Watching) {
        let task = |matter: Matter, act: Act| Task::Act {
            key: key.about(matter),
            part: part.to_owned(),
            at,
            act,
        };
        let wait = Act::Wait { ms: watching.every_ms, what: "Until the next reading".to_owned() };
        let mut tasks = vec![task(Matter::Reading(1), watching.read())];
        for n in 2..=watching.waits() + 1 {
            tasks.push(task(Matter::Wait(n), wait.clone()));
            tasks.push(task(Matter::Reading(n), watching.read()));
        }
        if watching.steady != Steady::default() {
            let (what, unit) = (watching.what.clone(), watching.unit.clone());
            let act = Act::Steady { what, unit, steady: watching.steady.clone() };
            tasks.push(Task::Act { key: key.clone(), part: part.to_owned(), at, act });
        }
        self.progress.first(tasks);
    }

    /// Judges a value whose watch is over: its last sample, and how steady it was.
    pub(super) fn watched(
        &mut self,
        batch: &mut Batch,
        key: Key,
        part: String,
        at: StepAt,
        watching: &Watching,
        traces: &[Trace],
    ) {
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
            self.steady(
                batch,
                &SteadyValue { key: key.clone(), at, what, unit },
                &watching.steady,
                trace,
            );
        }
        if self.stopping.is_on() {
            return;
        }
        // Nothing moves on by itself while the equipment is live.
        if self.power.is_live() {
            let (key, what) = (key.about(Matter::Over), watching.what.clone());
            self.progress.first([Task::WaitOver { key, what }]);
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
        self.progress.answered();
        self.take(batch, Judging { key, what, text, reading, origin, unit, bounds }, target);
    }

    /// Judges how steady readings by hand were.
    pub(super) fn steady_by_hand(
        &mut self,
        batch: &mut Batch,
        value: SteadyValue,
        steady: &Steady,
    ) {
        let spans = self.results.end_watch();
        let trace = Trace { point: String::new(), unit: value.unit.clone(), spans };
        self.steady(batch, &value, steady, &trace);
    }

    fn steady(&mut self, batch: &mut Batch, value: &SteadyValue, steady: &Steady, trace: &Trace) {
        if let Some(most) = steady.drift_per_minute {
            let drift = trace.drift_per_minute().map(f64::abs);
            self.judge_steady(batch, value.of(Matter::Drift, "drift in a minute"), drift, most);
        }
        if let (Some((within, over_ms)), false) = (steady.settled, self.stopping.is_on()) {
            let what = format!("farthest from its mean in the last {} s", over_ms / 1000);
            let settled = value.of(Matter::Settled, &what);
            self.judge_steady(batch, settled, trace.unsettled(over_ms), within);
        }
    }

    fn judge_steady(
        &mut self,
        batch: &mut Batch,
        judged: SteadyValue,
        found: Option<f64>,
        most: Quantity,
    ) {
        let SteadyValue { key, at, what, unit } = judged;
        let dimension = most.dimension;
        let reading = found
            .and_then(|found| value(found, dimension))
            .map_or(Reading::NotANumber, Reading::Number);
        let text = found.map_or_else(|| "not known".to_owned(), |found| words(found, &unit));
        let bounds = Bounds::at_most(most);
        let act = Act::Steady { what: what.clone(), unit: unit.clone(), steady: Steady::default() };
        let target = Target { key: key.clone(), part: String::new(), at, what: what.clone(), act };
        let origin = Origin::WorkedOut;
        self.take(batch, Judging { key, what, text, reading, origin, unit, bounds }, target);
    }
}

impl SteadyValue {
    /// What is judged of it on its own.
    fn of(&self, matter: Matter, what: &str) -> Self {
        let (key, what) = (self.key.about(matter), format!("{}: {what}", self.what));
        Self { key, at: self.at, what, unit: self.unit.clone() }
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

/// The whole of what was sampled at a point, however often the watch was looked at in between.
fn whole(traces: &[Trace], point: &str) -> Option<Trace> {
    let mut parts = traces.iter().filter(|trace| trace.point == point).cloned();
    let mut whole = parts.next()?;
    whole.spans.extend(parts.flat_map(|part| part.spans));
    Some(whole)
}

fn watched(key: &Key, trace: &Trace, origin: Origin, bounds: Option<Box<Bounds>>) -> Option<Fact> {
    Some(Fact::Watched {
        key: key.clone(),
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
