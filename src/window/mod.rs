//! The acceptance limits of a reading, the verdict against them, and the line that shows both.
//!
//! Uses `quantity`. Always true here: limits are inclusive; over-range is inside only where a
//! window says that open is good; what is not a number, or measures something else, is never
//! inside; under a guarded rule a value is inside or outside only where its uncertainty leaves no
//! question.

mod accuracy;
mod agreement;
mod bar;
mod bounds;
mod conformity;
mod decision;
mod describe;
mod spread;
mod uncertainty;
mod verdict;

pub use accuracy::{
    Accuracy, AccuracyError, Conditions, EXPLANATION as ACCURACY_EXPLANATION, LOADING_LEFT,
    OutsideSpan,
};
pub use agreement::Agreement;
pub use bar::{Position, bar, position};
pub use bounds::{Bounds, WindowError, Within};
pub use decision::Rule;
pub use uncertainty::Uncertainty;
pub use verdict::{Side, Verdict};

#[cfg(test)]
mod tests;
