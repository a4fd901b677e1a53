//! Circuits with their faults through ngspice itself, against a table that was made without this program.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]

use std::fs;
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};

use super::support::bench::Bench;
use wattstep::test_points::circuit::Engine;
use wattstep::test_points::netlist::{
    Case, CircuitPoint, FAULTS, FeedState, Netlist, PlacedFault, SourceFeed,
};

fn data(name: &str) -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/circuit").join(name))
        .unwrap()
}

/// What is read in each row: a column, the point, and how far it may be off besides half a per cent.
const READ: [(&str, &str, f64); 6] = [
    ("out_dc_v", "v(out)", 1e-3),
    ("i_pos_a", "i(Vp)", 20e-6),
    ("i_neg_a", "i(Vn)", 20e-6),
    ("v_pos", "v(vp)", 1e-3),
    ("v_neg", "v(vn)", 1e-3),
    ("re_re_mv", "v(o1, o2)", 1e-3),
];

/// One row of the table.
struct Row(Vec<(String, String)>);

impl Row {
    fn all() -> Vec<Self> {
        let text = data("faults.csv");
        let mut lines = text.lines();
        let names: Vec<_> = lines.next().unwrap().split(',').map(str::to_owned).collect();
        let row =
            |line: &str| names.iter().cloned().zip(line.split(',').map(str::to_owned)).collect();
        lines.map(|line| Self(row(line))).collect()
    }

    fn get(&self, name: &str) -> &str {
        &self.0.iter().find(|(column, _)| column == name).unwrap().1
    }

    fn number(&self, name: &str) -> f64 {
        self.get(name).parse().unwrap()
    }

    /// `open_b` and `short_ce` as the program writes them.
    fn fault(&self) -> Option<PlacedFault> {
        let (part, fault) = (self.get("part"), self.get("fault"));
        let fault = match fault.split_once('_') {
            Some((what, legs)) => format!("{legs}-{what}"),
            None => fault.to_owned(),
        };
        (part != "none").then(|| format!("{part}:{fault}").parse().unwrap())
    }

    fn feeding(&self) -> FeedState {
        let volts = self.number("rail_set_v");
        match self.get("feed") {
            "stiff" => FeedState::Stiff { volts, ohm: 0.1 },
            _ => FeedState::Limited { volts, amps: self.number("limit_a") },
        }
    }

    fn case(&self, sound: &Netlist) -> Case {
        let fault = self.fault();
        let netlist =
            fault.as_ref().map_or_else(|| sound.clone(), |fault| sound.with(fault).unwrap());
        let feed =
            |element: &str| SourceFeed { element: element.to_owned(), feeding: self.feeding() };
        Case {
            name: format!("{} {} {}", self.get("part"), self.get("fault"), self.get("feed")),
            netlist,
            feeds: vec![feed("Vp"), feed("Vn")],
            points: READ.iter().map(|(_, point, _)| CircuitPoint::read(point).unwrap()).collect(),
        }
    }
}

#[test]
#[ignore = "needs ngspice: run by .ci/run"]
fn every_fault_of_an_amplifier_reads_as_an_independent_table_has_it() {
    let sound = Netlist::read(&data("class-ab.cir")).unwrap();
    let rows = Row::all();
    let cases: Vec<_> = rows.iter().map(|row| row.case(&sound)).collect();
    let done = AtomicUsize::new(0);
    let engine = Engine::find().unwrap();
    let results = engine
        .run(&cases, &|more| {
            done.fetch_add(more, Ordering::Relaxed);
        })
        .unwrap();
    assert_eq!((results.len(), done.into_inner()), (190, 190));
    let mut wrong = Vec::new();
    for ((row, case), values) in rows.iter().zip(&cases).zip(&results) {
        let values = values.as_ref().unwrap_or_else(|error| panic!("{error}"));
        for (column, point, most) in READ {
            let value = values.of(case, &CircuitPoint::read(point).unwrap()).unwrap();
            let (value, due) =
                (if column == "re_re_mv" { 1e3 * value } else { value }, row.number(column));
            let most = if column == "re_re_mv" { 1.0 } else { most };
            if (value - due).abs() > 5e-3 * due.abs() + most {
                wrong.push(format!("{}: {column} is {value}, not {due}", case.name));
            }
        }
    }
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), 6 * rows.len(), wrong.join("\n"));
}

