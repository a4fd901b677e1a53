//! What ends a run from outside: signals of every kind, faults of the program, a record that goes missing, somebody who is
//! asked and never answers.

use std::fs;
use std::os::unix::net::UnixListener;
use std::path::PathBuf;
use std::thread::{sleep, spawn};
use std::time::{Duration, Instant};

use crate::support::bench::{Bench, SET};
use crate::support::desk::Desk;
use crate::support::fed;
use crate::support::keys::Keys;
use crate::support::scpi_server::Over;
use crate::support::supply::{self, Fault, Supply};
use crate::support::terminal::{Look, Terminal};

/// A rehearsal with an output on, at a question.
fn rehearsed() -> (Bench, Desk) {
    let bench = fed::bench(&[("over: 4 min", "over: 1 s")]);
    let mut desk = fed::rehearse(&bench);
    desk.until("then read the voltage");
    assert!(fed::is_on(&fed::log(&bench)), "nothing is on");
    (bench, desk)
}

/// A run on a supply of the test with its output on, at a question.
fn fed_by(supply: &Supply) -> (Bench, Desk) {
    let bench = fed::bench(&[]);
    supply.describe(&bench, "");
    let mut desk = supply::run(&bench);
    desk.until("then read the voltage");
    assert!(supply.is_on());
    (bench, desk)
}

fn until(what: &str, is_so: impl Fn() -> bool) {
    let begun = Instant::now();
    while !is_so() {
        assert!(begun.elapsed() < Duration::from_secs(30), "not so: {what}");
        sleep(Duration::from_millis(5));
    }
}

#[test]
fn a_signal_that_would_end_or_suspend_the_program_is_an_interruption_of_that_name() {
    let (bench, mut desk) = rehearsed();
    // The numbers of real time are those of Linux, whose first the C library keeps: 34 on.
    for (sent, name) in [
        ("USR1", "SIGUSR1"),
        ("ALRM", "SIGALRM"),
        ("37", "SIGRTMIN+3"),
        ("TSTP", "SIGTSTP"),
        ("CONT", "SIGCONT"),
    ] {
        let since_ms = fed::unix_ms();
        desk.interrupt(|desk| {
            desk.terminal.signal(sent);
            fed::off_after(&bench, since_ms);
        });
        let words = format!("STOPPED. Interrupted ({name})");
        assert!(desk.question().contains(&words), "{sent}: {}", desk.question());
    }
    assert_eq!(desk.finish(), 4);
    let record = bench.record();
    assert_eq!(record.closed_safe(), Some(true));
    let told = record.events("interrupted");
    assert_eq!((told.len(), &told[2]["signal"]), (5, &"SIGRTMIN+3".into()));
}

#[test]
fn the_signals_that_suspend_a_program_in_the_background_suspend_nothing() {
    let (_bench, mut desk) = rehearsed();
    desk.terminal.signal("TTIN");
    desk.terminal.signal("TTOU");
    desk.answers("");
    desk.until("Switch the outlet on");
}

#[test]
fn a_fault_of_the_program_switches_off_before_it_ends_and_the_run_is_taken_up_by_making_safe() {
    for fault in ["SEGV", "ABRT", "BUS", "FPE", "ILL", "SYS", "TRAP"] {
        let supply = Supply::start(Over::Tcp);
        let (bench, desk) = fed_by(&supply);
        let heard = supply.heard().len();
        desk.terminal.signal(fault);
        desk.terminal.wait_for("THE PROGRAM FAILED. Every connected output was told to go off");
        until("off", || supply.heard().iter().skip(heard).any(|(_, it)| it == "OUTP OFF"));
        assert!(!supply.is_on(), "{fault}");
        assert_ne!(desk.terminal.exit_code(), 0, "{fault}");
        assert_eq!(bench.record().closed_safe(), None, "{fault}");
        let mut desk = Desk::resume(&bench, &Look::usual());
        assert!(desk.question().contains("SWITCH EVERYTHING OFF"), "{}", desk.question());
        desk.answers("off");
    }
}

fn record(bench: &Bench) -> PathBuf {
    bench.record().path
}

