//! What a meter and a scope would show on one rail, gathered from a steady lap.

use super::lap::{ConductionSample, Lap, Loop};

/// Conduction is counted where the current exceeds this share of its peak: an exponential junction has no sharp edge.
const CONDUCTING_SHARE: f64 = 0.01;

/// One rail in the steady state. A negative rail with the same parts and load is the mirror image.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rail {
    /// Voltage as the mains crosses zero, V.
    pub zero_crossing_v: f64,
    /// Mean voltage, V.
    pub average_v: f64,
    /// Highest voltage of the ripple, V.
    pub peak_v: f64,
    /// Lowest voltage of the ripple, V.
    pub valley_v: f64,
    /// Angle for which one charging pulse lasts, in degrees of the mains cycle (current above 1 % of its peak).
    pub conduction_deg: f64,
    /// Root mean square of the current in the winding, or in one half of a centre-tapped one, A.
    pub winding_rms_a: f64,
    /// Peak of the current in that winding, A.
    pub winding_peak_a: f64,
    /// Root mean square of the rail's charging current, whichever winding half brings it, A.
    pub charging_rms_a: f64,
    /// Mean current into the load, A. Below what a constant-current load asks for when the winding can't give it.
    pub load_a: f64,
    /// Mean power from the winding's ideal source into this rail, W: the sum of the three below.
    pub source_w: f64,
    /// Mean power in the load, W.
    pub load_w: f64,
    /// Mean power lost in the winding's resistance, W.
    pub winding_w: f64,
    /// Mean power lost in the diodes, W.
    pub diode_w: f64,
}

impl Rail {
    /// Peak-to-peak ripple, V.
    #[must_use]
    pub const fn ripple_v(&self) -> f64 {
        self.peak_v - self.valley_v
    }

    /// Gathers a steady lap; `winding_share` is the winding's RMS current over the rail's charging current.
    pub(super) fn gather(charging: &Loop, lap: &Lap, winding_share: f64) -> Self {
        let seconds = charging.lap_rad / charging.omega;
        let mean = |quantity: fn(&ConductionSample) -> f64| -> f64 {
            lap.conducting.iter().map(|sample| sample.weight_s * quantity(sample)).sum::<f64>()
                / seconds
        };
        let falling = |part: fn(&super::load::ReservoirFall) -> f64| -> f64 {
            lap.falls.iter().map(part).sum::<f64>() / seconds
        };
        let average_v = mean(|sample| sample.reservoir_v) + falling(|fall| fall.volt_seconds);
        let mean_square =
            mean(|sample| sample.reservoir_v.powi(2)) + falling(|fall| fall.square_seconds);
        let charging_square = mean(|sample| sample.ampere.powi(2));
        let winding_w = charging.winding_ohm * charging_square;
        let diodes_and_winding =
            mean(|sample| sample.ampere * (sample.source_v - sample.reservoir_v));
        let volts = || {
            let conducting = lap.conducting.iter().map(|sample| sample.reservoir_v);
            conducting.chain(lap.falls.map(|fall| fall.end_v)).chain([lap.start_v])
        };
        Self {
            zero_crossing_v: lap.start_v,
            average_v,
            peak_v: volts().fold(0.0, f64::max),
            valley_v: volts().fold(f64::INFINITY, f64::min),
            conduction_deg: conduction_rad(lap).to_degrees(),
            winding_rms_a: winding_share * charging_square.sqrt(),
            winding_peak_a: peak_a(lap),
            charging_rms_a: charging_square.sqrt(),
            load_a: mean(|sample| sample.ampere),
            source_w: mean(|sample| sample.source_v * sample.ampere),
            load_w: charging.load.power_w(average_v, mean_square),
            winding_w,
            diode_w: diodes_and_winding - winding_w,
        }
    }
}

fn peak_a(lap: &Lap) -> f64 {
    lap.conducting.iter().map(|sample| sample.ampere).fold(0.0, f64::max)
}

/// From the first to the last crossing of the threshold, by straight lines between samples.
fn conduction_rad(lap: &Lap) -> f64 {
    let threshold = CONDUCTING_SHARE * peak_a(lap);
    let mut earlier = (lap.on_at, 0.0);
    let (mut from, mut to) = (None, lap.on_at);
    for sample in &lap.conducting {
        let later = (sample.angle, sample.ampere);
        if (earlier.1 < threshold) != (later.1 < threshold) {
            let share = (threshold - earlier.1) / (later.1 - earlier.1);
            to = earlier.0 + share * (later.0 - earlier.0);
            from = from.or(Some(to));
        } else if later.1 > threshold {
            to = later.0;
        }
        earlier = later;
    }
    to - from.unwrap_or(to)
}
