//! Expectations in closed form: what stored charge does after the source is off.
//!
//! May use: `quantity`. Pure.
//!
//! Always true: each function states its formula, its assumptions and its source, and errs on the side of a longer
//! wait.

pub mod discharge;
