//! The simulator at work on many cases, on all cores.

use std::num::NonZero;
use std::panic::resume_unwind;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

use super::error::EngineError;
use super::solver::{CaseResult, Solver};
use super::version;
use crate::netlist::Case;

/// The simulator, found and new enough.
#[derive(Debug)]
pub struct Engine {
    /// Its version.
    pub version: u32,
}

impl Engine {
    /// Looks for the simulator.
    ///
    /// # Errors
    /// It is missing or too old.
    pub fn find() -> Result<Self, EngineError> {
        Ok(Self { version: version::probe()? })
    }

    /// Works out every case, each read by itself: with a fault a circuit often has several operating points, and which one is found may
    /// depend on the one before. The results keep the order of the cases. `done` hears how many more were done.
    ///
    /// # Errors
    /// The simulator can't be run at all. What is wrong with one case is its own result.
    pub fn run(
        &self,
        cases: &[Case],
        done: &(dyn Fn(usize) + Sync),
    ) -> Result<Vec<CaseResult>, EngineError> {
        self.on_all_cores(cases, |solver, case| {
            solver.begin();
            let result = solver.work_out(case);
            done(1);
            result
        })
    }

    /// Does some work for each of many things, on all cores, each with a simulator of its own; the results keep the order of the things.
    pub(super) fn on_all_cores<T: Sync, R: Send, E: Send>(
        &self,
        things: &[T],
        work: impl Fn(&mut Solver, &T) -> Result<R, E> + Sync,
    ) -> Result<Vec<R>, E> {
        let next = AtomicUsize::new(0);
        let share = || -> Result<Vec<(usize, R)>, E> {
            let (mut solver, mut finished) = (Solver::default(), Vec::new());
            loop {
                let at = next.fetch_add(1, Ordering::Relaxed);
                let Some(thing) = things.get(at) else { return Ok(finished) };
                let result = work(&mut solver, thing);
                if result.is_err() {
                    // Nobody begins another one.
                    next.store(things.len(), Ordering::Relaxed);
                }
                finished.push((at, result?));
            }
        };
        let cores = thread::available_parallelism().map_or(1, NonZero::get).min(things.len());
        let mut all = thread::scope(|scope| {
            let workers: Vec<_> = (0..cores).map(|_| scope.spawn(share)).collect();
            let mut all = Vec::new();
            for worker in workers {
                all.extend(worker.join().unwrap_or_else(|panic| resume_unwind(panic))?);
            }
            Ok::<_, E>(all)
        })?;
        all.sort_unstable_by_key(|(at, _)| *at);
        Ok(all.into_iter().map(|(_, result)| result).collect())
    }
}
