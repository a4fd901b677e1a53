//! Watching: every instrument is sampled in a thread of its own, and each sample is judged there and then.
//!
//! May use what `bench` may. Always true: a sample that is outside, or no number where one is due, fires the trip from the
//! very thread that took it, before anybody is told. So do a lost instrument, a panic, and an output that is not as it was
//! left. No sample of an extreme is lost.

mod board;
mod judge;
mod ramp;
mod sampler;
mod states;
#[cfg(test)]
mod tests;
pub mod thin;
mod watcher;

use std::thread;

use board::Board;
use judge::Judge;
use ramp::Ramp;
pub use sampler::{Astray, Sampler};
use watcher::{Sampled, Watcher};

use super::{BenchClock, Go, Guard, Live, Lost, SamplingEnd, TripHandle, Watched, Work};
use crate::procedure::Point;
use crate::record::Trace;

/// Who samples, what switches the outputs off, and how fast the bench's clock goes.
pub struct Sampling<'a> {
    /// The instruments. A point is read from the first of them that reads it.
    pub samplers: Vec<&'a mut dyn Sampler>,
    /// Fired when a sample is outside, an output is astray, an instrument is lost or a thread fails.
    pub trip: &'a TripHandle,
    /// The bench's clock.
    pub clock: &'a BenchClock,
}

/// Samples the points of all guards until `look` has seen enough, or until something fires the trip.
///
/// An output that is ramped goes to its voltage in small steps by the thread of its own supply; between two of them every
/// point of that supply is sampled once. A slow line makes a ramp longer, never its steps larger.
pub fn run(
    sampling: Sampling<'_>,
    work: &Work,
    guards: &[Guard],
    look: &mut dyn FnMut(&Live) -> Go,
) -> Watched {
    let Sampling { samplers, trip, clock } = sampling;
    let mut watchers = match assign(samplers, work, guards) {
        Ok(watchers) => watchers,
        Err(lost) => {
            trip.fire(&lost.to_string());
            return Watched { traces: traces(Vec::new(), guards), end: SamplingEnd::Lost(lost) };
        }
    };
    let board =
        Board::new(trip, clock, guards.len(), watchers.iter().filter(|w| w.ramps()).count());
    thread::scope(|scope| {
        let _alarm = board.alarm("wattstep");
        let mut threads = Vec::new();
        for watcher in &mut watchers {
            let name = watcher.name();
            let spawned = thread::Builder::new().spawn_scoped(scope, || watcher.run(&board));
            match spawned {
                Ok(thread) => threads.push(thread),
                Err(error) => board.lose(Lost { instrument: name, why: error.to_string() }),
            }
        }
        board.look(look);
        for thread in threads {
            // One that failed has fired the trip and said so on its way out.
            let _ = thread.join();
        }
    });
    Watched { traces: traces(watchers, guards), end: board.into_end() }
}

/// Gives each guard and each ramped output to its instrument; those without either, and without outputs that could go
/// astray, have nothing to do.
fn assign<'a>(
    samplers: Vec<&'a mut dyn Sampler>,
    work: &Work,
    guards: &[Guard],
) -> Result<Vec<Watcher<'a>>, Lost> {
    let mut watchers: Vec<_> = samplers.into_iter().map(Watcher::new).collect();
    for (place, guard) in guards.iter().enumerate() {
        let point = guard.point.to_string();
        let judge = Judge::new(guard).map_err(|why| Lost { instrument: point.clone(), why })?;
        let watcher = watchers.iter_mut().find(|watcher| watcher.sampler.reads(&guard.point));
        let watcher = watcher.ok_or_else(|| nobody_there(&point))?;
        watcher.sampled.push(Sampled::new(place, guard, judge));
        if let Point::Output { channel, .. } = &guard.point
            && guard.limiting_is_outside
            && !watcher.limited.contains(channel)
        {
            watcher.limited.push(channel.clone());
        }
    }
    match work {
        Work::Hold => {}
        Work::Stand { off_is_due } => {
            watchers.iter_mut().for_each(|watcher| watcher.stand(*off_is_due));
        }
        Work::Glance { off_is_due } => {
            watchers.iter_mut().for_each(|watcher| watcher.glance(*off_is_due));
        }
        Work::Ramp { channels, to, over } => {
            for channel in channels {
                let watcher = watchers.iter_mut().find(|watcher| watcher.sampler.feeds(channel));
                let watcher = watcher.ok_or_else(|| nobody_there(channel))?;
                watcher.ramp.get_or_insert_with(|| Ramp::new(*to, *over)).add(channel.clone());
            }
        }
    }
    watchers.retain(|watcher| watcher.has_work());
    Ok(watchers)
}

fn nobody_there(point: &str) -> Lost {
    Lost { instrument: point.to_owned(), why: "no instrument is connected for it".to_owned() }
}

/// One trace for each guard, in their order.
fn traces(watchers: Vec<Watcher<'_>>, guards: &[Guard]) -> Vec<Trace> {
    let mut sampled: Vec<_> = watchers.into_iter().flat_map(|watcher| watcher.sampled).collect();
    sampled.sort_by_key(|sampled| sampled.place);
    let mut sampled = sampled.into_iter().peekable();
    let trace = |(place, guard): (usize, &Guard)| {
        let next = sampled.next_if(|sampled| sampled.place == place);
        let spans = next.map(|sampled| sampled.thinner.into_spans()).unwrap_or_default();
        Trace { point: guard.point.to_string(), unit: judge::unit(guard), spans }
    };
    guards.iter().enumerate().map(trace).collect()
}
