//! A netlist as people have it from their circuit editor: read within limits, spoiled by a fault, written for the simulator.
//!
//! May use `diagnostic`. Pure: it reads and writes text, not files.
//!
//! Always true: what is written holds nothing that was not understood when it was read, so no line of a stranger reaches the
//! simulator that could open a file, run a program or never end.

mod alteration;
mod circuit;
mod deck;
mod draw;
mod element;
mod error;
mod expansion;
mod fault;
mod fault_table;
mod limits;
mod line;
mod number;
mod point;
mod read;
mod spoil;
#[cfg(test)]
mod tests;

pub use alteration::{Alteration, alterations};
pub use circuit::{Netlist, is_ground};
pub use deck::{Case, CurvePoint, FeedCurve, FeedState, MARK, SourceFeed, deck};
pub use draw::OffValue;
pub use element::{Element, ElementKind};
pub use error::NetlistError;
pub use fault::{PartFault, PlacedFault};
pub use fault_table::{FAULTS, PartKind, faults_of};
pub use point::{CircuitPoint, Vector};
