//! What comes between while connected outputs are on: signals, a closed window, a full disk, a supply that is lost or does
//! not do as it is told, a sample outside, and nobody there.

use std::fs;
use std::thread::sleep;
use std::time::{Duration, Instant};

use crate::disk::assert_made_safe;
use crate::support::bench::{Bench, SET};
use crate::support::call::Call;
use crate::support::desk::Desk;
use crate::support::fed;
use crate::support::record::Record;
use crate::support::scpi_server::Over;
use crate::support::supply::{self, Fault, Supply, TIMEOUT, WATCHDOG};
use crate::support::terminal::{Look, Terminal};

/// How soon every output has to be told to go off after a signal (ms).
const SOON_MS: u64 = 50;

/// A ramp that nobody has to wait for.
const QUICK: [(&str, &str); 1] = [("over: 4 min", "over: 20 s")];

/// How often it is tried: the machine may have other things to do in those milliseconds.
const TRIES: usize = 4;

/// Stops the terminal from taking any more, so that a thread that writes to it waits.
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
        // While the terminal takes nothing, the thread that shows how it goes on is stuck: only a thread of its own can act.
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

/// The most time from the moment a supply is lost to the words on the screen: two of its timeouts (one for the reply that is
/// due, one for the word that it is off), and what a busy machine takes.
const TOLD: Duration = Duration::from_millis(2 * TIMEOUT.as_millis() as u64 + 1500);

/// From here on something is wrong with the supply, until the person is told to pull the plug.
fn told(desk: &mut Desk, spoil: impl FnOnce(&mut Desk)) {
    desk.interrupt(|desk| {
        let spoilt = Instant::now();
        spoil(desk);
        desk.terminal.wait_for("PULL THE PLUG of supply (an invented supply)");
        assert!(spoilt.elapsed() < TOLD, "told after {:?}", spoilt.elapsed());
    });
    let question = desk.question();
    assert!(question.contains("NOW: PULL THE PLUG of supply (an invented supply)"), "{question}");
    assert!(!question.contains("SWITCH EVERYTHING OFF"), "one order at a time: {question}");
}

/// A supply that gets lost in this way while it feeds the lantern: the person is told to pull the plug, the run is made safe
/// and says why.
fn lost(over: Over, moment: Moment, fault: Fault, stop: &str) {
    let supply = Supply::start(over);
    let (bench, mut desk) = fed_by(&supply, moment, "");
    told(&mut desk, |_| supply.spoil(fault));
    made_safe(&bench, &mut desk, 5);
    let record = bench.record();
    assert_eq!(record.last_stop().1, stop, "{fault:?} at {moment:?}");
    let unconfirmed = record.events("off_unconfirmed");
    assert_eq!(unconfirmed[0]["instrument"], "supply", "{fault:?} at {moment:?}");
}

#[test]
fn a_supply_that_is_lost_while_it_is_sampled_is_told_as_pull_the_plug() {
    for moment in [Moment::Ramp, Moment::Watch] {
        lost(Over::Tcp, moment, Fault::Gone, "instrument_lost");
        lost(Over::Tcp, moment, Fault::Silent, "instrument_lost");
    }
}

#[test]
fn a_supply_that_falls_silent_on_a_serial_line_is_told_as_pull_the_plug() {
    lost(Over::Serial, Moment::Watch, Fault::Silent, "instrument_lost");
}

#[test]
fn a_supply_that_answers_nonsense_trips_and_is_told_as_pull_the_plug() {
    lost(Over::Tcp, Moment::Watch, Fault::Babbles, "tripped");
}

#[test]
fn a_supply_that_hangs_up_and_is_there_again_is_switched_off_over_a_new_connection() {
    for resets in [false, true] {
        let supply = Supply::start(Over::Tcp);
        let (bench, mut desk) = fed_by(&supply, Moment::Watch, "");
        desk.interrupt(|_| supply.spoil(Fault::HangsUp { resets }));
        assert!(!supply.is_on());
        made_safe(&bench, &mut desk, 5);
        let record = bench.record();
        assert_eq!(record.last_stop().1, "instrument_lost");
        assert!(record.events("off_unconfirmed").is_empty());
    }
}

