//! Quantiles, and how one value goes with another, by their order.

/// The value that this share of all does not pass, straight between neighbours (Hyndman and Fan, The American Statistician 50, 1996, 361:
/// definition 7). `None` of nothing, for what is no number, and for a share that is none.
#[must_use]
pub fn quantile(values: &[f64], share: f64) -> Option<f64> {
    let is_share = (0.0..=1.0).contains(&share);
    if values.is_empty() || !is_share || values.iter().any(|value| !value.is_finite()) {
        return None;
    }
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let last = u32::try_from(sorted.len() - 1).ok()?;
    let place = share * f64::from(last);
    let at = (0..=last).take_while(|at| f64::from(*at) <= place).last()?;
    let below = *sorted.get(at as usize)?;
    let above = sorted.get(at as usize + 1).copied().unwrap_or(below);
    Some(below + (above - below) * (place - f64::from(at)))
}

/// Spearman's rank correlation, ties at their mean rank (Spearman, The American Journal of Psychology 15, 1904, 72): 1 where one rises with the
/// other, -1 where it falls. `None` for fewer than three pairs, for what is no number, and where one of them does not move.
#[must_use]
pub fn rank_correlation(one: &[f64], other: &[f64]) -> Option<f64> {
    if one.len() != other.len() || one.len() < 3 {
        return None;
    }
    let (one, other) = (ranks(one)?, ranks(other)?);
    let mean = one.iter().sum::<f64>() / f64::from(u32::try_from(one.len()).ok()?);
    let product = |left: &[f64], right: &[f64]| -> f64 {
        left.iter().zip(right).map(|(left, right)| (left - mean) * (right - mean)).sum()
    };
    let size = product(&one, &one) * product(&other, &other);
    (size > 0.0).then(|| product(&one, &other) / size.sqrt())
}

/// The ranks of values from 1 on; those that are alike share theirs.
pub(super) fn ranks(values: &[f64]) -> Option<Vec<f64>> {
    if values.iter().any(|value| !value.is_finite()) {
        return None;
    }
    let mut order: Vec<_> = values.iter().copied().enumerate().collect();
    order.sort_by(|(_, one), (_, other)| one.total_cmp(other));
    let mut ranks = vec![0.0; values.len()];
    let mut before = 0_u32;
    for alike in order.chunk_by(|(_, one), (_, other)| one.total_cmp(other).is_eq()) {
        let count = u32::try_from(alike.len()).ok()?;
        let rank = f64::from(before) + f64::from(count + 1) / 2.0;
        for (at, _) in alike {
            *ranks.get_mut(*at)? = rank;
        }
        before += count;
    }
    Some(ranks)
}
