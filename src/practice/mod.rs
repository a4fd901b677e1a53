//! Practice on a hidden fault: drawing it, hiding it, and judging what the person made of it.
//!
//! May use `quantity`, `netlist`, `record` and `procedure`. Pure: the same seed draws the same fault, and the same record is judged alike.
//!
//! Always true: until the person has said what is wrong, the record holds of the fault no more than a hash.

mod course;
mod draw;
mod hiding;
mod judge;
mod repairs;
#[cfg(test)]
mod tests;

pub use course::{Course, StepTime};
pub use draw::{DrawnFault, FaultDraw, SOUND_ONE_IN};
pub use hiding::{hidden, is_this, opened};
pub use judge::judged;
pub use repairs::named;
