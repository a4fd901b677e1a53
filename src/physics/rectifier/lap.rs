//! One lap: the reservoir's voltage from one zero crossing of the mains to the next charging pulse's.

use std::f64::consts::{FRAC_1_SQRT_2, FRAC_PI_2, PI};

use super::diode::DiodeString;
use super::load::{Load, ReservoirFall};
use crate::physics::root::falling_root;

/// Steps from the start of conduction to the crest. Sixteen times as many move no volts or amperes by 0.1 %.
const STEPS_TO_CREST: f64 = 32.0;

/// Shortest step, rad: conduction that starts at the crest itself still gets on.
const SHORTEST_STEP: f64 = 1e-4;

/// Where the search for the steady state begins, as a part of the crest: about where a rail with little load is.
const NEARLY_FULL: f64 = 0.95;

/// A lap is steady when its start is this near, as a part of the crest. Four to six laps are usual.
const STEADY: f64 = 1e-9;
const MOST_LAPS: usize = 100;

/// The two-stage, second-order, stiffly accurate SDIRK method (Alexander, SIAM J. Numer. Anal. 14 (1977) 1006, from
/// memory): stable however small the winding resistance makes the charging time constant.
const GAMMA: f64 = 1.0 - FRAC_1_SQRT_2;

/// The charging loop of one rail, with everything a lap needs.
#[derive(Debug, Clone, Copy)]
pub(super) struct Loop {
    /// Crest of the winding's sine, V.
    pub(super) crest_v: f64,
    /// Angular frequency of the mains, rad/s.
    pub(super) omega: f64,
    /// Resistance of the winding, ohm.
    pub(super) winding_ohm: f64,
    /// The diodes of one pulse.
    pub(super) diodes: DiodeString,
    /// Reservoir, F.
    pub(super) farad: f64,
    /// What the rail feeds.
    pub(super) load: Load,
    /// Mains angle from pulse to pulse, rad: half a turn, or a whole one with a single diode.
    pub(super) lap_rad: f64,
}

/// A moment of conduction.
#[derive(Debug, Clone, Copy)]
pub(super) struct ConductionSample {
    /// Mains angle, rad.
    pub(super) angle: f64,
    /// Time the sample stands for in an integral, s.
    pub(super) weight_s: f64,
    /// Volts of the winding's ideal source, and of the reservoir.
    pub(super) source_v: f64,
    pub(super) reservoir_v: f64,
    /// Charging current, A.
    pub(super) ampere: f64,
}

/// What happened in one lap.
#[derive(Debug)]
pub(super) struct Lap {
    pub(super) start_v: f64,
    end_v: f64,
    /// How steeply the end rises with the start.
    slope: f64,
    /// Angle at which the diodes begin to conduct.
    pub(super) on_at: f64,
    pub(super) conducting: Vec<ConductionSample>,
    /// Before and after conduction.
    pub(super) falls: [ReservoirFall; 2],
}

impl Loop {
    fn source_v(&self, angle: f64) -> f64 {
        self.crest_v * angle.sin()
    }

    /// The highest voltage the reservoir can be charged to.
    pub(super) fn ceiling_v(&self) -> f64 {
        self.crest_v - self.diodes.onset_v()
    }

    fn fall(&self, start_v: f64, radians: f64) -> ReservoirFall {
        self.load.fall(self.farad, start_v, radians / self.omega)
    }

    /// Carries the reservoir from `start_v` at a zero crossing through one lap.
    fn lap(&self, start_v: f64) -> Lap {
        let on_at = self.on_at(start_v);
        let before = self.fall(start_v, on_at);
        let (conducting, off_at, off_v, driven_slope) = self.conduct(on_at, before.end_v);
        let after = self.fall(off_v, self.lap_rad - off_at);
        // Conduction begins and ends without a current, so when it does counts for nothing here.
        let slope = before.slope * driven_slope * after.slope;
        let falls = [before, after];
        Lap { start_v, end_v: after.end_v, slope, on_at, conducting, falls }
    }

