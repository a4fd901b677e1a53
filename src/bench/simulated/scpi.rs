//! The language of the simulated instruments: messages of one or more commands, and a queue of errors.
//!
//! The parts of SCPI-1999 and IEEE 488.2 that the bench uses: short and long forms, `;` and `;:`, the common commands.

use std::collections::VecDeque;

/// The most errors that are kept.
const ERRORS_MAX: usize = 20;

/// What an instrument says against a command (SCPI-1999, volume 2, 21.8, from memory).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum ScpiError {
    DataType,
    Missing,
    Undefined,
    Conflict,
    OutOfRange,
    QueueOverflow,
}

impl ScpiError {
    fn words(self) -> &'static str {
        match self {
            Self::DataType => "-104,\"Data type error\"",
            Self::Missing => "-109,\"Missing parameter\"",
            Self::Undefined => "-113,\"Undefined header\"",
            Self::Conflict => "-221,\"Settings conflict\"",
            Self::OutOfRange => "-222,\"Data out of range\"",
            Self::QueueOverflow => "-350,\"Queue overflow\"",
        }
    }
}

/// What a command comes to: a reply if it was a question.
pub(super) type ScpiResult = Result<Option<String>, ScpiError>;

/// One command of a message.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct ScpiCommand {
    /// Its whole header in capitals, without a leading colon and with `?` for a question.
    pub(super) header: String,
    pub(super) argument: Option<String>,
}

impl ScpiCommand {
    /// Whether the header is this one, its long form written with the short one in capitals: `VOLTage:PROTection?`.
    pub(super) fn is(&self, pattern: &str) -> bool {
        let (given, pattern) = (self.header.split(':'), pattern.split(':'));
        let is_node = |(given, node): (&str, &str)| {
            let short: String = node.chars().filter(|c| !c.is_ascii_lowercase()).collect();
            given == short || given == node.to_ascii_uppercase()
        };
        given.clone().count() == pattern.clone().count() && given.zip(pattern).all(is_node)
    }

    pub(super) fn number(&self) -> Result<f64, ScpiError> {
        let text = self.argument.as_deref().ok_or(ScpiError::Missing)?;
        let number: f64 = text.parse().map_err(|_| ScpiError::DataType)?;
        if number.is_finite() { Ok(number) } else { Err(ScpiError::OutOfRange) }
    }

    pub(super) fn switch(&self) -> Result<bool, ScpiError> {
        match self.argument.as_deref().ok_or(ScpiError::Missing)? {
            text if text == "1" || text.eq_ignore_ascii_case("on") => Ok(true),
            text if text == "0" || text.eq_ignore_ascii_case("off") => Ok(false),
            _ => Err(ScpiError::DataType),
        }
    }
}

/// Takes a message apart. A header after `;` goes on from the path of the one before, after `;:` from the root.
pub(super) fn commands(message: &str) -> Vec<ScpiCommand> {
    let mut path = String::new();
    let mut commands = Vec::new();
    for piece in message.split(';').map(str::trim).filter(|piece| !piece.is_empty()) {
        let (header, argument) = match piece.split_once(char::is_whitespace) {
            Some((header, argument)) => (header, Some(argument.trim().to_owned())),
            None => (piece, None),
        };
        let header = header.to_ascii_uppercase();
        let header = match header.strip_prefix(':') {
            _ if header.starts_with('*') => {
                commands.push(ScpiCommand { header, argument });
                continue;
            }
            Some(rooted) => rooted.to_owned(),
            None => format!("{path}{header}"),
        };
        path = header.rsplit_once(':').map_or(String::new(), |(path, _)| format!("{path}:"));
        commands.push(ScpiCommand { header, argument });
    }
    commands
}

/// Who an instrument is, and what it has against what it was told.
#[derive(Debug)]
pub(super) struct Status {
    identity: String,
    errors: VecDeque<ScpiError>,
}

impl Status {
    pub(super) fn new(identity: String) -> Self {
        Self { identity, errors: VecDeque::new() }
    }

