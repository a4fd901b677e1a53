//! The session's part in signing: who signs what, and what comes of it.

use super::Signing;
use super::outside::NoSignature;
use crate::diagnostic::clean_lines;
use crate::journal::Disk;
use crate::record::{Event, Key, Meaning, Moment, Signature};
use crate::runner::Question;
use crate::signature::{HAND_OVER, Statement, hand_over};
use crate::sitting::beside::PromptEnd;
use crate::sitting::front::Front;
use crate::sitting::screen;
use crate::sitting::session::Session;

impl<D: Disk> Session<'_, D> {
    /// The moment of an event: of a signed one that of its last signature, so that the record has one time for both.
    pub(in crate::sitting) fn moment(&self, event: &Event) -> Moment {
        let now = self.clock.now();
        let signed = event.signatures().map(|signature| signature.at).max();
        Moment { wall: signed.unwrap_or(now.wall), ..now }
    }

    /// Has an answer signed where the question wants that; `None` when the question has to be put again.
    pub(in crate::sitting) fn signed_answer(
        &mut self,
        question: &Question,
        key: Key,
        text: String,
    ) -> Option<Event> {
        let origin = self.front.origin();
        let signer = question.signer.clone().unwrap_or_else(|| text.clone());
        let wanted = question.sign.map(|meaning| (meaning, signer));
        let answer = text.clone();
        let asked = key.to_string();
        let answered = move |signatures: Vec<Signature>| Event::Entered {
            key: key.clone(),
            text: text.clone(),
            origin,
            signature: signatures.into_iter().next().map(Box::new),
        };
        self.signed(question, &asked, &answer, wanted.into_iter().collect(), &answered)
    }

    /// Has both sides sign a hand-over; `None` when the question has to be put again.
    pub(in crate::sitting) fn signed_hand_over(
        &mut self,
        question: &Question,
        to: String,
        remarks: String,
    ) -> Option<Event> {
        let both =
            [(Meaning::HandedOver, question.person.clone()), (Meaning::TookOver, to.clone())];
        let answer = hand_over(&to, &remarks);
        let handed_over = move |signatures| Event::HandedOver {
            to: to.clone(),
            remarks: remarks.clone(),
            signatures,
        };
        let event = self.signed(question, HAND_OVER, &answer, both.to_vec(), &handed_over);
        if event.is_none() {
            let words = screen::still_there(&question.person);
            self.front.show(&clean_lines(&format!("  {words}\n")));
        }
        event
    }

    /// Gets the wanted signatures, one after the other. What would be refused anyway is not signed, nor is what names
    /// somebody that nobody knows: the runner says why. What stops the run does not wait for it.
    fn signed(
        &mut self,
        question: &Question,
        asked: &str,
        answer: &str,
        wanted: Vec<(Meaning, String)>,
        event: &dyn Fn(Vec<Signature>) -> Event,
    ) -> Option<Event> {
        let signing = self.signing.take_if(|_| !wanted.is_empty());
        let Some(signing) = signing else { return Some(event(Vec::new())) };
        let blank: Option<Vec<_>> =
            wanted.iter().map(|(meaning, name)| self.blank(&signing, *meaning, name)).collect();
        let event = match blank {
            Some(blank) if self.is_signable(&event(blank.clone())) => {
                let signatures = blank
                    .into_iter()
                    .map(|blank| self.signature(&signing, question, asked, answer, blank));
                signatures.collect::<Result<Vec<_>, _>>().map(event)
            }
            _ => Ok(event(Vec::new())),
        };
        self.signing = Some(signing);
        match event {
            Ok(event) => Some(event),
            Err(Instead::Event(event)) => event,
            Err(Instead::Told(words)) => {
                self.front.show(&clean_lines(&format!("  NOT SIGNED: {words}.\n")));
                None
            }
        }
    }

    fn is_signable(&self, event: &Event) -> bool {
        let now = self.clock.now();
        !self.runner.refuses(now, event) && !self.runner.stops(now, event)
    }

    /// What there is of a signature before it is made.
    fn blank(&self, signing: &Signing, meaning: Meaning, name: &str) -> Option<Signature> {
        let person = signing.authority.find(name)?;
        let (principal, name) = (person.id.value.clone(), person.name.value.clone());
        let at = self.clock.now().wall;
        Some(Signature { principal, name, meaning, at, armored: String::new() })
    }

    /// Gets one signature, and looks whether it holds before anything else hears of it.
    fn signature(
        &mut self,
        signing: &Signing,
        question: &Question,
        asked: &str,
        answer: &str,
        blank: Signature,
    ) -> Result<Signature, Instead> {
        let told = Instead::Told;
        let run = self.run.as_ref().map(|run| run.opening.run.clone()).unwrap_or_default();
        let person = signing.authority.find(&blank.principal);
        let person = person.ok_or_else(|| told(format!("nobody is {}", blank.principal)))?;
        let title = format!("  {} signs: {}.\n", blank.name, blank.meaning.words());
        self.front.show(&clean_lines(&title));
        let allowed = signing.authority.signers().keys(&blank.principal, self.clock.now().wall);
        let key =
            self.had(question, |front, ended| signing.unlocked(person, allowed, front, ended))?;
        let mut signature = Signature { at: self.clock.now().wall, ..blank };
        let (line, after) = (self.journal.lines() + 1, self.journal.head().to_owned());
        let (run, after) = (run.as_str(), after.as_str());
        let unsigned = signature.clone();
        let unsigned =
            Statement { run, line, after, question: asked, answer, signature: &unsigned };
        let text = unsigned.to_string();
        signature.armored = self.had(question, |front, ended| key.sign(text, front, ended))?;
        let signed = Statement { signature: &signature, ..unsigned };
        let fingerprint = signing.authority.holds(&signed);
        let fingerprint = fingerprint.map_err(|flaw| told(flaw.to_string()))?;
        self.front.show(&clean_lines(&format!("  Signed with {fingerprint}.\n")));
        Ok(signature)
    }

    /// Has somebody asked outside the program: nothing that may happen meanwhile waits for the answer.
    fn had<T>(
        &mut self,
        question: &Question,
        ask: impl FnOnce(&mut dyn Front, Option<&PromptEnd>) -> Result<T, NoSignature>,
    ) -> Result<T, Instead> {
        let had = self.beside(question, |front, ended| match ask(front, ended) {
            Ok(had) => Ok(Ok(had)),
            Err(NoSignature::Told(words)) => Ok(Err(words)),
            Err(NoSignature::Reply(reply)) => Err(reply),
        });
        had.map_err(Instead::Event)?.map_err(Instead::Told)
    }
}

/// What there is in place of a signature.
enum Instead {
    /// Why it could not be had, in words for the person.
    Told(String),
    /// What came in between; nothing when the question has to be put again.
    Event(Option<Event>),
}
