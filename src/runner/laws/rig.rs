//! The benches that the procedure is walked on: one of hands alone, one with connected instruments, a simulated one.

use super::procedure::procedure;
use crate::procedure::{read_bench, read_people};
use crate::record::{Mode, Origin};
use crate::runner::Runner;

/// What stands on the bench.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum RigKind {
    /// A person sets and reads everything.
    #[default]
    ByHand,
    /// A supply and a meter that the program reaches.
    Connected,
    /// The same two, simulated.
    Rehearsed,
    /// Hands alone, and not everybody may do everything.
    Staffed,
    /// Hands alone, and people sign.
    Signed,
}

impl RigKind {
    pub(super) const ALL: [Self; 5] =
        [Self::ByHand, Self::Connected, Self::Rehearsed, Self::Staffed, Self::Signed];

    pub(super) fn is_connected(self) -> bool {
        matches!(self, Self::Connected | Self::Rehearsed)
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
        let people = (self == Self::Staffed).then(|| read_people(PEOPLE).expect("a sound staff"));
        Runner::new(procedure(), None).on_bench(bench).with_people(people)
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

/// The people of the walks: one who learns, one who does everything at the bench, one who may only help to prove dead, and a
/// supervisor.
const PEOPLE: &str = "
format: 1
people: The staff of the walks (invented)
roles:
  caller: {prove_dead: supervised}
staff:
  kim: {name: Kim Bench-Test, roles: [apprentice], competent: {laws: 2099-12-31}}
  robin: {name: Robin Relief-Test, roles: [technician], competent: {laws: 2099-12-31}}
  sasha: {name: Sasha Resumer-Test, roles: [caller], competent: {laws: 2099-12-31}}
  pat: {name: Pat Verifier-Test, roles: [technician], competent: {laws: 2099-12-31}}
  lee: {name: Lee Third-Test, roles: [apprentice]}
  sam: {name: Sam Second-Test, roles: [supervisor], competent: {laws: 2099-12-31}}
";