/// Loses something of the records while an output is on: it is made safe, and the run can be taken up from what was kept.
fn lost_while_live(lose: impl Fn(&Bench), words: &str, bring_back: impl Fn(&Bench)) {
    let (bench, mut desk) = rehearsed();
    lose(&bench);
    let since_ms = fed::unix_ms();
    desk.types("");
    fed::off_after(&bench, since_ms);
    desk.next_prompt();
    let question = desk.question();
    assert!(question.contains("STOPPED. THE RECORD CAN'T BE WRITTEN:"), "{question}");
    assert!(question.contains(words), "{question}");
    assert_eq!(desk.finish(), 1);
    assert!(!fed::is_on(&fed::log(&bench)));
    bring_back(&bench);
    bench.wattstep(&["verify", "--all"]).any_out().any_err().exit(0);
    let resume = ["resume", "--operator", "Kim Example-Tech"];
    let desk = Desk::start(bench.folder(), &Look::usual(), &resume);
    assert!(desk.question().contains("SWITCH EVERYTHING OFF"), "{}", desk.question());
}

#[test]
fn a_record_that_is_deleted_while_an_output_is_on_is_made_safe_and_written_again() {
    lost_while_live(
        |bench| fs::remove_file(record(bench)).unwrap(),
        "was deleted or moved while it was open. All of it was written once more at its place",
        |_| {},
    );
}

#[test]
fn a_record_that_is_replaced_while_an_output_is_on_is_made_safe_and_kept_beside_it() {
    lost_while_live(
        |bench| {
            let path = record(bench);
            fs::rename(&path, path.with_extension("old")).unwrap();
            fs::copy(path.with_extension("old"), &path).unwrap();
        },
        "was replaced by another file while it was open. All of it is kept in",
        |bench| {
            let path = record(bench);
            fs::rename(path.with_extension("jsonl.rescued"), path).unwrap();
        },
    );
}

#[test]
fn a_register_that_is_gone_while_an_output_is_on_is_made_safe_and_its_loss_is_told_at_the_end() {
    let register = |bench: &Bench| record(bench).with_file_name("register.jsonl");
    lost_while_live(
        |bench| fs::rename(register(bench), bench.path("kept")).unwrap(),
        "nothing shows any more that this record is whole",
        |bench| {
            assert!(
                !register(bench).exists(),
                "none is begun in the place of the one that is gone"
            );
            fs::rename(bench.path("kept"), register(bench)).unwrap();
            bench.wattstep(&["register"]).any_out().any_err().exit(0);
        },
    );
}

/// Takes the record or its register away at a question, and answers it: the run stops, and this much was sent.
fn gone_at(question: &str, answer: &str, sent: impl Fn(&str, &[fed::Got])) {
    for name in ["record", "register"] {
        let bench = fed::bench(&[]);
        let mut desk = fed::rehearse(&bench);
        desk.until(question);
        let path = match name {
            "record" => record(&bench),
            _ => record(&bench).with_file_name("register.jsonl"),
        };
        fs::rename(path, bench.path("kept")).unwrap();
        desk.answers(answer);
        assert!(desk.question().contains("STOPPED. THE RECORD CAN'T BE WRITTEN:"), "{name}");
        sent(name, &fed::log(&bench));
    }
}

#[test]
fn nothing_comes_on_once_the_record_or_its_register_is_gone() {
    gone_at("Tools and loose leads out", "clear", |name, log| {
        assert!(!log.iter().any(|got| got.message.ends_with("OUTP ON")), "{name}");
    });
}

#[test]
fn nothing_is_brought_up_once_the_record_or_its_register_is_gone() {
    gone_at("Enter to bring it up", "", |name, log| {
        let set = |got: &fed::Got| got.message.split_once("VOLT ")?.1.parse::<f64>().ok();
        let highest = log.iter().filter_map(set).fold(0.0, f64::max);
        assert!(highest < 0.1, "{name}: {highest} V");
    });
}

