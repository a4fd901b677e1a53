//! What comes between: signals, Ctrl-C, a closed window, keys typed too early.

use crate::support::bench::{Bench, LANTERN};
use crate::support::desk::Desk;
use crate::support::terminal::Look;

/// The lantern with a wait on the bench supply that no test sees the end of.
fn slow_bench() -> Bench {
    let bench = Bench::new();
    bench.write("lantern.yaml", LANTERN.replace("time: 0.1 s", "time: 10 min"));
    bench
}

fn interrupted_while_live(interrupt: impl Fn(&mut Desk), signal: &str) {
    let bench = Bench::new();
    let mut desk = Desk::run(&bench, &Look::usual());
    desk.until("Power on the power meter");
    let readings = bench.record().facts("judged").len();
    // Half an answer must not become one.
    desk.terminal.keys("31");
    desk.terminal.wait_for("W: 31");
    desk.interrupt(&interrupt);
    let question = desk.question();
    assert!(question.contains("NOW: SWITCH EVERYTHING OFF"), "{question}");
    assert!(question.contains(&format!("STOPPED. Interrupted ({signal})")), "{question}");
    assert!(question.contains("ENERGY STATE UNKNOWN: treat as live"), "{question}");
    assert_eq!(bench.record().facts("judged").len(), readings);
    // Once more, before anything was made safe.
    desk.interrupt(&interrupt);
    assert!(desk.question().contains("NOW: SWITCH EVERYTHING OFF"), "{}", desk.question());
    assert_eq!(desk.finish(), 4);
    desk.terminal.wait_for("Outcome: left unfinished");
    desk.terminal.wait_for("Energy: proved dead");
    desk.terminal.wait_for("To take it up again: wattstep resume records/");
    assert!(desk.terminal.is_cursor_visible() && desk.terminal.is_restored());
    let record = bench.record();
    assert_eq!(record.last_stop().1, "interrupted");
    assert_eq!(record.events("interrupted")[0]["signal"], signal);
    assert_eq!(record.closed_safe(), Some(true));

    let mut desk = Desk::resume(&bench, &Look::usual());
    let question = desk.question();
    assert!(question.contains("SWITCH EVERYTHING OFF"), "{question}");
    assert!(!question.contains("Power on the power meter"), "{question}");
    assert_eq!(desk.finish(), 0);
    bench.wattstep(&["verify", "--all"]).out("closed: finished").exit(0);
}

#[test]
fn ctrl_c_while_live_makes_safe_and_the_run_can_be_taken_up() {
    interrupted_while_live(|desk| desk.terminal.keys("\x03"), "SIGINT");
}

#[test]
fn a_termination_signal_while_live_makes_safe() {
    interrupted_while_live(|desk| desk.terminal.signal("TERM"), "SIGTERM");
}

#[test]
fn a_hang_up_signal_while_live_makes_safe() {
    interrupted_while_live(|desk| desk.terminal.signal("HUP"), "SIGHUP");
}

#[test]
fn an_interrupt_signal_from_outside_while_live_makes_safe() {
    interrupted_while_live(|desk| desk.terminal.signal("INT"), "SIGINT");
}

#[test]
fn a_wait_is_cut_short_by_a_signal_and_by_the_keys_that_interrupt_quit_and_suspend() {
    let keys = ["\x03", "\x1c", "\x1a"].map(|key| move |desk: &mut Desk| desk.terminal.keys(key));
    let signal = |desk: &mut Desk| desk.terminal.signal("TERM");
    let all = keys.iter().map(|key| key as &dyn Fn(&mut Desk));
    for interrupt in all.chain([&signal as &dyn Fn(&mut Desk)]) {
        let bench = slow_bench();
        let mut desk = Desk::run(&bench, &Look::usual());
        desk.until("Current from the bench supply");
        desk.types("41");
        desk.terminal.wait_for("s left");
        assert!(
            desk.terminal.screen().contains("LIVE: bench supply"),
            "{}",
            desk.terminal.screen()
        );
        desk.interrupt(interrupt);
        assert!(desk.question().contains("NOW: SWITCH EVERYTHING OFF"), "{}", desk.question());
        assert!(desk.terminal.is_cursor_visible());
        assert_eq!(desk.finish(), 4);
        assert!(desk.terminal.is_restored());
        assert_eq!(bench.record().closed_safe(), Some(true));
    }
}

#[test]
fn a_closed_window_while_live_leaves_a_record_that_says_not_safe() {
    let bench = Bench::new();
    let mut desk = Desk::run(&bench, &Look::usual());
    desk.until("Power on the power meter");
    desk.terminal.close_window();
    assert_eq!(desk.terminal.exit_code(), 4);
    let record = bench.record();
    assert_eq!(record.closed_safe(), Some(false));
    bench.wattstep(&["verify", "--all"]).out("closed: left unfinished").exit(0);
    let mut desk = Desk::resume(&bench, &Look::usual());
    assert!(desk.question().contains("SWITCH EVERYTHING OFF"), "{}", desk.question());
    assert_eq!(desk.finish(), 0);
}

#[test]
fn a_window_closed_during_a_wait_leaves_a_record_that_says_not_safe() {
    let bench = slow_bench();
    let mut desk = Desk::run(&bench, &Look::usual());
    desk.until("Current from the bench supply");
    desk.types("41");
    desk.terminal.wait_for("s left");
    desk.terminal.close_window();
    assert_eq!(desk.terminal.exit_code(), 4);
    assert_eq!(bench.record().closed_safe(), Some(false));
}

/// Keys that would answer every question of the lantern.
const EAGER: &str =
    "\ry\r9.1\r0.02\r230 V\r1\rread\rclear\rdone\r41 mA\r31 W\roff\rMoss Example-Super\r";

#[test]
fn keys_typed_ahead_answer_nothing() {
    let bench = Bench::new();
    let mut desk = Desk::run(&bench, &Look::usual());
    let mut answers = 0;
    while !desk.question().contains("What was replaced") {
        let usual = desk.usual();
        desk.answers(&format!("{usual}\r{EAGER}"));
        answers += 1;
    }
    let record = bench.record();
    let taken = record.events("entered").len() + record.events("acknowledged").len();
    assert_eq!(taken, answers);
    assert!(record.facts("refused").is_empty());
    assert!(!desk.terminal.screen().contains("9.1 0.02"), "{}", desk.terminal.screen());
}

#[test]
fn a_danger_notice_passes_on_its_own_answer_alone() {
    let bench = Bench::new();
    let mut desk = Desk::run(&bench, &Look::usual());
    desk.until("OUTPUTS OFF at the bench supply");
    desk.answers(&format!("off\r{EAGER}"));
    let screen = desk.terminal.screen();
    for words in ["DANGER", "The open lantern carries mains.", "electric shock that kills"] {
        assert!(screen.contains(words), "{screen}");
    }
    assert!(desk.question().ends_with("Voltage on the open lantern (? for help) answer:"));
    for line in ["", "y", "yes", "read", "done", "ok", "23 V", "DANGER"] {
        desk.answers(line);
        let question = desk.question();
        assert!(question.contains("read the notice again"), "{line:?}: {question}");
        assert!(desk.terminal.screen().contains("Voltage on the open lantern"), "{line:?}");
    }
    let answered = |bench: &Bench| bench.record().facts("notice_answered").len();
    assert_eq!(answered(&bench), 2);
    desk.answers("230");
    assert_eq!(answered(&bench), 3);
}
