//! A run on the simulated bench that stands on a circuit, in the place of the model file.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]

use std::fs;

use super::support::bench::Bench;

fn answers() -> String {
    format!("{}/procedures/amplifier-class-ab/good.answers.yaml", env!("CARGO_MANIFEST_DIR"))
}

/// The arguments of a run of the amplifier on its circuit.
fn run<'a>(answers: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    let run = ["run", "amplifier-class-ab", "--bench", "simulated", "--answers", answers];
    [&run[..], &["--circuit", "amplifier-class-ab"], more].concat()
}

/// What the table of faults says of some.
fn told(bench: &Bench, faults: &[&str]) -> serde_json::Value {
    let mut call = vec!["rehearse", "amplifier-class-ab", "--format", "json"];
    faults.iter().for_each(|fault| call.extend(["--fault", fault]));
    serde_json::from_str(&bench.wattstep(&call).any_out().exit(0).out).unwrap()
}

#[test]
#[ignore = "needs ngspice: run by .ci/run"]
fn a_sound_circuit_is_rehearsed_from_end_to_end_and_nothing_of_it_passes_for_real() {
    let bench = Bench::new();
    let answers = answers();
    let printed = bench.wattstep(&run(&answers, &[])).any_out().exit(0);
    assert!(printed.out.contains("REHEARSAL: simulated bench, not a real run"));
    assert!(!printed.out.contains("could not answer"), "{}", printed.out);
    let record = bench.record();
    assert_eq!(record.closed_safe(), Some(true));
    assert_eq!(record.entries[0]["event"]["started"]["mode"], "rehearsal");
    let opening = record.entries[0].to_string();
    assert!(
        opening.contains("Rails and left channel of the Lantern 60")
            && opening.contains("Q11 p b1 o1 qno")
    );
    let judged = record.facts("judged");
    let of = |origin: &str| judged.iter().filter(|fact| fact["origin"] == origin).count();
    assert!(of("simulated") > 100, "{}", of("simulated"));
    assert_eq!((of("instrument"), of("typed")), (0, 0), "real readings in a rehearsal");
    // The circuit answers before the model does, which would have said 14.6 mA and 8 mV.
    let sent = |key: &str| -> f64 {
        judged.iter().find(|fact| fact["key"] == key).unwrap()["text"]
            .as_str()
            .unwrap()
            .parse()
            .unwrap()
    };
    assert!((sent("low-plus") - 0.012_55).abs() < 0.000_3, "{}", sent("low-plus"));
    assert!((sent("low-offset.left") - 0.051_4).abs() < 0.002, "{}", sent("low-offset.left"));
    // What the circuit has nothing of comes from the model.
    assert!((sent("emitter-ohms.r41") - 0.22).abs() < 0.02, "{}", sent("emitter-ohms.r41"));
    bench.wattstep(&["verify", record.path.to_str().unwrap()]).out("REHEARSAL").exit(0);
}

#[test]
#[ignore = "needs ngspice: run by .ci/run"]
fn a_fault_stops_the_run_where_the_table_of_faults_says() {
    let answers = answers();
    let faults =
        ["Q11:ce-short", "Q6:c-open", "R15:open", "R41:open", "RV1:open", "D3:short", "C13:short"];
    let told = told(&Bench::new(), &faults);
    for (fault, outcome) in faults.iter().zip(told["coverage"]["faults"].as_array().unwrap()) {
        let bench = Bench::new();
        let call = bench.wattstep(&run(&answers, &["--fault", fault])).any_out();
        let Some(step) = outcome["stop"]["step"].as_str() else {
            call.out("was not found").exit(0);
            continue;
        };
        // What stands outside while the source is on trips it.
        let printed = call.exit(if step.contains("while on") { 5 } else { 3 });
        let record = bench.record();
        let stopped = record.facts("stopped");
        let step = step.split(" (").next().unwrap();
        assert_eq!(stopped[0]["key"], step, "{fault}: {}", printed.out);
    }
}

