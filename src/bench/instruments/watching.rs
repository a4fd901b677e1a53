//! Sampling points one after the other while nothing is changed, or while outputs go up evenly.

use std::time::{Duration, Instant};

use super::Instruments;
use super::dial::Dial;
use super::meter::Probe;
use crate::bench::{Bench, End, Go, Guard, Live, Lost, Sent, Watched, Work};
use crate::quantity::{Dimension, Quantity, Reading, Unit};
use crate::record::{Span, Trace};
use crate::window::Bounds;

/// The time between two looks.
const LOOK: Duration = Duration::from_millis(100);

/// One guarded point.
struct Watch {
    probe: Probe,
    bounds: Bounds,
    unit: Unit,
    trace: Trace,
}

/// Samples until `look` has seen enough, or a sample is outside, which switches everything off first.
pub(super) fn watch(
    instruments: &mut Instruments,
    work: &Work,
    guards: &[Guard],
    look: &mut dyn FnMut(&Live) -> Go,
) -> Watched {
    let begun = begin(instruments, work, guards);
    let (mut watches, mut ramp) = match begun {
        Ok(begun) => begun,
        Err(lost) => return ended(instruments, Vec::new(), End::Lost(lost)),
    };
    let end = sample(&mut watches, &mut ramp, instruments.speed, look);
    ended(instruments, watches, end)
}

/// Whatever did not end as asked ends with the outputs off.
fn ended(instruments: &mut Instruments, watches: Vec<Watch>, end: End) -> Watched {
    let end = match (end, &mut *instruments) {
        (End::Asked, _) => End::Asked,
        (end, own) => match own.outputs_off() {
            Ok(_) => end,
            Err(lost) => End::Lost(lost),
        },
    };
    Watched { traces: watches.into_iter().map(|watch| watch.trace).collect(), end }
}

/// Outputs on their way to a voltage.
struct Ramp {
    dials: Vec<(Dial, f64)>,
    to: f64,
    over: Duration,
    arrived: bool,
}

fn begin(own: &Instruments, work: &Work, guards: &[Guard]) -> Result<(Vec<Watch>, Ramp), Lost> {
    let watch = |guard: &Guard| {
        let bounds = guard.bounds;
        let limit = bounds.low.or(bounds.high);
        let dimension = limit.map_or(Dimension::NONE, |limit| limit.dimension);
        let unit = guard.point.unit().unwrap_or_else(|| Unit::base(dimension));
        let point = guard.point.to_string();
        let trace = Trace { point, unit: unit.clone(), spans: Vec::new() };
        Ok(Watch { probe: own.probe(&guard.point)?, bounds, unit, trace })
    };
    let watches = guards.iter().map(watch).collect::<Result<_, Lost>>()?;
    let mut ramp = Ramp { dials: Vec::new(), to: 0.0, over: Duration::ZERO, arrived: true };
    if let Work::Ramp { channels, to, over } = work {
        let dial =
            |channel: &String| own.dial(channel).and_then(|d| Ok((d.clone(), d.stands_at()?)));
        let dials = channels.iter().map(dial).collect::<Result<_, Lost>>()?;
        ramp = Ramp { dials, to: *to, over: *over, arrived: false };
    }
    Ok((watches, ramp))
}

fn sample(
    watches: &mut [Watch],
    ramp: &mut Ramp,
    speed: f64,
    look: &mut dyn FnMut(&Live) -> Go,
) -> End {
    let started = Instant::now();
    let mut looked: Option<Instant> = None;
    loop {
        let mut latest = Vec::new();
        for watch in watches.iter_mut() {
            match watch.sample(started.elapsed().mul_f64(speed)) {
                Ok(value) => latest.push(Some(value)),
                Err(end) => return end,
            }
        }
        let elapsed = started.elapsed().mul_f64(speed);
        if let Err(lost) = ramp.go_on(elapsed) {
            return End::Lost(lost);
        }
        if looked.is_none_or(|looked| looked.elapsed() >= LOOK) {
            looked = Some(Instant::now());
            if look(&Live { elapsed, latest, arrived: ramp.arrived }) == Go::Enough {
                return End::Asked;
            }
        }
    }
}

impl Ramp {
    fn go_on(&mut self, elapsed: Duration) -> Result<(), Lost> {
        if self.arrived {
            return Ok(());
        }
        let part = if self.over.is_zero() { 1.0 } else { elapsed.div_duration_f64(self.over) };
        let part = part.min(1.0);
        for (dial, from) in &self.dials {
            dial.turn_to(from + (self.to - from) * part)?;
        }
        self.arrived = part >= 1.0;
        Ok(())
    }
}

impl Watch {
    /// Takes a sample, judges it and keeps it.
    fn sample(&mut self, at: Duration) -> Result<f64, End> {
        let Sent { text, instrument } = self.probe.take().map_err(End::Lost)?;
        let reading = Reading::parse(&text, &self.unit);
        let outside = |what: String| {
            let reason = format!("{}: {what}", self.trace.point);
            End::Tripped { instrument: instrument.clone(), reason }
        };
        let Ok(Reading::Number(value)) = reading else {
            return Err(outside(format!(
                "`{}` is no number",
                crate::diagnostic::clean(text.trim())
            )));
        };
        if !is_inside(&self.bounds, &value) {
            return Err(outside(format!("{} is outside", value.engineering(4, Some(&self.unit)))));
        }
        let value = value.to_f64();
        self.keep(u64::try_from(at.as_millis()).unwrap_or(u64::MAX), value);
        Ok(value)
    }

    fn keep(&mut self, ms: u64, value: f64) {
        let Some(span) = self.trace.spans.last_mut() else {
            return self.trace.spans.push(Span {
                from_ms: ms,
                until_ms: ms,
                count: 1,
                mean: value,
                low: value,
                low_ms: ms,
                high: value,
                high_ms: ms,
                last: value,
            });
        };
        span.count += 1;
        span.mean += (value - span.mean) / span.count as f64;
        (span.until_ms, span.last) = (ms, value);
        if value < span.low {
            (span.low, span.low_ms) = (value, ms);
        }
        if value > span.high {
            (span.high, span.high_ms) = (value, ms);
        }
    }
}

fn is_inside(bounds: &Bounds, value: &Quantity) -> bool {
    let above = bounds.low.is_none_or(|low| value.compare(&low).is_some_and(|o| o.is_ge()));
    let below = bounds.high.is_none_or(|high| value.compare(&high).is_some_and(|o| o.is_le()));
    above && below
}
