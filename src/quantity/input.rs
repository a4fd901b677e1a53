//! What makes a value uncertain, by name.

use std::num::NonZeroU32;

use serde::{Deserialize, Serialize};

/// How the values an input may have are spread.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
#[serde(rename_all = "snake_case")]
pub enum Shape {
    /// The bell curve: averages of readings, and what a certificate states with its k.
    #[default]
    Normal,
    /// Anywhere between two bounds alike: a meter's accuracy, the last digit of a display.
    Rectangular,
    /// Between two bounds, the middle likeliest: the difference of two like rectangular inputs.
    Triangular,
    /// Between two bounds, the ends likeliest: something that swings, like a cycling temperature.
    Arcsine,
}

impl Shape {
    /// Gives how often the standard uncertainty goes into the half-width between the bounds; `None`
    /// for the bell curve, which has no bounds.
    ///
    /// GUM (JCGM 100:2008) 4.3.7, 4.3.9 and 4.4.5: root 3, root 6; H.1: root 2.
    pub fn divisor(self) -> Option<f64> {
        match self {
            Shape::Normal => None,
            Shape::Rectangular => Some(3_f64.sqrt()),
            Shape::Triangular => Some(6_f64.sqrt()),
            Shape::Arcsine => Some(2_f64.sqrt()),
        }
    }
}

/// Something uncertain that nothing else stands behind: a meter's error, the scatter of an average.
///
/// Inputs are independent of each other. Two inputs are one and the same when their names, shapes and
/// degrees of freedom are alike, so one name is for one thing.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Input {
    name: String,
    shape: Shape,
    freedom: Option<NonZeroU32>,
}

impl Input {
    /// Names an input whose standard uncertainty is known without doubt.
    pub fn new(name: impl Into<String>, shape: Shape) -> Input {
        Input { name: name.into(), shape, freedom: None }
    }

    /// Sets the degrees of freedom: how well the standard uncertainty itself is known.
    ///
    /// One less than the readings for the average of some; none at all, the default, for infinitely
    /// many.
    #[must_use]
    pub fn with_freedom(self, freedom: Option<NonZeroU32>) -> Input {
        Input { freedom, ..self }
    }

    /// How its values are spread.
    pub fn shape(&self) -> Shape {
        self.shape
    }

    /// Its degrees of freedom; `None` for infinitely many.
    pub fn freedom(&self) -> Option<NonZeroU32> {
        self.freedom
    }
}
