//! The program itself on the simulated bench: what the README's first command does, and what a fault leads to.

use std::fs;

use super::support::bench::Bench;

/// The arguments of a rehearsal of the amplifier.
fn rehearsal<'a>(answers: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    let run = ["run", "amplifier-class-ab", "--bench", "simulated", "--answers", answers];
    [&run, more].concat()
}

fn answers() -> String {
    let root = env!("CARGO_MANIFEST_DIR");
    format!("{root}/procedures/amplifier-class-ab/good.answers.yaml")
}

#[test]
fn sound_equipment_is_rehearsed_from_end_to_end_and_nothing_of_it_passes_for_real() {
    let bench = Bench::new();
    let answers = answers();
    let printed = bench.wattstep(&rehearsal(&answers, &[])).any_out().exit(0);
    assert!(printed.out.contains("REHEARSAL: simulated bench, not a real run"));
    let record = bench.record();
    assert_eq!(record.closed_safe(), Some(true));
    assert_eq!(record.entries[0]["event"]["started"]["mode"], "rehearsal");
    let judged = record.facts("judged");
    let of = |origin: &str| judged.iter().filter(|fact| fact["origin"] == origin).count();
    assert!(of("simulated") > 100, "{}", of("simulated"));
    assert_eq!((of("instrument"), of("typed")), (0, 0), "real readings in a rehearsal");
    let watched = record.facts("watched");
    assert!(watched.len() >= 10, "{}", watched.len());
    assert!(watched.iter().all(|fact| fact["origin"] == "simulated"));
    let name = record.path.to_str().unwrap();
    bench.wattstep(&["verify", name]).out("REHEARSAL").exit(0);
    bench.wattstep(&["show", name]).out("REHEARSAL").out("simulated").exit(0);
    // An instrument sends bare numbers in base units: 1.235E-02 at a step in mA is 12.35 mA.
    let idle = judged.iter().find(|fact| fact["key"] == "low-plus").unwrap();
    let sent: f64 = idle["text"].as_str().unwrap().parse().unwrap();
    let shown = bench.wattstep(&["show", name]).any_out().exit(0).out;
    assert!(shown.contains(&format!("{:.2} mA   inside", sent * 1000.0)), "{sent}");
    assert!(!shown.contains("E-0") && !shown.contains("E+0"), "a bare number is shown");
}

#[test]
fn a_fault_trips_the_supply_in_the_middle_of_a_watch() {
    let bench = Bench::new();
    let (answers, log) = (answers(), bench.path("log"));
    let log = log.to_str().unwrap();
    let fault = ["--fault", "bias-runs-away", "--simulated-log", log];
    let printed = bench.wattstep(&rehearsal(&answers, &fault)).any_out().exit(5);
    assert!(printed.out.contains("A protection acted: plus.current: 5"), "{}", printed.out);
    let record = bench.record();
    let stopped = record.facts("stopped");
    assert_eq!(stopped[0]["key"], "mid-watch");
    let log = fs::read_to_string(log).unwrap();
    let last = |end: &str| {
        log.lines().collect::<Vec<_>>().iter().rposition(|line| line.ends_with(end)).unwrap()
    };
    let (on, off) = (last("OUTP ON"), last("OUTP OFF"));
    assert!(off > on, "the supply was left on");
}

#[test]
fn a_rehearsal_left_in_the_middle_is_taken_up_on_a_simulated_bench() {
    let bench = Bench::new();
    let text = fs::read_to_string(answers()).unwrap();
    let until = text.find("  reconnect").or_else(|| text.find("  lamp:")).unwrap();
    fs::write(bench.path("short.yaml"), &text[..until]).unwrap();
    bench.wattstep(&rehearsal("short.yaml", &[])).any_out().exit(4);
    fs::write(
        bench.path("rest.yaml"),
        format!("{text}\n  make-safe.off: off\n  left: {{sight: in sight}}\n"),
    )
    .unwrap();
    bench.wattstep(&["resume", "--answers", "rest.yaml"]).any_out().exit(0);
    assert_eq!(bench.record().closed_safe(), Some(true));
}

#[test]
fn a_rehearsed_fault_that_the_answers_hide_is_told_at_the_end() {
    let bench = Bench::new();
    let answers =
        concat!(env!("CARGO_MANIFEST_DIR"), "/procedures/appliance-earthed/good.answers.yaml");
    let run = ["run", "appliance-earthed", "--bench", "simulated", "--answers", answers];
    let hidden = "The rehearsed fault vents-blocked was not found.";
    bench.wattstep(&run).args(&["--fault", "vents-blocked"]).out(hidden).exit(0);
}

#[test]
fn what_only_a_rehearsal_has_is_refused_elsewhere() {
    let bench = Bench::new();
    let answers = answers();
    let run = ["run", "amplifier-class-ab", "--answers", &answers, "--fault", "bias-runs-away"];
    bench.wattstep(&run).err("give --bench simulated").exit(2);
    let unknown = rehearsal(&answers, &["--fault", "gremlins"]);
    bench.wattstep(&unknown).err("no fault `gremlins`").err("bias-runs-away: ").exit(2);
}

#[test]
fn a_procedure_of_ones_own_is_rehearsed_with_an_equipment_file() {
    let bench = Bench::new();
    let run = ["run", "lantern.yaml", "--bench", "simulated", "--answers", "good.yaml"];
    bench.wattstep(&run).err("the facts of an equipment file").err("--equipment FILE").exit(2);
}

#[test]
fn a_script_switches_no_real_instrument() {
    let bench = Bench::new();
    let simulated = fs::read_to_string(format!(
        "{}/procedures/simulated.bench.yaml",
        env!("CARGO_MANIFEST_DIR")
    ));
    let names = ["supply", "meter", "tester", "limiter"];
    let real = names.iter().zip(9001..).fold(simulated.unwrap(), |text, (name, port)| {
        text.replace(&format!("simulated://{name}"), &format!("tcp://127.0.0.1:{port}"))
    });
    bench.write("bench.yaml", real);
    let answers = answers();
    let run = ["run", "amplifier-class-ab", "--bench", "bench.yaml", "--answers", &answers];
    bench.wattstep(&run).err("a script doesn't switch connected instruments").exit(2);
}
