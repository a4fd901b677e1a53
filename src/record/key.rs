//! What a question, and every fact about it, is called: in answers, in the record, in the model of a simulated bench.

use std::borrow::Borrow;
use std::fmt;

use serde::{Deserialize, Serialize};

/// The name of a question: of a step or a stage, its part and what of it (`output-rest.left.second`), or of the run itself
/// (`make-safe.off`).
///
/// Its text is what answers and records hold. It is made and taken apart here and nowhere else.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(transparent)]
pub struct Key(String);

/// What is asked about a step, a stage or another question.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Matter {
    /// The hazard notice before it.
    Hazard,
    /// The hold point before a stage.
    Hold,
    /// Whether all is clear for a source to come on.
    Clear,
    /// The source that comes on for it.
    Energise,
    /// The meter that is clipped on before it.
    Clips,
    /// One reading by hand of a watch, counted from 1.
    Reading(u64),
    /// The wait before a reading by hand, by the number of that reading.
    Wait(u64),
    /// The end of a wait, confirmed.
    Over,
    /// How far a watched value ran away.
    Drift,
    /// How far a watched value was from its mean.
    Settled,
    /// What to do about a reading too close to its limit.
    Undecided,
    /// Who accepts it as it is.
    AcceptedBy,
    /// Why it is accepted.
    AcceptedWhy,
    /// Who is the second person.
    Verifier,
    /// Whether two people agree on it.
    Agree,
    /// The second reading.
    Second,
    /// What came of two readings.
    Verified,
    /// Who watches somebody who may not do it alone.
    Supervisor,
    /// Who takes the bench over.
    TakesOver,
    /// What became of equipment that was left.
    Sight,
}

/// What a reading of a proof of dead is taken at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ProvedAt<'a> {
    /// The known source, before.
    Before,
    /// A charge point.
    Point(&'a str),
    /// The known source again.
    After,
    /// No reading: whether a proof that was made before still stands.
    Stands,
}

/// The first pieces of keys of the run itself: no step or stage may be called so.
const OF_THE_RUN: [&str; 6] = [ASK, CALIBRATION, PROOF, MAKE_SAFE, WHAT_NEXT, SIGN_OFF];
const ASK: &str = "ask";
const CALIBRATION: &str = "calibration";
const PROOF: &str = "dead";
const MAKE_SAFE: &str = "make-safe";
const WHAT_NEXT: &str = "what-next";
const SIGN_OFF: &str = "sign-off";
/// What a proof asks beside its charge points: no charge point may be called so.
const BESIDE_POINTS: [&str; 3] = ["before", "after", "stands"];

impl Key {
    /// Of a fact about the equipment that is asked for.
    #[must_use]
    pub fn fact(name: &str) -> Self {
        Self(format!("{ASK}.{name}"))
    }

    /// Of an instrument's calibration.
    #[must_use]
    pub fn calibration(instrument: &str) -> Self {
        Self(format!("{CALIBRATION}.{instrument}"))
    }

    /// Of a question of a proof of dead.
    #[must_use]
    pub fn proof(at: ProvedAt<'_>) -> Self {
        let [before, after, stands] = BESIDE_POINTS;
        let at = match at {
            ProvedAt::Before => before,
            ProvedAt::Point(name) => name,
            ProvedAt::After => after,
            ProvedAt::Stands => stands,
        };
        Self(format!("{PROOF}.{at}"))
    }

    /// Of switching off to make safe.
    #[must_use]
    pub fn switch_off() -> Self {
        Self(format!("{MAKE_SAFE}.off"))
    }

    /// Of the wait for stored charge.
    #[must_use]
    pub fn charge() -> Self {
        Self(format!("{MAKE_SAFE}.wait"))
    }

    /// Of what to do after a stop.
    #[must_use]
    pub fn what_next() -> Self {
        Self(WHAT_NEXT.to_owned())
    }

    /// Of the reason for what is done after a stop.
    #[must_use]
    pub fn what_next_why() -> Self {
        Self(format!("{WHAT_NEXT}.why"))
    }

    /// Of what became of the equipment while it was left.
    #[must_use]
    pub fn sight() -> Self {
        // A step may be called `left`; no part of it may be called `sight`.
        Self("left".to_owned()).about(Matter::Sight)
    }

