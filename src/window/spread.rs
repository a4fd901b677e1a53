//! The spread of a sum of independent terms, and the interval that holds a part of it.

use std::num::NonZeroU32;

use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

use crate::quantity::{Input, Shape, Terms};

/// Cells on each side of zero in a table of chances: the half-widths come out to 0.1 %.
const CELLS: usize = 1000;

/// Points by which an arcsine term is replaced.
const POINTS: u32 = 500;

/// From here on Student's t is the bell curve to five digits.
const AS_GOOD_AS_INFINITE: u32 = 100_000;

/// Gives the half-width of the interval about zero that holds `level` of the sum of all terms.
///
/// Terms known by their bounds alone keep their shape; all others together are Student's t with
/// their effective degrees of freedom, as in GUM G.4. The sum is taken numerically (the propagation
/// of distributions of JCGM 101:2008), because a factor from the bell curve is too wide for one
/// dominant bounded term and would be wrong by up to 19 % (EA-4/02 S9).
pub(super) fn half_width(terms: &Terms, level: f64) -> f64 {
    let (core, bounded) = parts(terms);
    match (bounded.as_slice(), core.standard > 0.0) {
        ([], _) => core.half_width(level),
        ([alone], false) => alone.half_width(level),
        (_, _) => Chances::of(&core, &bounded, core.half_width(level)).half_width(level),
    }
}

/// Gives the chance that the sum of all terms is below `-distance`, and as they are alike on both sides also that it is
/// above `distance`: by the same shapes as [`half_width`].
pub(super) fn beyond(terms: &Terms, distance: f64) -> f64 {
    let (core, bounded) = parts(terms);
    match (bounded.as_slice(), core.standard > 0.0) {
        ([], true) => core.at_most(-distance),
        ([], false) if distance < 0.0 => 1.0,
        ([], false) => 0.0,
        ([alone], false) => alone.at_most(-distance),
        (_, false) => Chances::of(&core, &bounded, 0.0).chance(-distance),
        // The bounded terms have an end, so their table is whole; the bell curve is taken about each of its cells.
        (_, true) => {
            let table = Chances::of(&Core { standard: 0.0, freedom: None }, &bounded, 0.0);
            let (parts, places) = (table.at_most.windows(2), table.points());
            let weighted = parts.zip(places).filter_map(|(ends, place)| {
                let [low, high] = ends else { return None };
                let share = high - low;
                (share > 0.0).then(|| share * core.at_most(-distance - place - table.step / 2.0))
            });
            weighted.sum()
        }
    }
}

/// All that has no sharp bounds as one, and each term that has.
fn parts(terms: &Terms) -> (Core, Vec<Bounded>) {
    let (bounded, rest): (Vec<_>, Vec<_>) = terms.iter().partition(|(input, _)| is_bounded(input));
    let rest = rest.into_iter().fold(Terms::NONE, |mut rest, (input, term)| {
        rest.add(input.clone(), term);
        rest
    });
    let core = Core { standard: rest.standard_uncertainty(), freedom: rest.effective_freedom() };
    (core, bounded.into_iter().filter_map(|(input, term)| Bounded::of(input, term)).collect())
}

/// Gives the factor that holds `level` of Student's t on both sides (GUM Table G.2); of the bell
/// curve without a number of degrees of freedom.
pub(super) fn coverage_factor(freedom: Option<NonZeroU32>, level: f64) -> f64 {
    let below = f64::midpoint(1.0, level);
    match student(freedom) {
        Some(student) => student.inverse_cdf(below),
        None => Normal::standard().inverse_cdf(below),
    }
}

fn student(freedom: Option<NonZeroU32>) -> Option<StudentsT> {
    let freedom = freedom.map(NonZeroU32::get).filter(|freedom| *freedom < AS_GOOD_AS_INFINITE)?;
    StudentsT::new(0.0, 1.0, f64::from(freedom)).ok()
}

/// Whether an input's bounds are known sharply: doubt about its uncertainty blurs them.
fn is_bounded(input: &Input) -> bool {
    input.shape().divisor().is_some() && input.freedom().is_none()
}

/// Everything that has no sharp bounds.
struct Core {
    standard: f64,
    freedom: Option<NonZeroU32>,
}

impl Core {
    fn half_width(&self, level: f64) -> f64 {
        if self.standard > 0.0 { coverage_factor(self.freedom, level) * self.standard } else { 0.0 }
    }

    /// The chance of at most `x`, where there is any spread.
    fn at_most(&self, x: f64) -> f64 {
        let x = x / self.standard;
        student(self.freedom).map_or_else(|| Normal::standard().cdf(x), |student| student.cdf(x))
    }
}

/// A term known by its bounds.
struct Bounded {
    shape: Shape,
    bound: f64,
}

impl Bounded {
    fn of(input: &Input, term: f64) -> Option<Bounded> {
        let shape = input.shape();
        Some(Bounded { shape, bound: term.abs() * shape.divisor()? })
    }

    fn half_width(&self, level: f64) -> f64 {
        self.bound
            * match self.shape {
                Shape::Triangular => 1.0 - (1.0 - level).sqrt(),
                Shape::Arcsine => (std::f64::consts::FRAC_PI_2 * level).sin(),
                Shape::Rectangular | Shape::Normal => level,
            }
    }

