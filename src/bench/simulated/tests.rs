//! The simulated bench over its sockets. Models and equipment are invented.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]

use crate::bench::BenchClock;
use std::io::{BufRead, BufReader, Write};
use std::net::TcpStream;
use std::path::Path;
use std::time::Duration;

use super::bench::StartError;
use super::{Rehearsal, SimulatedBench};
use crate::procedure::{
    Equipment, ModelFile, Procedure, bundled, read_equipment, read_model, read_procedure,
};

const NAME: &str = "amplifier-class-ab";
const QUIET: &str = "0,\"No error\"";

fn procedure() -> Procedure {
    read_procedure(bundled::text(NAME).unwrap()).unwrap()
}

fn equipment() -> Equipment {
    read_equipment(bundled::equipment(NAME).unwrap()).unwrap()
}

fn try_start(model: &ModelFile, fault: Option<&str>) -> Result<SimulatedBench, StartError> {
    let (procedure, equipment) = (&procedure(), &equipment());
    let clock = &BenchClock::default();
    SimulatedBench::start(&Rehearsal {
        procedure,
        equipment,
        model,
        fault,
        circuit: None,
        clock,
        log: None,
    })
}

fn start() -> SimulatedBench {
    try_start(&read_model(bundled::model(NAME).unwrap()).unwrap(), None).unwrap()
}

struct Client(BufReader<TcpStream>);

impl Client {
    fn to(bench: &SimulatedBench, instrument: &str) -> Self {
        let stream = TcpStream::connect(bench.addresses()[instrument]).unwrap();
        Self(BufReader::new(stream))
    }

    fn ask(&mut self, message: &str) -> String {
        self.0.get_mut().write_all(format!("{message}\n").as_bytes()).unwrap();
        let mut reply = String::new();
        self.0.read_line(&mut reply).unwrap();
        reply.trim_end().to_owned()
    }

    /// Sends what has no reply, and gives what the instrument has against it.
    fn tell(&mut self, message: &str) -> String {
        self.ask(&format!("{message};:SYST:ERR?"))
    }

    fn number(&mut self, message: &str) -> f64 {
        self.ask(message).parse().unwrap()
    }
}

fn near(found: f64, wanted: f64, within: f64) {
    assert!((found - wanted).abs() <= within, "{found}, not {wanted}");
}

#[test]
fn each_instrument_says_who_it_is() {
    let bench = start();
    let names: Vec<_> = bench.addresses().keys().map(String::as_str).collect();
    assert_eq!(names, ["limiter", "meter", "supply", "tester"]);
    for name in names {
        let mut line = Client::to(&bench, name);
        assert!(line.ask("*IDN?").contains(&format!("simulated {name}")));
        assert_eq!(line.tell("VOLT:NONSENSE 3"), "-113,\"Undefined header\"");
        assert_eq!(line.tell("*CLS"), QUIET);
    }
}

#[test]
fn a_rail_charges_at_the_limit_and_holds_at_the_voltage_set() {
    let bench = start();
    bench.probe(&"supply-leads".into());
    let mut supply = Client::to(&bench, "supply");
    let message = "INST:NSEL 2;:VOLT:PROT 16.5;:CURR 0.1;:VOLT 15;:OUTP ON";
    assert_eq!(supply.tell(message), QUIET);
    for (question, wanted) in [("VOLT:PROT?", 16.5), ("CURR?", 0.1), ("VOLT?", 15.0)] {
        near(supply.number(question), wanted, 1e-6);
    }
    assert_eq!(supply.ask("OUTP?;:INST:NSEL 1;:OUTP?;:INST:NSEL 2"), "1;0");
    bench.pass(Duration::from_millis(500));
    assert_eq!(supply.number("STAT:QUES:COND?") as u32 & 3, 1, "it limits the current");
    // 10 mF at 100 mA, less what is drawn: at most 5 V in half a second, and that on a slow machine.
    assert!((1.0..14.9).contains(&supply.number("MEAS:VOLT?")));
    near(supply.number("MEAS:CURR?"), 0.1, 1e-3);
    bench.pass(Duration::from_secs(30));
    assert_eq!(supply.number("STAT:QUES:COND?") as u32 & 3, 2, "it holds the voltage");
    near(supply.number("MEAS:VOLT?"), 15.0, 1e-3);
    near(bench.shows(&"dead.minus".into()).unwrap().to_f64(), -15.0, 1e-3);
    assert!((0.008..0.02).contains(&supply.number("MEAS:CURR?")));
    assert_eq!(supply.tell("OUTP OFF"), QUIET);
    near(supply.number("MEAS:CURR?"), 0.0, 1e-9);
    bench.pass(Duration::from_secs(300));
    near(supply.number("MEAS:VOLT?"), 0.0, 0.1);
}

