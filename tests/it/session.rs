//! Runs typed by hand on a terminal.

use serde_json::json;

use crate::support::bench::{Bench, LANTERN, SET};
use crate::support::desk::Desk;
use crate::support::terminal::Look;
use crate::support::unwrapped;

#[test]
fn a_good_run_typed_by_hand_finishes() {
    let bench = Bench::new();
    let mut desk = Desk::run(&bench, &Look::usual());
    assert_eq!(desk.finish(), 0, "{}", desk.terminal.screen());
    desk.terminal.wait_for("Outcome: finished, every stage held");
    desk.terminal.wait_for("Energy: proved dead");
    desk.terminal.wait_for("Record: records/");
    assert!(desk.terminal.is_cursor_visible() && desk.terminal.is_restored());
    let record = bench.record();
    assert_eq!(record.closed_safe(), Some(true));
    assert!(record.events("entered").iter().all(|event| event["origin"] == "typed"));
    assert!(!desk.terminal.since(0).contains("SCRIPTED"));
    bench.wattstep(&["verify", "--all"]).out("closed: finished").exit(0);
}

#[test]
fn a_call_at_a_question_on_the_mains_leaves_what_is_typed() {
    let bench = Bench::new();
    let every = LANTERN.replace("stages:\n", "presence_every: 1 s\nstages:\n");
    bench.write("lantern.yaml", every);
    let mut desk = Desk::run(&bench, &Look::usual());
    desk.until("Power on the power meter");
    for (key, typed) in [("3", "W: 3"), ("1", "W: 31")] {
        desk.terminal.keys(key);
        let mark = desk.terminal.mark();
        desk.terminal.wait_until_said(mark, "ARE YOU THERE? Press any key.");
        desk.terminal.wait_until_said(mark, typed);
    }
    desk.answers("");
    let record = bench.record();
    assert_eq!(record.facts("judged").last().unwrap()["text"], "31");
    assert!(record.events("unattended").is_empty());
}

#[test]
fn every_screen_says_live_while_the_equipment_is_energised_and_no_other_does() {
    let bench = Bench::new();
    let mut desk = Desk::run(&bench, &Look::usual().env("NO_COLOR", "1"));
    let (mut live, mut live_screens) = (false, 0);
    loop {
        let question = desk.question();
        assert_eq!(question.contains("LIVE: "), live, "{question}");
        assert!(!live || desk.terminal.screen().contains("LIVE: "), "{}", desk.terminal.screen());
        live_screens += usize::from(live);
        if question.contains("What was replaced") {
            break;
        }
        if question.contains("Tools and loose leads out") {
            live = true;
        } else if question.contains("OUTPUTS OFF") || question.contains("SWITCH OFF") {
            live = false;
        }
        desk.answers(desk.usual());
    }
    assert_eq!(live_screens, 7);
}

/// Goes on to the power reading and answers it far outside its window.
fn stopped(bench: &Bench) -> Desk {
    let mut desk = Desk::run(bench, &Look::usual());
    desk.until("Power on the power meter");
    desk.answers("90 W");
    desk
}

#[test]
fn a_stop_says_first_what_to_do_now_then_why() {
    let bench = Bench::new();
    let desk = stopped(&bench);
    let screen = desk.terminal.screen();
    let verdict = screen.rfind("90 W   OUTSIDE").unwrap_or_else(|| panic!("{screen}"));
    let below: Vec<_> = screen[verdict..].lines().skip(1).filter(|l| !l.is_empty()).collect();
    let is_bar = |line: &&&str| line.trim_start().starts_with('|');
    let below: Vec<_> = below.iter().skip_while(is_bar).collect();
    assert!(below[0].contains("NOW: SWITCH OFF at the mains"), "{screen}");
    let why = below.iter().position(|line| line.contains("STOPPED. Power on the power meter"));
    assert!((1..=2).contains(&why.unwrap()), "{screen}");
    assert!(desk.question().contains("LIVE: direct mains"), "{screen}");
}

#[test]
fn after_a_stop_the_causes_are_shown_once_it_is_safe_and_the_person_decides() {
    let bench = Bench::new();
    let mut desk = stopped(&bench);
    let first = "STOPPED: it is made safe and proved dead first";
    desk.until("The 9 V test battery");
    assert!(desk.question().contains(first), "{}", desk.question());
    desk.until("What next?");
    let question = desk.question();
    assert!(!question.contains(first), "{question}");
    assert!(question.contains("90 W is outside its window"), "{question}");
    assert!(question.contains("likely a shorted smoothing capacitor"), "{question}");
    assert!(question.contains("check the capacitor out of circuit"), "{question}");
    for choice in ["1 again:", "2 repaired:", "3 later:", "4 end:"] {
        assert!(question.contains(choice), "{question}");
    }
    desk.answers("9");
    assert!(desk.question().contains("pick one of the stated answers"));
    desk.types("4");
    assert_eq!(desk.terminal.exit_code(), 3);
    desk.terminal.wait_for("Outcome: stopped on a reading");
    let record = bench.record();
    assert_eq!(record.last_stop(), ("power-seen".to_owned(), "outside".to_owned()));
    assert_eq!(record.closed_safe(), Some(true));
}

