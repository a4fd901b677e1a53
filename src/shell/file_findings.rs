//! What is wrong in one file, shown to a person or to a program.

use super::file::NamedFile;
use super::terminal;
use crate::diagnostic::{Finding, NamedText, Severity, clean, render, to_json};

/// The most findings of one file that are shown to a person; programs get all.
const SHOWN_MAX: usize = 50;

/// What is wrong in one file: at least one finding.
pub(crate) struct FileFindings {
    pub(crate) document: NamedFile,
    pub(crate) findings: Vec<Finding>,
}

impl FileFindings {
    /// None where nothing is wrong.
    pub(crate) fn new(document: &NamedFile, findings: Vec<Finding>) -> Option<Self> {
        (!findings.is_empty()).then(|| Self { document: document.clone(), findings })
    }

    /// Whether the file is not used with what is wrong in it.
    pub(crate) fn has_error(&self) -> bool {
        self.findings.iter().any(is_error)
    }

    pub(crate) fn text(&self) -> String {
        let shown = self.findings.get(..SHOWN_MAX).unwrap_or(&self.findings);
        let text = render(shown, &origin(&self.document), terminal::out_style());
        match self.findings.len() - shown.len() {
            0 => text,
            more => format!("{text}\n... and {more} more in {}\n", clean(&self.document.shown)),
        }
    }

    pub(crate) fn json(&self) -> Vec<serde_json::Value> {
        match to_json(&self.findings, &origin(&self.document)) {
            serde_json::Value::Array(findings) => findings,
            other => vec![other],
        }
    }
}

pub(super) fn is_error(finding: &Finding) -> bool {
    finding.severity == Severity::Error
}

fn origin(document: &NamedFile) -> NamedText<'_> {
    NamedText { file: &document.shown, text: &document.file.text }
}
