//! What holds for every topic, and how its tests ask.
#![expect(clippy::unwrap_used, reason = "a test fails loudly")]

use clap::{FromArgMatches, Subcommand};

use super::answer::Answer;
use super::explanation;
use super::topic::Chosen;
use super::{TOPICS, option};

/// Works out what a command line after `work-out` asks for.
pub(super) fn work_out(line: &str) -> Answer {
    try_work_out(line).unwrap()
}

/// Works it out, or says why not.
fn try_work_out(line: &str) -> Result<Answer, String> {
    let words = std::iter::once("work-out").chain(line.split_whitespace());
    let command = Chosen::augment_subcommands(clap::Command::new("work-out"));
    let matches = command.try_get_matches_from(words).map_err(|error| error.to_string())?;
    let chosen = Chosen::from_arg_matches(&matches).map_err(|error| error.to_string())?;
    chosen.topic.unwrap().work_out().map_err(|fault| format!("{fault:?}"))
}

/// Why it cannot be worked out.
pub(super) fn refusal(line: &str) -> String {
    try_work_out(line).unwrap_err()
}

/// Panics unless two numbers agree to a relative difference.
pub(super) fn near(got: f64, want: f64, relative: f64) {
    assert!((got - want).abs() <= relative * want.abs(), "got {got}, want {want}");
}

#[test]
fn every_page_has_its_four_sections_and_needs_no_more_than_ascii() {
    let wanted = ["formula", "assumptions", "range_of_validity", "source"];
    for entry in TOPICS {
        let page = explanation::json(entry.page);
        let sections = page.as_object().unwrap();
        assert_eq!(sections.len(), wanted.len(), "{}", entry.name);
        for heading in wanted {
            let items = sections.get(heading).and_then(|items| items.as_array());
            assert!(items.is_some_and(|items| !items.is_empty()), "{}: {heading}", entry.name);
        }
        assert!(entry.page.is_ascii(), "{}", entry.name);
    }
}

#[test]
fn topics_stand_in_the_order_of_names() {
    assert!(TOPICS.is_sorted_by_key(|entry| entry.name));
}

#[test]
fn values_are_read_as_at_a_bench() {
    for (text, symbol, base) in [
        ("36", "V", 36.0),
        ("4k7", "ohm", 4700.0),
        ("10m", "uF", 0.01),
        ("470", "uF", 470e-6),
        ("8 %", "%", 0.08),
        ("10", "%", 0.1),
    ] {
        near(option::read(text, symbol).unwrap(), base, 1e-12);
    }
    for (text, symbol, message) in [
        ("36A", "V", "`36A` is current, but this is voltage: write it in V"),
        ("OL", "ohm", "over range is no number"),
        ("1,5", "V", "comma"),
        ("1e40", "V", "check its prefix"),
    ] {
        let error = option::read(text, symbol).unwrap_err();
        assert!(error.contains(message), "{error}");
    }
}
