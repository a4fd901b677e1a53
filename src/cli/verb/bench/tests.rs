//! The proofs of a bench, with instruments that are as their file says and others that aren't.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]

use super::asking::Asking;
use super::proved::{BenchProof, ProofVerdict, exit, sheet};
use super::survey::Survey;
use crate::bench::instruments::fake::{FakeInstrument, Habit};
use crate::bench::instruments::{Instruments, SimulatedAddresses};
use crate::bench::{BenchClock, trip};
use crate::cli::exit::Exit;
use crate::diagnostic::Style;
use crate::procedure::read_bench;

/// Invented.
const BENCH: &str = "format: 1
bench: A bench for tests (invented)
instruments:
  osprey:
    what: supply
    serial: A1
    role: supply
    calibration_due: 2027-04-30
    channels: {plus: {number: 1, voltage_max: 32 V, current_max: 3 A, known_load: 10 ohm}}
    connection:
      address: simulated://osprey
      timeout: 200 ms
      identity: Osprey
      dialect: {constant_current: {ask: 'STAT?', bit: 3, bit_when_limiting: 0}}
";

/// What is proved of an instrument with these habits on a day, with these answers; the fake tells what it heard.
fn proved(
    bench: &str,
    habits: &[Habit],
    day: &str,
    answers: &str,
) -> (Vec<BenchProof>, FakeInstrument) {
    // A signal of another test comes to this one as well.
    let _alone = trip::alone();
    let fake = FakeInstrument::start(habits);
    let bench = read_bench(bench).unwrap();
    let reach: SimulatedAddresses = [("osprey".to_owned(), fake.address)].into_iter().collect();
    let mut taken = Instruments::take_over(&bench, &reach);
    let clock = BenchClock::default();
    clock.run_at(50.0);
    taken.instruments = taken.instruments.by_clock(clock);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("answers.yaml");
    std::fs::write(&path, format!("format: 1\nanswers:\n  {answers}\n")).unwrap();
    let mut asking = Asking::new(Some(&path)).unwrap();
    let survey = Survey::new(&bench, day.parse().unwrap(), taken, &mut asking);
    let (proved, interrupted) = survey.carry_out();
    assert_eq!(interrupted, None);
    (proved, fake)
}

fn verdicts(proved: &[BenchProof]) -> Vec<(&'static str, ProofVerdict)> {
    proved.iter().map(|proof| (proof.proof, proof.verdict)).collect()
}

#[test]
fn nothing_comes_on_that_nobody_confirmed() {
    for answers in ["plus.load: yes", "plus: {disconnected: connected, load: disconnected}"] {
        let (proved, fake) = proved(BENCH, &[], "2027-04-30", answers);
        assert_eq!(
            verdicts(&proved),
            [
                ("identity", ProofVerdict::Good),
                ("round trip", ProofVerdict::Good),
                ("settings", ProofVerdict::Good),
                ("off", ProofVerdict::LeftOut),
                ("limiting", ProofVerdict::LeftOut),
            ]
        );
        assert!(!fake.heard().iter().any(|message| message.contains("OUTP ON")));
        assert_eq!(exit(&proved, true), Exit::Finished);
        let text = sheet(&proved, true, Style { width: 200, colour: false, ascii: true });
        assert!(text.contains("What was proved is as the bench file says; some"), "{text}");
    }
}

#[test]
fn off_and_limiting_are_proved_when_they_are_confirmed() {
    let (off, _) = proved(BENCH, &[], "2027-04-30", "plus.disconnected: disconnected");
    assert!(verdicts(&off).contains(&("off", ProofVerdict::Good)), "{off:?}");
    let (limiting, _) = proved(BENCH, &[Habit::Load(10.0)], "2027-04-30", "plus.load: connected");
    assert!(verdicts(&limiting).contains(&("limiting", ProofVerdict::Good)), "{limiting:?}");
}

#[test]
fn what_is_not_as_the_file_says_is_said_and_ends_with_its_own_code() {
    let disconnected = "plus.disconnected: disconnected";
    let cases: [(&[Habit], &str, &str, &str, Exit); 8] = [
        (&[Habit::Leaves(2.5, 0.0)], disconnected, "off", "2.50 V STAYED", Exit::Instrument),
        (&[Habit::Ignores("OUTP ON")], disconnected, "off", "says it is not on", Exit::Findings),
        (&[Habit::Says("MEAS:VOLT?", "0.1")], disconnected, "off", "only 0.1 V", Exit::Findings),
        (&[Habit::Says("VOLT?", "16")], "a: b", "settings", "32 V reads back 16 V", Exit::Findings),
        (&[], "plus.load: connected", "limiting", "not limiting at it", Exit::Findings),
        (
            &[Habit::Says("*IDN?", "Heron")],
            "a: b",
            "taking over",
            "expects `Osprey`",
            Exit::Instrument,
        ),
        (&[Habit::Silent("*IDN?")], "a: b", "taking over", "no reply", Exit::Instrument),
        (&[Habit::Silent("VOLT?")], "a: b", "settings", "no reply", Exit::Instrument),
    ];
    for (habits, answers, proof, said, code) in cases {
        let (proved, _) = proved(BENCH, habits, "2027-04-30", answers);
        let result = proved.iter().find(|result| result.proof == proof).unwrap();
        assert!(result.detail.contains(said), "{habits:?}: {}", result.detail);
        assert_eq!(exit(&proved, true), code, "{habits:?}");
        assert_eq!(result.json().get("proof").unwrap(), proof);
    }
}

