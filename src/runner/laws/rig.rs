//! The benches that the procedure is walked on: one of hands alone, one with connected instruments, a simulated one.

use super::procedure::procedure;
use crate::procedure::read_bench;
use crate::record::{Mode, Origin};
use crate::runner::Runner;

/// What stands on the bench.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Rig {
    /// A person sets and reads everything.
    #[default]
    ByHand,
    /// A supply and a meter that the program reaches.
    Connected,
    /// The same two, simulated.
    Rehearsed,
}

impl Rig {
    pub(super) const ALL: [Self; 3] = [Self::ByHand, Self::Connected, Self::Rehearsed];

    pub(super) fn is_connected(self) -> bool {
        self != Self::ByHand
    }

    /// Where what an instrument sends comes from.
    pub(super) fn origin(self) -> Origin {
        if self == Self::Rehearsed { Origin::Simulated } else { Origin::Instrument }
    }

    pub(super) fn mode(self) -> Mode {
        if self == Self::Rehearsed { Mode::Rehearsal } else { Mode::Scripted }
    }

    /// A runner before its run starts.
    pub(super) fn runner(self) -> Runner {
        let bench = self.is_connected().then(|| read_bench(BENCH).expect("a sound bench"));
        Runner::new(procedure(), None).on_bench(bench)
    }
}

/// A bench with a supply and a meter that the program reaches.
pub(in crate::runner) const BENCH: &str = r#"
format: 1
bench: "a bench for tests (invented)"
instruments:
  supply:
    what: "a supply (invented)"
    serial: "T-1 (invented)"
    role: supply
    connection: {address: "tcp://192.0.2.1:5025"}
    channels:
      plus: {number: 1, voltage_max: 60 V, current_max: 2 A}
  meter:
    what: "a meter (invented)"
    serial: "T-2 (invented)"
    connection: {address: "tcp://192.0.2.2:5025"}
    functions:
      dc-voltage: [{range: 600 V, count: 10 mV, of_reading: 0.1 %}]
"#;
