//! A second person at the bench: the first value is out of sight until the second is in, nothing is asked before two agreed, and
//! every report says who verified what.

use crate::support::bench::{Bench, SET};
use crate::support::board::on_a_dead_board;
use crate::support::desk::Desk;
use crate::support::terminal::{Look, Terminal};
use crate::support::{PROCEDURES, unwrapped};

/// A short run with both ways of verifying. Invented.
const TWICE: &str = r#"
      - step: gate
        read: {what: Gate resistor, unit: ohm, window: {between: [90 ohm, 120 ohm]}}
        basis: common practice, no source
        verify: independent
        agree_within: 2 %
      - step: link
        do: Close the link
        verify: concurrent
"#;

const ANSWERS: &str = r#"
format: 1
operator: Finn Aster-Test (invented)
answers:
  leads-off: done
  make-safe.off: off
  dead: {before: 9.1 V, reservoir: 0 V, after: 9.1 V, stands: in sight}
  gate: 101.37 ohm
  gate.verifier: Tamsin Roe-Test (invented)
  gate.second: 102.9 ohm
  link.verifier: Tamsin Roe-Test (invented)
  link.agree: agree
  link: done
"#;

const FIRST: &str = "101.37";

fn bench() -> Bench {
    let bench = Bench::new();
    bench.write("twice.yaml", on_a_dead_board("twice", "apprentice", TWICE));
    bench.write("twice.answers.yaml", ANSWERS);
    bench
}

/// A person at the terminal, at the question of the first reading.
fn at_gate(bench: &Bench) -> Desk {
    let run = [&["run", "twice.yaml", "--operator", "Finn Aster-Test"][..], &SET].concat();
    let mut desk =
        Desk::at(Terminal::start(bench.folder(), &Look::usual(), &run), "Take the leads off");
    for line in ["done", "off", "9.1", "0", "9.1"] {
        desk.answers(line);
    }
    assert!(desk.question().contains("keep this value to yourself"), "{}", desk.question());
    desk
}

#[test]
fn a_terminal_shows_the_first_value_again_only_when_the_second_is_in() {
    let bench = bench();
    let mut desk = at_gate(&bench);
    let mark = desk.terminal.mark();
    desk.answers(FIRST);
    let cleared = String::from_utf8_lossy(&desk.terminal.raw()[mark..]).into_owned();
    let (_, after) = cleared.split_once("\x1b[3J").expect("the lines above the screen go too");
    assert!(cleared.contains("\x1b[2J") && !after.contains(FIRST), "{cleared:?}");
    // From here on the whole screen may be looked at.
    for line in ["all", "why", "?", "Finn Aster-Test", "Tamsin Roe-Test", "all", "x", "102.9"] {
        assert!(!desk.terminal.screen().contains(FIRST), "{}", desk.terminal.screen());
        desk.answers(line);
    }
    let shown = desk.question();
    assert!(shown.contains("Finn Aster-Test 101.37 ohm, Tamsin Roe-Test 102.9 ohm"), "{shown}");
    assert!(shown.contains("1.53 ohm apart, at most 2.027 ohm"), "{shown}");
}

#[test]
fn the_act_is_on_the_screen_as_something_to_do_only_after_both_agreed() {
    let bench = bench();
    let mut desk = at_gate(&bench);
    for line in [FIRST, "Tamsin Roe-Test", "102.9"] {
        desk.answers(line);
    }
    for line in ["Tamsin Roe-Test", "", "agree"] {
        assert!(!desk.question().contains("Enter when done"), "{}", desk.question());
        desk.answers(line);
    }
    assert!(desk.question().contains("Close the link"), "{}", desk.question());
    assert!(desk.question().ends_with("Enter when done:"), "{}", desk.question());
}

#[test]
fn forty_columns_are_enough_for_two() {
    let bench = bench();
    let run = ["run", "twice.yaml", "--answers", "twice.answers.yaml"];
    let terminal = Terminal::start(bench.folder(), &Look::usual().columns(40), &run);
    assert_eq!(terminal.exit_code(), 0);
    terminal.assert_no_line_is_too_wide();
}

#[test]
fn a_script_does_not_print_the_first_value_before_the_second_is_in() {
    let bench = bench();
    let run = ["run", "twice.yaml", "--answers", "twice.answers.yaml"];
    let printed = bench.wattstep(&run).any_out().exit(0).out;
    let (before, after) = printed.split_once("> 102.9 ohm").unwrap();
    assert!(!before.contains(FIRST), "{before}");
    assert!(after.contains(FIRST), "{after}");
    bench.wattstep(&["verify", "--all"]).out("verified").out("names typed, not checked").exit(0);
}

