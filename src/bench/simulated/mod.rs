//! A bench inside the program, for a rehearsal: a supply, meters and a mains limiter that answer on sockets of this
//! machine, over a model of the equipment.
//!
//! The program reaches them by the same links and drivers as real instruments. Only what a person's hands do, placing
//! probes and turning controls, comes by a way of its own: [`SimulatedBench::probe`].

mod bench;
mod board;
mod hands;
mod instruments;
mod limiter;
mod log;
mod meter;
mod model;
mod output;
mod rig;
mod scpi;
mod server;
mod supply;
#[cfg(test)]
mod tests;

pub use bench::{CircuitOnBench, Rehearsal, SimulatedBench, StartError};
