//! The plan of a run: what it shows, and that a run judges by the same numbers.

use std::collections::BTreeMap;
use std::fs;

use serde_json::Value;

use crate::support::bench::{Bench, LANTERN};
use crate::support::record::Record;
use crate::support::terminal::{Look, Terminal};
use crate::support::{PROCEDURES, unwrapped};

const AMPLIFIER: &str = "amplifier-class-ab";

fn beside(procedure: &str, name: &str) -> String {
    format!("{PROCEDURES}/{procedure}/{name}")
}

fn bench_file() -> String {
    format!("{PROCEDURES}/quillmere.bench.yaml")
}

/// What the plan of the amplifier prints with these arguments behind it.
fn amplifier(arguments: &[&str]) -> String {
    let equipment = beside(AMPLIFIER, "equipment.yaml");
    let call = ["plan", AMPLIFIER, "--equipment", &equipment];
    Bench::new().wattstep(&call).args(arguments).any_out().exit(0).out
}

fn json(text: &str) -> Value {
    serde_json::from_str::<Value>(text).unwrap()["plan"].take()
}

/// The steps of a plan by their names.
fn steps(plan: &Value) -> BTreeMap<&str, &Value> {
    let stages = plan["stages"].as_array().unwrap().iter();
    let steps = stages.flat_map(|stage| stage["steps"].as_array().unwrap());
    steps.map(|step| (step["step"].as_str().unwrap(), step)).collect()
}

#[test]
fn the_amplifier_shows_each_number_with_its_formula_and_what_is_in_it() {
    let shown = unwrapped(&amplifier(&[]));
    for words in [
        "rail split_average(secondary, winding = source, reservoir = reservoir, load = other_current, frequency = \
         frequency) = 42.69 V",
        "(secondary 31 V, source 0.5288 ohm, reservoir 10 mF +/- 1.9 mF, other_current 25 mA, frequency 50 Hz)",
        "Used for low_rail, mid_rail, across_rails, lamp-fits, direct-plus, 1 more.",
        "1 min 48 s wait for stored charge",
        "charged_to = 1.1 * sqrt(2) * secondary = 48.22 V (secondary 31 V)",
        "30 min a proof of dead is believed",
        "Stage 6 of 19: Low rails from a current-limited bench supply (bench supply) 15.0 V, 100 mA ceiling",
        "current = other_current + 75 mA = 100 mA (other_current 25 mA)",
        "The lamp is the smallest mains rung there is",
        "14.25 V to 15.75 V, expected 15 V, over 30 s low-up",
        "over = max(30 s, 2 * low_charging) = 30 s (low_charging 2.4 s +/- 0.46 s)",
        "A slow rise lets you stop while the limit still holds what is wrong",
        "wait 10 min soak-ten",
        "every 10 min you confirm that you are there",
        "at most 28.5 W, for 30 min, read every 5 min by hand warm-watch",
        "at_most = 1.5 * idle_power = 28.5 W (idle_power 19 W)",
        "between = bias_start + 10 mA = known after bias-start",
        "at most 50 %, value known after low-minus, low-plus low-alike",
        "Follow local codes",
    ] {
        assert!(shown.contains(words), "{words}\n{shown}");
    }
    assert!(!shown.contains("MISSING") && !shown.contains("CANNOT BE WORKED OUT"));
}

/// Runs a bundled procedure with good answers.
fn run(procedure: &str) -> Record {
    let bench = Bench::new();
    let equipment = beside(procedure, "equipment.yaml");
    let answers = beside(procedure, "good.answers.yaml");
    let call = ["run", procedure, "--equipment", &equipment, "--bench", &bench_file()];
    bench.wattstep(&call).args(&["--answers", &answers]).any_out().exit(0);
    bench.record()
}