#[test]
#[ignore = "needs ssh-keygen: run by .ci/run"]
fn a_supply_that_does_not_come_up_stops_the_run_before_anything_else_is_asked() {
    let supply = Supply::start(Over::Tcp);
    let bench = fed::bench(&[]);
    supply.describe(&bench, "");
    let mut desk = supply::run(&bench);
    desk.until("Tools and loose leads out");
    supply.spoil(Fault::IgnoresOn);
    desk.answers("clear");
    assert!(desk.question().contains("LOST: supply"), "{}", desk.question());
    assert!(desk.question().contains("NOW: "), "{}", desk.question());
    assert_eq!(bench.record().last_stop().1, "instrument_lost");
    assert_eq!(desk.finish(), 5);
}

/// An agent that takes every connection and answers nothing, as one does that waits for its person.
fn silent_agent(folder: &std::path::Path) -> PathBuf {
    let socket = folder.join("silent.sock");
    let listener = UnixListener::bind(&socket).unwrap();
    spawn(move || {
        let mut kept = Vec::new();
        while let Ok((stream, _)) = listener.accept() {
            kept.push(stream);
        }
    });
    socket
}

/// A signed run at a supply of the test, with its output on; its agent never answers.
fn signing(supply: &Supply) -> (Keys, Desk) {
    let keys = Keys::new("", "");
    let people = fs::read_to_string(keys.bench.path("people.yaml")).unwrap();
    keys.bench.write("people.yaml", people.replace("lantern:", "fed-lantern:"));
    keys.bench.write("fed.yaml", fed::FED);
    supply.describe(&keys.bench, "");
    let agent = silent_agent(keys.bench.folder());
    let run = ["run", "fed.yaml", "--bench", "bench.yaml", "--people", "people.yaml"];
    let run = [&run[..], &["--operator", "Kim Example-Tech"], &SET].concat();
    let look = Look::usual().env("SSH_AUTH_SOCK", agent.to_str().unwrap());
    let mut desk = Desk::start(keys.bench.folder(), &look, &run);
    desk.until("then read the voltage");
    assert!(supply.is_on());
    for line in ["hand over", "Ivo Example-Tech"] {
        desk.answers(line);
    }
    desk.types("nothing measured yet");
    desk.terminal.wait_for("Waiting up to 60 s for the ssh-agent");
    (keys, desk)
}

/// Something comes between while the agent is asked, and is heard at once.
fn heard_while_asked(between: impl FnOnce(&mut Desk, &Supply), words: &str) {
    let supply = Supply::start(Over::Tcp);
    let (keys, mut desk) = signing(&supply);
    let begun = Instant::now();
    desk.interrupt(|desk| between(desk, &supply));
    assert!(begun.elapsed() < Duration::from_secs(15), "{:?}", begun.elapsed());
    assert!(desk.question().contains(words), "{}", desk.question());
    assert!(desk.question().contains("NOW: "), "{}", desk.question());
    assert!(keys.bench.record().events("handed_over").is_empty());
}

#[test]
fn a_signal_is_heard_while_an_agent_is_asked() {
    heard_while_asked(|desk, _| desk.terminal.signal("INT"), "Interrupted (SIGINT)");
}

#[test]
fn the_key_that_stops_is_heard_while_an_agent_is_asked() {
    heard_while_asked(|desk, _| desk.terminal.keys("s"), "STOPPED. Stopped at the bench");
}

#[test]
fn an_enter_behind_the_key_that_stops_does_not_take_it_back() {
    heard_while_asked(|desk, _| desk.terminal.keys("s\r"), "STOPPED. Stopped at the bench");
}

#[test]
fn an_instrument_that_is_lost_is_heard_while_an_agent_is_asked() {
    heard_while_asked(|_, supply| supply.spoil(Fault::Silent), "PULL THE PLUG of supply");
}

#[test]
fn a_run_that_is_started_in_the_background_is_refused() {
    let bench = Bench::new();
    let run = "set -m; \"$WATTSTEP\" run lantern.yaml --operator 'Kim Example-Tech' & wait $!; echo ended $?; sleep 60";
    let terminal = Terminal::shell(bench.folder(), Look::usual(), run);
    terminal.wait_for("there is no terminal to ask questions on");
    terminal.wait_for("ended 2");
}
