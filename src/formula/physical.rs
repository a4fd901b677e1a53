//! Functions of physics: taken from quantities to a quantity, their slopes found by trying.

use super::function::{ArgumentRefusal, FunctionValue};
use super::number::Number;
use super::problem::{DimensionProblem, Problem};
use crate::quantity::{Dimension, Quantity, Terms};

/// Writes a function of physics as one line of the table.
macro_rules! physics {
    ($name:ident($($argument:ident: $measures:ident),+) -> $result:ident = $value:expr) => {
        Function {
            name: stringify!($name),
            takes: Takes::These(&[$(stringify!($argument)),+]),
            dimension: |given| {
                let wanted = [$((stringify!($argument), Dimension::$measures)),+];
                $crate::formula::physical::wanted(given, &wanted, Dimension::$result)
            },
            work: FunctionValue::Physics(|given| match given {
                [$($argument),+] => $value,
                _ => Err($crate::formula::problem::CallProblem::ValueMissing.into()),
            }),
        }
    };
    // Words of the function's own lists come before what is measured.
    ($name:ident[$($word:ident: $words:expr),+]($($argument:ident: $measures:ident),*)
        -> $result:ident = $value:expr) => {
        Function {
            name: stringify!($name),
            takes: Takes::WordsThen {
                words: &[$($words),+],
                names: &[$(stringify!($word)),+ $(, stringify!($argument))*],
            },
            dimension: |given| {
                let wanted = [
                    $((stringify!($word), Dimension::NONE)),+
                    $(, (stringify!($argument), Dimension::$measures))*
                ];
                $crate::formula::physical::wanted(given, &wanted, Dimension::$result)
            },
            work: FunctionValue::Physics(|given| match given {
                [$($word),+ $(, $argument)*] => $value,
                _ => Err($crate::formula::problem::CallProblem::ValueMissing.into()),
            }),
        }
    };
}
pub(super) use physics;

/// The least step by which an argument is moved, as a part of its size: far coarser than the 12
/// digits of a quantity, so that rounding does not enter the slope.
const LEAST_STEP: f64 = 1e-5;

/// Takes a bare number a function of physics gave, in base units.
pub(super) fn number_of(value: f64, dimension: Dimension) -> Result<Quantity, Problem> {
    Quantity::from_f64(value, dimension).ok_or(Problem::NotFinite)
}

/// Checks what each argument measures.
pub(super) fn wanted(
    given: &[Dimension],
    wanted: &[(&str, Dimension)],
    result: Dimension,
) -> Result<Dimension, ArgumentRefusal> {
    for (place, (found, (name, wanted))) in given.iter().zip(wanted).enumerate() {
        if found != wanted {
            let (name, wanted, found) = ((*name).to_owned(), *wanted, *found);
            let problem = DimensionProblem::Argument { name, wanted, found };
            return Err(ArgumentRefusal::new(place, problem));
        }
    }
    Ok(result)
}

/// Works out the value and how steeply it follows each argument that is uncertain.
///
/// An argument is moved by its standard uncertainty to both sides, at least by [`LEAST_STEP`] of
/// its size, and the slope is the result's change over that of the argument (GUM 5.1.3, note 2,
/// from memory): the mean slope over just those values the argument is likely to have.
pub(super) fn applied(
    function: fn(&[Quantity]) -> Result<Quantity, Problem>,
    given: &[Number],
) -> Result<(f64, Vec<f64>), ArgumentRefusal> {
    let quantities = given.iter().map(Number::quantity).collect::<Option<Vec<_>>>();
    let quantities = quantities.ok_or_else(|| ArgumentRefusal::of_first(Problem::NotFinite))?;
    let value = function(&quantities).map_err(ArgumentRefusal::of_first)?;
    let mut slopes = Vec::with_capacity(given.len());
    for (place, number) in given.iter().enumerate() {
        if number.terms.is_empty() {
            slopes.push(0.0);
            continue;
        }
        let step = number.terms.standard_uncertainty().max(LEAST_STEP * number.value.abs());
        let moved = |by: f64| {
            let mut moved = quantities.clone();
            let quantity = moved.get_mut(place)?;
            *quantity = Quantity::from_f64(number.value + by, quantity.dimension)?;
            function(&moved).ok()
        };
        let (Some(up), Some(down)) = (moved(step), moved(-step)) else {
            return Err(ArgumentRefusal::new(place, Problem::NoResultNearby));
        };
        slopes.push((up.to_f64() - down.to_f64()) / (2.0 * step));
    }
    Ok((value.to_f64(), slopes))
}

impl FunctionValue {
    /// Works out the value in base units and what makes it uncertain.
    pub(super) fn apply(&self, given: &[Number]) -> Result<(f64, Terms), ArgumentRefusal> {
        let values: Vec<f64> = given.iter().map(|number| number.value).collect();
        let (value, slopes) = match *self {
            FunctionValue::Single { value, slope } => {
                let of = values.first().copied().unwrap_or(f64::NAN);
                (value(of).map_err(ArgumentRefusal::of_first)?, vec![slope(of)])
            }
            FunctionValue::List { value, slopes } => {
                (value(&values).map_err(ArgumentRefusal::of_first)?, slopes(&values))
            }
            FunctionValue::Physics(function) => applied(function, given)?,
        };
        let parts = slopes.into_iter().zip(given.iter().map(|number| &number.terms));
        Ok((value, Terms::linear(parts)))
    }
}
