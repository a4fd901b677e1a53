//! A resistor's limits, and what a reading in circuit says about it.

/// How it is worked out, and how far that can be relied on.
pub const EXPLANATION: &str = include_str!("resistor.md");

/// The lowest and highest resistance a part may have, in ohms.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ResistanceLimits {
    /// The lowest.
    pub low: f64,
    /// The highest.
    pub high: f64,
}

/// The limits from a nominal value and its tolerance, in ohms; a tolerance of 5 % is 0.05.
#[must_use]
pub fn limits(nominal: f64, tolerance: f64) -> ResistanceLimits {
    ResistanceLimits { low: nominal * (1.0 - tolerance), high: nominal * (1.0 + tolerance) }
}

/// Resistance of several paths side by side, in ohms: the conductances add. Infinite for no path.
#[must_use]
pub fn parallel(resistances: &[f64]) -> f64 {
    resistances.iter().map(|resistance| resistance.recip()).sum::<f64>().recip()
}

/// What a resistance reading on a board says about the part under the probes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum InCircuit {
    /// Inside its limits. No proof: another path can stand in for an open part.
    Fits,
    /// Below its limits, as with another path beside it. Lift one leg to judge the part.
    Lower {
        /// What the other paths together would have to be for a nominal part, in ohms.
        other_path: f64,
    },
    /// Above its limits. No path beside it can do that: the part is open or has drifted up, unless the
    /// circuit still holds a charge.
    Suspect,
}

/// Judges a resistance reading taken in circuit.
///
/// Other paths lie in parallel, so a sound part reads its value or less, never more. Assumes a dead,
/// discharged circuit: a charge left in a capacitor shifts an ohmmeter either way. From the law of
/// parallel resistances, no other source.
#[must_use]
pub fn judge_in_circuit(nominal: f64, tolerance: f64, reading: f64) -> InCircuit {
    let limits = limits(nominal, tolerance);
    if reading < limits.low {
        InCircuit::Lower { other_path: (reading.recip() - nominal.recip()).recip() }
    } else if reading <= limits.high {
        InCircuit::Fits
    } else {
        // Not-a-number and over-range come here too: neither clears a part.
        InCircuit::Suspect
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::near::assert_near;
    use super::*;

    #[test]
    fn limits_lie_on_both_sides() {
        let limits = limits(4700.0, 0.05);
        assert_near(limits.low, 4465.0, 1e-12);
        assert_near(limits.high, 4935.0, 1e-12);
    }

    #[test]
    fn paths_side_by_side_conduct_together() {
        assert_near(parallel(&[100.0, 100.0]), 50.0, 1e-12);
        assert_near(parallel(&[100.0, f64::INFINITY]), 100.0, 1e-12);
        assert!(parallel(&[]).is_infinite());
        assert!(parallel(&[100.0, 0.0]) <= 0.0);
    }

    #[test]
    fn only_a_high_reading_is_suspect_in_circuit() {
        assert_eq!(judge_in_circuit(0.22, 0.1, 0.23), InCircuit::Fits);
        assert_eq!(judge_in_circuit(0.22, 0.1, 0.3), InCircuit::Suspect);
        assert_eq!(judge_in_circuit(1e3, 0.05, f64::INFINITY), InCircuit::Suspect);
        assert_eq!(judge_in_circuit(1e3, 0.05, f64::NAN), InCircuit::Suspect);
        assert_eq!(judge_in_circuit(1e3, 0.05, 500.0), InCircuit::Lower { other_path: 1000.0 });
        assert_eq!(judge_in_circuit(1e3, 0.05, 0.0), InCircuit::Lower { other_path: 0.0 });
    }

    /// Readings that others published: 100 ohm with 1 kohm beside it reads about 91 ohm (a distributor's page on measuring in and out of
    /// circuit); 1 kohm with 10 kohm and 100 kohm beside it reads a little less than 1 kohm, and more than 1 kohm only where it
    /// is open or out of tolerance (a lecture on parallel circuits).
    #[test]
    fn published_readings_in_circuit_are_judged_as_published() {
        assert_near(parallel(&[100.0, 1e3]), 91.0, 2e-3);
        let InCircuit::Lower { other_path } = judge_in_circuit(100.0, 0.05, 90.9) else {
            panic!("lower")
        };
        assert_near(other_path, 1e3, 2e-3);
        let sound = parallel(&[1e3, 10e3, 100e3]);
        assert!(matches!(judge_in_circuit(1e3, 0.05, sound), InCircuit::Lower { .. }));
        assert_eq!(judge_in_circuit(sound, 0.05, sound), InCircuit::Fits);
        let open = parallel(&[10e3, 100e3]);
        for high in [1.2e3, open] {
            assert_eq!(judge_in_circuit(1e3, 0.05, high), InCircuit::Suspect);
        }
    }

    /// Worked by hand: 1 kohm under the probes, with 2.2 kohm and 3.3 kohm in series beside it, which is 5.5 kohm; what leads
    /// nowhere carries nothing. 1 V drives 1 mA and 0.181818 mA, 13/11 mA in all: it reads 11000/13 = 846.153846 ohm. With
    /// the part open 5.5 kohm is left.
    #[test]
    fn a_board_that_was_worked_by_hand_is_judged_right() {
        let InCircuit::Lower { other_path } = judge_in_circuit(1e3, 0.05, 846.153_846) else {
            panic!("lower")
        };
        assert_near(other_path, 5500.0, 1e-6);
        assert_eq!(judge_in_circuit(1e3, 0.05, 5500.0), InCircuit::Suspect);
        let expected = parallel(&[1e3, 5500.0]);
        assert_near(expected, 846.153_846, 1e-8);
        assert_eq!(judge_in_circuit(expected, 0.05, 846.0), InCircuit::Fits);
    }

    proptest! {
        #[test]
        fn a_higher_reading_never_clears_a_part_that_reads_high(
            nominal in 0.1..1e7_f64,
            tolerance in 0.001..0.2_f64,
            (one, two) in (0.0..3.0_f64, 0.0..3.0_f64),
        ) {
            let limits = limits(nominal, tolerance);
            prop_assert!(0.0 < limits.low && limits.low < nominal && nominal < limits.high);
            let rank = |reading: f64| match judge_in_circuit(nominal, tolerance, reading) {
                InCircuit::Lower { .. } => 0,
                InCircuit::Fits => 1,
                InCircuit::Suspect => 2,
            };
            prop_assert!(rank(nominal * one.min(two)) <= rank(nominal * one.max(two)));
        }

        #[test]
        fn another_path_never_makes_a_sound_part_suspect(
            nominal in 0.1..1e7_f64,
            drift in -1.0..1.0_f64,
            other in 0.1..1e8_f64,
        ) {
            let tolerance = 0.05;
            let part = nominal * (1.0 + tolerance * drift);
            let reading = parallel(&[part, other]);
            prop_assert!(reading <= part && reading <= other);
            prop_assert_ne!(judge_in_circuit(nominal, tolerance, reading), InCircuit::Suspect);
        }

        #[test]
        fn the_other_path_is_found_again(nominal in 1.0..1e6_f64, ratio in 0.01..5.0_f64) {
            let other = nominal * ratio;
            let judged = judge_in_circuit(nominal, 0.05, parallel(&[nominal, other]));
            let InCircuit::Lower { other_path } = judged else {
                return Err(TestCaseError::fail(format!("{judged:?}")));
            };
            prop_assert!((other_path / other - 1.0).abs() < 1e-9);
        }
    }
}