    /// Of the signature at the end.
    #[must_use]
    pub fn sign_off() -> Self {
        Self(SIGN_OFF.to_owned())
    }

    /// Of a step, on one of its parts where it is repeated.
    #[must_use]
    pub fn step(step: &str, part: &str) -> Self {
        Self(if part.is_empty() { step.to_owned() } else { format!("{step}.{part}") })
    }

    /// Of a matter of a step, a stage or another question.
    #[must_use]
    pub fn about(&self, matter: Matter) -> Self {
        Self(format!("{self}.{matter}"))
    }

    /// Of a matter of the stage at hand, or of the run where there is none yet.
    #[must_use]
    pub fn of_stage(stage: Option<&str>, matter: Matter) -> Self {
        stage.map_or_else(|| Self(matter.to_string()), |stage| Self(stage.to_owned()).about(matter))
    }

    /// Its text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The name of the step or stage that it belongs to; of a key of the run itself its first piece.
    #[must_use]
    pub fn owner(&self) -> &str {
        first(&self.0)
    }

    /// What is behind the name of a step: its part, what of it, or nothing; none where it belongs to another.
    #[must_use]
    pub fn behind(&self, step: &str) -> Option<&str> {
        let rest = self.0.strip_prefix(step)?;
        if rest.is_empty() { Some("") } else { rest.strip_prefix('.') }
    }

    /// The instrument whose calibration it is about.
    #[must_use]
    pub fn instrument(&self) -> Option<&str> {
        self.behind(CALIBRATION).filter(|name| !name.is_empty())
    }

    /// Tells whether it is that of a question of a proof of dead.
    #[must_use]
    pub fn is_proof(&self) -> bool {
        self.behind(PROOF).is_some_and(|at| !at.is_empty())
    }

    /// Tells whether it belongs to making safe: switching off, the wait for stored charge, the proof of dead.
    #[must_use]
    pub fn is_making_safe(&self) -> bool {
        self.owner() == MAKE_SAFE || self.is_proof()
    }

    /// Tells whether it is about a matter of something else.
    #[must_use]
    pub fn is_about(&self, matter: Matter) -> bool {
        let word = matter.to_string();
        self.0.strip_suffix(&word).is_some_and(|rest| rest.is_empty() || rest.ends_with('.'))
    }

    /// Its text, then less and less of its beginning.
    pub fn widening(&self) -> impl Iterator<Item = &str> {
        std::iter::successors(Some(self.as_str()), |text| Some(text.rsplit_once('.')?.0))
    }

    /// Tells whether no step or stage may be called so: questions of the run itself are.
    #[must_use]
    pub fn is_of_the_run(name: &str) -> bool {
        let before_a_stage =
            [Matter::Supervisor, Matter::TakesOver].map(|matter| matter.to_string());
        OF_THE_RUN.contains(&name) || before_a_stage.iter().any(|reserved| reserved == name)
    }

    /// Tells whether no charge point may be called so: what else a proof asks is.
    #[must_use]
    pub fn is_of_the_proof(name: &str) -> bool {
        BESIDE_POINTS.contains(&name)
    }
}

impl Matter {
    /// Every matter with a word of its own.
    const WORDED: [Self; 18] = [
        Self::Hazard,
        Self::Hold,
        Self::Clear,
        Self::Energise,
        Self::Clips,
        Self::Over,
        Self::Drift,
        Self::Settled,
        Self::Undecided,
        Self::AcceptedBy,
        Self::AcceptedWhy,
        Self::Verifier,
        Self::Agree,
        Self::Second,
        Self::Verified,
        Self::Supervisor,
        Self::TakesOver,
        Self::Sight,
    ];

    /// Tells whether a word stands for a matter: no part of a repeated step may be called so.
    #[must_use]
    pub fn is_word(word: &str) -> bool {
        Self::WORDED.iter().any(|matter| matter.to_string() == word)
    }
}

