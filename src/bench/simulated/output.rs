//! One output of the simulated supply: what it is set to, and the rail it feeds.

use super::model::LoadNow;
use crate::physics::charging::FeedLimit;

/// The time over which its ammeter averages (s).
const AVERAGED_S: f64 = 0.1;

/// What has switched an output off by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum TrippedProtection {
    OverVoltage,
    OverCurrent,
}

/// What an output is set to, in volts and amperes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Settings {
    pub(super) voltage_v: f64,
    pub(super) limit_a: f64,
    pub(super) over_voltage_v: f64,
    pub(super) over_current_a: f64,
}

/// An output of the supply.
#[derive(Clone, Debug)]
pub(super) struct SimulatedOutput {
    pub(super) name: String,
    pub(super) number: u32,
    /// The most that can be set.
    pub(super) highest: Settings,
    pub(super) set: Settings,
    is_on: bool,
    tripped: Option<TrippedProtection>,
    /// The voltage across the reservoir it feeds.
    reservoir_v: f64,
    amps: f64,
    is_limiting: bool,
    is_connected: bool,
}

impl SimulatedOutput {
    pub(super) fn new(name: String, number: u32, volts_max: f64, amps_max: f64) -> Self {
        let highest = Settings {
            voltage_v: volts_max,
            limit_a: amps_max,
            over_voltage_v: 1.2 * volts_max,
            over_current_a: 1.2 * amps_max,
        };
        Self {
            name,
            number,
            highest,
            set: Settings { voltage_v: 0.0, limit_a: 0.0, ..highest },
            is_on: false,
            tripped: None,
            reservoir_v: 0.0,
            amps: 0.0,
            is_limiting: false,
            is_connected: true,
        }
    }

    /// Lets time pass at a load.
    pub(super) fn pass(&mut self, seconds: f64, load: &LoadNow, is_mains_on: bool) {
        self.is_connected = load.is_connected;
        let feeds = self.is_on && load.is_connected;
        let feed = if feeds {
            FeedLimit { voltage_v: self.set.voltage_v, limit_a: self.set.limit_a }
        } else {
            FeedLimit::NONE
        };
        let mut after = load.charging.after(feed, self.reservoir_v, seconds);
        if let Some(held) = load.mains_v.filter(|_| is_mains_on) {
            after.voltage_v = held;
            after.charge_c = 0.0;
        }
        self.reservoir_v = after.voltage_v;
        self.is_limiting = feeds && after.is_limiting;
        if seconds > 0.0 {
            let mean = after.charge_c / seconds;
            self.amps += (mean - self.amps) * (1.0 - (-seconds / AVERAGED_S).exp());
            self.protect(mean);
        }
    }

    fn protect(&mut self, amps: f64) {
        let acts = if self.is_on && self.volts() > self.set.over_voltage_v * (1.0 + 1e-9) {
            Some(TrippedProtection::OverVoltage)
        } else if self.is_on && amps > self.set.over_current_a * (1.0 + 1e-9) {
            Some(TrippedProtection::OverCurrent)
        } else {
            None
        };
        if acts.is_some() {
            self.tripped = acts;
            self.off();
        }
    }

    /// Switches it on, unless a protection holds it off.
    pub(super) fn on(&mut self) -> Result<(), TrippedProtection> {
        match self.tripped {
            Some(protection) => Err(protection),
            None => {
                self.is_on = true;
                Ok(())
            }
        }
    }

    pub(super) fn off(&mut self) {
        self.is_on = false;
        self.is_limiting = false;
        self.amps = 0.0;
    }

    pub(super) fn is_on(&self) -> bool {
        self.is_on
    }

    /// Whether it is on and its leads are on what it feeds.
    pub(super) fn feeds(&self) -> bool {
        self.is_on && self.is_connected
    }

    pub(super) fn is_limiting(&self) -> bool {
        self.is_limiting
    }

