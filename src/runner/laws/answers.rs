//! Rules 6, 8 and 9: whose answer it was, and what is an answer at all.

use super::monitor::{Coverage, Scene, holds};
use super::procedure::RAMP;
use super::rig::RigKind;
use crate::quantity::{Dimension, Reading, Unit};
use crate::record::{Event, Fact, Origin, Refusal, Signal};
use crate::runner::{Expects, Question};
use crate::window::Verdict;

#[derive(Clone, Debug, Default)]
pub(super) struct AnswersLaw {
    rig: RigKind,
}

impl AnswersLaw {
    pub(super) fn on(rig: RigKind) -> Self {
        Self { rig }
    }

    pub(super) fn see(&mut self, scene: &Scene<'_>, coverage: &mut Coverage) -> Result<(), String> {
        for fact in scene.facts {
            self.origin(scene, fact, coverage)?;
            verdict(scene, fact, coverage)?;
            doubted(scene, fact, coverage)?;
            notice(scene, fact, coverage)?;
        }
        if matches!(scene.event, Event::RecordFailed { .. }) {
            return Ok(());
        }
        self.instrument(scene, coverage)?;
        unread(scene, coverage)?;
        file(scene, coverage)
    }

    fn origin(
        &self,
        scene: &Scene<'_>,
        fact: &Fact,
        coverage: &mut Coverage,
    ) -> Result<(), String> {
        let (Fact::Judged { key, origin, .. }
        | Fact::Seen { key, origin, .. }
        | Fact::Watched { key, origin, .. }) = fact
        else {
            return Ok(());
        };
        let is_answered = scene.asked().is_some_and(|question| question.key == *key);
        let due = match scene.event {
            Event::Entered { origin, .. } if is_answered => *origin,
            // A watch is over: what an instrument sampled is judged.
            Event::Measured { .. } | Event::Sampled { .. } | Event::Ticked if is_answered => {
                self.rig.origin()
            }
            _ => Origin::WorkedOut,
        };
        coverage.reach(format!("origin: {origin:?}"));
        holds!(*origin == due, "rule 6: {key} is told as {origin:?} and was {due:?}");
        Ok(())
    }

    /// An instrument answers what it is connected to, never what a person has to say or see; and what it does by itself
    /// is not typed.
    fn instrument(&self, scene: &Scene<'_>, coverage: &mut Coverage) -> Result<(), String> {
        let Some(question) = scene.asked() else { return Ok(()) };
        let key = question.key.as_str();
        if !scene.is_recorded() {
            return Ok(());
        }
        let is_judged = scene.facts.iter().any(|fact| matches!(fact, Fact::Judged { .. }));
        match scene.event {
            Event::Measured { .. } => {
                let reads = [RAMP, "idle", "rail-full", "rail-full.second"].contains(&key)
                    && self.rig.is_connected();
                let proves = key.starts_with("dead.") && self.rig == RigKind::Rehearsed;
                let taken = !scene.is_refused();
                holds!(!taken || reads || proves, "rule 6: an instrument answered `{key}`");
                holds!(is_judged == taken, "rule 6: sent at `{key}`, neither judged nor refused");
            }
            Event::Entered { .. } if key == RAMP && self.rig.is_connected() => {
                coverage.reach("a typed value at a connected ramp");
                let stays = scene.is_refused() && scene.key() == RAMP;
                holds!(stays, "rule 6: a typed value passed for a connected ramp");
            }
            _ => {}
        }
        Ok(())
    }
}

fn verdict(scene: &Scene<'_>, fact: &Fact, coverage: &mut Coverage) -> Result<(), String> {
    let Fact::Judged { key, reading, bounds, verdict, .. } = fact else { return Ok(()) };
    if *reading != Reading::NotANumber && !matches!(reading, Reading::Number(_)) && bounds.open_ok {
        coverage.reach("an open circuit that is good");
    } else if !matches!(reading, Reading::Number(_)) {
        coverage.reach("a reading without a number");
        holds!(
            matches!(verdict, Verdict::Outside(_)),
            "rule 8: {reading:?} at {key} was judged {verdict:?}"
        );
    }
    impossible(key.as_str(), reading, *verdict, coverage)?;
    let proof = key.as_str().starts_with("dead.");
    if matches!(verdict, Verdict::Outside(_)) && !proof {
        holds!(scene.stops(), "rule 2: {key} is outside and the run goes on");
    }
    if *verdict != Verdict::Inside && proof {
        let again = ["dead.before", "make-safe.wait"].contains(&scene.key());
        holds!(again, "rule 8: {key} was not good and `{}` follows", scene.key());
    }
    Ok(())
}