#[test]
fn a_protection_latches_and_what_is_out_of_range_is_refused() {
    let bench = start();
    bench.probe(&"supply-leads".into());
    let mut supply = Client::to(&bench, "supply");
    assert_eq!(supply.tell("VOLT 200"), "-222,\"Data out of range\"");
    assert_eq!(supply.tell("VOLT high"), "-104,\"Data type error\"");
    assert_eq!(supply.tell("VOLT"), "-109,\"Missing parameter\"");
    assert_eq!(supply.tell("INST:NSEL 3"), "-222,\"Data out of range\"");
    assert_eq!(supply.tell("VOLT:PROT 10;:CURR 1;:VOLT 15;:OUTP ON"), QUIET);
    bench.pass(Duration::from_secs(2));
    assert_eq!(supply.ask("OUTP?"), "0");
    assert_eq!(supply.number("STAT:QUES:COND?") as u32, 1 << 9);
    assert_eq!(supply.tell("OUTP ON"), "-221,\"Settings conflict\"");
    assert_eq!(supply.tell("OUTP:PROT:CLE;:VOLT 0;:VOLT:PROT 20;:OUTP ON"), QUIET);
    assert_eq!(supply.ask("OUTP?"), "1");
}

#[test]
fn a_meter_shows_the_point_its_probes_are_on() {
    let bench = start();
    let mut meter = Client::to(&bench, "meter");
    assert_eq!(meter.ask("MEAS:VOLT:DC?"), "+9.910000E+37", "probes in the air");
    bench.probe(&"dead.before".into());
    near(meter.number("MEAS:VOLT:DC?"), 9.12, 0.01);
    bench.probe(&"output-device-short.q21".into());
    near(meter.number("MEAS:RES?"), 21.4e3, 100.0);
    assert_eq!(meter.ask("MEAS:VOLT:DC?"), "+9.910000E+37", "volts of an ohmmeter's point");
    bench.probe(&"insulator.q21".into());
    assert_eq!(meter.ask("MEAS:RES?"), "+9.900000E+37");
    bench.probe(&"no-such-step".into());
    assert_eq!(meter.ask("MEAS:RES?"), "+9.910000E+37");
}

#[test]
fn the_second_time_a_point_may_show_something_else() {
    let bench = start();
    let shown = |key: &str| bench.shows(&key.into()).unwrap().to_f64();
    bench.probe(&"offset-set.left".into());
    bench.probe(&"offset-set.left".into());
    near(shown("offset-set.left"), 3e-3, 1e-9);
    bench.probe(&"bias-set.left".into());
    bench.probe(&"offset-set.left".into());
    near(shown("offset-set.left"), 5e-3, 1e-9);
}

#[test]
fn the_outlet_is_switched_by_hand_or_by_the_program_and_the_rails_follow() {
    let bench = start();
    let mut limiter = Client::to(&bench, "limiter");
    let mut meter = Client::to(&bench, "meter");
    assert_eq!(limiter.ask("OUTP?"), "0");
    bench.probe(&"lamp-on".into());
    assert_eq!(limiter.ask("OUTP?"), "1");
    bench.probe(&"lamp-volts".into());
    let across = limiter.number("MEAS:VOLT:LAMP?");
    assert!((0.5..50.0).contains(&across), "{across} V");
    bench.probe(&"lamp-plus".into());
    let behind = meter.number("MEAS:VOLT:DC?");
    bench.probe(&"direct-on".into());
    bench.probe(&"direct-plus".into());
    let direct = meter.number("MEAS:VOLT:DC?");
    assert!(40.0 < behind && behind < direct && direct < 46.0, "{behind} V, then {direct} V");
    assert_eq!(limiter.tell("OUTP OFF"), QUIET);
    bench.pass(Duration::from_secs(10));
    let falling = meter.number("MEAS:VOLT:DC?");
    assert!((5.0..0.9 * direct).contains(&falling), "{falling} V");
    bench.probe(&"direct-power".into());
    near(limiter.number("MEAS:POW?"), 0.0, 0.1);
    bench.probe(&"direct-on".into());
    bench.probe(&"make-safe.off".into());
    assert_eq!(limiter.ask("OUTP?"), "0");
}

#[test]
fn a_control_moves_the_current_and_the_supply_sees_it() {
    let bench = start();
    bench.probe(&"supply-leads".into());
    let mut supply = Client::to(&bench, "supply");
    assert_eq!(supply.tell("CURR 0.125;:VOLT 26;:OUTP ON"), QUIET);
    bench.pass(Duration::from_secs(60));
    let rest = supply.number("MEAS:CURR?");
    bench.probe(&"left-up".into());
    bench.pass(Duration::from_secs(5));
    near(supply.number("MEAS:CURR?") - rest, 20e-3, 2e-3);
    bench.probe(&"left-back".into());
    bench.pass(Duration::from_secs(5));
    near(supply.number("MEAS:CURR?"), rest, 1e-4);
}

