//! The methods against published data, certified values and printed tables.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]

mod charts;
mod lines;
mod normal;
mod published;
mod samples;
mod shares;
mod tolerances;

/// Holds a number to a published one with this many units of it as the most that it may differ.
fn close(computed: f64, published: f64, by: f64) {
    assert!((computed - published).abs() <= by, "{computed} is not {published}");
}
