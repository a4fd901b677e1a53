//! Benches on which a run does not begin, and what is said of them.

use std::fs;

use crate::support::bench::Bench;
use crate::support::fed;
use crate::support::scpi_server::Over;
use crate::support::supply::Supply;
use crate::support::terminal::{Look, Terminal};

const RUN: [&str; 6] =
    ["run", "fed.yaml", "--bench", "bench.yaml", "--operator", "Kim Example-Tech"];

/// A bench with a connected supply, and a bench file of it in which this stands in the place of that.
fn described(supply: &Supply, from: &str, to: &str) -> Bench {
    let bench = fed::bench(&[]);
    supply.describe(&bench, "");
    let file = fs::read_to_string(bench.path("bench.yaml")).unwrap();
    assert!(file.contains(from), "{file}");
    bench.write("bench.yaml", file.replace(from, to));
    bench
}

#[test]
fn an_output_by_another_name_is_refused_and_not_left_to_hands_in_silence() {
    let supply = Supply::start(Over::Tcp);
    let bench = described(&supply, "plus:", "positive:");
    let refused =
        "no supply on this bench has the output `plus`: nothing would set, sample or guard it";
    bench.wattstep(&RUN).err(refused).err("a file with findings is not run: fed.yaml").exit(6);
    assert!(supply.heard().is_empty() && bench.records().is_empty());
}

#[test]
fn findings_in_the_bench_file_are_called_so() {
    let supply = Supply::start(Over::Tcp);
    let bench = described(&supply, "dialect: {}", "dialect: {output_on: GO, output_off: GO}");
    bench.wattstep(&RUN).err("BEN016").err("a file with findings is not run: bench.yaml").exit(6);
    bench.wattstep(&["bench", "bench.yaml"]).err("BEN016").exit(6);
    assert!(supply.heard().is_empty());
}

#[test]
fn a_missing_meter_is_no_alarm_and_what_was_found_on_is_said() {
    let supply = Supply::start(Over::Tcp);
    supply.press(true);
    let meter = "instruments:\n  meter:\n    what: an invented meter\n    serial: \"2\"\n    \
                 functions: {dc-voltage: [{range: 60 V, count: 10 mV, of_reading: 0.5 %}]}\n    \
                 connection: {address: \"tcp://127.0.0.1:1\"}\n";
    let bench = described(&supply, "instruments:\n", meter);
    let terminal = Terminal::start(bench.folder(), &Look::usual(), &RUN);
    terminal.wait_for("nothing was switched on. Is it on, its cable in");
    terminal.wait_for("supply: output plus was on, and was switched off");
    assert_eq!(terminal.exit_code(), 5);
    assert!(!terminal.screen().contains("ENERGY STATE UNKNOWN"), "{}", terminal.screen());
}

#[test]
fn a_log_never_takes_the_place_of_another_file() {
    let bench = fed::bench(&[]);
    bench.write("log", "precious\n");
    let call = [&fed::REHEARSE[..], &["--answers", "fed.answers.yaml"]].concat();
    bench.wattstep(&call).err("log: there is something in it already").exit(1);
    assert_eq!(fs::read_to_string(bench.path("log")).unwrap(), "precious\n");
    let call: Vec<_> =
        call.iter().map(|word| if *word == "log" { "nowhere/log" } else { word }).collect();
    bench.wattstep(&call).err("nowhere/log: No such file or directory").exit(1);
}
