//! Walks a person through the first power after a repair.

pub mod diagnostic;
pub mod formula;
pub mod quantity;
pub mod window;
