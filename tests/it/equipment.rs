//! `equipment new`, and the same questions at `run`: a person is asked for what a procedure needs, and keeps what was answered.

use std::fs;

use wattstep::test_points::procedure::{bundled, read_equipment, read_procedure};

use crate::support::bench::Bench;
use crate::support::desk::Desk;
use crate::support::terminal::{Look, Terminal};

const FILE: &str = "heron-3.equipment.yaml";

/// The answers of the equipment that comes with a procedure, in the order of its questions.
fn answers(name: &str) -> Vec<String> {
    let procedure = read_procedure(bundled::text(name).unwrap()).unwrap();
    let equipment = read_equipment(bundled::equipment(name).unwrap()).unwrap();
    procedure.asks.iter().map(|(fact, _)| equipment.answer(fact).unwrap()).collect()
}

fn begin(bench: &Bench, arguments: &[&str]) -> Desk {
    Desk::start(bench.folder(), &Look::usual(), &[&["equipment", "new"], arguments].concat())
}

/// Names the set.
fn named(desk: &mut Desk) {
    for line in ["Heron 3 (invented)", "H-3 (invented)"] {
        desk.answers(line);
    }
}

#[test]
fn the_questions_of_each_bundled_procedure_end_in_a_file_that_check_takes() {
    for name in bundled::NAMES {
        let bench = Bench::new();
        let mut desk = begin(&bench, &[name]);
        named(&mut desk);
        for line in answers(name) {
            desk.answers(&line);
        }
        assert!(desk.question().contains("questions are answered"), "{}", desk.question());
        desk.types("");
        assert_eq!(desk.terminal.exit_code(), 0, "{name}");
        let shown = desk.terminal.since(0);
        assert!(shown.contains(&format!("wattstep run {name} --equipment {FILE}")), "{shown}");
        assert!(desk.terminal.is_restored() && desk.terminal.is_cursor_visible());
        bench.wattstep(&["check", name, "--equipment", FILE]).out("nothing found").exit(0);
        let text = fs::read_to_string(bench.path(FILE)).unwrap();
        assert!(text.contains("  # ") && !text.contains("incomplete"), "{text}");
        let left: Vec<_> =
            fs::read_dir(bench.folder()).unwrap().map(|f| f.unwrap().path()).collect();
        assert!(!left.iter().any(|path| path.to_str().unwrap().ends_with(".new")), "{left:?}");
    }
}

#[test]
fn what_was_answered_is_kept_whatever_ends_the_questions_and_no_run_takes_it() {
    for end in ["\x03", "hang up", "leave\r", "KILL"] {
        let bench = Bench::new();
        let mut desk = begin(&bench, &["regulator-board"]);
        named(&mut desk);
        desk.answers("12");
        desk.answers("2 V");
        match end {
            "hang up" => desk.terminal.close_window(),
            "KILL" => desk.terminal.signal("KILL"),
            keys => {
                desk.terminal.keys(keys);
                assert_eq!(desk.terminal.exit_code(), 4, "{end:?}");
                let shown = desk.terminal.since(0);
                let words = format!("wattstep equipment new regulator-board --out {FILE}");
                assert!(shown.contains(&words), "{shown}");
            }
        }
        let run = ["run", "regulator-board", "--equipment", FILE, "--answers", "good.yaml"];
        bench.wattstep(&run).err("YML014").err("left before its last question").any_err().exit(6);
        bench.wattstep(&["check", FILE]).out("YML014").any_out().exit(6);
        assert!(bench.records().is_empty());
        let mut desk = begin(&bench, &["regulator-board", "--out", FILE]);
        assert!(desk.question().contains("was left with 4 of 8 answers"), "{}", desk.question());
        desk.answers("");
        assert!(desk.question().contains("5 of 8"), "{end:?}: {}", desk.question());
        desk.answers("back");
        assert!(desk.question().contains("now 2 V (Enter keeps it)"), "{}", desk.question());
        desk.answers("");
        for line in &answers("regulator-board")[2..] {
            desk.answers(line);
        }
        desk.types("");
        assert_eq!(desk.terminal.exit_code(), 0);
        bench.wattstep(&["check", "regulator-board", "--equipment", FILE]).any_out().exit(0);
        let text = fs::read_to_string(bench.path(FILE)).unwrap();
        assert!(text.contains("output_volts: 12 V\n") && text.contains("dropout: 2 V\n"), "{text}");
    }
}

#[test]
fn a_file_that_is_there_stays_until_somebody_says_otherwise() {
    let bench = Bench::new();
    bench.write(FILE, "mine: [\n");
    let mut desk = begin(&bench, &["regulator-board"]);
    desk.answers("Heron 3 (invented)");
    assert!(desk.question().contains("is there already"), "{}", desk.question());
    desk.answers("");
    desk.answers("set.equipment.yaml");
    assert!(desk.question().contains("whole equipment file"), "{}", desk.question());
    assert!(!desk.question().contains("Enter goes on with it"), "{}", desk.question());
    desk.answers("other.yaml");
    assert!(desk.question().contains("2 of 8"), "{}", desk.question());
    assert_eq!(fs::read_to_string(bench.path(FILE)).unwrap(), "mine: [\n");
    // Somebody else writes into it meanwhile.
    bench.write("other.yaml", "theirs");
    desk.answers("H-3");
    assert!(desk.question().contains("changed by someone else meanwhile"), "{}", desk.question());
    desk.answers(FILE);
    desk.answers("replace");
    assert!(desk.question().contains("3 of 8"), "{}", desk.question());
    assert!(fs::read_to_string(bench.path(FILE)).unwrap().contains("serial: \"H-3\""));
    assert_eq!(fs::read_to_string(bench.path("other.yaml")).unwrap(), "theirs");
}

