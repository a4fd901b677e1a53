//! The lines of a netlist as they are meant: without comments, with their continuations.

use super::error::NetlistError;
use super::limits::{BYTES_MAX, LINE_MAX};
use crate::diagnostic::Span;

/// What counts as one line.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct NetlistLine {
    /// What it says, without comments.
    pub(super) text: String,
    /// Where it begins, and the end of its first piece.
    pub(super) span: Span,
}

/// Takes a text apart into its lines. The first is the title, and no line of the circuit; after `.end` comes nothing.
pub(super) fn lines(text: &str) -> Result<Vec<NetlistLine>, NetlistError> {
    if text.len() > BYTES_MAX {
        return Err(NetlistError::new(Span::new(0, 0), "the netlist is larger than 1 MiB"));
    }
    let mut lines: Vec<NetlistLine> = Vec::new();
    let mut start = 0;
    for (number, raw) in text.split_inclusive('\n').enumerate() {
        let at = start;
        start += raw.len();
        let raw = raw.trim_end_matches(['\n', '\r']);
        let span = Span::new(at, at + raw.len());
        if raw.contains(|c: char| c.is_control() && c != '\t') {
            return Err(NetlistError::new(span, "there is a control character in this line")
                .help("write the line again by hand: what can't be seen is not taken"));
        }
        let said = without_comment(raw);
        if number == 0 || said.is_empty() {
            continue;
        }
        if let Some(more) = said.strip_prefix('+') {
            let line = lines.last_mut().ok_or_else(|| {
                NetlistError::new(span, "this continues no line: `+` stands first")
            })?;
            line.text.push(' ');
            line.text.push_str(more.trim());
        } else {
            lines.push(NetlistLine { text: said.to_owned(), span });
        }
        let line = lines.last().filter(|line| line.text.len() > LINE_MAX);
        if let Some(line) = line {
            let message = format!("this line has more than {LINE_MAX} characters");
            return Err(NetlistError::new(line.span, message));
        }
        if said.eq_ignore_ascii_case(".end") {
            lines.pop();
            break;
        }
    }
    for line in &lines {
        taken(line)?;
    }
    Ok(lines)
}

/// A line without the comment at its end; nothing of a line that is one. Among them is `*#`, by which a netlist gives commands to
/// the simulator.
fn without_comment(raw: &str) -> &str {
    let line = raw.trim();
    if line.starts_with('*') {
        return "";
    }
    let line = line.split(';').next().unwrap_or_default();
    let dollar = line.find(" $ ").unwrap_or(line.len());
    line.get(..dollar).unwrap_or_default().trim()
}

/// Refuses what no line of a circuit needs.
fn taken(line: &NetlistLine) -> Result<(), NetlistError> {
    if let Some(strange) = line.text.chars().find(|c| !c.is_ascii()) {
        let found = NetlistError::new(line.span, format!("`{strange}` is not taken in a netlist"));
        let is_micro = matches!(strange, 'µ' | 'μ');
        return Err(found.help(if is_micro {
            "write `u` for millionths"
        } else {
            "write names and values in plain letters and digits"
        }));
    }
    match line.text.chars().find(|c| "\"`\\;|!~#".contains(*c) && !is_in_a_name(&line.text, *c)) {
        Some(strange) => {
            Err(NetlistError::new(line.span, format!("`{strange}` is not taken in a netlist")))
        }
        None => Ok(()),
    }
}

/// Circuit editors number nameless nodes with a `#`.
fn is_in_a_name(text: &str, c: char) -> bool {
    c == '#' && !text.starts_with('#')
}
