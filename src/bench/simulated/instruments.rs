//! The instruments of the simulated bench.

use super::limiter::Limiter;
use super::meter::SimulatedMeter;
use super::supply::SimulatedSupply;

/// The instruments of the bench.
#[derive(Debug)]
pub(super) struct SimulatedInstruments {
    pub(super) supply: SimulatedSupply,
    pub(super) meter: SimulatedMeter,
    pub(super) tester: SimulatedMeter,
    pub(super) limiter: Limiter,
}
