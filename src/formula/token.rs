//! Splitting a formula into numbers, names and signs.

use std::ops::Range;

use super::FormulaError;
use super::problem::TextProblem;

/// A piece of the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Token {
    pub(super) at: Range<usize>,
    pub(super) kind: TokenKind,
}

/// What a piece of the text is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum TokenKind {
    /// A number and the unit word after it, if there is one.
    Number,
    Name,
    /// One of [`WORDS`].
    Word,
    Sign(char),
    End,
}

/// The words of the language itself, which nothing else can be called.
pub const WORDS: [&str; 3] = ["if", "then", "else"];

/// The one sign that stands for `<=` once the text is split.
pub(super) const AT_MOST: char = '\u{2264}';
/// The one sign that stands for `>=` once the text is split.
pub(super) const AT_LEAST: char = '\u{2265}';

/// Splits a text; the last token is always the end.
pub(super) fn tokens(text: &str) -> Result<Vec<Token>, FormulaError> {
    let mut tokens = Vec::new();
    let mut rest = text.trim_start();
    while let Some(first) = rest.chars().next() {
        let start = text.len() - rest.len();
        let (kind, length) = match first {
            '0'..='9' | '.' => (TokenKind::Number, number_length(rest)),
            'a'..='z' | 'A'..='Z' | '_' => named(rest),
            '<' if rest.starts_with("<=") => (TokenKind::Sign(AT_MOST), 2),
            '>' if rest.starts_with(">=") => (TokenKind::Sign(AT_LEAST), 2),
            '<' | '>' => (TokenKind::Sign(first), 1),
            '+' | '-' | '*' | '/' | '^' | '(' | ')' | ',' | '=' => (TokenKind::Sign(first), 1),
            _ => return Err(stray(first, start)),
        };
        let (piece, after) = rest.split_at(length);
        let token = Token { at: start..start + length, kind };
        match kind {
            TokenKind::Name => check_name(piece, &token.at)?,
            TokenKind::Sign(',') => check_comma(text, &token.at)?,
            _ => {}
        }
        tokens.push(token);
        rest = after.trim_start();
    }
    tokens.push(Token { at: text.trim_end().len()..text.len(), kind: TokenKind::End });
    Ok(tokens)
}

fn named(text: &str) -> (TokenKind, usize) {
    let length = run(text, is_in_name);
    let word = text.get(..length).is_some_and(|name| WORDS.contains(&name));
    (if word { TokenKind::Word } else { TokenKind::Name }, length)
}

/// Measures a number at the start of a text: digits with what is written right after them (`4k7`,
/// `63V`, `1e-3`), then a unit word after blanks.
///
/// Two names never stand side by side in a formula, so a word after a number can only be its unit,
/// unless it is one of the language itself.
fn number_length(text: &str) -> usize {
    let mut length = run(text, is_in_number);
    let (digits, after) = text.split_at(length);
    let mantissa = digits.strip_suffix(['e', 'E']).unwrap_or_default();
    let has_exponent = run(mantissa, |c| c.is_ascii_digit() || c == '.') == mantissa.len();
    if let Some(exponent) = after.strip_prefix(['+', '-'])
        && !mantissa.is_empty()
        && has_exponent
        && exponent.starts_with(|c: char| c.is_ascii_digit())
    {
        length += 1 + run(exponent, is_in_number);
    }
    let (_, after) = text.split_at(length);
    let unit = after.trim_start();
    if unit.starts_with(|c: char| c.is_alphabetic() || is_unit_sign(c)) {
        let blanks = after.len() - unit.len();
        let word = run(unit, |c| c == '_' || c.is_alphanumeric() || is_unit_sign(c));
        if !unit.get(..word).is_some_and(|word| WORDS.contains(&word)) {
            length += blanks + word;
        }
    }
    length
}

fn run(text: &str, belongs: impl Fn(char) -> bool) -> usize {
    text.find(|c| !belongs(c)).unwrap_or(text.len())
}

fn is_in_number(c: char) -> bool {
    c == '.' || c.is_alphanumeric() || is_unit_sign(c)
}

fn is_unit_sign(c: char) -> bool {
    matches!(c, '%' | '\u{b0}')
}

fn is_in_name(c: char) -> bool {
    c == '_' || c == '.' || c.is_ascii_alphanumeric()
}

fn check_name(name: &str, at: &Range<usize>) -> Result<(), FormulaError> {
    if name.split('.').any(str::is_empty) {
        return Err(FormulaError::new(at, TextProblem::Name { name: name.to_owned() }));
    }
    Ok(())
}

/// Refuses a comma between two digits, which people write where a decimal point belongs.
fn check_comma(text: &str, at: &Range<usize>) -> Result<(), FormulaError> {
    let digit = |c: char| c.is_ascii_digit();
    let before = text.get(..at.start).is_some_and(|before| before.ends_with(digit));
    let after = text.get(at.end..).is_some_and(|after| after.starts_with(digit));
    if before && after {
        return Err(FormulaError::new(at, TextProblem::Comma));
    }
    Ok(())
}

fn stray(sign: char, start: usize) -> FormulaError {
    FormulaError::new(&(start..start + sign.len_utf8()), TextProblem::Stray { sign })
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::*;

    fn pieces(text: &str) -> Vec<&str> {
        let tokens = tokens(text).unwrap();
        tokens.into_iter().map(|token| text.get(token.at).unwrap()).collect()
    }

    #[test]
    fn a_number_takes_its_unit_along() {
        for (text, expected) in [
            ("0.6 * rail", vec!["0.6", "*", "rail", ""]),
            ("40 %+idle", vec!["40 %", "+", "idle", ""]),
            ("4k7-63V", vec!["4k7", "-", "63V", ""]),
            ("1e-3 A-1.5E+3", vec!["1e-3 A", "-", "1.5E+3", ""]),
            ("1e-x", vec!["1e", "-", "x", ""]),
            ("4.7k-3", vec!["4.7k", "-", "3", ""]),
            ("5 m2 ^2", vec!["5 m2", "^", "2", ""]),
            ("25 \u{b0}C", vec!["25 \u{b0}C", ""]),
            ("2 \u{b5}F*.5 k\u{3a9} ", vec!["2 \u{b5}F", "*", ".5 k\u{3a9}", " "]),
            ("1 V/ohm", vec!["1 V", "/", "ohm", ""]),
            ("if a<2 then 3 else 4 V", vec!["if", "a", "<", "2", "then", "3", "else", "4 V", ""]),
            ("a<=b>=c > 1", vec!["a", "<=", "b", ">=", "c", ">", "1", ""]),
            ("iffy thenx", vec!["iffy", "thenx", ""]),
            ("max( drop.q1,_x2 )", vec!["max", "(", "drop.q1", ",", "_x2", ")", ""]),
        ] {
            assert_eq!(pieces(text), expected);
        }
    }

    #[test]
    fn what_is_no_piece_is_refused_with_a_hint() {
        for (text, at, hint) in [
            ("2 * a \u{d7} b", 6..8, "write `*`"),
            ("a % b", 2..3, "after a number"),
            ("a & b", 2..3, "a formula has"),
            ("a \u{2264} b", 2..5, "write `<=`"),
            ("ra\u{e9}l", 2..4, "a to z"),
            ("drop..q1", 0..8, "joins two parts"),
            ("drop. + 1", 0..5, "joins two parts"),
            ("max(0,5 A)", 5..6, "write a point"),
        ] {
            let error = tokens(text).unwrap_err();
            assert_eq!(error.at, at, "{text}: {error}");
            assert!(error.help().unwrap().contains(hint), "{text}");
        }
    }
}
