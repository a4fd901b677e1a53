//! A filament lamp in series with the equipment: how much of the mains it takes, how it glows, which one to fit.
//!
//! May use: `rectifier` and the root finder beside it. Pure.
//!
//! Always true: a lamp is steady, with a filament of one temperature whose resistance does not move within a mains
//! cycle; it swings by up to a few per cent at full glow. All volts and amperes are RMS. These are models with
//! constants from memory, good for telling a sound load from a short, and no limit for a person: behind a dark lamp the
//! equipment still has the whole mains voltage.

/// How it is worked out, and how far that can be relied on.
pub const EXPLANATION: &str = include_str!("explanation.md");

mod choice;
mod filament;
mod glow;
mod operating_point;
mod trade_law;
mod transformer;
mod tungsten;

pub use choice::smallest_fitting;
pub use filament::Lamp;
pub use operating_point::{LampError, OperatingPoint};
pub use trade_law::TradeLamp;
pub use transformer::{OnTransformer, Transformer};

#[cfg(test)]
mod tests;
