//! What the trade estimates by hand: bounds and cross-checks for a rail.

use std::f64::consts::SQRT_2;

use super::supply::Topology;

/// Off-load rail, V: the crest less the drops. √2 V - n Vd (any circuits text).
///
/// An upper bound for a loaded rail, not an estimate: with winding resistance the loaded peak falls by up to a third.
#[must_use]
pub fn off_load_peak_v(secondary_v: f64, topology: Topology, drop_v: f64) -> f64 {
    SQRT_2 * secondary_v - topology.drops() * drop_v
}

/// Peak-to-peak ripple, V: I / (p f C) with p pulses a cycle, a straight fall from pulse to pulse (any circuits text).
///
/// An upper bound: the reservoir falls only until the next pulse begins, so the true ripple is half to nine tenths of
/// it. The ripple frequency of a bridge is twice the mains frequency; forgetting that doubles the answer.
#[must_use]
pub fn ripple_v(load_a: f64, mains_hz: f64, reservoir_f: f64, topology: Topology) -> f64 {
    load_a / (topology.pulses() * mains_hz * reservoir_f)
}

/// Secondary RMS current that toroid makers allow for a bridge, or for split rails: 1.8 Idc.
///
/// A toroid maker's note (petra-toroid.ro); it fits a source resistance of 5 % of the load's. A light load on a stiff
/// winding draws a larger multiple.
#[must_use]
pub const fn makers_secondary_a(load_a: f64) -> f64 {
    1.8 * load_a
}
