//! A run for programs.

use serde::Serialize;
use serde_json::Value;

use super::{ReportSubject, Seal, lacks, marks};
use crate::diagnostic::clean_json;
use crate::record::Run;

/// Gives the whole run as JSON: what it started from, everything that happened, how it ended, what the register says of it.
///
/// # Errors
/// Never in practice: only if the run could not be put into JSON.
pub fn json(run: &Run, seal: &Seal) -> Result<Value, serde_json::Error> {
    let mut value = serde_json::to_value(run)?;
    if let Some(members) = value.as_object_mut() {
        members.insert("wrong".to_owned(), seal.wrong.clone().into());
        members.insert("register".to_owned(), seal.caveats.clone().into());
    }
    Ok(value)
}

/// The version of the layout of [`Whole`].
const FORMAT: u32 = 1;

/// A report for programs: the whole run, and how far it can be relied on.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Whole<'a> {
    /// The version of this layout: 1.
    format: u32,
    /// What tells this report from every other.
    report: String,
    /// The program that made it.
    program: &'a str,
    /// What a reader must not miss: that it is a rehearsal, that it is incomplete.
    marks: Vec<String>,
    /// What keeps it from being a final report; empty when it is one.
    lacks: Vec<String>,
    /// The record it was made from.
    record: RecordReported<'a>,
    /// Everything that happened.
    run: &'a Run,
}

/// The record a report was made from.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct RecordReported<'a> {
    /// How many lines it has.
    lines: usize,
    /// The hash of its last line.
    head: &'a str,
    /// What does not verify, if anything.
    wrong: Option<&'a str>,
    /// Whether its last write was cut off.
    torn: bool,
    /// What the register has to add, although the record is as registered.
    register: &'a [String],
}

/// Gives the whole run as JSON text, with how far it can be relied on. Its schema is `docs/schema/report.schema.json`.
///
/// # Errors
/// Never in practice: only if the run could not be put into JSON.
pub fn whole(subject: &ReportSubject<'_>) -> Result<String, serde_json::Error> {
    let seal = subject.seal;
    let whole = Whole {
        format: FORMAT,
        report: subject.id(),
        program: &subject.run.opening.program,
        marks: marks(subject),
        lacks: lacks(subject),
        record: RecordReported {
            lines: seal.lines,
            head: &seal.head,
            wrong: seal.wrong.as_deref(),
            torn: seal.torn,
            register: &seal.caveats,
        },
        run: subject.run,
    };
    Ok(clean_json(&format!("{}\n", serde_json::to_string_pretty(&whole)?)))
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_schema_of_reports_is_published() {
        let schema = schemars::schema_for!(super::Whole<'_>);
        crate::procedure::is_published("report.schema.json", &schema);
    }
}
