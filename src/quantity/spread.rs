//! How the true value is spread about an estimate.

use std::sync::Arc;

/// How the true value is spread about an estimate, and so what its chances to be within limits go by.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Spread {
    /// As the terms add up, each with its own shape.
    #[default]
    ByTerms,
    /// As draws of the inputs came out (JCGM 101:2008): how far each is from the value, in base units; `None` for one
    /// without a result. The terms only tell how wide that is.
    Drawn(Arc<[Option<f64>]>),
    /// In a way that nothing tells: it was worked out from such draws, of which the terms keep the width and not the shape.
    Unknown,
}
