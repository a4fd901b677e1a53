//! `bench`: the instruments of a bench file, as a call without a terminal meets it.

use crate::support::bench::Bench;

/// A bench file with one supply, and these lines for it. Invented.
fn file(lines: &str) -> String {
    format!(
        "format: 1
bench: A bench for tests (invented)
instruments:
  osprey:
    what: supply
    serial: A1
    role: supply
    channels: {{plus: {{number: 1, voltage_max: 32 V, current_max: 3 A}}}}
{lines}"
    )
}

#[test]
fn a_bench_without_connections_has_nothing_to_prove() {
    let bench = Bench::new();
    bench.write("bench.yaml", file(""));
    bench.wattstep(&["bench", "bench.yaml"]).out("No instrument is connected on A bench").exit(0);
    let printed = bench.wattstep(&["bench", "bench.yaml", "--format", "json"]).any_out().exit(0);
    assert_eq!(printed.out, "[]\n");
}

/// A connection at port 1 of this computer: nobody listens there.
const NOBODY: &str = "    connection: {address: \"tcp://127.0.0.1:1\"}\n";

#[test]
fn a_supply_that_cannot_be_reached_is_an_alarm_and_a_simulated_one_is_lost() {
    let bench = Bench::new();
    let proved = |lines: &str| {
        bench.write("bench.yaml", file(lines));
        let call = bench.wattstep(&["bench", "bench.yaml"]).any_out();
        call.err("nothing says how `osprey` tells that it limits the current").exit(5).out
    };
    let said = proved(NOBODY);
    assert!(said.contains("cannot be reached at tcp://127.0.0.1:1"), "{said}");
    let order = "PULL THE PLUG of osprey (supply): output plus IS NOT CONFIRMED OFF";
    assert!(said.starts_with(order), "{said}");
    // Nothing of a simulated bench has a plug.
    let said = proved("    connection: {address: \"simulated://osprey\"}\n");
    assert!(said.contains("stands on a simulated bench only"), "{said}");
    assert!(said.contains("An instrument was lost: do not rely on this bench."), "{said}");
    assert!(!said.contains("PULL THE PLUG"), "{said}");
}

#[test]
fn a_meter_that_cannot_be_reached_is_lost_and_no_alarm() {
    let bench = Bench::new();
    let functions = "functions: {dc-voltage: [{range: 60 V, count: 10 mV, of_reading: 0.5 %}]}";
    let text = file(NOBODY)
        .replace("    role: supply\n", &format!("    {functions}\n"))
        .replace("    channels: {plus: {number: 1, voltage_max: 32 V, current_max: 3 A}}\n", "");
    bench.write("bench.yaml", text);
    let lost = "An instrument was lost: do not rely on this bench.";
    let printed = bench.wattstep(&["bench", "bench.yaml"]).out(lost).any_err().exit(5);
    assert!(!printed.out.contains("PULL THE PLUG"), "{}", printed.out);
}

#[test]
fn a_bench_file_with_mistakes_is_not_used() {
    let bench = Bench::new();
    let connection = "    connection: {address: \"tcp://127.0.0.1:1\", timeout: 5 min}\n";
    bench.write("bench.yaml", file(connection));
    bench.wattstep(&["bench", "bench.yaml"]).err("BEN008").err("cannot be used as it is").exit(6);
    bench.wattstep(&["bench", "lantern.yaml"]).err("YML013").exit(6);
    bench.wattstep(&["bench", "nowhere.yaml"]).err("cannot open nowhere.yaml").exit(1);
}

#[test]
fn a_bench_file_is_checked_by_itself_or_beside_a_procedure() {
    let bench = Bench::new();
    bench.write("bench.yaml", file(""));
    let check = |arguments: &[&str]| bench.wattstep(&[&["check", "--bench"], arguments].concat());
    check(&["bench.yaml"]).out("1 file checked, nothing found").exit(0);
    bench.write("bad.yaml", file("").replace("role: supply", "role: meter"));
    check(&["bad.yaml"]).out("[BEN013]").out("1 file checked, 1 finding").exit(6);
    let printed = check(&["bad.yaml", "lantern.yaml", "lantern.yaml"]).any_out().exit(6);
    assert_eq!(printed.out.matches("[BEN013]").count(), 1, "{}", printed.out);
    check(&["lantern.yaml"]).out("YML013").exit(6);
    bench.run("good.yaml").args(&["--bench", "bad.yaml"]).err("[BEN013]").exit(6);
    assert!(bench.records().is_empty());
}
