//! A value that is unlike the others.

use super::bell::student_beyond;
use super::sample::Sample;

/// How far one value is from what the others let expect.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unlike {
    /// Its place among the values.
    pub index: usize,
    /// The others, without it.
    pub others: Sample,
    /// The chance that a sound set of this size holds a value so far from the others, or farther.
    pub chance: f64,
}

/// Fewer others tell too little of what is usual.
const OTHERS_MIN: u32 = 7;

/// Finds the value that is most unlike the others; `None` for fewer than eight values, or where the others are all alike.
///
/// The prediction interval of one more value from the others, its chance multiplied by the number of values, as the most
/// distant one was looked for (Bonferroni). This is Grubbs' test on both sides in other words.
#[must_use]
pub fn unlike(values: &[f64]) -> Option<Unlike> {
    let all = Sample::of(values)?;
    let distance = |value: &f64| (value - all.mean).abs();
    let (index, value) =
        values.iter().enumerate().max_by(|a, b| distance(a.1).total_cmp(&distance(b.1)))?;
    let rest: Vec<_> = values
        .iter()
        .enumerate()
        .filter(|(place, _)| *place != index)
        .map(|(_, place)| *place)
        .collect();
    let others = Sample::of(&rest).filter(|others| others.count >= OTHERS_MIN)?;
    if others.deviation <= 0.0 {
        return None;
    }
    let n = others.n();
    let t = (value - others.mean) / (others.deviation * (1.0 + 1.0 / n).sqrt());
    let chance = (student_beyond(t, n - 1.0)? * all.n()).min(1.0);
    Some(Unlike { index, others, chance })
}
