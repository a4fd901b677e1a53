//! Equipment and benches that differ from the example beside a bundled procedure: another mains, no bleeders.

use crate::support::rehearsal::Rehearsal;

/// A procedure with a set for 120 V and 60 Hz, its lead of 1.5 mm2, on such a bench, by that country's rules.
fn at_120_v(procedure: &str) -> Rehearsal {
    Rehearsal::of(procedure)
        .fact("safety_rules", "us_service_manuals")
        .fact("mains", "120 V")
        .fact("bench_mains", "120 V")
        .fact("lead_section", "1.5 mm2")
        .answers("230 V", "120 V")
}

#[test]
fn an_amplifier_for_120_v_goes_to_its_end_by_the_rules_of_its_country() {
    let amplifier = at_120_v("amplifier-class-ab")
        .fact("frequency", "60 Hz")
        .fact("primary", "2.3 ohm")
        .fact("fuse_rating", "4 A")
        .seen("mains-fuse", "4 A");
    amplifier.check().out("nothing found").exit(0);
    let record = amplifier.run(0);
    assert_eq!(record.closed_safe(), Some(true));
}

#[test]
fn an_appliance_for_120_v_goes_to_its_end_by_the_rules_of_its_country() {
    let appliance =
        at_120_v("appliance-earthed").fact("fuse_rating", "15 A").fact("bench_volts", "12 V");
    appliance.check().out("nothing found").exit(0);
    let record = appliance.run(0);
    assert_eq!(record.closed_safe(), Some(true));
    let given = record.facts("worked_out");
    let limit = |name: &str| {
        let found = given.iter().find(|fact| fact["name"] == name).unwrap();
        found["value"].to_string()
    };
    let [earth, insulation, leak] = ["earth_most", "insulation_least", "leak_most"].map(limit);
    assert!(earth.contains("0.1") && insulation.contains("1000000"), "{earth} {insulation}");
    assert!(leak.contains("0.0005"), "{leak}");
}

#[test]
fn a_bench_supply_for_120_v_goes_to_its_end_by_the_rules_of_its_country() {
    let output = at_120_v("bench-supply-output");
    output.check().out("nothing found").exit(0);
    output.run(0);
}

#[test]
fn what_a_fact_makes_impossible_is_told_before_anyone_stands_at_the_bench() {
    let without_figures = Rehearsal::of("appliance-earthed")
        .fact("safety_rules", "as_nzs_3760_and_5762")
        .check()
        .out("QTY017")
        .out("AS/NZS 3760 and 5762 has no figure for this")
        .exit(6);
    assert!(without_figures.out.contains("equipment.yaml"), "{}", without_figures.out);
    for (procedure, fact, value, step) in [
        ("amplifier-class-ab", "bench_mains", "120 V", "mains-fits"),
        ("amplifier-class-ab", "load_power", "20 W", "loads-bear"),
        ("bench-supply-linear", "bleed_power", "5 W", "bleed-bears"),
    ] {
        let changed = Rehearsal::of(procedure).fact(fact, value);
        changed
            .check()
            .out("QTY017")
            .out(&format!("`{step}`, worked out from these facts,"))
            .exit(6);
    }
}

#[test]
fn a_set_without_a_bleeder_is_discharged_by_hand_and_proved_by_the_meter() {
    // For 120 V, so that this procedure too is walked to its end there.
    let supply = at_120_v("bench-supply-linear")
        .fact("bleeder", "none")
        .fact("frequency", "60 Hz")
        .fact("primary", "3.8 ohm")
        .fact("fuse_rating", "3 A")
        .seen("mains-fuse", "3 A");
    supply.check().out("nothing found").exit(0);
    let plan = ["plan", "procedure.yaml", "--equipment", "equipment.yaml"];
    supply.bench.wattstep(&plan).out("NO BLEEDER at raw: no wait makes that safe").exit(0);
    let record = supply.run(0);
    assert_eq!(record.closed_safe(), Some(true));
    // It holds its charge after the bench supply, until the resistor is on it; the meter says so both times.
    let charged = record.facts("still_charged");
    assert!(
        !charged.is_empty() && charged.iter().all(|fact| fact["point"] == "raw"),
        "{charged:?}"
    );
    // What has a bleeder is not asked to be discharged.
    let asked = |key: &str| {
        let judged = record.facts("judged");
        judged.into_iter().find(|fact| fact["key"] == key).map(|fact| fact["what"].to_string())
    };
    assert!(asked("dead.raw").unwrap().contains("NO BLEEDER"));
    assert!(!asked("dead.output").unwrap().contains("NO BLEEDER"));
}

#[test]
fn none_where_no_bleeder_is_asked_for_is_refused() {
    let supply = Rehearsal::of("bench-supply-linear").fact("winding", "none");
    supply.check().out("QTY006").out("winding").exit(6);
}