#[test]
#[ignore = "needs ngspice: run by .ci/run"]
fn a_case_without_an_operating_point_is_an_error_with_its_name_and_its_neighbours_are_none() {
    let read = |text: &str| Netlist::read(text).unwrap();
    let case = |name: &str, netlist| Case {
        name: name.to_owned(),
        netlist,
        feeds: Vec::new(),
        points: vec![CircuitPoint::read("v(a)").unwrap()],
    };
    let sound = read("title\nV1 a 0 5\nR1 a 0 1k\n");
    let cases = [
        case("before", sound.clone()),
        case("two sources against each other", read("title\nV1 a 0 5\nV2 a 0 3\nR1 a 0 1k\n")),
        case(
            "a model that is none",
            read("title\n.model d1 D(nothing=1 is=0)\nV1 a 0 {missing}\nD1 a 0 d1\n"),
        ),
        case("after", sound),
    ];
    let results = Engine::find().unwrap().run(&cases, &|_| {}).unwrap();
    let value =
        |at: usize| results[at].as_ref().unwrap().of(&cases[at], &cases[at].points[0]).unwrap();
    assert!((value(0) - 5.0).abs() < 1e-6 && (value(3) - 5.0).abs() < 1e-6);
    for at in [1, 2] {
        let error = results[at].as_ref().unwrap_err().to_string();
        assert!(error.starts_with(&format!("{}: ngspice ", cases[at].name)), "{error}");
    }
}

/// A sound circuit file, and a netlist that goes with it.
const FILE: &str = "format: 1
circuit: A stage (invented)
rehearses: lantern-supply
netlist: stage.cir
sources: {plus: {element: V1}}
points: {draw: i(V1)}
readings: {current: draw}
parts: {R1: {kind: resistor, rating: 2 W}}
";
const NETLIST: &str = "A stage (invented)\nV1 vp 0 35\nR1 vp 0 1k\n.end\n";

#[test]
fn a_circuit_file_is_checked_with_its_netlist_and_each_finding_points_into_its_file() {
    let bench = Bench::new();
    bench.write("stage.yaml", FILE);
    bench.write("stage.cir", NETLIST);
    let check = || bench.wattstep(&["check", "stage.yaml"]);
    check().out("1 file checked, nothing found").exit(0);
    bench.write("stage.cir", NETLIST.replace("V1 vp 0 35", ".include models.lib"));
    check().out("CIR001").out("stage.cir:2:1").out("reads another file").exit(6);
    bench.write("stage.cir", NETLIST.replace("R1", "R2"));
    check().out("CIR002").out("stage.yaml:8:9").out("no resistor called `R1`").exit(6);
    bench.write("stage.yaml", FILE.replace("stage.cir", "../stage.cir"));
    check().out("CIR005").exit(6);
    bench.write("stage.yaml", FILE.replace("stage.cir", "gone.cir"));
    check().err("cannot open gone.cir").exit(1);
}

/// Each kind of part has a row with the letter it has in a netlist, its faults and what says so.
#[test]
fn the_page_has_the_table_of_faults_that_the_program_has() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let page = fs::read_to_string(root.join("docs/circuit.md")).unwrap();
    let table = page.split("| kind | in the netlist |").nth(1).unwrap();
    let rows: Vec<_> = table.lines().skip(2).take_while(|line| line.starts_with('|')).collect();
    let due = FAULTS.iter().map(|row| {
        let faults: Vec<_> = row.faults.iter().map(|fault| format!("`{fault}`")).collect();
        let letter = format!("{:?}", row.kind.letter());
        let letter = match letter.as_str() {
            "Transistor" => "Q",
            "Inductor" => "L",
            other => &other[..1],
        };
        format!("| {} | {letter} | {} | {} |", row.kind.word(), faults.join(", "), row.basis)
    });
    assert_eq!(rows, due.collect::<Vec<_>>());
}

