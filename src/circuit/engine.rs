//! The simulator at work on many cases, on all cores.

use std::num::NonZero;
use std::panic::resume_unwind;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

use super::answer::{CaseError, CircuitValues, values};
use super::error::EngineError;
use super::process::PROGRAM;
use super::{batch, version};
use crate::netlist::Case;

/// How many cases one process takes: its start costs as much as a dozen of them.
const BATCH: usize = 50;

/// The simulator, found and new enough.
#[derive(Debug)]
pub struct Engine {
    /// Its version.
    pub version: u32,
}

/// What became of one case.
type CaseResult = Result<CircuitValues, CaseError>;

impl Engine {
    /// Looks for the simulator.
    ///
    /// # Errors
    /// It is missing or too old.
    pub fn find() -> Result<Self, EngineError> {
        Ok(Self { version: version::probe()? })
    }

    /// Works out every case; the results keep the order of the cases. `done` hears how many were done, now and then.
    ///
    /// # Errors
    /// The simulator can't be run at all. What is wrong with one case is its own result.
    pub fn run(
        &self,
        cases: &[Case],
        done: &(dyn Fn(usize) + Sync),
    ) -> Result<Vec<CaseResult>, EngineError> {
        let batches: Vec<_> = cases.chunks(BATCH).collect();
        let next = AtomicUsize::new(0);
        let share = || -> Result<Vec<(usize, Vec<CaseResult>)>, EngineError> {
            let mut finished = Vec::new();
            while let Some((at, batch)) = {
                let at = next.fetch_add(1, Ordering::Relaxed);
                batches.get(at).map(|batch| (at, *batch))
            } {
                finished.push((at, outcomes(batch)?));
                done(batch.len());
            }
            Ok(finished)
        };
        let cores = thread::available_parallelism().map_or(1, NonZero::get).min(batches.len());
        let mut all = thread::scope(|scope| {
            let workers: Vec<_> = (0..cores).map(|_| scope.spawn(share)).collect();
            let mut all = Vec::new();
            for worker in workers {
                all.extend(worker.join().unwrap_or_else(|panic| resume_unwind(panic))?);
            }
            Ok::<_, EngineError>(all)
        })?;
        all.sort_unstable_by_key(|(at, _)| *at);
        Ok(all.into_iter().flat_map(|(_, outcomes)| outcomes).collect())
    }
}

/// How many runs one after the other may finish no case at all: then it is not the cases.
const IDLE_RUNS: usize = 3;

/// Works a batch out. A case in which the process ends or stands still costs that case alone: those behind it are begun again.
fn outcomes(cases: &[Case]) -> Result<Vec<CaseResult>, EngineError> {
    let mut outcomes = Vec::new();
    let mut idle = 0;
    while outcomes.len() < cases.len() {
        let folder = tempfile::tempdir()?;
        let rest: Vec<_> = cases.iter().skip(outcomes.len()).collect();
        let printed = batch::printed(folder.path(), &rest)?;
        let finished = printed.iter().take_while(|text| text.is_some()).count();
        idle = if finished == 0 { idle + 1 } else { 0 };
        if idle == IDLE_RUNS {
            return Err(EngineError::Idle { program: PROGRAM });
        }
        // One more than it finished: the one that it did not.
        for (case, printed) in rest.iter().zip(&printed).take(finished + 1) {
            outcomes.push(values(case, printed.as_deref()));
        }
    }
    Ok(outcomes)
}
