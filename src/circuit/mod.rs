//! The circuit of a piece of equipment, worked out by ngspice: what each reading would be, with and without a fault.
//!
//! May use `netlist`, `quantity`, `window`, `formula`, `record`, `statistics`, `procedure` and `practice`. Not pure: it runs the simulator as a process, in a folder of its own that goes with it, within limits of
//! time, memory and disk, and without a shell.
//!
//! Always true: a value that the simulator did not print as it was asked for is an error with the name of its case, never a
//! number; and everything else of the program works without the simulator.

mod answer;
pub mod coverage;
mod dialogue;
mod engine;
mod error;
mod model;
pub mod practice;
mod process;
mod rail;
mod route;
mod situation;
mod solver;
pub mod spread;
mod standing;
mod version;
mod walk;

pub use engine::Engine;
pub use error::CircuitError;
pub use model::Circuit;
pub use standing::{BenchFeed, StandingCircuit};
