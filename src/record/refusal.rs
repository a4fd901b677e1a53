//! Why an answer was not taken: codes and values, from which the sentence is made where it is shown.

use serde::{Deserialize, Serialize};

use super::{AT_BENCH, Duty, Meaning, Part, Unworkable};
use crate::formula::offered;
use crate::quantity::{Reading, ReadingError, Unit};
use crate::window::Bounds;

/// Why an answer was not taken.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, thiserror::Error)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Refusal {
    /// None of the stated answers.
    #[error("pick one of the stated answers")]
    NotAChoice,
    /// Not the word that is wanted.
    #[error("{}", word_wanted(.word))]
    NotTheWord {
        /// The word.
        word: String,
    },
    /// Not the answer to a notice.
    #[error("that is not the answer: read the notice again")]
    NotTheAnswer,
    /// An instrument's word where a person has to answer.
    #[error("a person answers this, not an instrument")]
    ForAPerson,
    /// A typed value for what a connected supply sets.
    #[error("the connected supply does this: press Enter to start it")]
    ForTheSupply,
    /// A file where none is asked for.
    #[error("a file is not the answer here")]
    NotAFile,
    /// Nothing was written where something is asked for.
    #[error("write something down, or `none`")]
    Blank,
    /// No reason was given.
    #[error("say it in a few words: it stays in the record")]
    NoReason,
    /// Making safe was declined.
    #[error("making safe cannot be skipped; `leave` ends the run as not confirmed safe")]
    MakingSafe,
    /// What is asked takes another kind of answer.
    #[error("this answer is not taken here")]
    NotHere,
    /// A reading that can't be read.
    #[error(transparent)]
    Unread(#[from] ReadingError),
    /// A value that its kind can't have; it is asked for once more.
    #[error("that {}. Look again and type what the meter shows", .window.why_outside(.reading, Some(.unit)))]
    Impossible {
        /// The value.
        reading: Reading,
        /// The unit it is shown in.
        unit: Unit,
        /// Its window.
        window: Box<Bounds>,
    },
    /// A value that a slipped prefix would explain; its unit is asked for.
    #[error("is that a slip of a thousand? type it again with its unit, such as `{example}`")]
    Slip {
        /// The value with its unit.
        example: String,
    },
    /// An outside value that one slip of the fingers would explain, or that its source can't deliver; it is asked for once more.
    #[error(
        "outside, and a slip of a digit, the point or the sign would explain it. Look again and type what the meter shows"
    )]
    Doubted,
    /// A list of parts that can't stand.
    #[error(transparent)]
    Parts(#[from] PartsRefusal),
    /// A rule set that nobody knows.
    #[error("there is no rule set `{word}`: {}", offered())]
    NoRuleSet {
        /// What was written.
        word: String,
    },
    /// No number where a fact is one.
    #[error("a number is needed here, not an over-range reading")]
    OverRange,
    /// A fact outside of what its question takes for credible, or that its kind can't have.
    #[error("{text} {}", incredible(.reading, .unit, .window))]
    Incredible {
        /// What was written.
        text: String,
        /// The value.
        reading: Reading,
        /// The unit it is shown in.
        unit: Unit,
        /// What the question takes.
        window: Box<Bounds>,
    },
    /// What stands behind a fact as its tolerance and is none.
    #[error(
        "`{text}` is no tolerance here: write it behind the value, such as `31 V +/- 2 %` or `31 V +/- 0.5 V`"
    )]
    Tolerance {
        /// What was written.
        text: String,
    },
    /// A fact whose window or tolerance can't be worked out.
    #[error(transparent)]
    Unworkable(#[from] Unworkable),
    /// What a fact is not, as a sentence, as records of 0.3.0 have it from before its release.
    #[error("{why}")]
    Fact {
        /// The sentence.
        why: String,
    },
    /// No person's name.
    #[error(transparent)]
    Name(#[from] NameRefusal),
    /// The role in the place of the name.
    #[error("`{role}` is the role: type the person's name")]
    RoleForName {
        /// The role.
        role: String,
    },
    /// Somebody who may not do this.
    #[error(transparent)]
    Person(#[from] PersonRefusal),
    /// A signature that is not there, or says something else.
    #[error("it wants the signature of {name} ({})", .meaning.words())]
    Unsigned {
        /// Whose.
        name: String,
        /// What it has to say.
        meaning: Meaning,
    },
    /// A hand-over in the middle of what two people do.
    #[error("a second person is in on this: finish it with them, or `stop`, first")]
    TwoPeopleAtIt,
    /// A hand-over of live equipment without a word on its state.
    #[error("the equipment is live: say what state the job is in")]
    LiveWithoutRemarks,
    /// Only a hand-over or a stop is left.
    #[error("the bench has to be handed over, or the run stopped")]
    HandOverOrStop,
    /// No word that says whether somebody watched or waived.
    #[error("type `attended NAME` or `waived NAME`")]
    AttendedOrWaived,
    /// A waiver of what nobody waives.
    #[error("nobody waives this: type `attended NAME`, or `alone` if nobody is in reach")]
    NotWaived,
    /// Alone where the shop lets nobody be.
    #[error("this shop lets nobody work alone here: call somebody, or `stop`")]
    NotAlone,
    /// The sentence alone, as earlier records have it.
    #[error("{0}")]
    #[serde(untagged)]
    Said(String),
}

/// Why a list of parts can't stand.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, thiserror::Error)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum PartsRefusal {
    /// More than anybody measures.
    #[error("at most {most} parts in one list")]
    TooMany {
        /// The most there may be.
        most: usize,
    },
    /// A name that could not stand in a key.
    #[error("part names are letters, digits, - and _, with commas between")]
    NotAName,
    /// A name that says what is asked about a step.
    #[error("a part can't be called {name}: answers use that word")]
    Reserved {
        /// The name.
        name: String,
    },
    /// A name that stands twice.
    #[error("the part {name} is named twice")]
    Twice {
        /// The name.
        name: String,
    },
}

/// Why a text is no person's name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, thiserror::Error)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum NameRefusal {
    /// A word, a sign, or too few letters.
    #[error("type the person's name")]
    NotAName,
    /// More characters than any name has.
    #[error("type a name of at most {most} characters")]
    TooLong {
        /// The most there may be.
        most: usize,
    },
    /// A character that can't be seen.
    #[error("the name holds a character that can't be seen: type it again")]
    Unseen,
    /// What names nobody, or a role.
    #[error("that names nobody, or says what somebody is and not who: type the person's name")]
    Nobody,
    /// Letters of two alphabets in one word.
    #[error("type each word of the name in the letters of one alphabet")]
    Alphabets,
}

