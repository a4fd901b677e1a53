//! Published examples and simulations, across the files of the room.

#![expect(clippy::unwrap_used, reason = "a test fails loudly")]

mod accuracy;
mod coverage;
mod decision;
mod global_risk;

use crate::quantity::{Dimension, Estimate, Input, Quantity, Shape};
use crate::window::Uncertainty;

fn quantity(text: &str) -> Quantity {
    Quantity::parse(text).unwrap()
}

fn pure(value: f64) -> Quantity {
    Quantity::from_f64(value, Dimension::NONE).unwrap()
}

/// An uncertainty of bell-curve shape as standards' examples state it: u, and U = k u.
fn uncertainty(standard: &str, coverage: f64) -> Uncertainty {
    let standard = quantity(standard);
    let expanded = Quantity::from_f64(coverage * standard.to_f64(), standard.dimension).unwrap();
    Uncertainty { standard, expanded, coverage, freedom: None, level: 0.95 }
}

/// A reading whose only uncertainty is a bell curve with this standard uncertainty.
fn bell(reading: &str, standard: &str) -> Estimate {
    let standard = quantity(standard).to_f64();
    Estimate::exact(quantity(reading)).with(Input::new("bell", Shape::Normal), standard)
}

/// An exact zero with one normal and one rectangular input, by their standard uncertainties.
fn with_both(normal: f64, rectangular: f64) -> Estimate {
    Estimate::exact(pure(0.0))
        .with(Input::new("normal", Shape::Normal), normal)
        .with(Input::new("rectangular", Shape::Rectangular), rectangular)
}

fn assert_close(found: f64, expected: f64, relative: f64) {
    assert!((found / expected - 1.0).abs() < relative, "found {found}, expected {expected}");
}