#[test]
fn every_report_says_who_verified_what() {
    let bench = bench();
    let run = ["run", "twice.yaml", "--answers", "twice.answers.yaml"];
    bench.wattstep(&run).any_out().exit(0);
    let path = bench.record().path;
    let path = path.to_str().unwrap();
    for format in ["text", "html", "csv", "jsonl", "json"] {
        let report = ["report", path, "--format", format];
        let printed = unwrapped(&bench.wattstep(&report).any_out().exit(0).out);
        for name in ["Finn Aster-Test", "Tamsin Roe-Test", "101.37", "102.9"] {
            assert!(printed.contains(name), "{format}: no {name}");
        }
    }
    let text = unwrapped(&bench.wattstep(&["report", path]).any_out().exit(0).out);
    assert!(text.contains("they agree; 1.53 ohm apart, at most 2.027 ohm"), "{text}");
    assert!(text.contains("agreed by: Finn Aster-Test (invented) and Tamsin Roe-Test"), "{text}");
    assert!(text.contains("The program did not show a first value"), "{text}");
    assert!(!text.contains("DISAGREE") && !text.contains("not verified"), "{text}");
    let csv = bench.wattstep(&["report", path, "--format", "csv"]).any_out().exit(0).out;
    let rows: Vec<_> = csv.lines().filter(|line| line.contains("gate")).collect();
    assert_eq!(rows.len(), 2);
    for row in rows {
        let end = "Finn Aster-Test (invented),Tamsin Roe-Test (invented),1.53,2.0274,yes,'+00:00";
        assert!(row.trim_end().ends_with(end), "{row}");
    }
    let records = ["records", "--person", "tamsin roe", "--with-rehearsals"];
    bench.wattstep(&records).out("twice").exit(0);
}

#[test]
fn two_that_disagree_stop_the_run_safely_and_the_record_verifies() {
    let bench = bench();
    let changed = ANSWERS.replace("102.9 ohm", "104 ohm") + "  what-next: end\n";
    bench.write("apart.answers.yaml", changed);
    let run = ["run", "twice.yaml", "--answers", "apart.answers.yaml"];
    bench.wattstep(&run).out("THEY DISAGREE").exit(3);
    let record = bench.record();
    assert_eq!(record.last_stop(), ("gate".to_owned(), "disagreement".to_owned()));
    assert_eq!(record.closed_safe(), Some(true));
    bench.wattstep(&["verify", "--all"]).out("verified").exit(0);
    let path = record.path.to_str().unwrap().to_owned();
    let text = unwrapped(&bench.wattstep(&["report", &path]).any_out().exit(0).out);
    assert!(text.contains("THEY DISAGREE; 2.63 ohm apart, at most 2.027 ohm"), "{text}");
    assert!(text.contains("Read by two: one pair DISAGREES"), "{text}");
    assert!(text.contains("Gate resistor: not verified: two people disagree"), "{text}");
    let (_, stops) = text.split_once("Stops, concessions").unwrap();
    let stops = stops.split_once("instruments").map_or(stops, |(stops, _)| stops);
    assert!(stops.contains("read by two, THEY DISAGREE: Gate resistor"), "{stops}");
}

#[test]
fn a_reading_whose_second_never_came_is_listed_as_not_verified() {
    let bench = bench();
    bench.write("alone.answers.yaml", ANSWERS.replace("  gate.second: 102.9 ohm\n", ""));
    let run = ["run", "twice.yaml", "--answers", "alone.answers.yaml"];
    let told = "the answers file has no answer to `gate.second`";
    bench.wattstep(&run).out(told).exit(4);
    let path = bench.record().path.to_str().unwrap().to_owned();
    let text = unwrapped(&bench.wattstep(&["report", &path]).any_out().exit(0).out);
    assert!(text.contains("Gate resistor: not verified: there is no second reading"), "{text}");
}

#[test]
fn the_plan_and_the_form_say_what_is_for_two() {
    let bench = bench();
    let plan = unwrapped(&bench.wattstep(&["plan", "twice.yaml"]).any_out().exit(0).out);
    let told = "A second person reads it again without knowing the first value: at most 2 % apart.";
    assert!(plan.contains(told) && plan.contains("Two people agree on it first"), "{plan}");
    let form = unwrapped(&bench.wattstep(&["form", "twice.yaml"]).any_out().exit(0).out);
    assert!(form.contains("SECOND READING by another person"), "{form}");
    assert!(form.contains("at most 2 % from the first"), "{form}");
    assert!(form.contains("Agreed by (both names)"), "{form}");
}

#[test]
fn a_rehearsal_takes_both_readings_with_the_simulated_meter() {
    let bench = Bench::new();
    let answers = format!("{PROCEDURES}/regulator-board/good.answers.yaml");
    let run = ["run", "regulator-board", "--bench", "simulated", "--answers", &answers];
    bench.wattstep(&run).any_out().exit(0);
    let record = bench.record();
    let verified = record.facts("verified");
    assert_eq!(verified.len(), 3);
    let measured: Vec<_> =
        record.events("measured").into_iter().map(|value| &value["key"]).collect();
    for fact in verified {
        let key = fact["key"].as_str().unwrap();
        assert!(measured.contains(&&fact["key"]), "{key}");
        assert!(measured.iter().any(|value| **value == format!("{key}.second")), "{key}");
        assert_eq!(fact["agreed"], true);
    }
    assert_eq!(record.facts("agreed").len(), 3);
}

#[test]
fn an_apprentice_of_the_example_workshop_runs_the_bundled_board_with_all_who_are_needed() {
    let bench = Bench::new();
    let beside = |name: &str| format!("{PROCEDURES}/regulator-board/{name}");
    let (equipment, answers) = (beside("equipment.yaml"), beside("good.answers.yaml"));
    let people = format!("{PROCEDURES}/quillmere.people.yaml");
    let run = ["run", "regulator-board", "--equipment", &equipment, "--answers", &answers];
    bench.wattstep(&run).args(&["--people", &people]).any_out().exit(0);
    let record = bench.record();
    assert_eq!(record.facts("supervised").len(), 3);
    assert_eq!(record.facts("verified").len(), 3);
    bench.wattstep(&["verify", "--all", "--conclusions"]).out("verified").exit(0);
}
