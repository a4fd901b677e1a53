//! The normality test and the value unlike the others.

use super::close;
use super::published::{LEW, MICHELSO};
use crate::statistics::normality::chance;
use crate::statistics::{Normality, unlike};

#[test]
fn the_chance_fits_the_printed_critical_values() {
    // Stephens (1986), table 4.7, case 3: from memory; 0.752 at 5 % is also printed in open programs.
    for (statistic, level) in [(0.631, 0.10), (0.752, 0.05), (0.873, 0.025), (1.035, 0.01)] {
        close(chance(statistic) / level, 1.0, 0.03);
    }
}

#[test]
fn the_pieces_of_the_chance_meet() {
    for seam in [0.2, 0.34, 0.6] {
        close(chance(seam - 1e-9), chance(seam + 1e-9), 0.01);
    }
    assert!(chance(12.9) < 1e-25 && chance(200.0) < 1e-25);
}

#[test]
fn bell_shaped_values_pass_and_a_beam_that_swings_does_not() {
    let quantiles: Vec<_> =
        (1..=40).map(|i| crate::statistics::bell::quantile((f64::from(i) - 0.5) / 40.0)).collect();
    assert!(Normality::of(&quantiles).unwrap().chance > 0.9);
    assert!(Normality::of(&MICHELSO).unwrap().chance > 0.05);
    // Lew is the deflection of a beam under periodic pressure: most values are near its two ends.
    assert!(Normality::of(&LEW).unwrap().chance < 1e-6);
    assert_eq!(Normality::of(&quantiles[..7]), None);
    assert_eq!(Normality::of(&[3.0; 20]), None);
}

/// Grubbs' statistic of a set whose most distant value has this chance on both sides.
fn grubbs(values: &[f64]) -> f64 {
    let all = crate::statistics::Sample::of(values).unwrap();
    values.iter().map(|value| (value - all.mean).abs() / all.deviation).fold(0.0, f64::max)
}

#[test]
fn the_chance_agrees_with_the_printed_table_of_grubbs() {
    // Printed one-sided 5 % critical values (ASTM E178 and others): 2.18 for 10 values, 2.41 for 15, 2.56 for 20. On both
    // sides that is 10 %.
    for (count, critical) in [(10, 2.18), (15, 2.41), (20, 2.56)] {
        let set = |last: f64| {
            let others = (1..count).map(|i| f64::from(i % 3) - 1.0);
            others.chain([last]).collect::<Vec<_>>()
        };
        let (mut low, mut high) = (1.5, 40.0);
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            *(if unlike(&set(middle)).unwrap().chance > 0.10 { &mut low } else { &mut high }) =
                middle;
        }
        close(grubbs(&set(low)), critical, 0.006);
    }
}

#[test]
fn the_value_unlike_the_others_is_found() {
    let mut values =
        vec![41.2, 40.8, 41.0, 41.4, 40.9, 41.1, 41.3, 40.7, 41.0, 41.2, 40.9, 41.1, 41.0, 41.2];
    assert!(unlike(&values).unwrap().chance > 0.2);
    values.insert(3, 44.9);
    let found = unlike(&values).unwrap();
    assert_eq!((found.index, found.others.count), (3, 14));
    assert!(found.chance < 1e-6);
    assert_eq!(unlike(&values[..7]), None);
    assert_eq!(unlike(&[2.0; 12]), None);
}