#[test]
fn a_supply_that_ignores_off_is_told_as_pull_the_plug() {
    let supply = Supply::start(Over::Tcp);
    let (bench, mut desk) = fed_by(&supply, Moment::Watch, "");
    supply.spoil(Fault::IgnoresOff);
    told(&mut desk, |desk| desk.terminal.signal("TERM"));
    assert!(supply.is_on());
    for zero in ["VOLT 0", "CURR 0"] {
        assert!(supply.heard().iter().any(|(_, message)| message == zero), "{zero}");
    }
    // The person's word does not stand against the supply's.
    for _ in 0..2 {
        let question = desk.question();
        assert!(
            question.contains("OUTPUT plus of supply IS ON ENERGY STATE UNKNOWN"),
            "{question}"
        );
        assert!(question.contains("NOW: PULL THE PLUG of supply"), "{question}");
        assert!(!question.contains("isolated"), "{question}");
        desk.answers("off");
    }
    supply.mend();
    let off = || {
        (0..100).any(|_| {
            sleep(Duration::from_millis(50));
            !supply.is_on()
        })
    };
    assert!(off(), "nobody told it again");
    // It counts once it has been so for a while.
    sleep(Duration::from_secs(6));
    made_safe(&bench, &mut desk, 4);
    let record = bench.record();
    let unconfirmed = record.events("off_unconfirmed")[0]["error"].to_string();
    assert!(unconfirmed.contains("says it is not off"), "{unconfirmed}");
    assert_eq!(record.events("off_confirmed").len(), 1);
}

/// While the question stands off is sent on every connection that is made again, before anything is asked on it, until the supply
/// takes it.
#[test]
fn a_supply_that_comes_back_with_its_output_on_is_switched_off_while_the_question_stands() {
    let supply = Supply::start(Over::Tcp);
    let (bench, mut desk) = fed_by(&supply, Moment::Watch, "");
    let before = supply.heard().len();
    told(&mut desk, |_| supply.spoil(Fault::Frozen));
    let question = desk.question();
    assert!(
        question.contains("OUTPUT plus of supply NOT CONFIRMED OFF: treat as on"),
        "{question}"
    );
    supply.wait_for_another("*IDN?");
    assert!(supply.is_on());
    supply.mend();
    let is_off = (0..100).any(|_| {
        sleep(Duration::from_millis(50));
        !supply.is_on()
    });
    assert!(is_off, "nobody told it again");
    let heard: Vec<_> = supply.heard().into_iter().map(|(_, message)| message).collect();
    // Apart from where a voltage is made sure of, it is asked who it is on a new connection alone.
    let is_new = |pair: &&[String]| pair[1] == "*IDN?" && pair[0] != "MEAS:VOLT?";
    for pair in heard[before..].windows(2).filter(is_new) {
        assert_eq!(pair[0], "OUTP OFF", "{heard:?}");
    }
    made_safe(&bench, &mut desk, 5);
    assert_eq!(bench.record().events("off_confirmed").len(), 1);
}

#[test]
fn a_supply_in_use_is_left_alone_by_every_other_program() {
    let supply = Supply::start(Over::Tcp);
    let (bench, mut desk) = fed_by(&supply, Moment::Question, "");
    // What the run itself asks while its question stands is no news.
    let told = |supply: &Supply| {
        let heard = supply.heard().into_iter();
        heard.filter(|(_, message)| !message.ends_with('?')).count()
    };
    let before = told(&supply);
    let in_use = "it is in use by `wattstep run fed.yaml --bench bench.yaml";
    bench.wattstep(&["bench", "bench.yaml"]).out(in_use).any_err().exit(5);
    assert_eq!(told(&supply), before);
    assert!(supply.is_on());
    desk.interrupt(|desk| desk.terminal.signal("TERM"));
    made_safe(&bench, &mut desk, 4);
}

