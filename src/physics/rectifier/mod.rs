//! A mains rectifier with a reservoir capacitor: rail volts, ripple and winding current in the steady state.
//!
//! May use: the root finder beside it. Pure.
//!
//! Always true: [`RailSupply::steady`] works out the periodic steady state itself; what the trade estimates by hand is in
//! [`rules`] as a bound or a cross-check, never as an input to it. The models are stated with each type; a real rail
//! also moves with the mains and with the transformer's regulation, which [`secondary`] brings in.

/// How it is worked out, and how far that can be relied on.
pub const EXPLANATION: &str = include_str!("explanation.md");

mod diode;
mod fitted;
mod lap;
mod load;
mod rail;
pub mod rules;
pub mod secondary;
mod supply;

pub use diode::{Diode, Junction};
pub use fitted::Fitted;
pub use load::Load;
pub use rail::Rail;
pub use supply::{RailSupply, SupplyError, Topology};

#[cfg(test)]
mod tests;