const AMPLIFIER: [&str; 3] = ["rehearse", "amplifier-class-ab", "--every-fault"];

#[test]
#[ignore = "needs ngspice: run by .ci/run"]
fn no_fault_of_the_bundled_amplifier_overloads_a_part_on_the_direct_mains_unseen() {
    let bench = Bench::new();
    let told = bench.wattstep(&AMPLIFIER).args(&["--format", "json"]).any_out().exit(0).out;
    let told: serde_json::Value = serde_json::from_str(&told).unwrap();
    assert_eq!(told["mode"], "rehearsal");
    assert_eq!(told["overloaded_on_mains"], serde_json::json!([]));
    let faults = told["coverage"]["faults"].as_array().unwrap();
    assert_eq!(faults.len(), 186);
    let of = |fault: &str| faults.iter().find(|told| told["fault"] == fault).unwrap();
    // What destroys an output device is stopped while the bench supply still limits what is wrong.
    for fault in [
        "Q11:ce-short",
        "Q12:ce-short",
        "Q9:ce-short",
        "Q10:cb-short",
        "Q6:c-open",
        "RV1:open",
        "R19:short",
    ] {
        assert_eq!(of(fault)["stop"]["source"], "bench-supply", "{fault}");
        assert_eq!(of(fault)["reaches_mains"], false, "{fault}");
    }
    for fault in faults {
        assert!(fault.get("unknown").is_none(), "{fault}");
        assert!(fault["stop"].is_object() || fault["reaches_mains"] == true, "{fault}");
    }
    is_on_the_page(&told);
}

/// What becomes of the faults of a bundled circuit stands on the page.
fn is_on_the_page(told: &serde_json::Value) {
    let page = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/circuit.md");
    let page = fs::read_to_string(page).unwrap();
    let row = |row: String| assert!(page.contains(&row), "the page has no row {row}");
    for stop in told["stopped_at"].as_array().unwrap() {
        row(format!("| `{}` | {} |", stop[0].as_str().unwrap(), stop[1]));
    }
    let faults = told["coverage"]["faults"].as_array().unwrap();
    for told in faults.iter().filter(|told| told["worst"]["times"].as_f64().unwrap() > 1.0) {
        let part = |key: &str| told["worst"][key].as_str().unwrap();
        let stop = told["stop"]["step"].as_str().map_or("-".to_owned(), |step| format!("`{step}`"));
        let (fault, times) =
            (told["fault"].as_str().unwrap(), told["worst"]["times"].as_f64().unwrap());
        row(format!(
            "| `{fault}` | {stop} | {}: {} of {}, {times:.2} times |",
            part("part"),
            part("most"),
            part("rating")
        ));
    }
    for reading in told["coverage"]["missing"].as_array().unwrap() {
        let text = |key: &str| reading[key].as_str().unwrap();
        let count = reading["stops"].as_array().unwrap().len();
        row(format!("| `{}` | `{}` | {} | {count} |", text("point"), text("after"), text("due")));
    }
}

#[test]
#[ignore = "needs ngspice: run by .ci/run"]
fn no_fault_of_the_bundled_mosfet_amplifier_overloads_a_part_on_the_direct_mains_unseen() {
    let bench = Bench::new();
    let run = ["rehearse", "amplifier-mosfet", "--every-fault", "--format", "json"];
    let told = bench.wattstep(&run).any_out().exit(0).out;
    let told: serde_json::Value = serde_json::from_str(&told).unwrap();
    assert_eq!(told["overloaded_on_mains"], serde_json::json!([]));
    let faults = told["coverage"]["faults"].as_array().unwrap();
    assert_eq!(faults.len(), 186);
    let of = |fault: &str| faults.iter().find(|told| told["fault"] == fault).unwrap();
    for fault in
        ["M11:ds-short", "M12:ds-short", "M11:dg-short", "M11:s-open", "Q6:c-open", "RV1:open"]
    {
        assert_eq!(of(fault)["stop"]["source"], "bench-supply", "{fault}");
        assert_eq!(of(fault)["reaches_mains"], false, "{fault}");
    }
    assert!(faults.iter().all(|fault| fault.get("unknown").is_none()));
    is_on_the_page(&told);
}