#[test]
fn after_a_repair_every_stage_begins_again() {
    let bench = Bench::new();
    let mut desk = stopped(&bench);
    desk.until("What next?");
    desk.answers("2");
    assert!(desk.question().contains("What was repaired or replaced?"));
    desk.answers("the smoothing capacitor");
    desk.until("Pull the plug of the lantern");
    assert_eq!(desk.finish(), 0);
    assert_eq!(bench.record().facts("repaired"), [&json!({"what": "the smoothing capacitor"})]);
}

#[test]
fn what_is_left_for_later_is_taken_up_at_the_decision() {
    let bench = Bench::new();
    let mut desk = stopped(&bench);
    desk.until("What next?");
    desk.types("3");
    assert_eq!(desk.terminal.exit_code(), 3);
    let mut desk = Desk::resume(&bench, &Look::usual());
    assert!(desk.question().contains("SWITCH EVERYTHING OFF"), "{}", desk.question());
    desk.until("What next?");
    assert!(desk.question().contains("90 W is outside its window"), "{}", desk.question());
    desk.answers("1");
    assert!(desk.question().contains("Why is it taken again?"), "{}", desk.question());
    desk.answers("the meter was on the wrong range");
    assert_eq!(desk.finish(), 0);
    bench.wattstep(&["verify", "--all"]).out("closed: finished").exit(0);
}

#[test]
fn ok_y_and_an_empty_line_are_no_readings() {
    let bench = Bench::new();
    let mut desk = Desk::run(&bench, &Look::usual());
    desk.until("Power on the power meter");
    let before = bench.record().facts("judged").len();
    for line in ["", "ok", "y", "yes", "done", "30,5", "30 V", "", "n", "on", "+", "x"] {
        desk.answers(line);
        assert!(desk.question().contains("not taken: "), "{line:?}: {}", desk.question());
        let screen = desk.terminal.screen();
        assert!(screen.contains("LIVE: direct mains"), "{screen}");
        assert!(screen.contains("Power on the power meter"), "{screen}");
    }
    assert_eq!(bench.record().facts("judged").len(), before);
    desk.answers("30.5");
    assert_eq!(bench.record().facts("judged").len(), before + 1);
}

#[test]
fn why_all_and_the_question_mark_explain_and_ask_again() {
    let bench = Bench::new();
    let mut desk = Desk::run(&bench, &Look::usual());
    let before = bench.record().entries.len();
    desk.answers("?");
    for word in ["why", "all", "note", "attach", "hand over", "cannot", "stop"] {
        assert!(desk.question().contains(word), "{}", desk.question());
    }
    desk.answers("why");
    assert!(desk.question().contains("Only a plug in your sight cannot come back by itself."));
    desk.answers("all");
    let overview = desk.question();
    assert!(overview.contains("HERE plug-out"), "{overview}");
    for step in ["lead-ohms", "feed-current", "power-seen", "closing-words"] {
        assert!(overview.contains(step), "{overview}");
    }
    assert_eq!(bench.record().entries.len(), before);
    desk.until("Lead end to end");
    desk.answers("why");
    let why = desk.question();
    assert!(why.contains("basis shop rule of the invented workshop"), "{why}");
    desk.answers("all");
    for before in ["good plug-out", "good cold-proof"] {
        assert!(desk.question().contains(before), "{}", desk.question());
    }
    desk.answers("0.12");
    assert!(desk.question().contains("Zeroed leads held together"));
}

#[test]
fn notes_and_files_are_put_beside_the_record() {
    let bench = Bench::new();
    bench.write("inside.jpg", "not really a photo");
    let mut desk = Desk::run(&bench, &Look::usual());
    desk.answers("note");
    desk.answers("the plug is cracked");
    assert!(desk.question().contains("Pull the plug of the lantern"));
    desk.answers("attach");
    desk.answers("inside.jpg");
    assert!(desk.question().contains("Pull the plug of the lantern"));
    desk.answers("attach");
    desk.answers("outside.jpg");
    assert!(desk.question().contains("not attached: "), "{}", desk.question());
    let record = bench.record();
    assert_eq!(record.events("noted"), [&json!({"text": "the plug is cracked"})]);
    let attached = record.events("attached");
    assert_eq!(attached.len(), 1);
    assert_eq!(attached[0]["name"], "inside.jpg");
    let stored = std::fs::read_dir(record.path.with_extension("files")).unwrap().count();
    assert_eq!(stored, 1);
}

