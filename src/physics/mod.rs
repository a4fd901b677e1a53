//! Expectations in closed form or by small solvers, and published limits: what a bench reading should be, and why.
//!
//! May use: `quantity`. Pure.
//!
//! Always true: each function states its formula, its assumptions and its source. Where there is a safe side, the wait
//! before touching a capacitor above all, a function errs on it. Arguments and results are in SI base units; a ratio is
//! a plain number, so 5 % is 0.05. Published figures stand in one table each, with where they come from beside them.

pub mod charging;
pub mod colour_code;
pub mod damping;
pub mod discharge;
pub mod earth_conductor;
pub mod fuse;
pub mod lamp;
pub mod leakage_network;
pub mod letter_code;
pub mod level;
pub mod mains;
#[cfg(test)]
mod near;
pub mod output_stage;
pub mod preferred_value;
pub mod ramp;
pub mod rectifier;
pub mod residual_current;
pub mod residual_voltage;
pub mod resistor;
mod root;
pub mod safety_limits;
pub mod source;
pub mod stored_energy;