#[test]
fn several_lines_reach_one_instrument_and_the_log_holds_what_it_got() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("bench.log");
    let (procedure, equipment) = (&procedure(), &equipment());
    let model = &read_model(bundled::model(NAME).unwrap()).unwrap();
    let (fault, log) = (None, Some(path.as_path() as &Path));
    let clock = BenchClock::default();
    clock.run_at(60.0);
    let rehearsal =
        Rehearsal { procedure, equipment, model, fault, circuit: None, clock: &clock, log };
    let bench = SimulatedBench::start(&rehearsal).unwrap();
    let mut one = Client::to(&bench, "supply");
    let mut other = Client::to(&bench, "supply");
    assert_eq!(one.tell("VOLT 5"), QUIET);
    near(other.number("VOLT?"), 5.0, 1e-9);
    let log = std::fs::read_to_string(&path).unwrap();
    let told: Vec<_> = log.lines().map(|line| line.splitn(4, ' ').collect::<Vec<_>>()).collect();
    assert_eq!(told[0][2..], ["supply", "VOLT 5;:SYST:ERR?"]);
    assert_eq!(told[1][2..], ["supply", "VOLT?"]);
    let ms: Vec<u128> = told.iter().map(|line| line[0].parse().unwrap()).collect();
    assert!(ms[0] > 0 && ms[1] >= ms[0]);
    let refused = Rehearsal { log: Some(folder.path()), ..rehearsal };
    assert!(matches!(SimulatedBench::start(&refused), Err(StartError::System(_))));
}

/// The code of the finding, and the text at its place.
fn found(sound: &str, slip: &str, fault: Option<&str>) -> (&'static str, String) {
    let text = bundled::model(NAME).unwrap();
    assert!(text.contains(sound), "{sound}");
    let text = text.replacen(sound, slip, 1);
    let finding = match read_model(&text) {
        Err(finding) => finding,
        Ok(model) => match try_start(&model, fault) {
            Err(StartError::Model(finding)) => *finding,
            other => panic!("{slip}: {other:?}"),
        },
    };
    let span = finding.span.unwrap();
    (finding.code, text[span.start..span.end].to_owned())
}

#[test]
fn a_slip_in_a_model_is_found_at_its_place() {
    for (sound, slip, code, at) in [
        ("again:", "agian:", "YML002", "agian"),
        ("  outlet: 1.003 * bench_mains", "  outlet: 1.003 * bench_mians", "QTY002", "bench_mians"),
        ("  outlet: 1.003 * bench_mains", "  outlet: 1.003 *", "QTY003", "*"),
        ("  outlet: 1.003 * bench_mains", "  mains: 230 V", "QTY004", "mains"),
        ("left_idle: left_bias * warm", "left_idle: right_idle", "QTY002", "right_idle"),
        ("capacitance: reservoir", "capacitance: bleeder", "QTY001", "bleeder"),
        ("from: 3 V, full: 9 V", "from: 9 V, full: 3 V", "WIN004", "drain"),
        ("lamp-mains: outlet", "lamp-mains: outlet + 1 A", "QTY003", "+"),
    ] {
        assert_eq!(found(sound, slip, None), (code, at.to_owned()), "{slip}");
    }
    let (sound, slip) = ("left_joint: \"7\"", "left_jiont: \"7\"");
    let expected = ("QTY002", "left_jiont".to_owned());
    assert_eq!(found(sound, slip, Some("emitter-joint-cracked")), expected);
}

#[test]
fn what_cannot_be_rehearsed_is_said_in_words() {
    let model = read_model(bundled::model(NAME).unwrap()).unwrap();
    let unknown = try_start(&model, Some("gremlins")).unwrap_err().to_string();
    assert!(unknown.contains("`gremlins`") && unknown.contains("bias-runs-away"), "{unknown}");
    let other = read_model(bundled::model("bench-supply-linear").unwrap()).unwrap();
    let other = try_start(&other, None).unwrap_err().to_string();
    assert!(other.contains("`bench-supply-linear`") && other.contains(NAME), "{other}");
    let equipment =
        bundled::equipment(NAME).unwrap().replace("reservoir: 10 mF", "reservoir: 10 V");
    let (procedure, equipment) = (&procedure(), &read_equipment(&equipment).unwrap());
    let rehearsal = Rehearsal {
        procedure,
        equipment,
        model: &model,
        fault: None,
        circuit: None,
        clock: &BenchClock::default(),
        log: None,
    };
    let fact = SimulatedBench::start(&rehearsal).unwrap_err().to_string();
    assert!(fact.contains("`reservoir`"), "{fact}");
}
