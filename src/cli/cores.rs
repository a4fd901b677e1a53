//! Work on many things, shared by all cores.

use std::num::NonZero;
use std::panic::resume_unwind;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

/// Does the work on each, as many at a time as there are cores; the results keep their order.
pub(super) fn on_all_cores<T: Sync, R: Send>(
    things: &[T],
    work: impl Fn(&T) -> R + Sync,
) -> Vec<R> {
    let next = AtomicUsize::new(0);
    let share = || {
        let mut done = Vec::new();
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(thing) = things.get(at) else { return done };
            done.push((at, work(thing)));
        }
    };
    let cores = thread::available_parallelism().map_or(1, NonZero::get).min(things.len());
    let mut all = thread::scope(|scope| {
        let workers: Vec<_> = (0..cores).map(|_| scope.spawn(share)).collect();
        let done = workers.into_iter().map(|worker| worker.join());
        done.flat_map(|done| done.unwrap_or_else(|panic| resume_unwind(panic))).collect::<Vec<_>>()
    });
    all.sort_unstable_by_key(|(at, _)| *at);
    all.into_iter().map(|(_, result)| result).collect()
}

#[cfg(test)]
mod tests {
    use super::on_all_cores;

    #[test]
    fn each_is_done_once_and_the_order_is_kept() {
        let things: Vec<u32> = (0..1_000).collect();
        let doubled: Vec<u32> = things.iter().map(|n| n * 2).collect();
        assert_eq!(on_all_cores(&things, |n| n * 2), doubled);
        assert!(on_all_cores(&[0_u32; 0], |n| *n).is_empty());
    }
}