#[test]
fn the_bench_is_handed_over_by_name() {
    let bench = Bench::new();
    let mut desk = Desk::run(&bench, &Look::usual());
    desk.until("Power on the power meter");
    desk.answers("hand over");
    desk.answers("Ivo Example-Tech");
    desk.answers("");
    assert!(desk.question().contains("say what state the job is in"), "{}", desk.question());
    desk.answers("hand over");
    desk.answers("Ivo Example-Tech");
    desk.answers("live, power not read yet");
    assert!(desk.question().contains("LIVE: direct mains"), "{}", desk.question());
    desk.answers("31");
    let record = bench.record();
    assert_eq!(
        record.facts("took_over"),
        [&json!({
            "from": "Kim Example-Tech", "to": "Ivo Example-Tech"
        })]
    );
    assert_eq!(record.entries.last().unwrap()["by"], "Ivo Example-Tech");
}

#[test]
fn nobody_releases_their_own_hold() {
    let bench = Bench::new();
    let mut desk = Desk::run(&bench, &Look::usual());
    desk.until("Supervisor has seen the readings");
    for name in ["Kim Example-Tech", "kim  EXAMPLE-tech", ""] {
        desk.answers(name);
        assert!(desk.question().contains("not taken: "), "{name:?}: {}", desk.question());
    }
    assert!(bench.record().facts("released").is_empty());
    desk.answers("Moss Example-Super");
    assert_eq!(bench.record().facts("released").len(), 1);
}

#[test]
fn what_cannot_be_done_stops_the_run() {
    let bench = Bench::new();
    let mut desk = Desk::run(&bench, &Look::usual());
    desk.until("Power on the power meter");
    desk.answers("cannot");
    desk.answers("the power meter is broken");
    assert!(desk.question().contains("NOW: SWITCH OFF at the mains"), "{}", desk.question());
    desk.answers("cannot");
    desk.answers("do not want to");
    assert!(desk.question().contains("making safe cannot be skipped"), "{}", desk.question());
    desk.answers("off");
    desk.until("What next?");
    assert!(desk.question().contains("the power meter is broken"), "{}", desk.question());
}

#[test]
fn stop_makes_safe_and_leaves_the_run_for_later() {
    let bench = Bench::new();
    let mut desk = Desk::run(&bench, &Look::usual());
    desk.until("Current from the bench supply");
    desk.answers("stop");
    desk.answers("fire drill");
    let question = desk.question();
    assert!(question.contains("NOW: OUTPUTS OFF at the bench supply"), "{question}");
    assert!(question.contains("fire drill"), "{question}");
    assert_eq!(desk.finish(), 4);
    desk.terminal.wait_for("Outcome: left unfinished");
    desk.terminal.wait_for("Energy: proved dead");
    assert_eq!(bench.record().closed_safe(), Some(true));
}

#[test]
fn leaving_a_live_bench_is_told_and_recorded_as_not_safe() {
    let bench = Bench::new();
    let mut desk = Desk::run(&bench, &Look::usual());
    desk.until("Current from the bench supply");
    desk.types("leave");
    // Nobody leaves live equipment in one step: it is switched off first, or left a second time.
    desk.terminal.wait_for("OUTPUTS OFF at the bench supply");
    desk.terminal.wait_for("type off");
    desk.types("leave");
    assert_eq!(desk.terminal.exit_code(), 4);
    desk.terminal.wait_for("NOT CONFIRMED SAFE");
    assert_eq!(bench.record().closed_safe(), Some(false));
    bench.wattstep(&["show", &run_name(&bench)]).out("NOT CONFIRMED SAFE").exit(0);
}

fn run_name(bench: &Bench) -> String {
    bench.record().path.file_stem().unwrap().to_str().unwrap().to_owned()
}

#[test]
fn facts_that_the_file_lacks_are_asked_for_and_kept_as_typed() {
    let bench = Bench::new();
    let asks = "asks:\n  lamp: {ask: Power on the rating plate, unit: W, between: [20 W, 40 W]}\n";
    bench.write("asking.yaml", LANTERN.replace("charge_points:", &format!("{asks}charge_points:")));
    let run = [&["run", "asking.yaml"][..], &SET].concat();
    let mut desk = Desk::start(bench.folder(), &Look::usual(), &run);
    desk.answers("?");
    desk.answers("Kim Example-Tech");
    assert!(desk.question().contains("Power on the rating plate (W)"), "{}", desk.question());
    desk.answers("300");
    assert!(desk.question().contains("not taken: "), "{}", desk.question());
    desk.answers("0.030k");
    assert!(desk.question().contains("Pull the plug"), "{}", desk.question());
    let record = bench.record();
    assert_eq!(record.facts("given")[0]["text"], "0.030k");
    assert_eq!(record.entries[0]["by"], "Kim Example-Tech");
    assert!(unwrapped(&desk.terminal.since(0)).contains("it goes into the record"));
}