#[test]
#[ignore = "needs ngspice: run by .ci/run"]
fn every_fault_of_the_bundled_bench_supply_is_told_and_what_overloads_a_part_is_on_the_page() {
    let bench = Bench::new();
    let run = ["rehearse", "bench-supply-linear", "--every-fault", "--format", "json"];
    let told = bench.wattstep(&run).any_out().exit(6).out;
    let told: serde_json::Value = serde_json::from_str(&told).unwrap();
    let faults = told["coverage"]["faults"].as_array().unwrap();
    assert_eq!(faults.len(), 154);
    let of = |fault: &str| faults.iter().find(|told| told["fault"] == fault).unwrap();
    // A pass device that conducts by itself never meets the mains.
    for fault in ["Q3:ce-short", "Q4:cb-short", "Q2:ce-short", "Q5:c-open", "R14:open", "D1:short"]
    {
        assert_eq!(of(fault)["stop"]["source"], "bench-supply", "{fault}");
        assert_eq!(of(fault)["reaches_mains"], false, "{fault}");
    }
    assert!(faults.iter().all(|fault| fault.get("unknown").is_none()));
    is_on_the_page(&told);
}

#[test]
#[ignore = "needs ngspice: run by .ci/run"]
fn faults_are_told_one_by_one_and_twice_alike() {
    let bench = Bench::new();
    let run = ["rehearse", "amplifier-class-ab", "--fault", "Q11:ce-short", "--fault", "C14:open"];
    let told = bench.wattstep(&run).out("stopped at low-offset.left on bench supply").exit(0).out;
    for words in [
        "REHEARSAL on a model of the circuit",
        "Q11:ce-short, output device\n",
        "C14:open, Zobel\n      what becomes of it: NOT STOPPED",
        "1 of 2 faults are stopped, 1 are not",
    ] {
        assert!(told.contains(words), "{words}:\n{told}");
    }
    assert_eq!(bench.wattstep(&run).any_out().exit(0).out, told);
    bench
        .wattstep(&["rehearse", "amplifier-class-ab", "--fault", "Q99:open"])
        .err("no element `Q99`")
        .exit(1);
}

#[test]
#[ignore = "needs ngspice: run by .ci/run"]
fn what_no_step_stops_is_told_with_the_readings_that_would_stop_most_of_it() {
    let bench = Bench::new();
    let told = bench.wattstep(&AMPLIFIER).args(&["--format", "json"]).any_out().exit(0).out;
    let told: serde_json::Value = serde_json::from_str(&told).unwrap();
    let uncaught: Vec<_> = told["uncaught"].as_array().unwrap().iter().collect();
    let missing = told["coverage"]["missing"].as_array().unwrap();
    let mut counts = Vec::new();
    let mut named = std::collections::BTreeSet::new();
    for reading in missing {
        let stops = reading["stops"].as_array().unwrap();
        counts.push(stops.len());
        for fault in stops {
            assert!(uncaught.contains(&fault), "{fault} is stopped anyway");
            assert!(named.insert(fault.as_str().unwrap()), "{fault} is counted twice");
        }
    }
    assert!(!counts.is_empty() && counts.iter().all(|count| *count > 0), "{counts:?}");
    assert!(counts.is_sorted_by(|one, other| one >= other), "the best is not first: {counts:?}");
    // Each of these by itself could go; `low-offset.left` stops what nothing else sees.
    let spare = told["spare"].as_array().unwrap();
    assert!(!spare.iter().any(|step| step == "low-offset.left"), "{spare:?}");
    assert!(spare.iter().any(|step| step == "mid-watch"), "{spare:?}");
}

