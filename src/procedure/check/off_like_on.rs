//! Off and on that are the same command, or the same answer.

use super::Check;
use crate::diagnostic::Finding;
use crate::procedure::{At, BenchFile, Dialect};

pub(super) const CHECK: Check =
    Check::new("BEN016", "off-like-on", include_str!("off_like_on.md")).of_bench(run);

fn run(bench: &BenchFile) -> Vec<Finding> {
    let connections =
        bench.instruments.iter().filter_map(|(_, instrument)| instrument.connection.as_ref());
    let dialects = connections.map(|connection| &connection.dialect);
    dialects.flat_map(|dialect| command(dialect).into_iter().chain(word(dialect))).collect()
}

fn command(dialect: &Dialect) -> Option<Finding> {
    let (off, on) = (dialect.output_off.as_ref()?, dialect.output_on.as_ref()?);
    if !is_same(&off.value, &on.value) {
        return None;
    }
    let message = format!("`output_off` is the same as `output_on`: `{}`", off.value);
    let found = CHECK.error(message).at(off.span).related(on.span, "this switches on");
    Some(found.help(
        "give the command that switches the output off: it is sent whenever something is wrong",
    ))
}

fn word(dialect: &Dialect) -> Option<Finding> {
    let both = |off: &&At<String>| match &dialect.on_words {
        Some(on) => on.iter().any(|on| is_same(&on.value, &off.value)),
        None => ["1", "ON"].iter().any(|on| is_same(on, &off.value)),
    };
    let off = dialect.off_words.iter().flatten().find(both)?;
    let message = format!("`{}` means off and on as well", off.value);
    Some(CHECK.error(message).at(off.span).help("an output is off only when the answer says so"))
}

fn is_same(one: &str, other: &str) -> bool {
    one.trim().eq_ignore_ascii_case(other.trim())
}
