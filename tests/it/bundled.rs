//! Every bundled procedure, run with the answers beside it: good ones finish, the others stop where they say.

use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;
use wattstep::test_points::procedure::read_bench;

use crate::support::PROCEDURES;
use crate::support::bench::Bench;
use crate::support::record::Record;

const MARK: &str = "SCRIPTED: answers from a file, not a real run";

/// Where a bad set of answers says that it stops: `It has to stop at STEP, part PART`.
struct Stop {
    step: String,
    part: Option<String>,
}

fn bench_file() -> String {
    format!("{PROCEDURES}/quillmere.bench.yaml")
}

/// The folder of each procedure.
fn folders() -> Vec<PathBuf> {
    let entries = fs::read_dir(PROCEDURES).unwrap().map(|entry| entry.unwrap().path());
    entries.filter(|path| path.is_dir()).collect()
}

fn answers() -> Vec<PathBuf> {
    let files = folders().into_iter().flat_map(|folder| fs::read_dir(folder).unwrap());
    let mut files: Vec<_> = files.map(|file| file.unwrap().path()).collect();
    files.retain(|path| path.to_str().unwrap().ends_with(".answers.yaml"));
    files.sort();
    files
}

fn run(answers: &Path, code: i32) -> (Record, String) {
    let bench = Bench::new();
    let beside = |name: &str| answers.with_file_name(name).to_str().unwrap().to_owned();
    let arguments = [
        "run",
        &beside("procedure.yaml"),
        "--equipment",
        &beside("equipment.yaml"),
        "--bench",
        &bench_file(),
        "--answers",
        answers.to_str().unwrap(),
    ];
    let printed = bench.wattstep(&arguments).any_out().exit(code);
    bench.wattstep(&["verify", "--all"]).out("verified").out("closed: ").exit(0);
    (bench.record(), printed.out)
}

/// Whether a run with these answers ends at the end of its procedure.
fn finishes(answers: &Path) -> bool {
    ["good.answers.yaml", "undecided.answers.yaml"].iter().any(|name| answers.ends_with(name))
}

/// The most that a person is asked in a good run by hand.
struct Budget {
    procedure: &'static str,
    answers: usize,
    /// Lines typed: with the source off, answers of one kind may stand on one.
    lines: usize,
    /// The answers that are readings of a proof of dead.
    proofs: usize,
}

const BUDGETS: [Budget; 6] = [
    Budget { procedure: "amplifier-class-ab", answers: 316, lines: 267, proofs: 34 },
    Budget { procedure: "amplifier-mosfet", answers: 316, lines: 267, proofs: 34 },
    Budget { procedure: "appliance-earthed", answers: 152, lines: 139, proofs: 24 },
    Budget { procedure: "bench-supply-linear", answers: 254, lines: 230, proofs: 33 },
    Budget { procedure: "bench-supply-output", answers: 66, lines: 62, proofs: 20 },
    Budget { procedure: "regulator-board", answers: 42, lines: 40, proofs: 6 },
];

fn stays_in_budget(path: &Path, record: &Record, screens: &str) {
    let folder = path.parent().unwrap().file_name().unwrap();
    let budget = BUDGETS.iter().find(|budget| folder == budget.procedure);
    let budget = budget.unwrap_or_else(|| panic!("no budget for {folder:?}"));
    let is_proof = |key: &str| key.starts_with("dead.") && key != "dead.stands";
    let answers: Vec<_> = record.entries.iter().filter(|entry| is_answer(entry)).collect();
    let read = answers.iter().filter(|entry| is_proof(answered(entry))).count();
    let lines = lines_of(screens);
    assert!(answers.len() <= budget.answers, "{}: {} answers", budget.procedure, answers.len());
    assert!(lines <= budget.lines, "{}: {lines} lines", budget.procedure);
    assert!(read <= budget.proofs, "{}: {read} readings of proofs", budget.procedure);
}