#[test]
#[ignore = "needs ngspice: run by .ci/run"]
fn two_faults_at_once_are_those_that_the_circuit_file_names() {
    let bench = Bench::new();
    let run = ["rehearse", "amplifier-class-ab", "--pairs"];
    let told = bench.wattstep(&run).args(&["--format", "json"]).any_out().exit(0).out;
    let told: serde_json::Value = serde_json::from_str(&told).unwrap();
    let faults = told["coverage"]["faults"].as_array().unwrap();
    let first = &faults[0];
    assert_eq!(first["fault"], "Q11:ce-short + R41:open");
    assert_eq!(first["position"], "output device + emitter of q11");
    // The open resistor keeps the short off the output: other steps have to see it than those that see the short alone.
    assert!(faults.len() > 5 && faults.iter().all(|fault| fault.get("unknown").is_none()));
    bench.write("stage.yaml", FILE);
    bench.write("stage.cir", NETLIST);
    bench
        .wattstep(&run)
        .args(&["--circuit", "stage.yaml"])
        .err("names no two faults at once")
        .exit(2);
}

#[test]
#[ignore = "needs ngspice: run by .ci/run"]
fn the_table_of_faults_is_a_page_by_itself_that_no_name_becomes_markup_of() {
    let bench = Bench::new();
    let run = ["rehearse", "amplifier-class-ab", "--fault", "Q11:ce-short"];
    let made = ["--format", "html", "--out", "table.html"];
    bench.wattstep(&run).args(&made).err("written: table.html").exit(0);
    let page = fs::read_to_string(bench.path("table.html")).unwrap();
    for words in [
        "<!DOCTYPE html>",
        "REHEARSAL on a model of the circuit",
        "Q11:ce-short",
        "low-offset.left",
    ] {
        assert!(page.contains(words), "{words}");
    }
    for word in ["<script", "http:", "https:", " src="] {
        assert!(!page.contains(word), "{word}: the page is not self-contained");
    }
    bench.wattstep(&run).args(&made).err("exists already").exit(1);
}

#[test]
fn two_faults_that_a_circuit_cannot_have_are_found_when_it_is_checked() {
    let bench = Bench::new();
    bench.write("stage.cir", NETLIST);
    let with = |pairs: &str| bench.write("stage.yaml", format!("{FILE}pairs: [{pairs}]\n"));
    let check = || bench.wattstep(&["check", "stage.yaml"]);
    with("[R1:open, R2:open]");
    check().out("CIR002").out("stage.yaml:9:19").out("names no part `R2`").exit(6);
    with("[R1:open, R1:value*2]");
    check().out("CIR002").out("the netlist has no element `R1`").exit(6);
    with("[R1:ce-short, R1:open]");
    check().out("CIR002").out("can't have the fault `ce-short`").exit(6);
    with("[R1:open]");
    check().out("YML").exit(6);
    with("[R1:broken, R1:open]");
    check().out("`broken` is not a fault").exit(6);
}

#[test]
fn without_the_simulator_the_package_is_named_and_nothing_else_is_missed() {
    let bench = Bench::new();
    bench.wattstep(&AMPLIFIER).env("PATH", "").err("Debian package ngspice").exit(1);
    bench.wattstep(&["check", "amplifier-class-ab"]).env("PATH", "").any_out().exit(0);
}

/// A simulator in the place of the real one that is not what it should be.
fn with_simulator(bench: &Bench, script: &str) -> String {
    use std::os::unix::fs::PermissionsExt as _;
    let folder = bench.path("bin");
    fs::create_dir_all(&folder).unwrap();
    fs::write(folder.join("ngspice"), format!("#!/bin/sh\n{script}\n")).unwrap();
    fs::set_permissions(folder.join("ngspice"), fs::Permissions::from_mode(0o755)).unwrap();
    format!("{}:/usr/bin:/bin", folder.display())
}