/// Holds a judged fact against the plan; tells whether the plan knew its window.
fn is_as_planned(plan: &Value, fact: &Value) -> bool {
    let key = fact["key"].as_str().unwrap();
    let pieces: Vec<_> = key.split('.').collect();
    let safe = &plan["making_safe"];
    let window = match pieces.as_slice() {
        ["dead", "before" | "after"] => safe["known_source_window"].clone(),
        ["dead", name] => {
            let points = safe["points"].as_array().unwrap();
            points.iter().find(|point| point["point"] == *name).unwrap()["window"].clone()
        }
        [name, ..] => {
            let step = steps(plan)[name];
            let of =
                pieces.last().filter(|piece| ["drift", "settled"].contains(*piece)).unwrap_or(&"");
            let windows = step["windows"].as_array().cloned().unwrap_or_default();
            match windows.into_iter().find(|window| window["of"] == *of) {
                Some(mut window) => window["bounds"].take(),
                None => {
                    assert!(!step["open"]["after"].as_array().unwrap().is_empty(), "{key}: {step}");
                    return false;
                }
            }
        }
        [] => unreachable!("a key has a name"),
    };
    assert_eq!(window, fact["bounds"], "{key}");
    true
}

#[test]
fn a_run_judges_by_the_numbers_of_the_plan() {
    for (procedure, least) in [
        (AMPLIFIER, 200),
        ("amplifier-mosfet", 200),
        ("bench-supply-linear", 130),
        ("appliance-earthed", 60),
        ("bench-supply-output", 15),
        ("regulator-board", 7),
    ] {
        let bench = Bench::new();
        let equipment = beside(procedure, "equipment.yaml");
        let call = ["plan", procedure, "--equipment", &equipment, "--bench", &bench_file()];
        let printed = bench.wattstep(&call).args(&["--format", "json"]).any_out().exit(0);
        let plan = json(&printed.out);
        let record = run(procedure);
        let judged = record.facts("judged");
        let known = judged.iter().filter(|fact| is_as_planned(&plan, fact)).count();
        assert!(known >= least, "{procedure}: {known} of {}", judged.len());
        let worked_out = record.facts("worked_out");
        let planned = plan["worked_out"].as_array().unwrap();
        assert_eq!(worked_out.len(), planned.len(), "{procedure}");
        for (fact, figure) in worked_out.iter().zip(planned) {
            for key in ["name", "value", "uncertainty"] {
                assert_eq!(fact.get(key), figure.get(key), "{procedure}");
            }
        }
        let opened = record.facts("stage_opened");
        assert_eq!(opened.len(), plan["stages"].as_array().unwrap().len(), "{procedure}");
        for (fact, stage) in opened.iter().zip(plan["stages"].as_array().unwrap()) {
            for key in ["stage", "title", "source", "ceiling"] {
                assert!(fact[key] == stage[key], "{procedure}: {fact} is not {stage}");
            }
        }
        for proof in record.facts("proved_dead") {
            assert_eq!(proof["lasts_ms"], plan["making_safe"]["proof_lasts_ms"]);
        }
        for wait in record.facts("waited") {
            let planned = match wait["key"].as_str().unwrap() {
                "make-safe.wait" => &plan["making_safe"]["wait_ms"],
                key if key.contains('.') => continue,
                key => &steps(&plan)[key]["time_ms"],
            };
            assert_eq!(*planned, wait["ms"], "{procedure}: {wait}");
        }
    }
}

