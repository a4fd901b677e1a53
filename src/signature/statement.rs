//! What is signed: a plain text, one item a line.

use std::fmt;

use crate::record::Signature;

/// The SSHSIG namespace: a signature made for anything else is none here.
pub const NAMESPACE: &str = "record@wattstep";

/// The question that a hand-over answers in its statements; no step can have a key with a space.
pub const HAND_OVER: &str = "hand over";

/// The first line. Another layout of the lines below it needs another number.
const FORMAT: &str = "wattstep statement 1";

/// The answer that both sides of a hand-over sign.
#[must_use]
pub fn hand_over(to: &str, remarks: &str) -> String {
    format!("{to}\n{remarks}")
}

/// What a person signs.
#[derive(Clone, Copy, Debug)]
pub struct Statement<'a> {
    /// The run's identity.
    pub run: &'a str,
    /// The number of the line that carries the signature, from 1.
    pub line: usize,
    /// The hash of the line before it: with it everything above is signed.
    pub after: &'a str,
    /// The key of the question.
    pub question: &'a str,
    /// The answer, exactly as recorded.
    pub answer: &'a str,
    /// Who signs, as what and when; its armour does not belong to the statement.
    pub signature: &'a Signature,
}

impl fmt::Display for Statement<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Signature { principal, name, meaning, at, .. } = self.signature;
        writeln!(f, "{FORMAT}")?;
        writeln!(f, "run: {}", OneLine(self.run))?;
        writeln!(f, "line: {}", self.line)?;
        writeln!(f, "line before: {}", OneLine(self.after))?;
        writeln!(f, "question: {}", OneLine(self.question))?;
        writeln!(f, "answer: {}", OneLine(self.answer))?;
        writeln!(f, "name: {}", OneLine(name))?;
        writeln!(f, "principal: {}", OneLine(principal))?;
        writeln!(f, "meaning: {}", meaning.words())?;
        writeln!(f, "time: {}", at.to_rfc3339())
    }
}

/// A text on one line that no other text looks like.
struct OneLine<'a>(&'a str);

impl fmt::Display for OneLine<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.chars().try_for_each(|c| match c {
            '\\' => f.write_str(r"\\"),
            // The two separators break a line on some screens.
            c if c.is_control() || matches!(c, '\u{2028}' | '\u{2029}') => {
                write!(f, "{}", c.escape_unicode())
            }
            c => write!(f, "{c}"),
        })
    }
}