/// What is asked for once more was typed, and live nothing that may harm: the supply gives no more than 200 mA, and the windows of its
/// currents end at 100 mA.
fn doubted(scene: &Scene<'_>, fact: &Fact, coverage: &mut Coverage) -> Result<(), String> {
    let Fact::Refused { key, text, reason: Refusal::Doubted } = fact else { return Ok(()) };
    coverage.reach("a value doubted");
    let is_typed = matches!(scene.event, Event::Entered { .. });
    holds!(is_typed && !scene.stops(), "rule 8: {text} at {key} is doubted and was not typed");
    let unit = Unit::base(Dimension::CURRENT);
    if let (true, Ok(Reading::Number(current))) = (scene.was_live(), Reading::parse(text, &unit)) {
        let size = current.to_f64().abs();
        holds!(!(0.1..=0.2).contains(&size), "rule 2: {text} at {key} may be true and harm");
    }
    Ok(())
}

/// What nothing of its kind can be is outside, whatever the window; so is what is too much the other way round. Judged
/// without the program's own table.
fn impossible(
    key: &str,
    reading: &Reading,
    verdict: Verdict,
    coverage: &mut Coverage,
) -> Result<(), String> {
    let Reading::Number(quantity) = reading else { return Ok(()) };
    let value = quantity.to_f64();
    let is_current = quantity.dimension == Dimension::CURRENT;
    let cannot_be = match quantity.dimension {
        Dimension::RESISTANCE => value < 0.0,
        Dimension::VOLTAGE | Dimension::CURRENT => value.abs() > 55_000.0,
        _ => false,
    };
    // The windows of all currents end at 100 mA.
    if cannot_be || (is_current && value < -0.1) {
        coverage.reach(if cannot_be { "what can't be" } else { "too much the other way round" });
        let is_outside = matches!(verdict, Verdict::Outside(_));
        holds!(is_outside, "rule 8: {quantity} at {key} was judged {verdict:?}");
    }
    Ok(())
}

/// A DANGER notice passes on the answer to its question, never on a bare acknowledgement.
fn notice(scene: &Scene<'_>, fact: &Fact, coverage: &mut Coverage) -> Result<(), String> {
    let Fact::NoticeAnswered { key, signal: Signal::Danger } = fact else { return Ok(()) };
    coverage.reach("danger notice answered");
    let Event::Entered { text, .. } = scene.event else {
        return Err(format!("rule 9: {:?} passed the DANGER notice {key}", scene.event));
    };
    let right = if key == "rails.hazard" { text == "30 V" } else { text == "mains" };
    holds!(right, "rule 9: `{text}` passed the DANGER notice {key}");
    Ok(())
}

/// The text that was given as an answer to the question at hand.
fn given<'a>(scene: &Scene<'a>, question: &Question) -> Option<&'a str> {
    match scene.event {
        Event::Entered { key, text, .. } | Event::Measured { key, text, .. }
            if *key == question.key =>
        {
            Some(text)
        }
        Event::Acknowledged { key, .. } if *key == question.key => Some(""),
        _ => None,
    }
}

/// What confirms nothing is refused where a value is wanted, and the same question stands.
fn unread(scene: &Scene<'_>, coverage: &mut Coverage) -> Result<(), String> {
    let Some(question) = scene.asked() else { return Ok(()) };
    let Some(text) = given(scene, question) else { return Ok(()) };
    if scene.facts.is_empty() {
        // Nothing is recorded any more: only the same question may stand.
        return Ok(());
    }
    let is_value = matches!(question.expects, Expects::Value { .. } | Expects::Fact);
    let is_text = !["OL", "NaN"].contains(&text)
        && (text.contains(',') || !text.contains(|c: char| c.is_ascii_digit()));
    if is_value && is_text {
        coverage.reach(format!("refused at a reading: `{text}`"));
        holds!(scene.is_refused(), "rule 9: `{text}` was taken at {}", question.key);
    }
    if scene.is_refused() {
        let value = text.contains(|c: char| c.is_ascii_digit());
        coverage.reach(if value { "a value refused" } else { "refused" });
        holds!(
            scene.key() == question.key.as_str() || makes_safe_again(scene),
            "rule 8: `{text}` was refused and `{}` follows",
            scene.key()
        );
        let judged = scene.facts.iter().any(|fact| matches!(fact, Fact::Judged { .. }));
        holds!(!judged, "rule 8: `{text}` was refused and judged");
    }
    Ok(())
}

/// A question about dead equipment gives way to a proof that has run out meanwhile, with the person who has to be there for one, and
/// to nothing else.
pub(super) fn makes_safe_again(scene: &Scene<'_>) -> bool {
    !scene.was_live() && (scene.key() == "dead.before" || is_about_people(scene.key()))
}

/// It asks who supervises, or who takes over.
pub(super) fn is_about_people(key: &str) -> bool {
    key.ends_with(".supervisor") || key.ends_with(".takes-over")
}

/// A file answers the step that asks for one, and nothing else.
fn file(scene: &Scene<'_>, coverage: &mut Coverage) -> Result<(), String> {
    let Some(question) = scene.asked() else { return Ok(()) };
    if let Event::Attached { key: Some(_), .. } = scene.event {
        coverage.reach("a file given as an answer");
        let wanted = question.expects == Expects::File;
        let stays = scene.key() == question.key.as_str() || makes_safe_again(scene);
        holds!(wanted || stays, "rule 9: a file answered {}", question.key);
    }
    Ok(())
}
