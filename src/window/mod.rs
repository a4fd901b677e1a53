//! The acceptance limits of a reading, the verdict against them, and the line that shows both.
//!
//! Uses `quantity`. Always true here: limits are inclusive; over-range is inside only where a
//! window says that open is good and has no upper limit; what is not a number, measures something
//! else, or is no value that its kind can have, is never inside; a single limit of what has two
//! directions holds for its size; under a guarded rule a value is inside or outside only where its uncertainty leaves no
//! question.

mod accuracy;
mod agreement;
mod bar;
mod bounds;
mod conformity;
mod credible;
mod decision;
mod describe;
mod loading;
mod side;
mod spread;
mod uncertainty;
mod verdict;

pub use accuracy::{Accuracy, Conditions, EXPLANATION as ACCURACY_EXPLANATION, LOADING_LEFT};
pub use agreement::Closeness;
pub use bar::{bar, position};
pub use bounds::{Bounds, WindowError, Within};
pub use credible::{Sign, is_absurd};
pub use decision::Rule;
pub use loading::is_loaded;
pub use side::Side;
pub use uncertainty::Uncertainty;
pub use verdict::Verdict;

#[cfg(test)]
mod tests;