    pub(super) fn refuse(&mut self, refusal: ScpiError) {
        if self.errors.len() < ERRORS_MAX {
            self.errors.push_back(refusal);
        } else if let Some(last) = self.errors.back_mut() {
            *last = ScpiError::QueueOverflow;
        }
    }

    /// Carries out what every instrument understands; none where the command is none of that.
    pub(super) fn obey(&mut self, command: &ScpiCommand) -> Option<ScpiResult> {
        let reply = if command.is("*IDN?") {
            Some(self.identity.clone())
        } else if command.is("*OPC?") {
            Some("1".to_owned())
        } else if command.is("SYSTem:ERRor?") || command.is("SYSTem:ERRor:NEXT?") {
            let oldest = self.errors.pop_front();
            Some(oldest.map_or("0,\"No error\"", ScpiError::words).to_owned())
        } else if command.is("*CLS") {
            self.errors.clear();
            None
        } else {
            return None;
        };
        Some(Ok(reply))
    }
}

/// A number as instruments write it: `+1.234560E+01`.
pub(super) fn number(value: f64) -> String {
    let text = format!("{value:+.6E}");
    match text.split_once('E') {
        Some((digits, exponent)) => match exponent.strip_prefix('-') {
            Some(size) => format!("{digits}E-{size:0>2}"),
            None => format!("{digits}E+{exponent:0>2}"),
        },
        None => text,
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]

    use super::*;
    use crate::quantity::{Dimension, Reading, Unit};

    fn headers(message: &str) -> Vec<String> {
        commands(message).into_iter().map(|command| command.header).collect()
    }

    #[test]
    fn a_message_holds_several_commands_each_on_its_path() {
        assert_eq!(headers("INST:NSEL 2;:OUTP OFF"), ["INST:NSEL", "OUTP"]);
        assert_eq!(headers("volt:prot 12;prot?"), ["VOLT:PROT", "VOLT:PROT?"]);
        assert_eq!(
            headers("STAT:QUES:COND?;*CLS;COND?"),
            ["STAT:QUES:COND?", "*CLS", "STAT:QUES:COND?"]
        );
        assert!(headers(" ;; ").is_empty());
    }

    #[test]
    fn short_and_long_forms_are_one() {
        for header in ["MEAS:VOLT:DC?", "MEASURE:VOLTAGE:DC?", "measure:volt:dc?"] {
            assert!(commands(header).iter().all(|c| c.is("MEASure:VOLTage:DC?")), "{header}");
        }
        for header in ["MEASU:VOLT:DC?", "MEAS:VOLT:DC", "MEAS:VOLT?"] {
            assert!(!commands(header).iter().any(|c| c.is("MEASure:VOLTage:DC?")), "{header}");
        }
    }

    #[test]
    fn errors_come_oldest_first_and_do_not_pile_up_without_end() {
        let mut status = Status::new("invented".to_owned());
        let ask = commands("SYST:ERR?");
        status.refuse(ScpiError::Undefined);
        for _ in 0..ERRORS_MAX {
            status.refuse(ScpiError::OutOfRange);
        }
        let mut told = Vec::new();
        for _ in 0..=ERRORS_MAX {
            told.push(status.obey(&ask[0]).unwrap().unwrap().unwrap());
        }
        assert_eq!(told[0], "-113,\"Undefined header\"");
        assert_eq!(told[ERRORS_MAX - 1], "-350,\"Queue overflow\"");
        assert_eq!(told[ERRORS_MAX], "0,\"No error\"");
    }

    #[test]
    fn the_program_reads_the_numbers_as_they_were_meant() {
        for value in [0.0, 12.345_67, -4.4e-3, 9.91e37, 21_500.0] {
            let text = number(value);
            match Reading::parse(&text, &Unit::base(Dimension::VOLTAGE)).unwrap() {
                Reading::Number(read) => {
                    assert!((read.to_f64() - value).abs() <= 1e-6 * value.abs(), "{text}");
                }
                other => assert!(value > 1e37 && other == Reading::NotANumber, "{text}"),
            }
        }
        assert_eq!(number(12.5), "+1.250000E+01");
    }
}