/// A run whose program is killed while its supply feeds the lantern.
fn killed(supply: &Supply, dialect: &str) -> Bench {
    let (bench, desk) = fed_by(supply, Moment::Watch, dialect);
    desk.terminal.signal("KILL");
    desk.terminal.exit_code();
    bench
}

#[test]
fn an_output_found_on_after_a_kill_is_told_before_anything_else() {
    for over in [Over::Tcp, Over::Serial] {
        let supply = Supply::start(over);
        let bench = killed(&supply, "");
        assert!(supply.is_on(), "nothing was left to switch it off");
        let desk = Desk::resume(&bench, &Look::usual());
        found_on(&bench, &supply, desk);
    }
    let supply = Supply::start(Over::Tcp);
    let bench = killed(&supply, "");
    let desk = supply::run(&bench);
    found_on(&bench, &supply, desk);
}

fn found_on(bench: &Bench, supply: &Supply, mut desk: Desk) {
    let question = desk.question();
    let words = "ENERGY STATE UNKNOWN: check the supply. Output plus of supply was on, set to";
    assert!(question.contains(words), "{question}");
    assert!(question.contains("SWITCH EVERYTHING OFF"), "{question}");
    assert!(!supply.is_on());
    let record = Record::read(bench.records().last().unwrap());
    assert_eq!(record.events("found_on").len(), 1);
    desk.until("then read the voltage");
}

#[test]
fn off_goes_before_anybody_is_asked_for_a_name() {
    let run = ["run", "fed.yaml", "--bench", "bench.yaml"];
    let asked = "Maker and model of the equipment";
    for (verb, asked) in [
        (vec!["resume"], "Your name"),
        ([&run[..], &SET].concat(), "Your name"),
        (run.to_vec(), asked),
    ] {
        let supply = Supply::start(Over::Tcp);
        let bench = killed(&supply, "");
        assert!(supply.is_on());
        let terminal = Terminal::start(bench.folder(), &Look::usual(), &verb);
        terminal.wait_for(asked);
        assert!(!supply.is_on(), "{verb:?}");
        let screen = terminal.screen();
        let told = screen.find("supply: output plus was on, and was switched off. Touch nothing");
        assert!(told.is_some() && told < screen.find(asked), "{verb:?}: {screen}");
        // A person who goes away then is told what was found all the same.
        terminal.signal("TERM");
        terminal.wait_for("output plus was on, and was switched off");
    }
}

#[test]
fn off_goes_to_a_supply_that_answers_oddly() {
    let supply = Supply::start(Over::Tcp);
    let bench = killed(&supply, "");
    supply.spoil(Fault::Babbles);
    let desk = |arguments: &[&str]| {
        let call = bench.wattstep(arguments).any_out().any_err().exit(5);
        let off = supply.heard().iter().rposition(|(_, message)| message == "OUTP OFF");
        assert!(off.is_some() && !supply.is_on(), "{arguments:?}");
        supply.press(true);
        format!("{}{}", call.out, call.err)
    };
    let printed = desk(&["bench", "bench.yaml"]);
    assert!(printed.contains("PULL THE PLUG of supply"), "{printed}");
}

/// Ways to reach the supply before anything is asked.
const REACHING: [&[&str]; 2] = [&["resume"], &["run", "fed.yaml", "--bench", "bench.yaml"]];