#[test]
fn a_place_that_cannot_be_written_costs_no_answer() {
    let bench = Bench::new();
    let mut desk = begin(&bench, &["regulator-board", "--out", "nowhere/set.yaml"]);
    desk.answers("Heron 3 (invented)");
    assert!(desk.question().contains("cannot write nowhere/set.yaml"), "{}", desk.question());
    desk.answers("here.yaml");
    assert!(desk.question().contains("2 of 8"), "{}", desk.question());
    assert!(fs::read_to_string(bench.path("here.yaml")).unwrap().contains("Heron 3 (invented)"));
}

#[test]
fn answers_with_which_nothing_can_be_run_are_not_written_as_a_whole_file() {
    let bench = Bench::new();
    let text = bundled::text("regulator-board").unwrap();
    // A ceiling of the stage that some answers bring below zero, which no single range tells.
    let bounded =
        text.replace("feed: output_volts + 2 * dropout", "feed: output_volts - 5 * dropout");
    assert_ne!(bounded, text);
    bench.write("bounded.yaml", bounded);
    let mut desk = begin(&bench, &["bounded.yaml", "--out", "set.yaml"]);
    named(&mut desk);
    for (n, line) in answers("regulator-board").iter().enumerate() {
        desk.answers(if n == 1 { "3 V" } else { line });
    }
    desk.answers("");
    assert!(desk.question().contains("nothing can be run"), "{}", desk.question());
    bench.wattstep(&["check", "set.yaml"]).out("YML014").any_out().exit(6);
    desk.answers("4");
    assert!(desk.question().contains("4 of 8"), "{}", desk.question());
    desk.answers("0.5 V");
    desk.types("");
    assert_eq!(desk.terminal.exit_code(), 0, "{}", desk.terminal.screen());
}

#[test]
fn a_run_without_an_equipment_file_ends_in_one() {
    let bench = Bench::new();
    let mut desk = Desk::start(bench.folder(), &Look::usual(), &["run", "lantern.yaml"]);
    assert!(desk.question().contains("Maker and model of the equipment"), "{}", desk.question());
    named(&mut desk);
    assert!(desk.question().contains("All 2 questions are answered"), "{}", desk.question());
    desk.answers("");
    desk.answers("Kim Example-Tech");
    desk.until("Lead end to end");
    assert!(bench.path(FILE).exists());
    let started = bench.record().entries[0].to_string();
    assert!(started.contains("Heron 3 (invented), serial H-3 (invented)"), "{started}");
    desk.types("leave");
    assert_eq!(desk.terminal.exit_code(), 4);
    let run = ["run", "lantern.yaml", "--equipment", FILE, "--answers", "good.yaml"];
    bench.wattstep(&run).any_out().exit(0);
}

#[test]
fn a_run_whose_questions_are_left_begins_nothing() {
    let bench = Bench::new();
    let mut desk = Desk::start(bench.folder(), &Look::usual(), &["run", "regulator-board"]);
    named(&mut desk);
    desk.answers("12 V");
    desk.types("leave");
    assert_eq!(desk.terminal.exit_code(), 1);
    let shown = desk.terminal.since(0);
    assert!(shown.contains("nothing was begun") && shown.contains(FILE), "{shown}");
    assert!(bench.records().is_empty());
    let mut desk = Desk::start(bench.folder(), &Look::usual(), &["run", "regulator-board"]);
    desk.answers("Heron 3 (invented)");
    assert!(desk.question().contains("was left with 3 of 8 answers"), "{}", desk.question());
    desk.answers("");
    assert!(desk.question().contains("4 of 8"), "{}", desk.question());
}

#[test]
fn forty_columns_are_enough_for_the_questions() {
    let bench = Bench::new();
    let look = Look::usual().columns(40);
    let mut desk = Desk::start(bench.folder(), &look, &["equipment", "new", "amplifier-class-ab"]);
    named(&mut desk);
    desk.answers("all");
    for line in answers("amplifier-class-ab") {
        if desk.question().contains("work out") {
            desk.answers("work out");
            for line in ["8", "60"].iter().cycle() {
                if desk.question().contains("take it, `yes` or `no`") {
                    break;
                }
                desk.answers(line);
            }
            desk.answers("no");
        }
        desk.answers("unknown parsec");
        desk.answers(&line);
    }
    desk.terminal.assert_no_line_is_too_wide();
}

#[test]
fn without_a_terminal_nobody_is_asked() {
    let bench = Bench::new();
    bench.wattstep(&["equipment", "new", "regulator-board"]).err("no terminal").any_err().exit(2);
    let terminal =
        Terminal::start(bench.folder(), &Look::usual(), &["equipment", "new", "gone.yaml"]);
    assert_eq!(terminal.exit_code(), 1);
    bench.write(
        "bad.yaml",
        bundled::text("regulator-board").unwrap().replace("below: ", "below: 9"),
    );
    let terminal =
        Terminal::start(bench.folder(), &Look::usual(), &["equipment", "new", "bad.yaml"]);
    assert_eq!(terminal.exit_code(), 6);
    assert!(terminal.is_restored() && terminal.is_cursor_visible());
}
