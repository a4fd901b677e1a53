//! Instruments that do as they are told, and instruments that don't.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]

mod astray;
mod bring_up;
mod off;
mod proofs;
mod sampling;
mod taking_over;

use super::fake::{FakeInstrument, Habit};
use super::{Instruments, SimulatedAddresses};
use crate::bench::{Limits, Lost};
use crate::procedure::{BenchFile, read_bench};

/// A bench with the fake as a supply with two outputs, and keys of its own for the connection. Invented.
fn bench(keys: &str) -> BenchFile {
    let text = format!(
        "format: 1
bench: A bench for tests (invented)
instruments:
  osprey:
    what: dual supply
    serial: A1
    role: supply
    functions:
      dc-voltage: [{{range: 60 V, count: 10 mV, of_reading: 0.5 %}}]
    channels:
      plus:
        number: 1
        voltage_max: 32 V
        current_max: 3 A
        known_load: 10 ohm
        protection: {{over_voltage: 110 %, over_current: 120 %}}
      minus: {{number: 2, voltage_max: 32 V, current_max: 3 A}}
    connection:
      address: simulated://osprey
      timeout: 200 ms
{keys}"
    );
    read_bench(&text).unwrap()
}

/// Selects one of the fake's outputs, and reads its status.
const DIALECT: &str = "      dialect:
        select: 'INST:NSEL {number}'
        constant_current: {ask: 'STAT?', bit: 3, bit_when_limiting: 0}
";

fn reach(fake: &FakeInstrument) -> SimulatedAddresses {
    [("osprey".to_owned(), fake.address)].into_iter().collect()
}

fn connect(fake: &FakeInstrument) -> Result<Instruments, Lost> {
    let connected = Instruments::connect(&bench(DIALECT), &reach(fake));
    connected.map(|(instruments, _)| instruments).map_err(|refused| refused.lost)
}

fn with(habits: &[Habit]) -> (FakeInstrument, Instruments) {
    let fake = FakeInstrument::start(habits);
    let instruments = connect(&fake).unwrap();
    (fake, instruments)
}

fn limits(channels: &[&str], voltage: f64) -> Limits {
    let channels = channels.iter().map(|&channel| channel.to_owned()).collect();
    Limits { channels, voltage, current: 0.1 }
}
