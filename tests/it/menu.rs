//! `wattstep` alone: what would you like to do?

use wattstep::test_points::procedure::bundled;

use crate::support::bench::Bench;
use crate::support::desk::Desk;
use crate::support::terminal::{Look, Terminal};

const DOWN: &str = "\x1b[B";

fn menu(bench: &Bench) -> Terminal {
    let terminal = Terminal::start(bench.folder(), &Look::usual(), &[]);
    terminal.wait_for("What next?");
    terminal.wait_for("Start a procedure");
    terminal.wait_for("Resume an unfinished run");
    terminal.wait_for("Look at a record");
    terminal
}

#[test]
fn a_procedure_is_picked_and_started() {
    let bench = Bench::new();
    let mut terminal = menu(&bench);
    terminal.keys("\r");
    terminal.wait_for("Procedure?");
    for name in bundled::NAMES {
        terminal.wait_for(name);
    }
    terminal.keys(&DOWN.repeat(bundled::NAMES.len()));
    terminal.wait_for("> another file");
    terminal.keys("\r");
    let mut desk = Desk::at(terminal, "Procedure file:");
    desk.answers("lantern.yaml");
    assert!(desk.question().contains("Equipment file (Enter for none)"));
    desk.answers("set.equipment.yaml");
    assert!(desk.question().contains("People file (Enter for none)"));
    desk.answers("");
    desk.answers("Kim Example-Tech");
    assert_eq!(desk.finish(), 0);
    assert!(desk.terminal.is_restored() && desk.terminal.is_cursor_visible());
    assert_eq!(bench.record().closed_safe(), Some(true));
}

#[test]
fn a_bundled_procedure_is_picked_by_its_name() {
    let bench = Bench::new();
    let mut terminal = menu(&bench);
    terminal.keys("\r");
    for name in ["amplifier-class-ab", "amplifier-mosfet", "bench-supply-linear"] {
        terminal.wait_for(&format!("> {name}"));
        if name != "bench-supply-linear" {
            terminal.keys(DOWN);
        }
    }
    terminal.keys("\r");
    let mut desk = Desk::at(terminal, "Equipment file (Enter for none):");
    desk.answers("");
    desk.answers("");
    assert!(desk.question().contains("Maker and model of the equipment"), "{}", desk.question());
    desk.answers("Heron 30 (invented)");
    desk.answers("H-30");
    assert!(desk.question().contains("Rule set of the electrical safety"), "{}", desk.question());
}

#[test]
fn an_unfinished_run_is_picked_and_taken_up() {
    let bench = Bench::new();
    let mut desk = Desk::run(&bench, &Look::usual());
    desk.until("Lead end to end");
    desk.types("leave");
    assert_eq!(desk.terminal.exit_code(), 4);
    let mut terminal = menu(&bench);
    terminal.keys(DOWN);
    terminal.wait_for("> Resume an unfinished run");
    terminal.keys("\r");
    terminal.wait_for("Which run?");
    terminal.wait_for("Lantern 2 (invented), serial L-2");
    terminal.keys("\r");
    let mut desk = Desk::at(terminal, "Your name:");
    desk.answers("Ivo Example-Tech");
    assert!(desk.question().contains("SWITCH EVERYTHING OFF"), "{}", desk.question());
    assert_eq!(desk.finish(), 0);
}

#[test]
fn a_record_is_picked_and_shown() {
    let bench = Bench::new();
    bench.run("good.yaml").any_out().exit(0);
    let mut terminal = menu(&bench);
    terminal.keys(&DOWN.repeat(2));
    terminal.wait_for("> Look at a record");
    terminal.keys("\r");
    terminal.wait_for("Which record?");
    terminal.keys("\r");
    assert_eq!(terminal.exit_code(), 0);
    assert!(terminal.since(0).contains("smoothing capacitor replaced"));
    assert!(terminal.is_restored() && terminal.is_cursor_visible());
}

#[test]
fn what_a_record_is_called_cannot_drive_the_terminal() {
    let bench = Bench::new();
    bench.run("good.yaml").any_out().exit(0);
    std::fs::copy(&bench.records()[0], bench.path("records/a\x1b]0;Owned\x07.jsonl")).unwrap();
    let mut terminal = menu(&bench);
    terminal.keys(&DOWN.repeat(2));
    terminal.wait_for("> Look at a record");
    terminal.keys("\r");
    terminal.wait_for("Which record?");
    terminal.wait_for("a\\u{1b}]0;Owned\\u{7}.jsonl");
    let raw = String::from_utf8_lossy(&terminal.raw()).into_owned();
    assert!(!raw.contains("\x1b]0;"), "{raw:?}");
}

#[test]
fn there_may_be_nothing_to_resume_or_to_look_at() {
    let bench = Bench::new();
    for (downs, words) in [(1, "no unfinished run in records"), (2, "no record in records")] {
        let mut terminal = menu(&bench);
        terminal.keys(&DOWN.repeat(downs));
        terminal.wait_for(["", "> Resume", "> Look"][downs]);
        terminal.keys("\r");
        assert_eq!(terminal.exit_code(), 1);
        terminal.wait_for(words);
        assert!(terminal.is_restored() && terminal.is_cursor_visible());
    }
}

#[test]
fn the_menu_is_left_by_escape_and_by_ctrl_c() {
    let bench = Bench::new();
    for (keys, code) in [("\x1b", 0), ("\x03", 1)] {
        let mut terminal = menu(&bench);
        terminal.keys(keys);
        assert_eq!(terminal.exit_code(), code, "{keys:?}");
        assert!(terminal.is_restored() && terminal.is_cursor_visible(), "{keys:?}");
    }
    assert!(bench.records().is_empty());
}
