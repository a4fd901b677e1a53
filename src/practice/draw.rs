//! Drawing the fault of a practice.

use std::collections::BTreeMap;

use chacha20::ChaCha20Rng;
use chacha20::rand_core::{Rng as _, SeedableRng as _};

use crate::netlist::PlacedFault;

/// Once in so many times nothing is wrong: who knows that something is, goes on looking until something looks wrong. Our own choice.
pub const SOUND_ONE_IN: u32 = 10;

/// What was drawn: a fault, or that nothing is wrong.
pub type DrawnFault = Option<PlacedFault>;

/// Draws faults, one after the other, until one of them will do.
#[derive(Debug)]
pub struct FaultDraw {
    generator: ChaCha20Rng,
    /// The parts that are left, each with its faults that are left.
    parts: Vec<DrawnPart>,
}

#[derive(Debug)]
struct DrawnPart {
    /// How often it is in the urn: once, and once more for each repair that names it.
    times: u64,
    faults: Vec<PlacedFault>,
}

impl FaultDraw {
    /// Begins with every fault, and with how many repairs named each part, by its name.
    #[must_use]
    pub fn among(faults: &[PlacedFault], repairs: &BTreeMap<String, u64>, seed: u64) -> Self {
        let parts = faults.chunk_by(|one, next| one.part == next.part).map(|faults| {
            let part = faults.first().map_or("", |fault| fault.part.as_str());
            let named = repairs.get(part).copied().unwrap_or_default();
            DrawnPart { times: 1 + named, faults: faults.to_vec() }
        });
        Self { generator: ChaCha20Rng::seed_from_u64(seed), parts: parts.collect() }
    }

    /// A number below this one; every one is as likely, within one in a billion.
    fn below(&mut self, end: usize) -> usize {
        let end = u64::try_from(end).unwrap_or(u64::MAX);
        usize::try_from(self.generator.next_u64() % end.max(1)).unwrap_or_default()
    }

    /// A part as often as it is in the urn, then any of its faults.
    fn fault(&mut self) -> Option<PlacedFault> {
        let all: u64 = self.parts.iter().map(|part| part.times).sum();
        let mut left = self.generator.next_u64().checked_rem(all)?;
        let at = self.parts.iter().position(|part| match left.checked_sub(part.times) {
            Some(less) => {
                left = less;
                false
            }
            None => true,
        })?;
        let count = self.parts.get(at)?.faults.len();
        let which = self.below(count);
        let part = self.parts.get_mut(at)?;
        let fault = part.faults.remove(which);
        if part.faults.is_empty() {
            self.parts.remove(at);
        }
        Some(fault)
    }
}

impl Iterator for FaultDraw {
    type Item = DrawnFault;

    /// The next one; it never comes again, except that nothing is wrong. The end is that no fault is left.
    fn next(&mut self) -> Option<DrawnFault> {
        if self.generator.next_u32().is_multiple_of(SOUND_ONE_IN) {
            return Some(None);
        }
        self.fault().map(Some)
    }
}
