//! What the trade estimates by hand: bounds and cross-checks for a rail.

use std::f64::consts::{FRAC_PI_2, PI, SQRT_2};

use super::supply::Topology;
use crate::physics::root::falling_root;

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

/// Printed factors for a capacitor-input rectifier.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Factors {
    /// Peak rail over RMS volts of the whole secondary.
    pub peak: f64,
    /// Average rail at full load over RMS volts of the whole secondary.
    pub average: f64,
    /// Load current over RMS current of the secondary.
    pub load_current: f64,
}

/// Factors of a transformer maker's one-page "Design Guide for Rectifier Use" for capacitor input.
///
/// Diode drop and transformer regulation are not in them, as the page says; they suit a fully loaded transformer. It
/// prints no factors for split rails: those here are the centre tap's volts, halved for one rail, and the bridge's
/// current.
#[must_use]
pub const fn design_guide(topology: Topology) -> Factors {
    match topology {
        Topology::HalfWave => Factors { peak: 1.41, average: 0.90, load_current: 0.28 },
        Topology::CentreTap => Factors { peak: 0.71, average: 0.45, load_current: 1.00 },
        Topology::Bridge => Factors { peak: 1.41, average: 0.90, load_current: 0.62 },
        Topology::SplitRails => Factors { peak: 0.71, average: 0.45, load_current: 0.62 },
    }
}

/// Secondary volts that toroid makers ask for a bridge, or for each half of split rails: 0.8 (Vdc + 2).
///
/// A toroid maker's note (petra-toroid.ro); it allows for mains tolerance, so it is on the high side.
#[must_use]
pub const fn makers_secondary_v(rail_v: f64) -> f64 {
    0.8 * (rail_v + 2.0)
}

/// Secondary RMS current that toroid makers allow for a bridge, or for split rails: 1.8 Idc.
///
/// A toroid maker's note (petra-toroid.ro); it fits a source resistance of 5 % of the load's. A light load on a stiff
/// winding draws a larger multiple.
#[must_use]
pub const fn makers_secondary_a(load_a: f64) -> f64 {
    1.8 * load_a
}

/// Average rail over the crest for a reservoir large enough to leave no ripple, with ideal diodes.
///
/// cos φ, where tan φ - φ = (π/p) Rs/RL, p pulses a cycle, φ half the conduction angle: the charge of the tips of a
/// sine through `source_ohm` against the charge into `load_ohm` (derived by setting the two integrals equal).
#[must_use]
pub fn large_reservoir_ratio(source_ohm: f64, load_ohm: f64, topology: Topology) -> f64 {
    let wanted = PI / topology.pulses() * source_ohm / load_ohm;
    falling_root(0.0, FRAC_PI_2, 1e-14, |phi| wanted - (phi.tan() - phi)).cos()
}

/// Conduction angle of a peak rectifier with ideal diodes, rad: √(2 ΔV / Vp), for a ripple small against the peak
/// (Sedra and Smith, "Microelectronic Circuits"; from memory, recomputed).
#[must_use]
pub fn conduction_rad(peak_v: f64, ripple_v: f64) -> f64 {
    (2.0 * ripple_v / peak_v).sqrt()
}

/// Mean and peak diode current while it conducts, A, of a peak rectifier with ideal diodes: I (1 + π √x) and
/// I (1 + 2π √x), x = 2 Vp / ΔV with one pulse a cycle, Vp / 2ΔV with two (Sedra and Smith, "Microelectronic
/// Circuits"; from memory, recomputed). An upper bound: winding resistance spreads the pulse.
#[must_use]
pub fn diode_current_a(load_a: f64, peak_v: f64, ripple_v: f64, topology: Topology) -> (f64, f64) {
    let pulses = topology.pulses();
    let root = (2.0 * peak_v / (pulses * pulses * ripple_v)).sqrt();
    (load_a * (1.0 + PI * root), load_a * (1.0 + 2.0 * PI * root))
}
