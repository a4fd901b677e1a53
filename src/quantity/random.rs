//! Random numbers for simulations, the same in every run.

use std::num::NonZeroU32;

use super::{Input, Shape};

/// From here on Student's t is drawn as the bell curve: at 95 % they differ by one per cent.
const FREEDOM_DRAWN: u32 = 100;

/// A small generator of its own (SplitMix64), so that a failure repeats from its seed.
pub(crate) struct Random {
    state: u64,
}

impl Random {
    pub(crate) fn new(seed: u64) -> Random {
        Random { state: seed }
    }

    /// Anywhere from 0 to 1 alike, the ends left out.
    fn even(&mut self) -> f64 {
        self.state = self.state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mixed = (self.state ^ (self.state >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (((mixed ^ (mixed >> 31)) >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    /// From the bell curve of width one (Box and Muller).
    fn normal(&mut self) -> f64 {
        let size = (-2.0 * self.even().ln()).sqrt();
        size * (std::f64::consts::TAU * self.even()).cos()
    }

    /// From an input, in its standard uncertainties: of its shape, or Student's t where those are in doubt themselves
    /// (JCGM 101:2008, 6.4.9; from memory).
    pub(crate) fn draw_input(&mut self, input: &Input) -> f64 {
        match input.freedom().map(NonZeroU32::get) {
            Some(freedom) if freedom <= FREEDOM_DRAWN => self.student(freedom),
            Some(_) => self.normal(),
            None => self.draw(input.shape()),
        }
    }

    /// From Student's t, by its definition: the bell curve over the scatter of so many more draws of it.
    fn student(&mut self, freedom: u32) -> f64 {
        let above = self.normal();
        let squares = (0..freedom).map(|_| self.normal().powi(2)).sum::<f64>();
        above / (squares / f64::from(freedom)).sqrt()
    }

    /// From an input of this shape with a standard uncertainty of one.
    pub(crate) fn draw(&mut self, shape: Shape) -> f64 {
        match shape {
            Shape::Normal => self.normal(),
            Shape::Rectangular => 3_f64.sqrt() * (2.0 * self.even() - 1.0),
            Shape::Triangular => 6_f64.sqrt() * (self.even() - self.even()),
            Shape::Arcsine => 2_f64.sqrt() * (std::f64::consts::TAU * self.even()).cos(),
        }
    }
}
