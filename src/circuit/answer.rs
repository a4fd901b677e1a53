//! What the simulator printed, taken strictly: every value that was asked for, by its name, and nothing else.

use std::collections::BTreeMap;

use crate::netlist::{Alteration, Case, CircuitPoint, Vector};

/// The values of one case.
#[derive(Clone, Debug, PartialEq)]
pub struct CircuitValues(BTreeMap<Vector, f64>);

/// Why a case has no values.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CaseError {
    /// The simulator found no operating point, or does not know what it was asked for.
    #[error(
        "{case}: ngspice gave no value for {vector}: it found no operating point, or a model is not sound"
    )]
    NoValue {
        /// The case.
        case: String,
        /// The value.
        vector: String,
    },
    /// The simulator printed something else than a number.
    #[error("{case}: ngspice printed `{printed}` for {vector}, which is no number of a circuit")]
    NoNumber {
        /// The case.
        case: String,
        /// The value.
        vector: String,
        /// What was printed.
        printed: String,
    },
    /// The simulator did not take a value that it was given.
    #[error("{case}: ngspice did not set {vector} as it was told")]
    NotSet {
        /// The case.
        case: String,
        /// The value.
        vector: String,
    },
    /// The simulator could not be run for it.
    #[error("{case}: {why}")]
    NotRun {
        /// The case.
        case: String,
        /// Why.
        why: String,
    },
    /// The simulator did not get to the end of the case in time.
    #[error("{case}: ngspice was not done in time, or ended in the middle of it")]
    NotDone {
        /// The case.
        case: String,
    },
}

impl CircuitValues {
    /// The value of a point.
    #[must_use]
    pub fn of(&self, case: &Case, point: &CircuitPoint) -> Option<f64> {
        case.value(point, |vector| self.0.get(vector).copied())
    }
}

/// The largest number that is taken: beyond it no circuit on a bench is, and a solver that lost its way often is.
const LARGEST: f64 = 1e9;

/// How near a value has to be to what it was set to, of that: twelve digits are printed.
const SET_NEAR: f64 = 1e-9;

/// Takes the values of a case from what was printed for it, with what was altered for it.
pub(super) fn values(
    case: &Case,
    altered: &[Alteration],
    printed: Option<&str>,
) -> Result<CircuitValues, CaseError> {
    let printed = printed.ok_or_else(|| CaseError::NotDone { case: case.name.clone() })?;
    let mut values = BTreeMap::new();
    for vector in case.vectors() {
        let value = value(case, &vector, printed)?;
        values.insert(vector, value);
    }
    for one in altered {
        let vector = one.vector();
        if (value(case, &vector, printed)? - one.value).abs() > SET_NEAR * one.value.abs() {
            return Err(CaseError::NotSet { case: case.name.clone(), vector: vector.to_string() });
        }
    }
    Ok(CircuitValues(values))
}

fn value(case: &Case, vector: &Vector, printed: &str) -> Result<f64, CaseError> {
    let mut found = printed.lines().filter_map(|line| {
        let (name, value) = line.split_once(" = ")?;
        (name == vector.0).then(|| value.trim())
    });
    // Said twice, it is not known which one is meant.
    let (Some(word), None) = (found.next(), found.next()) else {
        return Err(CaseError::NoValue { case: case.name.clone(), vector: vector.to_string() });
    };
    let number = word.parse::<f64>().ok().filter(|number| number.abs() <= LARGEST);
    number.ok_or_else(|| CaseError::NoNumber {
        case: case.name.clone(),
        vector: vector.to_string(),
        printed: word.chars().take(40).filter(|c| !c.is_control()).collect(),
    })
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::*;
    use crate::netlist::{Netlist, alterations};

    fn case() -> Case {
        let netlist = Netlist::read("title\nV1 a 0 5\nR1 a b 1k\nR2 b 0 1k\n").unwrap();
        let points = ["v(b)", "i(V1)"].map(|text| CircuitPoint::read(text).unwrap()).to_vec();
        Case { name: "R2:open".to_owned(), netlist, feeds: Vec::new(), points }
    }

    const SOUND: &str = "Note: something\nv(b) = 2.5e+00\ni(v1) = -2.5e-03\n";

    #[test]
    fn every_value_is_taken_by_its_name() {
        let case = case();
        let values = values(&case, &[], Some(SOUND)).unwrap();
        let of = |text: &str| values.of(&case, &CircuitPoint::read(text).unwrap());
        assert_eq!((of("v(b)"), of("i(V1)")), (Some(2.5), Some(2.5e-3)));
        assert_eq!(of("v(a)"), None);
    }

    #[test]
    fn what_is_missing_doubled_or_no_number_is_an_error_with_the_name_of_the_case() {
        let one = "v(b) = 2.5e+00\n";
        for (printed, why) in [
            (Some("Error: no such vector v(b)\ni(v1) = 1\n".to_owned()), "gave no value for v(b)"),
            (Some(SOUND.replace(one, "")), "gave no value for v(b)"),
            (Some(SOUND.replace(one, &one.repeat(2))), "gave no value for v(b)"),
            (Some(SOUND.replace("2.5e+00", "nan")), "`nan` for v(b)"),
            (Some(SOUND.replace("2.5e+00", "inf")), "`inf` for v(b)"),
            (Some(SOUND.replace("2.5e+00", "1e30")), "`1e30` for v(b)"),
            (Some(SOUND.replace("2.5e+00", "2.5 V")), "`2.5 V` for v(b)"),
            (Some(SOUND.replace("v(b)", "v(bb)")), "gave no value for v(b)"),
            (None, "not done in time"),
        ] {
            let error = values(&case(), &[], printed.as_deref()).unwrap_err().to_string();
            assert!(error.starts_with("R2:open: ngspice ") && error.contains(why), "{error}");
        }
    }

    #[test]
    fn a_value_that_was_not_set_as_told_is_an_error_and_no_number() {
        let read = case();
        let netlist = Netlist::read("title\nV1 a 0 5\nR1 a b 9k\nR2 b 0 1k\n").unwrap();
        let wanted = Case { netlist, ..case() };
        let altered = alterations(&read, &wanted).unwrap();
        let set = |printed: &str| values(&wanted, &altered, Some(&format!("{SOUND}{printed}")));
        assert!(set("@r1[resistance] = 9.000000000001e+03\n").is_ok());
        for (printed, why) in [
            ("@r1[resistance] = 1.0e+03\n", "did not set @r1[resistance] as it was told"),
            ("@r1[resistance] = 9.00001e+03\n", "did not set @r1[resistance] as it was told"),
            ("@r1[resistance] = nan\n", "which is no number"),
            ("", "gave no value for @r1[resistance]"),
        ] {
            let error = set(printed).unwrap_err().to_string();
            assert!(error.starts_with("R2:open: ngspice ") && error.contains(why), "{error}");
        }
    }
}