    /// The chance of at most `x`.
    fn at_most(&self, x: f64) -> f64 {
        let part = (x / self.bound).clamp(-1.0, 1.0);
        match self.shape {
            Shape::Triangular if part < 0.0 => (1.0 + part).powi(2) / 2.0,
            Shape::Triangular => 1.0 - (1.0 - part).powi(2) / 2.0,
            Shape::Arcsine => 0.5 + part.asin() / std::f64::consts::PI,
            Shape::Rectangular | Shape::Normal => f64::midpoint(1.0, part),
        }
    }
}

/// The chance that a sum is at most so large, in a table with straight lines between its points.
struct Chances {
    step: f64,
    /// From `-CELLS` steps to `CELLS` steps.
    at_most: Vec<f64>,
}

impl Chances {
    /// Makes the table out to the bounds and `of_core` together, which is as far as it will be looked up.
    fn of(core: &Core, bounded: &[Bounded], of_core: f64) -> Chances {
        let bounds = bounded.iter().map(|term| term.bound).sum::<f64>();
        // Each term taken in spoils its own width at the ends of the table.
        let reach = of_core + 2.0 * bounds;
        let mut chances = Chances::of_core(core, reach / CELLS as f64);
        for term in bounded {
            match term.shape {
                Shape::Rectangular | Shape::Normal => chances.blur(term.bound),
                // A triangle is the sum of two rectangles of half its width.
                Shape::Triangular => {
                    chances.blur(term.bound / 2.0);
                    chances.blur(term.bound / 2.0);
                }
                Shape::Arcsine => {}
            }
        }
        // Last, as its points leave steps in a table that is not yet smooth.
        for term in bounded.iter().filter(|term| term.shape == Shape::Arcsine) {
            chances.swing(term.bound);
        }
        chances
    }

    fn of_core(core: &Core, step: f64) -> Chances {
        let at_most = |cell: usize| {
            if core.standard > 0.0 {
                core.at_most((cell as f64 - CELLS as f64) * step)
            } else {
                // Nothing but zero itself, which is half below and half above.
                match cell.cmp(&CELLS) {
                    std::cmp::Ordering::Less => 0.0,
                    std::cmp::Ordering::Equal => 0.5,
                    std::cmp::Ordering::Greater => 1.0,
                }
            }
        };
        Chances { step, at_most: (0..=2 * CELLS).map(at_most).collect() }
    }

    /// Adds a term that is anywhere within `bound` alike.
    fn blur(&mut self, bound: f64) {
        if bound <= 0.0 {
            return;
        }
        let mut area = 0.0;
        let sums = self.at_most.windows(2).map(|pair| {
            area += pair.iter().sum::<f64>() / 2.0 * self.step;
            area
        });
        let areas: Vec<f64> = std::iter::once(0.0).chain(sums).collect();
        let area_to = |x: f64| {
            let (cell, part) = self.cell(x);
            let [low, high] = self.ends(cell);
            let inside = self.step * part * (low + (high - low) * part / 2.0);
            // Beyond the table the chance is one.
            let beyond = (x - CELLS as f64 * self.step).max(0.0);
            areas.get(cell).copied().unwrap_or_default() + inside + beyond
        };
        let blurred =
            self.points().map(|x| (area_to(x + bound) - area_to(x - bound)) / 2.0 / bound);
        self.at_most = blurred.collect();
    }

    /// Adds a term that swings between `-bound` and `bound` (Gauss-Chebyshev points).
    fn swing(&mut self, bound: f64) {
        let angle = |n: u32| std::f64::consts::PI * (f64::from(n) + 0.5) / f64::from(POINTS);
        let offsets: Vec<f64> = (0..POINTS).map(|n| bound * angle(n).cos()).collect();
        let mean = |x: f64| {
            let sum = offsets.iter().map(|offset| self.chance(x + offset)).sum::<f64>();
            sum / f64::from(POINTS)
        };
        self.at_most = self.points().map(mean).collect();
    }

    fn half_width(&self, level: f64) -> f64 {
        let wanted = f64::midpoint(1.0, level);
        let above = self.at_most.partition_point(|chance| *chance < wanted).max(1);
        let [low, high] = self.ends(above - 1);
        let part = if high > low { (wanted - low) / (high - low) } else { 1.0 };
        ((above - 1) as f64 + part - CELLS as f64) * self.step
    }

    fn points(&self) -> impl Iterator<Item = f64> {
        (0..=2 * CELLS).map(|cell| (cell as f64 - CELLS as f64) * self.step)
    }

    fn chance(&self, x: f64) -> f64 {
        let (cell, part) = self.cell(x);
        let [low, high] = self.ends(cell);
        low + (high - low) * part
    }

    /// The cell a value falls into and how far into it; beyond the table, its ends.
    fn cell(&self, x: f64) -> (usize, f64) {
        let place = (x / self.step + CELLS as f64).clamp(0.0, 2.0 * CELLS as f64);
        let cell = (place as usize).min(2 * CELLS - 1);
        (cell, place - cell as f64)
    }

    fn ends(&self, cell: usize) -> [f64; 2] {
        let at = |cell: usize| self.at_most.get(cell).copied().unwrap_or(1.0);
        [at(cell), at(cell + 1)]
    }
}
