//! Quotation marks that are part of what an instrument is sent or has to answer.

use super::Check;
use super::commands::each;
use crate::diagnostic::{Finding, clean};
use crate::procedure::{At, BenchFile, Connection};

pub(super) const CHECK: Check =
    Check::new("BEN021", "quoted-identity", include_str!("quoted_identity.md")).of_bench(run);

/// The marks of word processors and of other languages; YAML knows only the straight ones.
const CURLY: [char; 10] = ['“', '”', '„', '‟', '‘', '’', '‚', '‛', '«', '»'];

fn run(bench: &BenchFile) -> Vec<Finding> {
    let connections =
        bench.instruments.iter().filter_map(|(_, instrument)| instrument.connection.as_ref());
    connections.flat_map(of_connection).collect()
}

fn of_connection(connection: &Connection) -> Vec<Finding> {
    let commands = each(&connection.dialect);
    let commands = commands.iter().filter(|command| command.text.value.contains(CURLY));
    let quoted = commands.map(|command| finding(command.key, command.text));
    let identity = connection.identity.as_ref().filter(|identity| is_quoted(&identity.value));
    quoted.chain(identity.map(|identity| finding("identity", identity))).collect()
}

fn is_quoted(identity: &str) -> bool {
    let straight = |c: char| c == '"' || c == '\'';
    let identity = identity.trim();
    identity.contains(CURLY) || (identity.starts_with(straight) && identity.ends_with(straight))
}

fn finding(key: &str, text: &At<String>) -> Finding {
    let found = CHECK.warning(format!("the quotation marks are part of `{key}`: {}", clean(text)));
    found.at(text.span).help("write it without them, or between straight ones, as \"...\"")
}
