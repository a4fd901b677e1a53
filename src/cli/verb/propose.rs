//! `propose`: a window learned from good runs, to be looked at and pasted by a person.

use clap::ValueEnum;
use serde_json::json;

use super::asked::{self, Meant, Rehearsals, Unregistered};
use super::trend::one_procedure;
use super::{OutputFormat, print_json, vouched};
use crate::archive::{CONFIDENCE, COVERAGE, Proposal, Sides};
use crate::cli::exit::Exit;
use crate::report::{Sheet, Tone};
use crate::shell::fault::Fault;
use crate::shell::terminal;

/// Propose a window for a reading, learned from good real runs
///
/// It is a proposal to look at: nothing is changed. Only real runs that finished count, each with the reading that stood.
/// A window that comes from a data sheet or a standard is better founded than what was usual.
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// The reading, by its key in the records, such as `idle-plus`
    reading: String,
    /// On which sides the window is to have limits
    #[arg(long, value_enum, default_value_t)]
    limits: LimitSides,
    #[command(flatten)]
    meant: Meant,
    #[command(flatten)]
    unregistered: Unregistered,
    /// How to print it
    #[arg(long, value_enum, default_value_t)]
    format: OutputFormat,
}

#[derive(Clone, Copy, Debug, Default, ValueEnum)]
enum LimitSides {
    /// On both sides
    #[default]
    Both,
    /// At the low end alone
    Low,
    /// At the high end alone
    High,
}

impl From<LimitSides> for Sides {
    fn from(limits: LimitSides) -> Self {
        match limits {
            LimitSides::Both => Self::Both,
            LimitSides::Low => Self::Low,
            LimitSides::High => Self::High,
        }
    }
}

/// Below this chance the values don't look normal (the usual level, common practice, no source).
const NORMAL_MIN: f64 = 0.05;

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    let archive = arguments.meant.open()?;
    let filter =
        arguments.meant.filter(Rehearsals { with_rehearsals: false }, arguments.unregistered);
    let points = archive.history(&arguments.reading, &filter).map_err(Fault::failed)?;
    let learned = one_procedure(&archive, &arguments.reading, &points)
        .and_then(|()| Proposal::learn(&points, arguments.limits.into()).map_err(Fault::failed));
    let proposal = vouched::told_above(learned, &archive, arguments.unregistered.into())?;
    let damaged = archive.damaged().map_err(Fault::failed)?;
    let vouched = archive.vouched().map_err(Fault::failed)?;
    match arguments.format {
        OutputFormat::Json => print_json(&json!({
            "reading": arguments.reading,
            "unit": proposal.unit.symbol(),
            "count": proposal.sample.count,
            "passed_over": proposal.passed_over,
            "first": proposal.first.map(|day| day.to_string()),
            "last": proposal.last.map(|day| day.to_string()),
            "mean": proposal.sample.mean,
            "deviation": proposal.sample.deviation,
            "coverage": COVERAGE,
            "confidence": CONFIDENCE,
            "factor": proposal.factor,
            "low": proposal.low,
            "high": proposal.high,
            "normality": proposal.normality.map(|normality| json!({"statistic": normality.statistic, "chance": normality.chance})),
            "yaml": proposal.yaml(),
            "damaged": damaged,
            "register": vouched,
        })),
        OutputFormat::Text => {
            let mut sheet = Sheet::new(terminal::out_style());
            vouched::words(&mut sheet, &vouched, &damaged, arguments.unregistered.into());
            text(&mut sheet, &arguments.reading, &proposal);
            asked::damaged(&mut sheet, &damaged);
            terminal::out(&sheet.finish());
        }
    }
    Ok(Exit::Finished)
}

fn text(sheet: &mut Sheet, key: &str, proposal: &Proposal) {
    sheet.rule("A PROPOSAL: nothing is changed");
    sheet.line(Tone::Strong, key);
    let value = |value: f64| asked::shown(value, &proposal.unit);
    let sample = proposal.sample;
    sheet.field(
        "runs",
        &format!("{} good real ones, {} passed over", sample.count, proposal.passed_over),
    );
    sheet.field("mean", &value(sample.mean));
    sheet.field("deviation", &value(sample.deviation));
    let (coverage, confidence) = (COVERAGE * 100.0, CONFIDENCE * 100.0);
    let words =
        format!("{:.3}, for {coverage} % of all with {confidence} % confidence", proposal.factor);
    sheet.field("factor", &words);
    if let Some(normality) = proposal.normality {
        sheet.field("normality", &format!("p = {:.3} (Anderson-Darling)", normality.chance));
        if normality.chance < NORMAL_MIN {
            let words = "NOT NORMAL: the factor does not hold for such values. Find out why they are spread so before \
                         you use this window.";
            sheet.line(Tone::Caution, words);
        }
    }
    sheet.gap();
    sheet.line(Tone::Plain, "If you agree, paste it into the step:");
    sheet.gap();
    let options = textwrap::Options::new(sheet.width()).subsequent_indent("  ");
    for line in proposal.yaml().lines() {
        textwrap::wrap(line, &options).iter().for_each(|line| sheet.drawn(Tone::Plain, line));
    }
    sheet.gap();
    let words = "Readings outside the old window are not among the runs, so this window can't show that the old one was \
                 too narrow.";
    sheet.line(Tone::Faint, words);
}