fn is_answer(entry: &Value) -> bool {
    ["entered", "acknowledged"].iter().any(|name| entry["event"].get(name).is_some())
}

/// The key of the question that an entry answers.
fn answered(entry: &Value) -> &str {
    let keys = ["entered", "acknowledged"].map(|name| entry["event"][name]["key"].as_str());
    keys.into_iter().flatten().next().unwrap_or_default()
}

/// How many lines are typed for all answers: the screens say which may stand on one.
fn lines_of(screens: &str) -> usize {
    let pieces: Vec<_> = screens.split("\n> ").collect();
    let (mut lines, mut on_this_line) = (0, 0);
    for pair in pieces.windows(2).filter(|pair| !pair[1].starts_with("(waits ")) {
        if on_this_line == 0 {
            lines += 1;
            on_this_line = answers_on_a_line(&pair[0].split_whitespace().collect::<Vec<_>>());
        }
        on_this_line -= 1;
    }
    lines
}

/// How many answers the screen of a question takes on one line.
fn answers_on_a_line(words: &[&str]) -> usize {
    let mut count = words.windows(2).filter_map(|pair| match pair {
        [count, "values" | "numbers"] => count.parse::<usize>().ok(),
        [span, "for"] => span.strip_prefix("`1-")?.strip_suffix('`')?.parse().ok(),
        _ => None,
    });
    count.next_back().unwrap_or(1)
}

/// Reads the comment at the top of bad answers.
fn stated_stop(answers: &Path) -> Stop {
    let text = fs::read_to_string(answers).unwrap();
    let comment: Vec<_> = text.lines().map_while(|line| line.strip_prefix("# ")).collect();
    let comment = comment.join(" ");
    let (_, stated) = comment
        .split_once("to stop at ")
        .unwrap_or_else(|| panic!("{} does not say where it has to stop", answers.display()));
    let mut words =
        stated.split([' ', ',', '.']).filter(|word| !word.is_empty()).map(str::to_owned);
    let step = words.next().unwrap();
    let part = words.next().filter(|word| word == "part").and_then(|_| words.next());
    Stop { step, part }
}

#[test]
fn each_procedure_has_good_and_bad_answers() {
    let answers = answers();
    let is_good = |path: &&PathBuf| path.ends_with("good.answers.yaml");
    assert!(folders().len() >= 4);
    assert_eq!(answers.iter().filter(is_good).count(), folders().len());
    for folder in folders() {
        let bad = answers.iter().filter(|path| path.starts_with(&folder) && !finishes(path));
        assert!(bad.count() > 0, "{}", folder.display());
    }
}

#[test]
fn good_answers_finish_and_every_question_carries_the_mark_of_a_script() {
    for path in answers().into_iter().filter(|path| finishes(path)) {
        let (record, screens) = run(&path, 0);
        let closed = record.facts("closed");
        assert_eq!(closed.len(), 1, "{}", path.display());
        assert_eq!(
            (closed[0]["outcome"].as_str(), closed[0]["safe"].as_bool()),
            (Some("finished"), Some(true))
        );
        let lines: Vec<_> = screens.lines().collect();
        let mut count = 0;
        for (at, _) in lines.iter().enumerate().filter(|(_, line)| line.starts_with("Stage ")) {
            let above = &lines[at.saturating_sub(3)..at];
            let rule = above.iter().rposition(|line| line.contains(MARK));
            let set = above[rule.unwrap_or_else(|| panic!("no mark: {above:?}")) + 1..].join(" ");
            assert!(set.contains(", serial "), "which set it is: {above:?}");
            count += 1;
        }
        assert!(count > 25, "{count} questions");
        stays_in_budget(&path, &record, &screens);
        assert!(record.events("entered").iter().all(|event| event["origin"] == "scripted"));
    }
}