#[test]
fn a_missing_fact_is_named_and_nothing_is_asked_or_recorded() {
    let bench = Bench::new();
    let facts = fs::read_to_string(beside(AMPLIFIER, "equipment.yaml")).unwrap();
    let lacks = |line: &&str| line.starts_with("  reservoir:") || line.starts_with("  drivers:");
    let kept: Vec<_> = facts.lines().filter(|line| !lacks(line)).collect();
    assert_eq!(kept.len(), facts.lines().count() - 2);
    bench.write("less.yaml", kept.join("\n"));
    let call = ["plan", AMPLIFIER, "--equipment", "less.yaml"];
    let shown = unwrapped(&bench.wattstep(&call).any_out().exit(6).out);
    for words in [
        "MISSING reservoir: Reservoir capacitance on each rail (uF)",
        "MISSING drivers: Driver transistors, by their marks on the board",
        "0.6 * rail = MISSING reservoir",
        "MISSING reservoir wait for stored charge",
        "500 ohm or more, open is good, the rest MISSING drivers driver-short",
        "bias_drop pair_idle * emitter_resistor = 9.9 mV +/- 0.47 mV",
    ] {
        assert!(shown.contains(words), "{words}\n{shown}");
    }
    let printed = bench.wattstep(&call).args(&["--format", "json"]).any_out().exit(6);
    let plan = json(&printed.out);
    let names: Vec<_> =
        plan["missing"].as_array().unwrap().iter().map(|value| &value["name"]).collect();
    assert_eq!(names, ["reservoir", "drivers"]);
    assert_eq!(plan["worked_out"][5]["missing"], serde_json::json!(["reservoir"]));
    assert!(bench.records().is_empty());
}

/// The lantern with a share of its voltage that is worked out, and an equipment file with these facts.
fn lantern(facts: &str) -> Bench {
    let bench = Bench::new();
    let asks = "asks:\n  lamps: {ask: Number of lamps, between: [\"1\", \"3\"]}\nwork_out:\n  share: 24 V / (lamps - 2)\n";
    bench.write(
        "shared.yaml",
        LANTERN.replace("charge_points:\n", &format!("{asks}charge_points:\n")),
    );
    let head = "format: 1\nequipment: Lantern (invented)\nserial: \"1 (invented)\"\n";
    bench.write("equipment.yaml", format!("{head}{facts}"));
    bench
}

#[test]
fn what_cannot_be_worked_out_is_told() {
    let call = ["plan", "shared.yaml", "--equipment", "equipment.yaml"];
    let bench = lantern("facts: {lamps: \"2\"}\n");
    bench.wattstep(&call).out("share: this is zero, and nothing can be divided by zero").exit(1);
    let bench = lantern("facts: {lamps: \"3\"}\n");
    bench.wattstep(&call).out("24 V / (lamps - 2) = 24 V (lamps 3)").exit(0);
    bench.wattstep(&["plan", "shared.yaml"]).out("No equipment file").exit(6);
}

#[test]
fn a_wait_is_not_put_down_to_bleeders_that_are_not_there() {
    let bleeders = "the bleeders need that long";
    let bench = Bench::new();
    bench.wattstep(&["plan", "lantern.yaml"]).out(bleeders).exit(0);
    bench.write("bare.yaml", LANTERN.replace(", bleeder: 1 kohm", ""));
    let shown = bench.wattstep(&["plan", "bare.yaml"]).any_out().exit(0).out;
    assert!(!shown.contains(bleeders), "{shown}");
    assert!(unwrapped(&shown).contains("How fast the charge leaves is NOT KNOWN for: smoothing."));
}

#[test]
fn a_window_too_narrow_for_the_meter_is_marked_in_words() {
    let bench = Bench::new();
    let text = fs::read_to_string(beside(AMPLIFIER, "procedure.yaml")).unwrap();
    let narrow = text.replace("near: primary, within: 25 %", "near: primary, within: 4 %");
    assert_ne!(text, narrow);
    bench.write("narrow.yaml", narrow);
    let equipment = beside(AMPLIFIER, "equipment.yaml");
    let call = ["plan", "narrow.yaml", "--equipment", &equipment, "--bench", &bench_file()];
    let shown = unwrapped(&bench.wattstep(&call).any_out().exit(0).out);
    assert!(
        shown.contains("the window is 1.3 times as wide: TOO NARROW for this meter."),
        "{shown}"
    );
}

