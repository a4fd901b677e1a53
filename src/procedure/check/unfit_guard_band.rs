//! A guard band that is not a share of the uncertainty.

use super::part_without_percent::bare_number;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::Expression;
use crate::quantity::{Decimal, Dimension};

pub(super) const CHECK: Check =
    Check::new("WIN015", "unfit-guard-band", include_str!("unfit_guard_band.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    subject.procedure.guard_band.iter().filter_map(finding).collect()
}

fn finding(band: &Expression) -> Option<Finding> {
    // A forgotten `%` is told as that.
    if bare_number(band).is_some() {
        return None;
    }
    let (message, place) = match band.evaluate(&|_: &str| None) {
        Ok(value) if value.dimension != Dimension::NONE => (
            format!(
                "a guard band is a part of the uncertainty, and this is of the kind: {}",
                value.dimension.name()
            ),
            band.text.span,
        ),
        Ok(value) if value.value < Decimal::ZERO || value.value > Decimal::ONE => {
            ("a guard band is from 0 % to 100 % of the uncertainty".to_owned(), band.text.span)
        }
        Ok(_) => return None,
        Err(error) => (format!("no guard band comes of this: {error}"), band.place(&error.at)),
    };
    Some(CHECK.error(message).at(place).help("write a part without names, such as `100 %`"))
}
