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

#[test]
fn an_instrument_that_cannot_be_reached_is_lost() {
    let bench = Bench::new();
    // Port 1 of this computer: nobody listens there.
    for (address, said) in [
        ("tcp://127.0.0.1:1", "cannot be reached at tcp://127.0.0.1:1"),
        ("simulated://osprey", "stands on a simulated bench only"),
    ] {
        let connection = format!("    connection: {{address: \"{address}\"}}\n");
        bench.write("bench.yaml", file(&connection));
        bench
            .wattstep(&["bench", "bench.yaml"])
            .err("nothing says how `osprey` tells that it limits the current")
            .out(said)
            .out("An instrument was lost: do not rely on this bench.")
            .exit(5);
    }
}

#[test]
fn a_bench_file_with_mistakes_is_not_used() {
    let bench = Bench::new();
    let connection = "    connection: {address: \"tcp://127.0.0.1:1\", timeout: 5 min}\n";
    bench.write("bench.yaml", file(connection));
    bench.wattstep(&["bench", "bench.yaml"]).err("BEN008").err("cannot be used as it is").exit(6);
    bench.wattstep(&["bench", "lantern.yaml"]).err("YML002").exit(6);
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
    check(&["lantern.yaml"]).out("YML002").exit(6);
    bench.run("good.yaml").args(&["--bench", "bad.yaml"]).err("[BEN013]").exit(6);
    assert!(bench.records().is_empty());
}
