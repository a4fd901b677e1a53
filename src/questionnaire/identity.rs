//! What tells one piece of equipment from another: its name and its serial number.

use crate::diagnostic::clean;

/// The most characters of a name or a serial number: more than any rating plate has (common practice, no source).
const LONGEST: usize = 120;

/// What is typed in passing, and names no set.
const NAMES_NOTHING: [&str; 14] =
    ["-", "--", "?", "ok", "y", "n", "yes", "no", "none", "unknown", "n/a", "na", "nil", "null"];

/// What a set is known by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum IdentityPart {
    Name,
    Serial,
}

impl IdentityPart {
    /// Both, in the order in which they are asked for.
    pub(super) const BOTH: [Self; 2] = [Self::Name, Self::Serial];

    pub(super) fn ask(self) -> &'static str {
        match self {
            Self::Name => "Maker and model of the equipment",
            Self::Serial => "Serial number",
        }
    }

    pub(super) fn find(self) -> &'static str {
        match self {
            Self::Name => "Rating plate; what kind of equipment it is goes behind it",
            Self::Serial => {
                "Rating plate or chassis. Where it has none: a mark of the shop's own, written on the set"
            }
        }
    }

    pub(super) fn example(self) -> &'static str {
        match self {
            Self::Name => "Tallow & Pike Lantern 60 stereo amplifier (invented)",
            Self::Serial => "QS-0417 (invented)",
        }
    }

    /// Takes what was typed, or says why it names no set.
    pub(super) fn take(self, typed: &str) -> Result<String, String> {
        let text = typed.trim();
        if text.is_empty() || NAMES_NOTHING.contains(&text.to_lowercase().as_str()) {
            return Err(match self {
                Self::Name => "name it: the record has to say which equipment it is of".to_owned(),
                Self::Serial => {
                    "the record has to tell this set from another of its model: give it a mark of the shop's own, and write that on the set"
                        .to_owned()
                }
            });
        }
        if text.chars().count() > LONGEST {
            return Err(format!("that is longer than {LONGEST} characters: write it shorter"));
        }
        if clean(text) != text {
            return Err("it holds a character that can't be seen: type it again".to_owned());
        }
        Ok(text.to_owned())
    }
}