    pub(super) fn tripped(&self) -> Option<TrippedProtection> {
        self.tripped
    }

    /// Lets it be switched on again after a protection acted.
    pub(super) fn clear_protection(&mut self) {
        self.tripped = None;
    }

    /// The voltage at its terminals.
    pub(super) fn volts(&self) -> f64 {
        match (self.is_connected, self.is_on) {
            (true, _) => self.reservoir_v,
            (false, true) => self.set.voltage_v,
            (false, false) => 0.0,
        }
    }

    pub(super) fn reservoir_v(&self) -> f64 {
        self.reservoir_v
    }

    /// The current it delivers, averaged as its ammeter does.
    pub(super) fn amps(&self) -> f64 {
        self.amps
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::*;
    use crate::physics::charging::{Charging, RailDraw};

    const LOAD: LoadNow = LoadNow {
        charging: Charging {
            capacitance_f: 10e-3,
            draw: RailDraw { resistance_ohm: 2200.0, current_a: 0.02, from_v: 3.0, full_v: 6.0 },
        },
        mains_v: Some(43.0),
        is_connected: true,
    };

    fn output(voltage_v: f64, limit_a: f64) -> SimulatedOutput {
        let mut output = SimulatedOutput::new("plus".to_owned(), 1, 60.0, 3.0);
        output.set.voltage_v = voltage_v;
        output.set.limit_a = limit_a;
        output.on().unwrap();
        output
    }

    #[test]
    fn it_limits_while_the_reservoir_charges_and_then_holds_its_voltage() {
        let mut output = output(15.0, 0.1);
        output.pass(0.5, &LOAD, false);
        assert!(output.is_limiting() && output.volts() < 5.0);
        for _ in 0..60 {
            output.pass(0.1, &LOAD, false);
        }
        assert!(!output.is_limiting());
        assert!((output.volts() - 15.0).abs() < 1e-9);
        assert!((output.amps() - (0.02 + 15.0 / 2200.0)).abs() < 1e-6, "{} A", output.amps());
    }

    #[test]
    fn switched_off_it_delivers_nothing_and_the_rail_falls_by_its_own_draw() {
        let mut output = output(15.0, 1.0);
        output.pass(10.0, &LOAD, false);
        output.off();
        output.pass(1.0, &LOAD, false);
        assert!(output.amps().abs() < 1e-12);
        assert!((10.0..13.5).contains(&output.volts()), "{} V", output.volts());
        output.pass(600.0, &LOAD, false);
        assert!(output.volts() < 0.1);
    }

    #[test]
    fn each_protection_switches_it_off_and_keeps_it_off() {
        let mut over_voltage = output(15.0, 1.0);
        over_voltage.set.over_voltage_v = 12.0;
        over_voltage.pass(5.0, &LOAD, false);
        assert_eq!(over_voltage.tripped(), Some(TrippedProtection::OverVoltage));
        let mut over_current = output(15.0, 1.0);
        over_current.set.over_current_a = 0.5;
        over_current.pass(0.01, &LOAD, false);
        assert_eq!(over_current.tripped(), Some(TrippedProtection::OverCurrent));
        for mut tripped in [over_voltage, over_current] {
            assert!(!tripped.is_on());
            assert!(tripped.on().is_err());
            tripped.clear_protection();
            tripped.set = tripped.highest;
            assert!(tripped.on().is_ok());
        }
    }

    #[test]
    fn the_mains_holds_the_reservoir_and_leads_that_are_off_show_none_of_it() {
        let mut output = SimulatedOutput::new("plus".to_owned(), 1, 60.0, 3.0);
        let load = LoadNow { is_connected: false, ..LOAD };
        output.pass(1.0, &load, true);
        assert!((output.reservoir_v() - 43.0).abs() < 1e-12);
        assert!(output.volts().abs() < 1e-12);
        output.pass(10.0, &load, false);
        assert!((10.0..43.0).contains(&output.reservoir_v()));
    }
}
