//! Links and drivers against instruments that public simulators serve: `sinstruments` on a socket and a serial line, with the mock
//! supply of PyVISA-sim behind it and a supply of our own.

use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};

use wattstep::test_points::bench::{
    Bench, Go, Instruments, Limits, Link, Off, SamplingEnd, SimulatedAddresses, Work,
};
use wattstep::test_points::procedure::{Point, read_bench};
use wattstep::test_points::quantity::{Reading, Unit};

use crate::support::scpi_server::connection;

/// Where `.ci/run` puts the simulators.
const PYTHON: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/target/simulators/bin/python");

const SCRIPT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/it/support/simulators.py");

/// The simulators, running; where each instrument is reached.
struct Simulators {
    process: Child,
    addresses: Vec<(String, [String; 2])>,
}

impl Simulators {
    fn start() -> Self {
        let mut command = Command::new(PYTHON);
        command.arg(SCRIPT).stdin(Stdio::piped()).stdout(Stdio::piped());
        let mut process = command.spawn().unwrap();
        let lines = BufReader::new(process.stdout.take().unwrap()).lines().take(2);
        let address = |line: String| {
            let words: Vec<_> = line.split(' ').map(str::to_owned).collect();
            (words[0].clone(), [words[1].clone(), words[2].clone()])
        };
        let addresses = lines.map(|line| address(line.unwrap())).collect();
        Self { process, addresses }
    }

    /// Where an instrument is reached: on a socket, and on a serial line.
    fn addresses(&self, name: &str) -> &[String; 2] {
        let known = self.addresses.iter().find(|(known, _)| known == name);
        &known.unwrap_or_else(|| panic!("no {name}: {:?}", self.addresses)).1
    }
}

impl Drop for Simulators {
    fn drop(&mut self) {
        // It ends with its input.
        drop(self.process.stdin.take());
        let _ = self.process.wait();
    }
}

fn number(text: &str) -> f64 {
    match Reading::parse(text, &Unit::parse("V").unwrap()).unwrap() {
        Reading::Number(number) => number.to_f64(),
        other => panic!("{text}: {other:?}"),
    }
}

#[test]
#[ignore = "needs the simulators: run by .ci/run"]
fn a_mock_supply_of_another_simulator_is_spoken_with() {
    let simulators = Simulators::start();
    for address in simulators.addresses("mock") {
        let mut link = Link::open(&connection(address, "timeout: 2 s")).unwrap();
        assert_eq!(link.identity(), "SCPI,MOCK,VERSION_1.0");
        link.tell("INST P25V").unwrap();
        assert_eq!(link.ask("INST?").unwrap(), "P25V");
        for volts in ["2.500", "5.125"] {
            link.tell(format!(":VOLT:IMM:AMPL {volts}").as_str()).unwrap();
            let read = link.ask(":VOLT:IMM:AMPL?").unwrap();
            assert!((number(&read) - number(volts)).abs() < 1e-9, "{read}");
        }
        link.tell("OUTP 1").unwrap();
        assert_eq!(link.ask("OUTP?").unwrap(), "1");
        link.cutter().cut("OUTP 0").unwrap();
        assert_eq!(link.ask("OUTP?").unwrap(), "0");
    }
}

#[test]
#[ignore = "needs the simulators: run by .ci/run"]
fn a_supply_behind_another_simulator_is_driven() {
    let simulators = Simulators::start();
    for address in simulators.addresses("supply") {
        let file = format!(
            "format: 1\nbench: invented\ninstruments:\n  supply:\n    what: an invented supply\n    serial: \"7\"\n    \
             role: supply\n    channels:\n      plus: {{number: 1, voltage_max: 30 V, current_max: 1 A, \
             protection: {{over_voltage: 110 %}}}}\n    connection: {{address: '{address}', identity: Wren, timeout: 2 s}}\n"
        );
        let bench = read_bench(&file).unwrap();
        let (mut instruments, found) =
            Instruments::connect(&bench, &SimulatedAddresses::default()).unwrap();
        assert_eq!(found, []);
        let limits = Limits { channels: vec!["plus".to_owned()], voltage: 12.0, current: 0.2 };
        instruments.energise(&limits).unwrap();
        let ramp = Work::Ramp {
            channels: limits.channels.clone(),
            to: 10.0,
            over: std::time::Duration::from_millis(300),
        };
        let arrived = |live: &wattstep::test_points::bench::Live| {
            if live.arrived { Go::Enough } else { Go::On }
        };
        let watched = instruments.watch(&ramp, &[], &mut { arrived });
        assert_eq!(watched.end, SamplingEnd::Asked);
        let mut read =
            |point: &str| number(&instruments.measure(&Point::parse(point)).unwrap().text);
        assert!((read("plus.voltage") - 10.0).abs() < 0.01);
        assert!((read("plus.current") - 0.1).abs() < 1e-4);
        assert_eq!(instruments.switch_off().unwrap(), [("plus".to_owned(), Off::Fallen)]);
    }
}
