//! Who may sign in a run: the staff and their keys, as they are frozen in the record.

use super::flaw::Flaw;
use super::shop::Shop;
use super::signers::Signers;
use super::statement::{HAND_OVER, Statement, hand_over};
use super::verify::{holds, signing_key};
use crate::procedure::{People, Person, read_people};
use crate::record::{Bond, Entry, Event, Fact, Meaning, Opening, Outcome, Signable, Signature};

/// The staff of a run and the keys they sign with.
#[derive(Clone, Debug)]
pub struct Authority {
    people: People,
    signers: Signers,
    /// The shop's own keys, where they are at hand.
    shop: Option<Shop>,
}

/// Where a line stands: what its signatures are bound to.
#[derive(Clone, Copy, Debug)]
pub struct SignerLine<'a> {
    /// The run's identity.
    pub run: &'a str,
    /// The number of the line, from 1.
    pub n: usize,
    /// The hash of the line before it.
    pub after: &'a str,
}

/// A signature of a record and what came of its check.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CheckedSignature {
    /// The text that was signed.
    pub statement: String,
    /// The signature.
    pub signature: Signature,
    /// Why it does not hold, if it does not.
    pub flaw: Option<Flaw>,
}

impl Authority {
    /// Reads the staff and their keys from the opening of a run; nothing where nobody signs.
    ///
    /// # Errors
    /// What can't be read.
    pub fn of(opening: &Opening) -> Result<Option<Self>, String> {
        let Some(file) = &opening.signers else { return Ok(None) };
        let people = opening.people.as_ref().ok_or("there are signers, but no people file")?;
        let people = read_people(&people.text).map_err(|finding| {
            format!("the people file in it can't be read: {}", finding.message)
        })?;
        let signers =
            Signers::parse(&file.text).map_err(|error| format!("{}: {error}", file.name))?;
        Ok(Some(Self { people, signers, shop: None }))
    }

    /// Has every signature hold by the shop's own keys as well, which no record can forge.
    #[must_use]
    pub fn also_by(self, shop: Option<Shop>) -> Self {
        Self { shop, ..self }
    }

    /// Finds who is meant by a name or an identity.
    #[must_use]
    pub fn find(&self, name: &str) -> Option<&Person> {
        self.people.find(name)
    }

    /// The keys that people sign with.
    #[must_use]
    pub fn signers(&self) -> &Signers {
        &self.signers
    }

    /// Tells whether a signature holds and is that of the person it names.
    ///
    /// # Errors
    /// Why it does not hold.
    pub fn holds(&self, statement: &Statement<'_>) -> Result<String, Flaw> {
        let Signature { name, principal, .. } = statement.signature;
        let person = self.find(name).filter(|person| person.id.value == *principal);
        if person.is_none() {
            let (name, principal) = (name.clone(), principal.clone());
            return Err(Flaw::Stranger { name, principal });
        }
        let fingerprint = holds(statement, &self.signers)?;
        if let Some(shop) = &self.shop {
            shop.admit(&signing_key(statement)?, principal, statement.signature.at)?;
        }
        Ok(fingerprint)
    }

    /// Checks every signature of a line.
    #[must_use]
    pub fn check(&self, line: SignerLine<'_>, entry: &Entry) -> Vec<CheckedSignature> {
        let Some((question, answer)) = answered(&entry.event) else { return Vec::new() };
        // The last to sign gives the line its time.
        let latest = entry.event.signatures().map(|signature| signature.at).max();
        let is_timely = latest == Some(entry.at.wall);
        let checked = entry.event.signatures().map(|signature| {
            let SignerLine { run, n, after } = line;
            let question = &question;
            let statement = Statement { run, line: n, after, question, answer: &answer, signature };
            let flaw = self.holds(&statement).err();
            let flaw = flaw.or((!is_timely).then_some(Flaw::OtherTime));
            CheckedSignature {
                statement: statement.to_string(),
                signature: signature.clone(),
                flaw,
            }
        });
        checked.collect()
    }

    /// Tells whose signature a line lacks, as what it would have to be; nothing when all are there.
    #[must_use]
    pub fn lacks(&self, entry: &Entry) -> Option<(Meaning, String)> {
        let is_theirs = |signature: &Signature, meaning: Meaning, name: &str| {
            let person = self.find(name);
            signature.meaning == meaning
                && person.is_some_and(|person| person.id.value == signature.principal)
        };
        let due = entry.facts.iter().flat_map(|fact| due(fact, entry));
        let mut missing = due.filter(|(meaning, name)| {
            !entry.event.signatures().any(|signature| is_theirs(signature, *meaning, name))
        });
        missing.next().map(|(meaning, name)| (meaning, name.to_owned()))
    }
}

/// The question and the answer that a signature of this event is under.
fn answered(event: &Event) -> Option<(String, String)> {
    Some(match event.signable()? {
        Signable::Answer { key, text, .. } => (key.to_string(), text.to_owned()),
        Signable::HandOver { to, remarks, .. } => (HAND_OVER.to_owned(), hand_over(to, remarks)),
    })
}

/// Whose signature a fact takes, and as what.
fn due<'a>(fact: &'a Fact, entry: &'a Entry) -> Vec<(Meaning, &'a str)> {
    // Any other end may come when nobody can be asked any more.
    if let Fact::Closed { outcome: Outcome::Finished, .. } = fact {
        return vec![(Meaning::Performed, &entry.by)];
    }
    let Some((bond, by)) = fact.bond() else { return Vec::new() };
    match bond {
        Bond::Released(_) => vec![(Meaning::Released, by)],
        Bond::Conceded(_) => vec![(Meaning::Accepted, by)],
        Bond::Supervises => vec![(Meaning::Supervised, by)],
        Bond::Agreed(_) => vec![(Meaning::Verified, by)],
        Bond::Called { sent: true, .. } => vec![(Meaning::Called, by)],
        Bond::ReadAgain(_) if is_typed_and_good(entry) => vec![(Meaning::Verified, by)],
        Bond::TookOver { from } => vec![(Meaning::HandedOver, from), (Meaning::TookOver, by)],
        // Who is called signs under the reading that they type, and nobody signs as a witness.
        Bond::Called { sent: false, .. } | Bond::ReadAgain(_) | Bond::Witnessed(_) => Vec::new(),
    }
}

/// Tells whether a person gave the answer and it let the run go on: a stop waits for no signature.
fn is_typed_and_good(entry: &Entry) -> bool {
    let stops = entry.facts.iter().any(|fact| matches!(fact, Fact::Stopped { .. }));
    matches!(entry.event, Event::Entered { .. }) && !stops
}
