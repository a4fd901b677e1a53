//! Rules 3 and 10: the order inside a batch, and nothing that moves by itself on live equipment.

use super::answers::{is_about_people, makes_safe_again};
use super::monitor::{Coverage, Scene, holds};
use crate::record::{Event, Fact};
use crate::runner::{Effect, Expects, Question};
use crate::window::Verdict;

#[derive(Clone, Debug, Default)]
pub(super) struct OrderLaw {
    recording_failed: bool,
    /// Set by `Finish`; whether the run may be taken up again, as recorded.
    over: Option<bool>,
}

impl OrderLaw {
    pub(super) fn see(&mut self, scene: &Scene<'_>, coverage: &mut Coverage) -> Result<(), String> {
        self.after_the_end(scene, coverage)?;
        if scene.effects.is_empty() {
            return Ok(());
        }
        self.recording_failed |= matches!(scene.event, Event::RecordFailed { .. });
        self.one_entry_first(scene)?;
        one_question_last(scene)?;
        stillness(scene, coverage)?;
        let finish = scene.effects.iter().find(|effect| matches!(effect, Effect::Finish(_)));
        let resumable = scene.facts.iter().find_map(|fact| match fact {
            Fact::Closed { resumable, .. } => Some(*resumable),
            _ => None,
        });
        self.over = finish.map(|_| resumable.unwrap_or_default());
        Ok(())
    }

    fn after_the_end(&self, scene: &Scene<'_>, coverage: &mut Coverage) -> Result<(), String> {
        let Some(resumable) = self.over else { return Ok(()) };
        let resumes = matches!(scene.event, Event::Resumed { .. });
        coverage.reach("event after the end");
        let taken_up = resumable && resumes && !self.recording_failed;
        holds!(
            taken_up != scene.effects.is_empty(),
            "rule 2: after the end {:?} gave {} effects",
            scene.event,
            scene.effects.len()
        );
        Ok(())
    }

    fn one_entry_first(&self, scene: &Scene<'_>) -> Result<(), String> {
        let entries: Vec<_> = scene
            .effects
            .iter()
            .enumerate()
            .filter_map(|(n, effect)| match effect {
                Effect::Record(entry) => Some((n, entry)),
                _ => None,
            })
            .collect();
        if self.recording_failed {
            holds!(entries.is_empty(), "rule 3: an entry after the record failed");
            holds!(scene.energises().is_none(), "rule 3: energised without a record");
            return Ok(());
        }
        let [(n, entry)] = entries.as_slice() else {
            return Err(format!("rule 3: {} entries in one batch", entries.len()));
        };
        let before = scene.effects.iter().take(*n);
        let only_off = before.clone().all(|effect| *effect == Effect::OutputsOff);
        holds!(only_off && *n <= 1, "rule 3: something stands before the entry");
        holds!(
            entry.event == *scene.event && entry.at == scene.at,
            "rule 4: the entry tells of another event"
        );
        Ok(())
    }
}

/// A batch leaves the person with one question or wait, or the end, as its last effect: never with nothing.
fn one_question_last(scene: &Scene<'_>) -> Result<(), String> {
    let is_last = |effect: &Effect| {
        matches!(effect, Effect::Ask(_) | Effect::Wait { .. } | Effect::Finish(_))
    };
    let count = scene.effects.iter().filter(|effect| is_last(effect)).count();
    let last = scene.effects.last().is_some_and(is_last);
    holds!(count == 1 && last, "rule 3: a batch ends in {count} questions");
    Ok(())
}

/// Time, a note or a handover never moves live equipment on, and time alone never energises.
fn stillness(scene: &Scene<'_>, coverage: &mut Coverage) -> Result<(), String> {
    let is_idle = matches!(
        scene.event,
        Event::Ticked
            | Event::Noted { .. }
            | Event::HandedOver { .. }
            | Event::Attached { key: None, .. }
            | Event::Sampled { .. }
            | Event::Present { .. }
            | Event::OffConfirmed { .. }
    );
    if !is_idle {
        return Ok(());
    }
    holds!(scene.energises().is_none(), "rule 10: {:?} alone energised", scene.event);
    let asked = scene.asked().map(|question| question.key.as_str());
    if scene.was_live() {
        coverage.reach(match scene.event {
            Event::Ticked => "a wait ends on live equipment",
            _ => "a note or handover on live equipment",
        });
        let stays = asked == Some(scene.key())
            || watch_ends(scene)
            || is_read_next(scene)
            || is_handed_over(scene);
        holds!(stays, "rule 10: live equipment moved on by itself to `{}`", scene.key());
    }
    if !matches!(scene.event, Event::Ticked) {
        let stays = asked == Some(scene.key()) || makes_safe_again(scene) || is_handed_over(scene);
        holds!(stays, "rule 10: {:?} moved the run on", scene.event);
    }
    Ok(())
}

/// The next reading by hand of a watch, behind the wait before it: nobody passes it without a value.
fn is_read_next(scene: &Scene<'_>) -> bool {
    let waited = scene.asked().and_then(|asked| asked.key.as_str().rsplit_once(".wait-"));
    let next = waited.map(|(step, number)| format!("{step}.{number}"));
    let reads = |question: &Question| matches!(question.expects, Expects::Value { .. });
    next.as_deref() == Some(scene.key()) && scene.asks().is_some_and(reads)
}

/// The end of a watch by an instrument: its value is outside and stops the run, or a person goes on from it.
fn watch_ends(scene: &Scene<'_>) -> bool {
    let Some(asked) = scene.asked() else { return false };
    let is_over = scene.key() == format!("{}.over", asked.key)
        && scene.asks().is_some_and(|question| question.expects == Expects::Done);
    let is_outside = scene.facts.iter().any(|fact| match fact {
        Fact::Judged { key, verdict: Verdict::Outside(_), .. } => {
            *key == asked.key || *key == format!("{}.settled", asked.key).as_str()
        }
        _ => false,
    });
    matches!(scene.event, Event::Ticked) && (is_over || (is_outside && scene.stops()))
}

/// Another person at the bench: who is present is asked again, and a question about that has its answer.
fn is_handed_over(scene: &Scene<'_>) -> bool {
    let asked = scene.asked().is_some_and(|question| is_about_people(question.key.as_str()));
    matches!(scene.event, Event::HandedOver { .. }) && (asked || is_about_people(scene.key()))
}
