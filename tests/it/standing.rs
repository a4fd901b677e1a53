//! What connected outputs do by themselves while a person thinks, or just before an answer.

use std::thread::sleep;
use std::time::{Duration, Instant};

use crate::support::bench::Bench;
use crate::support::desk::Desk;
use crate::support::fed;
use crate::support::scpi_server::Over;
use crate::support::supply::{self, Fault, Supply};
use crate::support::terminal::Look;

/// A ramp that nobody has to wait for.
const QUICK: [(&str, &str); 1] = [("over: 4 min", "over: 1 s")];

/// The last question before the supply comes on, the question with it on at zero volts, and the one to switch it off.
const CLEAR: &str = "Tools and loose leads out";
const UP: &str = "then read the voltage";
const OFF: &str = "TYPE OFF: wattstep switches plus off";

/// How soon after it happened something has to be told: outputs are asked once a second, and the machine may be busy.
const TOLD: Duration = Duration::from_secs(6);

/// A run on a supply of the test, at this question.
fn at(question: &str) -> (Supply, Bench, Desk) {
    let supply = Supply::start(Over::Tcp);
    let bench = fed::bench(&QUICK);
    supply.describe(&bench, "");
    let mut desk = supply::run(&bench);
    desk.until(question);
    (supply, bench, desk)
}

/// Half an answer stands at the prompt when it happens: the prompt wakes up, and says what became of the half.
fn cuts_in(desk: &mut Desk, happens: impl FnOnce()) -> String {
    desk.terminal.keys("1.2");
    desk.terminal.wait_for(": 1.2");
    let begun = Instant::now();
    desk.interrupt(|_| happens());
    assert!(begun.elapsed() < TOLD, "told after {:?}", begun.elapsed());
    let question = desk.question();
    assert!(question.contains("not taken: 1.2"), "{question}");
    assert!(question.contains("NOW: SWITCH EVERYTHING OFF"), "{question}");
    question
}

/// Goes on to the end; the record verifies, and nothing that was asked in vain is in it as an answer.
fn ends(bench: &Bench, desk: &mut Desk, code: u32) {
    assert_eq!(desk.finish(), code, "{}", desk.terminal.screen());
    assert!(desk.terminal.is_restored());
    bench.wattstep(&["verify", "--all"]).out("verified").exit(0);
}

#[test]
fn a_current_that_runs_away_while_a_person_thinks_switches_off_and_wakes_the_prompt() {
    let (supply, bench, mut desk) = at(UP);
    // The first of two samples has been answered when the second is asked for.
    supply.wait_for_another("MEAS:CURR?");
    supply.wait_for_another("MEAS:CURR?");
    let before = supply.heard().len();
    let question = cuts_in(&mut desk, || supply.spoil(Fault::Delivers(0.15)));
    assert!(question.contains("plus.current: 150 mA is outside"), "{question}");
    assert!(!supply.is_on());
    let heard = supply.heard();
    let off = heard[before..].iter().position(|(_, message)| message == "OUTP OFF").unwrap();
    assert_eq!(heard[before + off - 1].1, "MEAS:CURR?", "{heard:?}");
    ends(&bench, &mut desk, 5);
    let record = bench.record();
    assert_eq!(record.last_stop().1, "tripped");
    assert_eq!(record.closed_safe(), Some(true));
    // What led to it is kept; what a question that was answered has sampled is not.
    assert_eq!(record.events("sampled").len(), 1);
}

#[test]
fn an_output_switched_on_in_a_dead_stage_is_found_and_the_proof_of_dead_is_void() {
    let (supply, bench, mut desk) = at("Lead end to end");
    let proofs = |bench: &Bench| {
        bench
            .record()
            .facts("energy")
            .iter()
            .filter(|value| value["state"] == "proved_dead")
            .count()
    };
    assert_eq!(proofs(&bench), 1);
    let question = cuts_in(&mut desk, || supply.press(true));
    let words = "ENERGY STATE UNKNOWN: check the supply. Output plus of supply came on";
    assert!(question.contains(words), "{question}");
    assert!(!supply.is_on());
    let found = bench.record().events("found_on")[0].clone();
    assert_eq!((&found["instrument"], &found["output"]), (&"supply".into(), &"plus".into()));
    desk.until("Lead end to end");
    assert_eq!(proofs(&bench), 2);
    desk.until(UP);
    desk.answers("stop");
    desk.answers("the shop closes");
    ends(&bench, &mut desk, 4);
}

