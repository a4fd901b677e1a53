//! A range of a meter that nothing fits in, that is coarser than it is wide, or whose own resistance can't be right.

use super::Check;
use crate::diagnostic::Finding;
use crate::procedure::BenchFile;
use crate::window::Accuracy;

pub(super) const CHECK: Check =
    Check::new("BEN018", "unfit-range", include_str!("unfit_range.md")).of_bench(run);

fn run(bench: &BenchFile) -> Vec<Finding> {
    let functions =
        bench.instruments.iter().flat_map(|(_, instrument)| instrument.functions.iter());
    let unfit = functions.flat_map(|(name, ranges)| {
        ranges.iter().filter_map(unfit).map(|message| {
            let found = CHECK.error(format!("`{}`: {message}", name.value)).at(name.span);
            found.help(
                "copy range and count from the data sheet: the count is one step of the last digit",
            )
        })
    });
    unfit.collect()
}

fn unfit(accuracy: &Accuracy) -> Option<String> {
    let (range, count) = (accuracy.range.to_f64(), accuracy.count.to_f64());
    let shown = |quantity: &crate::quantity::Quantity| quantity.engineering_exact(None);
    if range <= 0.0 {
        return Some(format!("a range of {} holds no value", shown(&accuracy.range)));
    }
    let fits = count > 0.0 && count < range;
    if !fits {
        let (count, range) = (shown(&accuracy.count), shown(&accuracy.range));
        return Some(format!("a count of {count} is not a step on a range of {range}"));
    }
    accuracy
        .fits(accuracy.range.dimension)
        .err()
        .map(|error| error.to_string())
        .or_else(|| accuracy.mistaken_input())
}
