//! What comes between while connected outputs are on: signals, a closed window, a full disk, a supply that is lost or does
//! not do as it is told, a sample outside, and nobody there.

use std::thread::sleep;
use std::time::Duration;

use crate::support::bench::Bench;
use crate::support::desk::Desk;
use crate::support::fed;
use crate::support::supply::{self, Fault, Supply, TIMEOUT, WATCHDOG};

/// How soon every output has to be told to go off after a signal (ms).
const SOON_MS: u64 = 50;

/// How often it is tried: the machine may have other things to do in those milliseconds.
const TRIES: usize = 4;

/// Stops the terminal from taking any more, so that whoever writes to it waits.
const STOP_OUTPUT: &str = "\x13";
const START_OUTPUT: &str = "\x11";

/// The way to a moment at which an output is on, and what the procedure has to be like for it.
#[derive(Clone, Copy, Debug)]
enum Moment {
    Question,
    Ramp,
    Watch,
}

const MOMENTS: [Moment; 3] = [Moment::Question, Moment::Ramp, Moment::Watch];

impl Moment {
    /// Nobody waits for a ramp that is only on the way.
    fn changes(self) -> &'static [(&'static str, &'static str)] {
        match self {
            Self::Watch => &[("over: 4 min", "over: 1 s")],
            Self::Question | Self::Ramp => &[],
        }
    }

    fn go_to(self, desk: &mut Desk) {
        desk.until(match self {
            Self::Question | Self::Ramp => "then read the voltage",
            Self::Watch => "Current into the lantern",
        });
        match self {
            Self::Question => return,
            Self::Ramp => desk.types(""),
            Self::Watch => {
                desk.types("");
                desk.terminal.wait_for("Current while it warms");
            }
        }
        desk.terminal.wait_for("(s to stop)");
    }
}

/// A rehearsal at this moment, with an output on.
fn rehearsed(moment: Moment) -> (Bench, Desk) {
    let bench = fed::bench(moment.changes());
    let mut desk = fed::rehearse(&bench);
    moment.go_to(&mut desk);
    assert!(fed::is_on(&fed::log(&bench)), "nothing is on");
    (bench, desk)
}

/// A run on a supply of the test at this moment, with its output on.
fn fed_by(supply: &Supply, moment: Moment, dialect: &str) -> (Bench, Desk) {
    let bench = fed::bench(moment.changes());
    supply.describe(&bench, dialect);
    let mut desk = supply::run(&bench);
    moment.go_to(&mut desk);
    if !matches!(moment, Moment::Question) {
        supply.wait_for_another("MEAS:CURR?");
    }
    assert!(supply.is_on());
    (bench, desk)
}

/// Goes on by answering what is asked; the record then says that the equipment was made safe.
fn made_safe(bench: &Bench, desk: &mut Desk, code: u32) {
    assert!(desk.question().contains("NOW: "), "{}", desk.question());
    assert_eq!(desk.finish(), code, "{}", desk.terminal.screen());
    assert_eq!(bench.record().closed_safe(), Some(true));
    bench.wattstep(&["verify", "--all"]).out("verified").exit(0);
}

/// Tries a few times, until every output was told to go off soon enough.
fn soon(mut delay_ms: impl FnMut() -> u64) {
    let mut delays = Vec::new();
    while delays.len() < TRIES && delays.iter().all(|delay| *delay > SOON_MS) {
        delays.push(delay_ms());
    }
    assert!(delays.iter().any(|delay| *delay <= SOON_MS), "off after {delays:?} ms");
}

/// A signal switches every output off, and then the person is led to make safe.
fn signalled(moment: Moment, name: &str) {
    soon(|| {
        let (bench, mut desk) = rehearsed(moment);
        // While the terminal takes nothing, whoever shows how it goes on is stuck: only a thread of its own can act.
        let is_stuck = !matches!(moment, Moment::Question);
        if is_stuck {
            desk.terminal.keys(STOP_OUTPUT);
            sleep(Duration::from_millis(300));
        }
        let since_ms = fed::unix_ms();
        desk.interrupt(|desk| {
            desk.terminal.signal(name);
            fed::off_after(&bench, since_ms);
            if is_stuck {
                desk.terminal.keys(START_OUTPUT);
            }
        });
        let delay_ms = fed::off_after(&bench, since_ms);
        let interrupted = format!("Interrupted (SIG{name})");
        assert!(desk.question().contains(&interrupted), "{}", desk.question());
        made_safe(&bench, &mut desk, 4);
        assert!(!fed::is_on(&fed::log(&bench)));
        delay_ms
    });
}

#[test]
fn a_signal_at_a_question_switches_every_output_off_within_50_ms() {
    for name in ["TERM", "INT", "HUP"] {
        signalled(Moment::Question, name);
    }
}

#[test]
fn a_signal_in_a_ramp_switches_every_output_off_within_50_ms() {
    for name in ["TERM", "INT", "HUP"] {
        signalled(Moment::Ramp, name);
    }
}

#[test]
fn a_signal_in_a_watch_switches_every_output_off_within_50_ms() {
    for name in ["TERM", "INT", "HUP"] {
        signalled(Moment::Watch, name);
    }
}

#[test]
fn a_closed_window_switches_every_output_off_within_50_ms() {
    for moment in MOMENTS {
        soon(|| {
            let (bench, mut desk) = rehearsed(moment);
            let since_ms = fed::unix_ms();
            desk.terminal.close_window();
            assert_eq!(desk.terminal.exit_code(), 4);
            assert!(!fed::is_on(&fed::log(&bench)));
            assert_eq!(bench.record().closed_safe(), Some(false));
            fed::off_after(&bench, since_ms)
        });
    }
}