#[test]
fn an_output_switched_on_just_before_clear_is_found_before_off_is_sent_to_it() {
    let (supply, bench, mut desk) = at(CLEAR);
    let before = supply.heard().len();
    supply.press(true);
    desk.answers("clear");
    assert!(desk.question().contains("Output plus of supply came on"), "{}", desk.question());
    let heard: Vec<_> = supply.heard()[before..].iter().map(|line| line.1.clone()).collect();
    assert!(!heard.contains(&"OUTP ON".to_owned()), "{heard:?}");
    assert!(bench.record().events("found_on").len() == 1 && !supply.is_on());
    desk.until(UP);
}

#[test]
fn a_supply_that_switches_itself_off_is_told_at_a_question_and_in_a_watch() {
    let told = |bench: &Bench, desk: &mut Desk| {
        let question = desk.question();
        assert!(question.contains("output plus went off by itself"), "{question}");
        ends(bench, desk, 5);
        assert_eq!(bench.record().last_stop().1, "tripped");
    };
    let (supply, bench, mut desk) = at(UP);
    cuts_in(&mut desk, || supply.press(false));
    told(&bench, &mut desk);

    let (supply, bench, mut desk) = at("Current into the lantern");
    desk.types("");
    desk.terminal.wait_for("Current while it warms");
    desk.terminal.wait_for("(s to stop)");
    desk.interrupt(|_| supply.press(false));
    told(&bench, &mut desk);
}

#[test]
fn a_reading_behind_an_output_that_went_off_is_none() {
    let (supply, bench, mut desk) = at("Current into the lantern");
    supply.press(false);
    desk.answers("");
    assert!(desk.question().contains("output plus went off by itself"), "{}", desk.question());
    let record = bench.record();
    assert!(record.events("measured").iter().all(|value| value["key"] != "feed-current"));
}

#[test]
fn where_off_is_asked_for_an_output_that_is_off_is_no_surprise() {
    let supply = Supply::start(Over::Tcp);
    let bench =
        fed::bench(&[QUICK[0], ("time: 20 min", "time: 2 s"), ("every: 1 min", "every: 1 s")]);
    supply.describe(&bench, "");
    let mut desk = supply::run(&bench);
    desk.until(OFF);
    supply.press(false);
    sleep(Duration::from_millis(1500));
    desk.answers("off");
    assert!(bench.record().facts("stopped").is_empty(), "{}", desk.question());
}

#[test]
fn a_line_can_be_mended_before_it_is_sent() {
    let bench = Bench::new();
    let mut desk = Desk::run(&bench, &Look::usual().columns(40));
    desk.until("Lead end to end");
    let (home, end, left, right, delete) = ("\x1b[H", "\x1b[F", "\x1b[D", "\x1b[C", "\x1b[3~");
    desk.answers("note");
    let words = "The lead has a second sleeve, and the plug was opened before, as its screw shows.";
    let typed = words.replace("has a", "hasz a").replace("screw", "scew");
    // One letter too many near the beginning, one missing near the end: over two breaks of the row.
    let back = left.repeat(" shows.".len() + "ew".len());
    desk.terminal
        .keys(&format!("{typed}{back}r{home}{}{delete}{end}", right.repeat("The lead has".len())));
    desk.terminal.keys("!\x7f");
    desk.terminal.wait_for(
        "The lead has a second sleeve, and the plug was opened before, as its screw shows.",
    );
    desk.answers("");
    assert_eq!(bench.record().events("noted")[0]["text"], words);
}