impl fmt::Display for Matter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Hazard => "hazard",
            Self::Hold => "hold",
            Self::Clear => "clear",
            Self::Energise => "energise",
            Self::Clips => "clips",
            Self::Reading(n) => return write!(f, "{n}"),
            Self::Wait(n) => return write!(f, "wait-{n}"),
            Self::Over => "over",
            Self::Drift => "drift",
            Self::Settled => "settled",
            Self::Undecided => "undecided",
            Self::AcceptedBy => "accepted-by",
            Self::AcceptedWhy => "accepted-why",
            Self::Verifier => "verifier",
            Self::Agree => "agree",
            Self::Second => "second",
            Self::Verified => "verified",
            Self::Supervisor => "supervisor",
            Self::TakesOver => "takes-over",
            Self::Sight => "sight",
        })
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

impl Borrow<str> for Key {
    fn borrow(&self) -> &str {
        &self.0
    }
}

impl From<&str> for Key {
    fn from(text: &str) -> Self {
        Self(text.to_owned())
    }
}

impl From<String> for Key {
    fn from(text: String) -> Self {
        Self(text)
    }
}

impl PartialEq<str> for Key {
    fn eq(&self, text: &str) -> bool {
        self.0 == text
    }
}

impl PartialEq<&str> for Key {
    fn eq(&self, text: &&str) -> bool {
        self.0 == *text
    }
}

fn first(text: &str) -> &str {
    text.split('.').next().unwrap_or(text)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::*;

    #[test]
    fn a_key_has_the_text_that_answers_and_records_hold() {
        let read = Key::step("output-rest", "left");
        for (key, text) in [
            (Key::fact("mains"), "ask.mains"),
            (Key::calibration("meter"), "calibration.meter"),
            (Key::proof(ProvedAt::Before), "dead.before"),
            (Key::proof(ProvedAt::Point("plus")), "dead.plus"),
            (Key::proof(ProvedAt::After), "dead.after"),
            (Key::switch_off(), "make-safe.off"),
            (Key::charge(), "make-safe.wait"),
            (Key::what_next(), "what-next"),
            (Key::what_next_why(), "what-next.why"),
            (Key::sight(), "left.sight"),
            (Key::sign_off(), "sign-off"),
            (Key::step("idle", ""), "idle"),
            (read.about(Matter::Reading(2)), "output-rest.left.2"),
            (read.about(Matter::Wait(2)), "output-rest.left.wait-2"),
            (
                read.about(Matter::Second).about(Matter::Undecided),
                "output-rest.left.second.undecided",
            ),
            (Key::of_stage(Some("feed"), Matter::Clear), "feed.clear"),
            (Key::of_stage(None, Matter::TakesOver), "takes-over"),
        ] {
            assert_eq!(key, text);
            assert_eq!(serde_json::to_string(&key).unwrap(), format!("\"{text}\""));
        }
    }

    #[test]
    fn a_key_tells_what_it_belongs_to() {
        let key = Key::step("warm", "left").about(Matter::Wait(2));
        assert_eq!((key.owner(), key.behind("warm")), ("warm", Some("left.wait-2")));
        assert_eq!((key.behind("war"), key.behind("warmer")), (None, None));
        assert_eq!(key.widening().collect::<Vec<_>>(), ["warm.left.wait-2", "warm.left", "warm"]);
        let proof = Key::proof(ProvedAt::Point("plus"));
        assert!(proof.is_proof() && proof.is_making_safe() && Key::charge().is_making_safe());
        assert!(!Key::charge().is_proof() && !Key::step("dead-time", "").is_making_safe());
        assert!(!Key::step("dead", "").is_proof(), "it names no point");
        assert_eq!(Key::calibration("meter").instrument(), Some("meter"));
        assert!(key.about(Matter::Agree).is_about(Matter::Agree));
        assert!(!Key::step("disagree", "").is_about(Matter::Agree));
    }

    #[test]
    fn every_key_of_the_run_begins_with_a_reserved_name() {
        for key in [
            Key::fact("x"),
            Key::calibration("x"),
            Key::proof(ProvedAt::Before),
            Key::switch_off(),
            Key::charge(),
            Key::what_next(),
            Key::what_next_why(),
            Key::sign_off(),
            Key::of_stage(None, Matter::Supervisor),
            Key::of_stage(None, Matter::TakesOver),
        ] {
            assert!(Key::is_of_the_run(key.owner()), "{key}");
        }
        assert!(Key::is_of_the_proof("after") && !Key::is_of_the_proof("plus"));
        assert!(Matter::is_word("second") && !Matter::is_word("left"));
    }
}