/// Reaches the supply, which is refused with whose plug to pull; what the screen says, without its line ends.
fn refused(bench: &Bench, verb: &[&str], is: &str) -> String {
    let order = format!("PULL THE PLUG of supply (an invented supply): output plus IS {is}");
    let terminal = Terminal::start(bench.folder(), &Look::usual(), verb);
    terminal.wait_for(&format!("error: {order}"));
    assert_eq!(terminal.exit_code(), 5, "{verb:?}");
    terminal.screen().split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn off_that_is_not_confirmed_when_a_supply_is_reached_is_told_with_its_plug_first_of_all() {
    let order = "PULL THE PLUG of supply (an invented supply): output plus IS NOT CONFIRMED OFF";
    for fault in [Fault::Frozen, Fault::HidesState, Fault::Gone] {
        let supply = Supply::start(Over::Tcp);
        let bench = killed(&supply, "");
        supply.spoil(fault);
        for verb in REACHING {
            refused(&bench, verb, "NOT CONFIRMED OFF");
        }
        let proved = bench.wattstep(&["bench", "bench.yaml"]).any_out().any_err().exit(5);
        let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
        let (begin, end) = proved.out.split_once("An output is on, or not confirmed").unwrap();
        assert!(words(begin).starts_with(order) && words(end).contains(order), "{}", proved.out);
        assert!(supply.is_on(), "{fault:?}");
    }
}

#[test]
fn what_was_found_on_is_not_called_switched_off_while_it_stays_on() {
    let supply = Supply::start(Over::Tcp);
    let bench = killed(&supply, "");
    supply.spoil(Fault::IgnoresOff);
    for verb in REACHING {
        let said = refused(&bench, verb, "ON");
        let found = "supply: output plus was on; it was told to go off, which is not confirmed";
        assert!(said.contains(found) && !said.contains("was switched off"), "{said}");
    }
}

#[test]
fn a_voltage_turned_up_above_the_ceiling_switches_off_and_is_told() {
    let supply = Supply::start(Over::Tcp);
    let (bench, mut desk) = fed_by(&supply, Moment::Watch, "");
    desk.interrupt(|_| supply.turn("VOLT", 30.0));
    assert!(!supply.is_on());
    let question = desk.question();
    assert!(question.contains("output plus is set to 30 V, above the"), "{question}");
    made_safe(&bench, &mut desk, 5);
}

#[test]
fn a_watchdog_in_the_supply_switches_off_after_a_kill() {
    let ms = WATCHDOG.as_millis();
    let dialect = format!("watchdog: {{arm: \"WATCH {{value}}\", time: {ms} ms}}");
    let supply = Supply::start(Over::Tcp);
    let bench = killed(&supply, &dialect);
    sleep(WATCHDOG);
    assert!(!supply.is_on());
    let desk = Desk::resume(&bench, &Look::usual());
    assert!(desk.question().contains("SWITCH EVERYTHING OFF"), "{}", desk.question());
    assert!(bench.record().events("found_on").is_empty());
}

/// A sample outside: off is the very next thing that the supply hears.
fn sampled_outside(moment: Moment) {
    let supply = Supply::start(Over::Tcp);
    let (bench, mut desk) = fed_by(&supply, moment, "");
    let before = supply.heard().len();
    desk.interrupt(|_| supply.spoil(Fault::Delivers(0.15)));
    let heard = supply.heard();
    let off = heard[before..].iter().position(|(_, message)| message == "OUTP OFF").unwrap();
    assert_eq!(heard[before + off - 1].1, "MEAS:CURR?", "{heard:?}");
    assert!(!supply.is_on());
    let question = desk.question();
    assert!(question.contains("plus.current: 150 mA is outside"), "{question}");
    made_safe(&bench, &mut desk, 5);
    assert_eq!(bench.record().last_stop().1, "tripped");
}

#[test]
fn a_sample_outside_in_a_ramp_or_a_watch_is_answered_with_off() {
    sampled_outside(Moment::Ramp);
    sampled_outside(Moment::Watch);
}

/// The program waits for a reply that takes long: off does not wait for it.
#[test]
fn a_signal_switches_off_while_a_reply_is_due() {
    soon(|| {
        let supply = Supply::start(Over::Tcp);
        let (bench, mut desk) = fed_by(&supply, Moment::Watch, "");
        supply.spoil(Fault::SlowToMeasure);
        supply.wait_for_another("MEAS:CURR?");
        let signalled = Instant::now();
        desk.interrupt(|desk| desk.terminal.signal("TERM"));
        let off = supply
            .heard()
            .into_iter()
            .find(|(at, message)| *at >= signalled && message == "OUTP OFF");
        made_safe(&bench, &mut desk, 4);
        (off.unwrap().0 - signalled).as_millis() as u64
    });
}

#[test]
fn where_nobody_answers_on_the_mains_it_is_made_safe() {
    let changes = [("over: 4 min", "over: 1 s"), ("time: 20 min", "time: 1 min")];
    let presence = ("stages:\n", "presence_every: 30 s\nstages:\n");
    let bench = fed::bench(&[changes[0], changes[1], presence]);
    let mut desk = fed::rehearse(&bench);
    desk.until("TYPE OFF: wattstep switches plus and minus off");
    desk.answers("off");
    let question = desk.question();
    // The outlet measures nothing behind itself.
    assert!(question.contains("Off, confirmed: plus, minus."), "{question}");
    assert!(question.contains("limiter says it is off, and nothing measures that"), "{question}");
    desk.until("Switch the outlet on");
    desk.types("done");
    desk.terminal.wait_for("Are you there? Press Enter.");
    assert!(fed::is_on(&fed::log(&bench)), "the outlet is on");
    // Somebody is: it goes on, and asks again.
    let mark = desk.terminal.mark();
    desk.terminal.keys("\r");
    desk.terminal.wait_until_said(mark, "Are you there? Press Enter.");
    desk.next_prompt();
    assert!(!fed::is_on(&fed::log(&bench)));
    assert!(desk.question().contains("NOW: SWITCH OFF at the mains"), "{}", desk.question());
    made_safe(&bench, &mut desk, 4);
    let record = bench.record();
    assert_eq!(record.last_stop().1, "unattended");
    assert_eq!(record.events("present").len(), 1);
    assert_eq!(record.events("unattended").len(), 1);
}

#[test]
fn an_entry_that_cannot_be_written_switches_off_before_anything_is_asked() {
    let supply = Supply::start(Over::Tcp);
    let (bench, mut desk) = fed_by(&supply, Moment::Question, "");
    desk.terminal.limit_files(fs::metadata(bench.record().path).unwrap().len());
    desk.answers("note");
    desk.answers("a note too many");
    assert!(!supply.is_on());
    let question = desk.question();
    assert!(question.contains("THE RECORD CAN'T BE WRITTEN: cannot write"), "{question}");
    assert!(question.contains("NOW: SWITCH EVERYTHING OFF"), "{question}");
    assert_eq!(desk.finish(), 1);
    desk.terminal.wait_for("Outcome: stopped: the record could not be written");
    bench.wattstep(&["verify", "--all"]).out("verified").exit(0);
}

/// The size of a record up to the entry with which an output came on.
fn size_when_on(bench: &Bench) -> usize {
    let text = fs::read_to_string(bench.record().path).unwrap();
    let on = text.find(r#"{"energy":{"state":{"energised""#).unwrap();
    on + text[on..].find('\n').unwrap() + 1
}

/// The samples of a ramp come to the record together with its reading, which finds no room either.
#[test]
fn samples_that_cannot_be_written_switch_off_and_the_person_is_still_asked() {
    let call = [&fed::REHEARSE[..], &["--answers", "fed.answers.yaml"]].concat();
    let sound = fed::bench(&QUICK);
    sound.wattstep(&call).any_out().exit(0);
    // A hundred bytes more: some of the opening may be longer, and no entry of samples is as short.
    let bytes = size_when_on(&sound) + 100;
    let bench = fed::bench(&QUICK);
    // Without a log, which the limit would be for as well.
    let without_log =
        fed::REHEARSE.iter().filter(|word| !["--simulated-log", "log"].contains(word));
    let without_log: Vec<_> = without_log.copied().collect();
    let script = format!(
        "exec prlimit --fsize={bytes} \"$WATTSTEP\" {} --answers fed.answers.yaml",
        without_log.join(" ")
    );
    let printed = Call::shell(bench.folder(), &script).any_out().exit(1);
    assert_made_safe(&printed, "Energy: proved dead");
    let end = &printed.out[printed.out.rfind("STOPPED").unwrap()..];
    assert!(!end.contains("LIVE"), "{end}");
}

/// The same on a supply of the test, which tells what it heard: after off nothing but off and questions.
#[test]
fn nothing_but_off_and_questions_goes_out_behind_samples_that_cannot_be_written() {
    let supply = Supply::start(Over::Tcp);
    let bench = fed::bench(Moment::Watch.changes());
    supply.describe(&bench, "");
    let mut desk = supply::run(&bench);
    Moment::Question.go_to(&mut desk);
    assert!(supply.is_on());
    desk.terminal.limit_files(fs::metadata(bench.record().path).unwrap().len() + 100);
    desk.answers("");
    assert!(desk.question().contains("THE RECORD CAN'T BE WRITTEN"), "{}", desk.question());
    assert_eq!(desk.finish(), 1);
    let heard: Vec<_> = supply.heard().into_iter().map(|(_, message)| message).collect();
    let on = heard.iter().position(|message| message == "OUTP ON").unwrap();
    let off = on + heard[on..].iter().position(|message| message == "OUTP OFF").unwrap();
    assert!(
        heard[on..off].iter().any(|message| message.starts_with("VOLT ")),
        "no ramp: {heard:?}"
    );
    let others = heard[off..].iter().filter(|line| *line != "OUTP OFF" && !line.ends_with('?'));
    assert_eq!(others.collect::<Vec<_>>(), Vec::<&String>::new(), "{heard:?}");
    assert!(!supply.is_on());
}

/// What the program sent to instruments and wrote to its record, in the order in which it did.
fn traced(fault: &str) -> Vec<String> {
    let bench = fed::bench(&QUICK);
    let run = [&fed::REHEARSE[..], &["--answers", "fed.answers.yaml", "--fault", fault]].concat();
    let trace = "strace -f -s 40 -o trace -e trace=sendto,write \"$WATTSTEP\"";
    let script = format!("exec {trace} {}", run.join(" "));
    Call::shell(bench.folder(), &script).any_out().exit(5);
    assert_eq!(bench.record().last_stop().1, "tripped", "{fault}");
    let trace = fs::read_to_string(bench.path("trace")).unwrap();
    trace.lines().filter(|line| !line.contains("resumed>")).map(str::to_owned).collect()
}

#[test]
#[ignore = "needs strace: run by .ci/run"]
fn off_is_on_the_wire_before_anything_of_a_sample_outside_is_written() {
    for fault in ["shorted", "warms-up"] {
        let calls = traced(fault);
        let on = calls.iter().rposition(|call| call.contains("OUTP ON")).unwrap();
        let calls = &calls[on..];
        let sends_off = |call: &String| call.contains("sendto(") && call.contains("OUTP OFF");
        let off = calls.iter().position(sends_off).unwrap();
        let sampled = |call: &String| call.contains("sendto(") && call.contains("MEAS:CURR?");
        let sample = calls[..off].iter().rposition(sampled).unwrap();
        let is_record = |call: &String| call.contains("\"{\\\"prev\\\"");
        assert!(!calls[sample..off].iter().any(is_record), "{fault}: {:?}", &calls[sample..off]);
        assert!(calls[off..].iter().any(is_record), "{fault}: nothing was written of it");
    }
}
