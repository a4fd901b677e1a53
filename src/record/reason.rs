//! Why somebody at the bench stopped or declined: their own words, or a code where they said nothing.

use serde::{Deserialize, Serialize};

use super::Key;

/// Why somebody at the bench, or the answers file in their place, stopped, left or did not do what was asked.
///
/// Only what a person says is a text in a record; all else is an object, so that nobody can type a code.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, thiserror::Error)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Reason {
    /// They gave none.
    #[error("no reason given")]
    NotGiven {},
    /// They asked to leave.
    #[error("the person left")]
    PersonLeft {},
    /// They pressed the key to stop.
    #[error("a key was pressed while time passed")]
    KeyPressed {},
    /// The answers file has no answer.
    #[error("the answers file has no answer to `{key}`")]
    NoAnswer {
        /// The question's key.
        key: Key,
    },
    /// A script had an instrument answer again and again.
    #[error("`{key}` was measured {times} times, and no value was taken")]
    NoValue {
        /// The question's key.
        key: Key,
        /// How often.
        times: u32,
    },
    /// Nobody can be asked any more.
    #[error("the terminal is gone: {error}")]
    TerminalGone {
        /// What the system said.
        error: String,
    },
    /// There was nothing more to ask.
    #[error("nothing was left to ask")]
    NothingToAsk {},
    /// Not even the first entry could be written.
    #[error("the record could not be begun")]
    NotBegun {},
    /// The person's words; or the sentence of an earlier version.
    #[error("{0}")]
    #[serde(untagged)]
    Words(String),
}

impl From<&str> for Reason {
    fn from(words: &str) -> Self {
        Self::Words(words.to_owned())
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::Reason;

    #[test]
    fn nobody_types_a_code() {
        for typed in ["person_left", "no_answer", "{}", "{\"person_left\":{}}", ""] {
            let kept = serde_json::to_string(&Reason::from(typed)).unwrap();
            assert_eq!(
                serde_json::from_str::<Reason>(&kept).unwrap(),
                Reason::from(typed),
                "{kept}"
            );
        }
        for code in [Reason::PersonLeft {}, Reason::NoAnswer { key: "gate.q1".into() }] {
            let kept = serde_json::to_string(&code).unwrap();
            assert_eq!(serde_json::from_str::<Reason>(&kept).unwrap(), code, "{kept}");
        }
    }
}
