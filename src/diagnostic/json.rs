//! Findings for another program.

use serde_json::{Value, json};

use super::{Finding, NamedText, Span, place};

/// Turns findings into an array of objects.
///
/// Lines and columns count from 1, columns in characters; the end is one past the last character.
/// A finding without a place has null there. The text is not cleaned: JSON has its own escapes, and
/// another program wants what was written.
pub fn to_json(findings: &[Finding], origin: &NamedText<'_>) -> Value {
    findings.iter().map(|finding| object(finding, origin)).collect()
}

fn object(finding: &Finding, origin: &NamedText<'_>) -> Value {
    let ends = finding.span.map(|span| ends(span, origin.text));
    json!({
        "code": finding.code,
        "name": finding.name,
        "severity": finding.severity,
        "message": finding.message,
        "file": origin.file,
        "line": ends.map(|((line, _), _)| line),
        "column": ends.map(|((_, column), _)| column),
        "end_line": ends.map(|(_, (line, _))| line),
        "end_column": ends.map(|(_, (_, column))| column),
        "label": finding.label,
        "help": finding.help,
    })
}

fn ends(span: Span, text: &str) -> ((usize, usize), (usize, usize)) {
    let bytes = span.within(text);
    (place(text, bytes.start), place(text, bytes.end))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_object_holds_every_key_a_program_needs() {
        let origin = NamedText { file: "amp.yaml", text: "a: 1\n\u{3a9}: 2 V\n" };
        let findings = [
            Finding::error("QTY001", "wrong-unit", "a voltage is not a resistance")
                .at(9..12)
                .label("a voltage")
                .help("write 2 ohm"),
            Finding::warning("TXT001", "no-title", "the file has no title"),
        ];
        let expected = json!([
            {
                "code": "QTY001", "name": "wrong-unit", "severity": "error",
                "message": "a voltage is not a resistance", "file": "amp.yaml",
                "line": 2, "column": 4, "end_line": 2, "end_column": 7,
                "label": "a voltage", "help": "write 2 ohm",
            },
            {
                "code": "TXT001", "name": "no-title", "severity": "warning",
                "message": "the file has no title", "file": "amp.yaml",
                "line": null, "column": null, "end_line": null, "end_column": null,
                "label": "", "help": null,
            },
        ]);
        assert_eq!(to_json(&findings, &origin), expected);
    }
}