#[test]
fn with_a_bench_it_says_what_is_read_with_what_and_how_well() {
    let shown = unwrapped(&amplifier(&["--bench", &bench_file()]));
    for words in [
        "Meter: hand-held, 600 ohm range: 8.5 ohm +/- 0.26 ohm, the window is 8.1 times as wide.",
        "NOT WATCHED here: no connected instrument samples it.",
    ] {
        assert!(shown.contains(words), "{words}\n{shown}");
    }
    let plan = json(&amplifier(&["--bench", &bench_file(), "--format", "json"]));
    let meter = &steps(&plan)["primary-on"]["meter"];
    assert_eq!((meter["at"].as_str(), meter["range"].as_str()), (Some("8.5 ohm"), Some("600 ohm")));
    // 0.9 % of the reading and two counts of 0.1 ohm, rectangular: U at 95 % is 0.95 of the bound.
    let expanded = meter["uncertainty"]["expanded"].as_str().unwrap();
    let expanded: f64 = expanded.strip_suffix(" ohm").unwrap().parse().unwrap();
    assert!((expanded - 0.95 * (0.009 * 8.5 + 0.2)).abs() < 1e-6, "{expanded}");
    assert!((meter["ratio"].as_f64().unwrap() - 0.25 * 8.5 / expanded).abs() < 1e-6);
}

#[test]
fn with_connected_instruments_it_says_what_they_do_and_what_is_left_out() {
    let shown = unwrapped(&amplifier(&["--bench", "simulated"]));
    for words in [
        "left out supply-limits The connected supply does it.",
        "Taken by supply, which is connected.",
        "at most 85 mA plus.current while the source is on",
        "Sampled by supply: outside or limiting, all outputs go off at once.",
    ] {
        assert!(shown.contains(words), "{words}\n{shown}");
    }
    let plan = json(&amplifier(&["--bench", "simulated", "--format", "json"]));
    let steps = steps(&plan);
    assert_eq!(steps["supply-limits"]["left_out"], true);
    assert_eq!(
        (&steps["low-up"]["by"], &steps["low-up"]["time_ms"]),
        (&"supply".into(), &30_000.into())
    );
}

#[test]
fn forty_columns_and_ascii_are_enough() {
    let bench = Bench::new();
    let equipment = beside(AMPLIFIER, "equipment.yaml");
    let look = Look::usual().columns(40).env("LANG", "C");
    let arguments = ["plan", AMPLIFIER, "--equipment", &equipment, "--bench", &bench_file()];
    let terminal = Terminal::start(bench.folder(), &look, &arguments);
    assert_eq!(terminal.exit_code(), 0);
    terminal.assert_no_line_is_too_wide();
    let shown = terminal.since(0);
    assert!(shown.is_ascii());
    let (narrow, wide) = (unwrapped(&shown), unwrapped(&amplifier(&["--bench", &bench_file()])));
    for words in ["Stage ", " known after ", " Basis: ", " Meter: ", "NOT WATCHED here"] {
        assert_eq!(narrow.matches(words).count(), wide.matches(words).count(), "{words}");
    }
    assert!(narrow.contains("14.25 V to 15.75 V, expected 15 V, over 30 s low-up"), "{narrow}");
}

#[test]
fn hostile_text_is_refused_or_shown_harmless() {
    let bench = lantern("");
    bench.write("hostile.yaml", "format: 1\nequipment: \"a\\e[2Jb\\u202ec\"\nserial: \"1\"\n");
    let call = ["plan", "lantern.yaml", "--equipment", "hostile.yaml"];
    let printed = bench.wattstep(&call).any_out().any_err().exit(6);
    for text in [printed.out, printed.err] {
        assert!(!text.contains(['\u{1b}', '\u{202e}']), "{text:?}");
    }
    let words = "Let [31m <b>settle</b> `rm` $(x) & go";
    bench.write("markup.yaml", LANTERN.replace("Let the light settle", &format!("\"{words}\"")));
    bench.wattstep(&["plan", "markup.yaml"]).out(words).exit(0);
}
