//! A question as it stands on a screen.

/// A question about the equipment, with all that helps to answer it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FactQuestion {
    /// Which of all questions it is, from 1.
    pub number: usize,
    /// How many there are.
    pub of: usize,
    /// What this and its neighbours are about.
    pub group: Option<String>,
    /// What is asked.
    pub what: String,
    /// Where the answer is found.
    pub find: Option<String>,
    /// An answer as it is written.
    pub example: Option<String>,
    /// Lowest and highest credible answer.
    pub range: Option<String>,
    /// The answers there are, where only these are taken.
    pub choices: Vec<String>,
    /// What a value that was worked out rests on.
    pub basis: Option<String>,
    /// What was answered before.
    pub now: Option<String>,
    /// What `work out` does here.
    pub offer: Option<String>,
    /// What `unknown` does here.
    pub unknown: Option<String>,
    /// The few words right before the cursor.
    pub prompt: String,
}