#[test]
#[ignore = "needs ngspice: run by .ci/run"]
fn a_run_on_a_circuit_is_taken_up_on_the_same_circuit() {
    let bench = Bench::new();
    let text = fs::read_to_string(answers()).unwrap();
    let until = text.find("  reconnect").or_else(|| text.find("  lamp:")).unwrap();
    fs::write(bench.path("short.yaml"), &text[..until]).unwrap();
    bench.wattstep(&run("short.yaml", &[])).any_out().exit(4);
    fs::write(
        bench.path("rest.yaml"),
        format!("{text}\n  make-safe.off: off\n  left: {{sight: in sight}}\n"),
    )
    .unwrap();
    bench.wattstep(&["resume", "--answers", "rest.yaml"]).any_out().exit(0);
    let record = bench.record();
    let offset =
        record.facts("judged").into_iter().rfind(|fact| fact["key"] == "bias-set.left").unwrap();
    let sent: f64 = offset["text"].as_str().unwrap().parse().unwrap();
    // The control stands where it was turned before and after the break; the model would say 9.9 mV.
    assert!((sent - 0.009_9).abs() > 1e-6 && (0.007..0.012).contains(&sent), "{sent}");
    assert_eq!(record.closed_safe(), Some(true));
}

#[test]
#[ignore = "needs ngspice: run by .ci/run"]
fn a_state_without_an_operating_point_is_named_before_anything_begins() {
    let bench = Bench::new();
    let folder = format!("{}/procedures/amplifier-class-ab", env!("CARGO_MANIFEST_DIR"));
    let netlist = fs::read_to_string(format!("{folder}/circuit.cir")).unwrap();
    let file = fs::read_to_string(format!("{folder}/circuit.yaml")).unwrap();
    bench.write("circuit.yaml", file);
    bench.write("circuit.cir", netlist.replace("Vplug in 0 0", "Vplug in 0 0\nVother in 0 1"));
    let answers = answers();
    let call = [
        "run",
        "amplifier-class-ab",
        "--bench",
        "simulated",
        "--answers",
        &answers,
        "--circuit",
        "circuit.yaml",
    ];
    bench.wattstep(&call).err("the circuit on the simulated bench: ngspice gave no value").exit(1);
    assert!(fs::read_dir(bench.path("records")).is_err(), "a record was begun");
}

#[test]
fn without_the_simulator_a_run_on_a_circuit_names_the_package_and_begins_nothing() {
    let bench = Bench::new();
    let answers = answers();
    bench.wattstep(&run(&answers, &[])).env("PATH", "").err("Debian package ngspice").exit(1);
    assert!(fs::read_dir(bench.path("records")).is_err(), "a record was begun");
}

#[test]
fn a_fault_is_one_of_the_model_or_one_of_the_circuit_and_a_circuit_is_of_its_procedure() {
    let bench = Bench::new();
    let answers = answers();
    bench
        .wattstep(&run(&answers, &["--fault", "bias-runs-away"]))
        .err("names no fault")
        .err("leave --circuit away")
        .exit(2);
    bench.wattstep(&run(&answers, &["--fault", "Q99:open"])).err("no element `Q99`").exit(2);
    bench.wattstep(&run(&answers, &["--fault", "Q11:d-open"])).err("can't have the fault").exit(2);
    let model = [
        "run",
        "amplifier-class-ab",
        "--bench",
        "simulated",
        "--answers",
        &answers,
        "--fault",
        "Q11:ce-short",
    ];
    bench.wattstep(&model).err("no fault `Q11:ce-short`").err("give --circuit FILE").exit(2);
    let real =
        ["run", "amplifier-class-ab", "--answers", &answers, "--circuit", "amplifier-class-ab"];
    bench.wattstep(&real).err("give --bench simulated").exit(2);
    let other = [
        "run",
        "regulator-board",
        "--bench",
        "simulated",
        "--answers",
        &answers,
        "--circuit",
        "amplifier-class-ab",
    ];
    bench.wattstep(&other).err("for `amplifier-class-ab`, not for `regulator-board`").exit(1);
    let gone = [
        "run",
        "amplifier-class-ab",
        "--bench",
        "simulated",
        "--answers",
        &answers,
        "--circuit",
        "gone.yaml",
    ];
    bench.wattstep(&gone).err("cannot open gone.yaml").exit(1);
}
