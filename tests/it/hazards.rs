//! Each bundled procedure on the simulated bench, with a hazard to the person present: it stops before that is met.

use std::fs;

use crate::support::PROCEDURES;
use crate::support::bench::Bench;
use crate::support::record::Record;

/// What is wrong.
#[derive(Clone, Copy)]
enum Wrong {
    /// A fault of the simulated equipment or bench, by its name.
    Fault(&'static str),
    /// A fact of the equipment file, as it is then.
    Fact(&'static str, &'static str),
    /// What a person sees at a step.
    Seen(&'static str, &'static str),
}

use Wrong::{Fact, Fault, Seen};

/// A file with another value behind this key.
fn with(text: &str, key: &str, value: &str) -> String {
    let start = text.find(&format!("\n  {key}: ")).unwrap() + 1;
    let end = start + text[start..].find('\n').unwrap();
    format!("{}  {key}: {value}{}", &text[..start], &text[end..])
}

/// Rehearses a procedure with that wrong.
fn rehearse(procedure: &str, wrong: Wrong) -> Record {
    let bench = Bench::new();
    let beside = |name: &str| format!("{PROCEDURES}/{procedure}/{name}");
    let text = |name| fs::read_to_string(beside(name)).unwrap();
    let (mut equipment, mut answers) = (text("equipment.yaml"), text("good.answers.yaml"));
    let mut fault = Vec::new();
    match wrong {
        Fault(name) => fault.extend(["--fault", name]),
        Fact(name, value) => equipment = with(&equipment, name, value),
        Seen(step, answer) => answers = with(&answers, step, answer),
    }
    bench.write("equipment.yaml", equipment);
    bench.write("answers.yaml", answers);
    let run = ["run", procedure, "--equipment", "equipment.yaml", "--bench", "simulated"];
    let arguments = [&run[..], &["--answers", "answers.yaml"], &fault].concat();
    bench.wattstep(&arguments).any_out().any_err().exit(3);
    bench.record()
}

/// What fed the equipment up to the stop, in the words of the record.
fn fed(record: &Record) -> Vec<String> {
    let states = record.facts("energy").into_iter().map(|fact| &fact["state"]["energised"]);
    states.filter_map(|state| Some(state["source"].as_str()?.to_owned())).collect()
}

/// The question at which it stopped first; a script that has no answer about making safe stops there again.
fn first_stop(record: &Record) -> String {
    record.facts("stopped")[0]["key"].as_str().unwrap().to_owned()
}

/// Tells where the run stopped, having been fed by nothing but these.
fn stops_at(procedure: &str, wrong: Wrong, step: &str, fed_by: &[&str]) {
    let record = rehearse(procedure, wrong);
    assert_eq!(first_stop(&record), step, "{procedure}");
    let fed = fed(&record);
    assert!(fed.iter().all(|source| fed_by.contains(&source.as_str())), "{procedure}: {fed:?}");
}

#[test]
fn mains_on_what_is_touched_later_is_found_before_anything_is_fed() {
    let terminal = "insulation-floating.speaker-terminals";
    stops_at("amplifier-class-ab", Fault("mains-on-a-speaker-terminal"), terminal, &[]);
    stops_at("bench-supply-linear", Fault("mains-on-the-output"), "insulation-output", &[]);
    stops_at("appliance-earthed", Fault("element-damp"), "insulation", &[]);
}

#[test]
fn a_set_for_another_mains_is_never_fed() {
    let mains = ["amplifier-class-ab", "appliance-earthed", "bench-supply-linear"];
    for procedure in mains.into_iter().chain(["bench-supply-output"]) {
        stops_at(procedure, Fact("bench_mains", "120 V"), "mains-fits", &[]);
    }
}

#[test]
fn an_earth_that_is_missing_before_the_set_is_found_before_the_mains() {
    let supply = &["bench-supply"];
    let missing = Seen("outlet-earth", "earth missing or poor");
    for procedure in ["amplifier-class-ab", "bench-supply-linear"] {
        stops_at(procedure, Fault("limiter-without-earth"), "chain-earth", supply);
        stops_at(procedure, missing, "outlet-earth", supply);
    }
    stops_at("appliance-earthed", missing, "outlet-earth", supply);
    stops_at("bench-supply-output", missing, "outlet-earth", &[]);
}

#[test]
fn a_tester_that_reads_open_for_everything_passes_nothing() {
    let before = "insulation-tester-before";
    stops_at("amplifier-class-ab", Fault("tester-lead-broken"), before, &[]);
    stops_at("appliance-earthed", Fault("tester-lead-broken"), before, &[]);
    stops_at("bench-supply-linear", Fault("tester-lead-broken"), before, &[]);
    stops_at("bench-supply-output", Fault("tester-lead-broken"), before, &[]);
}

#[test]
fn a_load_that_is_too_small_is_found_before_anything_is_fed() {
    stops_at("amplifier-class-ab", Fact("load_power", "20 W"), "loads-bear", &[]);
    stops_at("bench-supply-linear", Fact("load_power", "20 W"), "load-bears", &[]);
}

#[test]
fn an_element_that_leaks_under_mains_is_found_before_a_hand_comes_near() {
    let record = rehearse("appliance-earthed", Fault("element-leaks-hot"));
    assert_eq!(first_stop(&record), "heat-leak");
    let done: Vec<_> = record.facts("done").iter().map(|fact| fact["key"].clone()).collect();
    assert!(!done.contains(&"thermostat-down".into()), "{done:?}");
}

#[test]
fn every_fault_that_can_be_rehearsed_stands_on_the_page_with_the_step_where_it_shows() {
    let page = include_str!("../../docs/bundled.md");
    let mut count = 0;
    for folder in fs::read_dir(PROCEDURES).unwrap().map(|entry| entry.unwrap().path()) {
        let Ok(model) = fs::read_to_string(folder.join("simulated.yaml")) else { continue };
        let name = folder.file_name().unwrap().to_str().unwrap();
        let section = page.split("\n## ").find(|own| own.contains(&format!("(`{name}`)"))).unwrap();
        let (_, faults) = model.split_once("\nfaults:").unwrap();
        let lines: Vec<_> = faults.lines().collect();
        for three in lines.windows(3).filter(|three| three[1].starts_with("    says: ")) {
            let fault = three[0].trim().trim_end_matches(':');
            let step = three[2].trim().strip_prefix("shows_at: ").unwrap();
            let row = section.lines().find(|row| row.starts_with(&format!("| `{fault}` |")));
            assert!(
                row.is_some_and(|row| row.ends_with(&format!("| `{step}` |"))),
                "{name}: {fault}"
            );
            count += 1;
        }
    }
    assert!(count > 25, "{count}");
}