#[test]
fn bad_answers_stop_where_they_say() {
    for path in answers().into_iter().filter(|path| !finishes(path)) {
        let stop = stated_stop(&path);
        let (record, _) = run(&path, 3);
        let (key, reason) = record.last_stop();
        let mut pieces = key.split('.');
        assert_eq!(pieces.next(), Some(stop.step.as_str()), "{}: {key}", path.display());
        if let Some(part) = stop.part {
            assert_eq!(pieces.next(), Some(part.as_str()), "{}: {key}", path.display());
        }
        assert!(["outside", "seen"].contains(&reason.as_str()), "{reason}");
        assert_eq!(record.closed_safe(), Some(true), "{}", path.display());
        let is_outside = |fact: &&serde_json::Value| fact["verdict"] != "inside";
        let last = record.facts("judged").into_iter().rfind(is_outside);
        assert_eq!(last.map(|fact| fact["key"].as_str().unwrap()), Some(key.as_str()));
    }
}

#[test]
fn an_undecided_reading_is_taken_again_then_accepted_and_stays_undecided() {
    let is_meant = |path: &PathBuf| path.ends_with("undecided.answers.yaml");
    let path = answers().into_iter().find(is_meant).unwrap();
    let (record, _) = run(&path, 0);
    let is_undecided = |fact: &&serde_json::Value| fact["verdict"] == "undecided";
    let undecided: Vec<_> = record.facts("judged").into_iter().filter(is_undecided).collect();
    let attempts: Vec<_> = undecided.iter().map(|fact| fact["attempt"].as_u64()).collect();
    assert_eq!(attempts, [Some(1), Some(2)]);
    let conceded = record.facts("conceded");
    assert_eq!(conceded.len(), 1);
    assert_eq!(conceded[0]["key"], undecided[0]["key"]);
}

#[test]
fn a_guarded_procedure_accepts_no_reading_without_a_bench_file() {
    let bench = Bench::new();
    let file = |name: &str| format!("{PROCEDURES}/bench-supply-output/{name}");
    let (equipment, answers) = (file("equipment.yaml"), file("good.answers.yaml"));
    let run = ["run", "bench-supply-output", "--equipment", &equipment, "--answers", &answers];
    bench.wattstep(&run).out("too close to its limit").out("left unfinished").exit(4);
    // The proof of dead goes by the known source; the first reading that needs a meter leads to the question.
    let record = bench.record();
    let last = record.facts("judged").into_iter().next_back().unwrap();
    assert_eq!((&last["key"], &last["verdict"]), (&"outlet-earth".into(), &"undecided".into()));
}

#[test]
fn every_function_of_a_procedure_is_on_the_bench() {
    let bench = read_bench(&fs::read_to_string(bench_file()).unwrap()).unwrap();
    for folder in folders() {
        let text = fs::read_to_string(folder.join("procedure.yaml")).unwrap();
        let named =
            text.split(" function: ").skip(1).map(|rest| rest.split([',', '}']).next().unwrap());
        let named: Vec<_> = named.collect();
        assert!(!named.is_empty(), "{}", folder.display());
        for function in named {
            assert!(bench.meter(function).is_some(), "{}: {function}", folder.display());
        }
    }
}

#[test]
fn bundled_procedures_have_no_findings() {
    let bench = Bench::new();
    for folder in folders() {
        let file = |name: &str| folder.join(name).to_str().unwrap().to_owned();
        let (procedure, equipment) = (file("procedure.yaml"), file("equipment.yaml"));
        let check = ["check", &procedure, "--equipment", &equipment];
        bench.wattstep(&check).out("1 file checked, nothing found").exit(0);
        let with_bench = ["check", &procedure, "--equipment", &equipment, "--bench", &bench_file()];
        bench.wattstep(&with_bench).out("1 file checked, nothing found").exit(0);
        // The name alone takes the copy inside the program.
        let name = folder.file_name().unwrap().to_str().unwrap();
        bench.wattstep(&["check", name]).out("1 file checked, nothing found").exit(0);
    }
}
