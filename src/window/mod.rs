//! The acceptance limits of a reading, the verdict against them, and the line that shows both.
//!
//! Uses `quantity`. Always true here: limits are inclusive; over-range is inside only where a
//! window says that open is good; what is not a number, or measures something else, is never
//! inside.

mod bar;
mod bounds;
mod describe;
mod verdict;

pub use bar::{Position, bar, position};
pub use bounds::{Bounds, WindowError, Within};
pub use verdict::{Side, Verdict};