#[test]
fn a_simulator_that_is_none_hangs_or_finishes_nothing_is_an_error_and_never_a_number() {
    let bench = Bench::new();
    let version = "echo '** ngspice-39 : Circuit level simulation program'";
    for (script, why) in [
        ("exec sleep 1000".to_owned(), "does not tell its version"),
        ("echo '** ngspice-31 : Circuit level simulation program'".to_owned(), "is too old"),
        (version.to_owned(), "starts and finishes no case"),
        (format!("{version}\necho 'v(out) = 0.05'; exit 3"), "starts and finishes no case"),
        // It answers the first case alone, with numbers that were not asked for.
        (
            format!(
                "{version}\nprintf 'wattstep-case 0 begins\\nv(out) = 1\\nwattstep-case 0 ends\\n'"
            ),
            "ngspice gave no value for",
        ),
    ] {
        let path = with_simulator(&bench, &script);
        let run = ["rehearse", "amplifier-class-ab", "--fault", "Q11:ce-short"];
        bench.wattstep(&run).env("PATH", &path).err(why).exit(1);
        let answers =
            concat!(env!("CARGO_MANIFEST_DIR"), "/procedures/amplifier-class-ab/good.answers.yaml");
        let run = ["run", "amplifier-class-ab", "--bench", "simulated", "--answers", answers];
        let on = ["--circuit", "amplifier-class-ab"];
        bench.wattstep(&run).args(&on).env("PATH", &path).err(why).exit(1);
        assert!(fs::read_dir(bench.path("records")).is_err(), "a record was begun");
    }
}

#[test]
fn hostile_circuit_files_end_in_clear_errors() {
    let bench = Bench::new();
    bench.write("stage.cir", NETLIST);
    let check = |file: String| {
        bench.write("stage.yaml", file);
        bench.wattstep(&["check", "stage.yaml"])
    };
    // A name with a control character, a name of another folder, and a name that is none.
    check(FILE.replace("R1:", "\"R1\\u001b[2J\":")).any_out().exit(6);
    for netlist in ["/etc/passwd", "a/../../stage.cir", "stage.cir\\0"] {
        check(FILE.replace("stage.cir", &format!("\"{netlist}\""))).any_out().exit(6);
    }
    // More than anyone writes.
    let parts: String = (0..1_000_000).map(|n| format!("  R{n}: {{kind: resistor}}\n")).collect();
    let many =
        FILE.replace("parts: {R1: {kind: resistor, rating: 2 W}}", &format!("parts:\n{parts}"));
    check(many).err("larger than 1 MiB").exit(1);
    let pairs = "[R1:open, R1:open], ".repeat(200_000);
    check(format!("{FILE}pairs: [{pairs}]\n")).err("larger than 1 MiB").exit(1);
    // A file that stands for itself over and over.
    let bomb = (1..40).fold("a0: &a0 [x, x]\n".to_owned(), |text, n| {
        let before = n - 1;
        text + &format!("a{n}: &a{n} [*a{before}, *a{before}]\n")
    });
    check(format!("{FILE}{bomb}")).any_out().exit(6);
}

#[test]
fn a_rehearsal_without_a_circuit_a_fault_or_equipment_says_what_is_missing() {
    let bench = Bench::new();
    bench.wattstep(&["rehearse", "amplifier-class-ab"]).err("--every-fault").exit(2);
    bench.wattstep(&["rehearse", "regulator-board", "--every-fault"]).err("--circuit FILE").exit(2);
    bench.wattstep(&["rehearse", "lantern.yaml", "--every-fault"]).err("--equipment FILE").exit(2);
    bench.wattstep(&["rehearse", "amplifier-class-ab", "--fault", "Q1"]).err("PART:FAULT").exit(2);
    bench.write("stage.yaml", FILE);
    bench.write("stage.cir", NETLIST);
    let other = ["--circuit", "stage.yaml"];
    bench
        .wattstep(&AMPLIFIER)
        .args(&other)
        .err("for `lantern-supply`, not for `amplifier-class-ab`")
        .exit(1);
    bench.write("stage.cir", NETLIST.replace("V1 vp 0 35", ".control"));
    bench.wattstep(&AMPLIFIER).args(&other).err("CIR001").exit(6);
}
