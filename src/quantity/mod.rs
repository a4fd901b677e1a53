//! Numbers with a dimension: exact decimals, units, and the readings a bench gives.
//!
//! Uses no other room. Always true here: a value is an exact decimal in base units, two values
//! compare only when their dimensions are equal, a comma is never read as a decimal point, and
//! over-range and not-a-number are readings of their own that never turn into a number. An
//! uncertainty is kept by what causes it, so values that share a cause stay correlated.

mod decimal;
mod decimal_text;
mod digit_slip;
mod dimension;
mod doubt;
mod engineering;
mod estimate;
mod fuse_mark;
mod input;
mod letter_mark;
mod prefix;
mod prefix_slip;
#[expect(clippy::module_inception, reason = "the room is named after its main type")]
mod quantity;
mod reading;
mod spread;
mod terms;
mod unit;
mod unit_symbols;

pub use decimal::Decimal;
pub use digit_slip::{is_digit_slip, is_point_slip};
pub use dimension::Dimension;
pub use estimate::Estimate;
pub use fuse_mark::{Breaking, FuseMark};
pub use input::{Input, Shape};
pub use prefix_slip::prefix_slip;
pub use quantity::{Quantity, QuantityError};
pub use reading::{Reading, ReadingError};
pub use spread::Spread;
pub use terms::Terms;
pub use unit::Unit;

#[cfg(test)]
mod gum_tests;
pub(crate) mod random;