/// Why somebody may not do what is asked.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, thiserror::Error)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum PersonRefusal {
    /// Somebody who has worked at the bench can't release or accept.
    #[error("nobody who has worked at this bench in this run releases or accepts here")]
    WorkedHere,
    /// The person at the bench as their own witness.
    #[error("the person at the bench is not their own witness")]
    OwnWitness,
    /// The person at the bench as their own second person.
    #[error("the person at the bench is not their own second person")]
    OwnSecond,
    /// The person at the bench as their own supervisor.
    #[error("the person at the bench does not supervise themselves")]
    OwnSupervisor,
    /// The person who took the first reading.
    #[error("the person who took the first reading knows it: name someone else")]
    KnowsTheReading,
    /// Nobody of that name in the people file.
    #[error("{name} is not on the staff of the people file")]
    NotOnStaff {
        /// The name as it was given.
        name: String,
    },
    /// No competence for the class.
    #[error("{name} has no competence for {class} in the people file")]
    NotCompetent {
        /// Who.
        name: String,
        /// The class.
        class: String,
    },
    /// The competence has run out.
    #[error("the competence of {name} for {class} ran out after {last}")]
    Expired {
        /// Who.
        name: String,
        /// The class.
        class: String,
        /// The last day on which it held.
        last: String,
    },
    /// Somebody who may not do this by themselves.
    #[error("{name} may not {} alone", .duty.words())]
    NotAlone {
        /// Who.
        name: String,
        /// What it is.
        duty: Duty,
    },
    /// Somebody who may not accept a thing as it is.
    #[error("{name} may not accept this alone")]
    NotToAccept {
        /// Who.
        name: String,
    },
    /// Somebody without the role.
    #[error("{name} may not release this: it takes the role {role}")]
    WithoutRole {
        /// Who.
        name: String,
        /// The role.
        role: String,
    },
    /// Somebody who did in this run what the shop keeps apart from that.
    #[error(
        "{name} {} in this run, and this shop keeps that apart: name another person",
        .had.map_or(AT_BENCH, Part::words)
    )]
    KeptApart {
        /// Who.
        name: String,
        /// What they did beside the bench; nothing if they worked at it.
        had: Option<Part>,
    },
}

fn word_wanted(word: &str) -> String {
    match word {
        "done" => "press Enter alone, or type `done`, when it is so".to_owned(),
        word => format!("type `{word}` when it is so"),
    }
}

impl Refusal {
    /// Puts it as a sentence where an earlier record has one.
    pub(super) fn put_as(&mut self, earlier: &Self) {
        let sentence = self.to_string();
        match earlier {
            Self::Said(_) => *self = Self::Said(sentence),
            Self::Fact { .. } => *self = Self::Fact { why: sentence },
            _ => {}
        }
    }

    /// Forgets the sentence that an earlier record has in the place of a code.
    pub(super) fn forget_sentence(&mut self) {
        if let Self::Said(sentence) | Self::Fact { why: sentence } = self {
            sentence.clear();
        }
    }
}

fn incredible(reading: &Reading, unit: &Unit, window: &Bounds) -> String {
    if window.judge(reading).is_impossible() {
        return window.why_outside(reading, Some(unit));
    }
    format!("is not credible here: {}", window.describe(Some(unit)))
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::*;

    #[test]
    fn a_reason_is_kept_as_a_code_and_a_sentence_of_an_earlier_version_as_it_is() {
        let kept = serde_json::to_string(&Refusal::NotAChoice).unwrap();
        assert_eq!(kept, "\"not_a_choice\"");
        let had = Some(Part::Verify);
        let apart = PersonRefusal::KeptApart { name: "Kim Bench-Test".to_owned(), had };
        let apart = Refusal::from(apart);
        let again: Refusal = serde_json::from_str(&serde_json::to_string(&apart).unwrap()).unwrap();
        assert_eq!(again, apart);
        let words = "Kim Bench-Test verified in this run, and this shop keeps that apart: name another person";
        assert_eq!(apart.to_string(), words);
        let other = r#"{"fact":{"why":"the part q1 is named twice"}}"#;
        let other: Refusal = serde_json::from_str(other).unwrap();
        let mut now = Refusal::from(PartsRefusal::Twice { name: "q1".to_owned() });
        now.put_as(&other);
        assert_eq!(now, other);
        let former: Refusal = serde_json::from_str("\"pick one of the stated answers\"").unwrap();
        assert_eq!(former, Refusal::Said("pick one of the stated answers".to_owned()));
        assert_eq!(former.to_string(), Refusal::NotAChoice.to_string());
    }
}
