//! Hazard notices: read, and answered.

use super::sitting::{RunAtBench, cold};
use crate::record::{Fact, Signal};
use crate::runner::Effect;

fn with_notice(notice: &str) -> RunAtBench {
    let steps = format!(
        "- step: probe\n  do: Put the probe on\n  hazard: {{signal: warning, risk: live, result: a shock, avoid: one hand, {notice}}}"
    );
    let mut sitting = RunAtBench::new(&cold(&steps));
    sitting.make_safe();
    assert_eq!(sitting.key(), "probe.hazard");
    sitting
}

fn is_warned(sitting: &RunAtBench) -> bool {
    sitting.effects().iter().any(|effect| matches!(effect, Effect::Warn(_)))
}

fn answered(sitting: &RunAtBench) -> Option<Signal> {
    sitting.facts().iter().find_map(|fact| match fact {
        Fact::NoticeAnswered { signal, .. } => Some(*signal),
        _ => None,
    })
}

/// The notice is passed by each of `right` and by none of `wrong`; a wrong answer shows it again.
fn passes(notice: &str, right: &[&str], wrong: &[&str]) {
    for text in wrong {
        let mut sitting = with_notice(notice);
        assert!(is_warned(&sitting));
        sitting.say(text);
        assert_eq!((sitting.key(), answered(&sitting)), ("probe.hazard", None), "`{text}`");
        assert!(sitting.refusal().is_some() && is_warned(&sitting), "`{text}`");
    }
    for text in right {
        let mut sitting = with_notice(notice);
        sitting.say(text);
        assert!(answered(&sitting).is_some() && sitting.key() == "probe", "`{text}`");
    }
}

#[test]
fn a_voltage_is_confirmed_within_ten_percent() {
    passes(
        "harm: death, likely: will, confirm: {ask: Which voltage?, voltage: 325 V}",
        &["325 V", "325", "292.5 V", "357.5 V", "0.33 kV"],
        &["", "read", "ok", "292 V", "358 V", "-325 V", "325 A", "OL", "NaN"],
    );
}

#[test]
fn a_word_is_confirmed_word_for_word() {
    passes(
        "harm: death, likely: will, confirm: {ask: What is live?, word: The heatsink}",
        &["The heatsink", " the HEATSINK "],
        &["", "read", "heatsink", "yes"],
    );
}

#[test]
fn a_lesser_notice_is_read() {
    passes("harm: minor-injury", &["read", "READ"], &["", "ok", "y"]);
    let mut sitting = with_notice("harm: death");
    sitting.acknowledge();
    assert_eq!(answered(&sitting), Some(Signal::Warning), "a warning is passed by reading it");
}

#[test]
fn no_danger_notice_passes_on_enter_or_by_an_instrument() {
    for confirm in ["", ", confirm: {ask: What do you do now?, word: read}"] {
        let mut sitting = with_notice(&format!("harm: death, likely: will{confirm}"));
        sitting.acknowledge();
        assert_eq!((sitting.key(), answered(&sitting)), ("probe.hazard", None), "{confirm}");
        sitting.measure("read");
        assert_eq!((sitting.key(), answered(&sitting)), ("probe.hazard", None), "{confirm}");
        sitting.say("read");
        assert_eq!(answered(&sitting), Some(Signal::Danger), "{confirm}");
    }
}

/// What a step says of its own danger counts, not the signal word it was given.
#[test]
fn the_signal_is_the_one_that_harm_and_likelihood_give() {
    let sitting = with_notice("harm: death, likely: will");
    let shown = sitting.effects().iter().find_map(|effect| match effect {
        Effect::Warn(notice) => Some(notice.signal),
        _ => None,
    });
    assert_eq!(shown, Some(Signal::Danger));
}
