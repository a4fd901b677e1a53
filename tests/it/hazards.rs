//! Each bundled procedure on the simulated bench, with a hazard to the person present: it stops before that is met.

use std::fs;

use crate::support::PROCEDURES;
use crate::support::bench::Bench;
use crate::support::record::Record;
use crate::support::rehearsal::Wrong::{Fact, Fault, Seen};
use crate::support::rehearsal::{Rehearsal, Wrong, first_stop};

/// Rehearses a procedure with that wrong.
fn rehearse(procedure: &str, wrong: Wrong<'_>) -> Record {
    Rehearsal::of(procedure).wrong(wrong).run(3)
}

/// What fed the equipment up to the stop, in the words of the record.
fn fed(record: &Record) -> Vec<String> {
    let states = record.facts("energy").into_iter().map(|fact| &fact["state"]["energised"]);
    states.filter_map(|state| Some(state["source"].as_str()?.to_owned())).collect()
}

/// Tells where the run stopped, having been fed by nothing but these.
fn stops_at(procedure: &str, wrong: Wrong<'_>, step: &str, fed_by: &[&str]) {
    let record = rehearse(procedure, wrong);
    assert_eq!(first_stop(&record), step, "{procedure}");
    let fed = fed(&record);
    assert!(fed.iter().all(|source| fed_by.contains(&source.as_str())), "{procedure}: {fed:?}");
}

/// Tells whether a step was done.
fn was_done(record: &Record, step: &str) -> bool {
    record.facts("done").iter().any(|fact| fact["key"] == step)
}

/// Tells that nothing came on once this step was done.
fn stays_off_after(record: &Record, step: &str) {
    let facts = record.entries.iter().flat_map(|entry| entry["facts"].as_array().unwrap());
    let mut after = facts.skip_while(|fact| fact["done"]["key"] != step).peekable();
    assert!(after.peek().is_some(), "{step} was not done");
    assert!(after.all(|fact| fact["energy"]["state"]["energised"].is_null()), "on after {step}");
}

#[test]
fn mains_on_what_is_touched_later_is_found_before_anything_is_fed() {
    let terminal = "insulation-floating.speaker-terminals";
    stops_at("amplifier-class-ab", Fault("mains-on-a-speaker-terminal"), terminal, &[]);
    stops_at("bench-supply-linear", Fault("mains-on-the-output"), "insulation-output", &[]);
    stops_at("appliance-earthed", Fault("element-damp"), "insulation", &[]);
    let knob = "insulation-floating.knob-screws";
    stops_at("appliance-earthed", Fault("mains-on-a-knob"), knob, &[]);
}

#[test]
fn a_lead_pinched_at_the_last_closing_is_found_before_anything_comes_on_again() {
    let closing = [
        (
            "amplifier-class-ab",
            "lead-pinched-by-the-cover",
            "final-floating.speaker-terminals",
            "cover-on",
        ),
        ("bench-supply-linear", "lead-pinched-by-the-cover", "output-insulation", "cover-on"),
        ("appliance-earthed", "wire-pinched-on-closing", "floating-closed.handle", "case-closed"),
    ];
    for (procedure, fault, step, closed) in closing {
        let record = rehearse(procedure, Fault(fault));
        assert_eq!(first_stop(&record), step, "{procedure}");
        stays_off_after(&record, closed);
    }
}

#[test]
fn a_leakage_meter_that_shows_nothing_passes_nothing() {
    let probe = "leak-check.touch-probe";
    let dead = Fault("leakage-meter-dead");
    stops_at("appliance-earthed", dead, probe, &["bench-supply"]);
    for (procedure, last) in
        [("amplifier-class-ab", "loads-off"), ("bench-supply-linear", "cover-on")]
    {
        let record = rehearse(procedure, dead);
        assert_eq!(first_stop(&record), probe, "{procedure}");
        stays_off_after(&record, last);
    }
}

#[test]
fn metal_of_the_appliance_that_passes_current_is_found_before_a_hand_comes_near() {
    let record = rehearse("appliance-earthed", Fault("knob-leaks-live"));
    assert_eq!(first_stop(&record), "heat-touch.knob-screws");
    assert!(!was_done(&record, "thermostat-down"));
}

#[test]
fn an_oscilloscope_left_on_the_output_is_found_before_the_insulation_is_tested() {
    let left = Seen("scope-off", "\"cannot: the clip is stuck (invented)\"");
    for procedure in ["amplifier-class-ab", "bench-supply-linear"] {
        let record = rehearse(procedure, left);
        assert_eq!(first_stop(&record), "scope-off", "{procedure}");
        assert!(!was_done(&record, "cover-on"), "{procedure}");
        let text = fs::read_to_string(format!("{PROCEDURES}/{procedure}/procedure.yaml")).unwrap();
        let start = text.find("      - step: scope-off\n").unwrap();
        let end = start + 1 + text[start + 1..].find("      - step: ").unwrap();
        let bench = Bench::new();
        bench.write("without.yaml", format!("{}{}", &text[..start], &text[end..]));
        bench.wattstep(&["check", "without.yaml"]).out("ORD010").exit(6);
    }
}

#[test]
fn a_limit_that_is_dead_is_found_while_the_control_comes_up() {
    let record = rehearse("bench-supply-linear", Fault("limit-dead"));
    assert_eq!(first_stop(&record), "short-low");
    assert!(!was_done(&record, "limit-up"));
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
    for procedure in ["amplifier-class-ab", "bench-supply-linear"] {
        stops_at(procedure, Fault("limiter-without-earth"), "chain-earth", supply);
    }
}

#[test]
fn an_outlet_is_found_wanting_before_anything_is_plugged_into_it() {
    let (supply, poor) = (&["bench-supply"], Fault("outlet-earth-poor"));
    let (good, none) =
        ("\"residual-current device of 30 mA or less, it trips\"", "none in this outlet");
    let first_none = format!("{{mains-outlet: {none}, tester-outlet: {good}}}");
    let other_none = format!("{{mains-outlet: {good}, tester-outlet: {none}}}");
    for (procedure, seen, outlet) in [
        ("amplifier-class-ab", &other_none, "tester-outlet"),
        ("bench-supply-linear", &first_none, "mains-outlet"),
        ("appliance-earthed", &other_none, "tester-outlet"),
    ] {
        stops_at(procedure, poor, "outlet-earth.mains-outlet", supply);
        let step = format!("outlet-kind.{outlet}");
        stops_at(procedure, Seen("outlet-kind", seen), &step, supply);
    }
    stops_at("bench-supply-output", poor, "outlet-earth", &[]);
    stops_at("bench-supply-output", Seen("outlet-kind", none), "outlet-kind", &[]);
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
    assert!(!was_done(&record, "thermostat-down"));
}

#[test]
fn every_fault_that_can_be_rehearsed_stands_on_the_page_with_the_step_where_it_shows() {
    let page = include_str!("../../docs/bundled.md");
    let mut count = 0;
    for folder in fs::read_dir(PROCEDURES).unwrap().map(|entry| entry.unwrap().path()) {
        let Ok(model) = fs::read_to_string(folder.join("simulated.yaml")) else { continue };
        let name = folder.file_name().unwrap().to_str().unwrap();
        let section =
            page.split("\n## ").find(|section| section.contains(&format!("(`{name}`)"))).unwrap();
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