#[test]
fn a_calibration_that_ran_out_is_judged_as_the_shop_says() {
    let (proved_on, _) = proved(BENCH, &[], "2027-05-01", "a: b");
    assert_eq!(verdicts(&proved_on).first(), Some(&("calibration", ProofVerdict::Bad)));
    assert_eq!(exit(&proved_on, true), Exit::Findings);
    let warned = BENCH.replace("format: 1\n", "format: 1\noverdue: warn\n");
    let (proved, _) = proved(&warned, &[], "2027-05-01", "a: b");
    assert_eq!(verdicts(&proved).first(), Some(&("calibration", ProofVerdict::Note)));
    assert_eq!(exit(&proved, true), Exit::Finished);
}

#[test]
fn an_output_that_was_on_is_said() {
    let (proved, _) = proved(BENCH, &[Habit::BeginsOn], "2027-04-30", "a: b");
    let state = proved.iter().find(|proof| proof.proof == "state").unwrap();
    assert_eq!(state.output.as_deref(), Some("plus"));
    assert!(state.detail.contains("energy state unknown"), "{}", state.detail);
}

#[test]
fn an_output_that_does_not_go_off_is_an_alarm_with_whose_plug_to_pull() {
    let stays = [Habit::BeginsOn, Habit::Ignores("OUTP OFF")];
    let (proved, fake) = proved(BENCH, &stays, "2027-04-30", "plus.disconnected: disconnected");
    assert_eq!(verdicts(&proved), [("taking over", ProofVerdict::On)]);
    assert_eq!(exit(&proved, true), Exit::Instrument);
    let text = sheet(&proved, true, Style { width: 200, colour: false, ascii: true });
    let end = text.split("An output is on, or not confirmed to be off.").nth(1).unwrap();
    assert!(
        end.contains("PULL THE PLUG of osprey (supply): output plus IS ON; output `plus`"),
        "{text}"
    );
    assert!(!fake.heard().iter().any(|message| message == "OUTP ON"));
}

#[test]
fn what_was_left_unfinished_is_not_called_as_the_file_says() {
    let told = |proved: &[BenchProof]| {
        sheet(proved, false, Style { width: 200, colour: false, ascii: true })
    };
    let (sound, _) = proved(BENCH, &[], "2027-04-30", "a: b");
    let text = told(&sound);
    assert!(text.contains("Left unfinished: nothing is said of what was not tried."), "{text}");
    assert!(!text.contains("as the bench file says"), "{text}");
    assert_eq!(exit(&sound, false), Exit::Unfinished);
    // An output that is on is graver than the signal.
    let stays = [Habit::BeginsOn, Habit::Ignores("OUTP OFF")];
    let (live, _) = proved(BENCH, &stays, "2027-04-30", "plus.disconnected: disconnected");
    assert_eq!(exit(&live, false), Exit::Instrument);
    assert!(told(&live).contains("An output is on"), "{}", told(&live));
}

#[test]
fn nobody_is_asked_for_a_load_across_live_terminals() {
    let stays = [Habit::Leaves(2.5, 0.0)];
    let answers = "plus: {disconnected: disconnected, load: connected}";
    let (proved, fake) = proved(BENCH, &stays, "2027-04-30", answers);
    assert_eq!(
        verdicts(&proved),
        [
            ("identity", ProofVerdict::Good),
            ("round trip", ProofVerdict::Good),
            ("settings", ProofVerdict::Good),
            ("off", ProofVerdict::On),
            ("off at the end", ProofVerdict::On),
        ]
    );
    let (off, end) = (&proved[3].detail, &proved[4].detail);
    assert!(off.contains("PULL THE PLUG of osprey (supply): 2.50 V STAYED"), "{off}");
    assert!(end.starts_with("PULL THE PLUG of osprey (supply): output plus IS NOT"), "{end}");
    let on = fake.heard().iter().filter(|message| *message == "OUTP ON").count();
    assert_eq!(on, 1, "it never comes on for the load");
}