    /// The lap that ends where it began, looked for from `near_v`.
    ///
    /// A lap's end rises with its start, and by less than the start does: a higher reservoir takes less charge. So what
    /// a lap gives and what it takes balance at one voltage between empty and the crest, whatever the load's time
    /// constant. Newton's steps lead there, with halving where one would leave the bracket.
    pub(super) fn steady(&self, near_v: Option<f64>) -> Lap {
        let ceiling = self.ceiling_v();
        let nothing_falls = self.fall(ceiling, self.lap_rad).end_v >= ceiling;
        if nothing_falls {
            return self.lap(ceiling);
        }
        let (mut low, mut high) = (0.0, ceiling);
        let mut lap = self.lap(near_v.unwrap_or(NEARLY_FULL * ceiling));
        for _ in 0..MOST_LAPS {
            let gained = lap.end_v - lap.start_v;
            *(if gained > 0.0 { &mut low } else { &mut high }) = lap.start_v;
            let newton = lap.start_v + gained / (1.0 - lap.slope);
            let inside = (low..=high).contains(&newton);
            let next = if inside { newton } else { f64::midpoint(low, high) };
            if (next - lap.start_v).abs() < STEADY * ceiling {
                break;
            }
            lap = self.lap(next);
        }
        lap
    }

    /// Angle at which the rising source meets the falling reservoir; the crest when it never does.
    fn on_at(&self, start_v: f64) -> f64 {
        let onset = self.diodes.onset_v();
        falling_root(0.0, FRAC_PI_2, 1e-11, |angle| {
            self.fall(start_v, angle).end_v + onset - self.source_v(angle)
        })
    }

    /// Steps through conduction; returns the samples, the angle and voltage at which it ends, and how steeply that
    /// voltage rises with `on_v`.
    fn conduct(&self, on_at: f64, on_v: f64) -> (Vec<ConductionSample>, f64, f64, f64) {
        let step = ((FRAC_PI_2 - on_at) / STEPS_TO_CREST).max(SHORTEST_STEP);
        let mut samples = Vec::with_capacity(256);
        let (mut angle, mut volts, mut slope) = (on_at, on_v, 1.0);
        while angle < PI {
            let step = step.min(PI - angle);
            let (first, first_slope) =
                self.stage(angle + GAMMA * step, (1.0 - GAMMA) * step, GAMMA * step, volts);
            let base = volts + (first.reservoir_v - volts) * (1.0 - GAMMA) / GAMMA;
            let (second, second_slope) = self.stage(angle + step, GAMMA * step, GAMMA * step, base);
            slope *= second_slope * (1.0 + (first_slope - 1.0) * (1.0 - GAMMA) / GAMMA);
            samples.extend([first, second]);
            (angle, volts) = (angle + step, second.reservoir_v);
            // One stage alone may round below zero where conduction fades out.
            if first.ampere <= 0.0 && second.ampere <= 0.0 {
                break;
            }
        }
        (samples, angle.min(PI), volts, slope)
    }

    /// One implicit stage at `angle`, worked from `base_v` over `reach` radians: a source, the diodes and a resistance.
    ///
    /// Returns how steeply the reservoir's voltage rises with `base_v`, too.
    fn stage(&self, angle: f64, weight: f64, reach: f64, base_v: f64) -> (ConductionSample, f64) {
        let source_v = self.source_v(angle);
        let reach_ohm = reach / (self.omega * self.farad);
        let (idle_v, step_ohm) = self.load.step_line(base_v, reach_ohm);
        let ohm = self.winding_ohm + step_ohm;
        let mut ampere = self.diodes.current(source_v - idle_v, ohm);
        let mut reservoir_v = idle_v + step_ohm * ampere;
        let mut slope = step_ohm / reach_ohm * (1.0 - step_ohm * self.diodes.siemens(ampere, ohm));
        if reservoir_v < 0.0 {
            // A constant-current load on an empty reservoir takes just what arrives.
            ampere = self.diodes.current(source_v, self.winding_ohm);
            (reservoir_v, slope) = (0.0, 0.0);
        }
        (
            ConductionSample {
                angle,
                weight_s: weight / self.omega,
                source_v,
                reservoir_v,
                ampere,
            },
            slope,
        )
    }
}
