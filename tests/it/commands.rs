//! The commands on the pages: each one runs as it is written, in the order of its page, or is listed here with the reason why not.

use std::fs;
use std::os::unix::fs::symlink;
use std::path::Path;

use super::support::bench::Bench;

/// The pages with commands of this program in blocks of plain `sh`.
const PAGES: [&str; 4] = ["README.md", "docs/people.md", "docs/report.md", "docs/signatures.md"];

/// The run that the pages name, and the line of the register that they keep.
const RUN: &str = "20260302-091500-7k2mq";
const DIGEST: &str = "wattstep register: 12 lines, head ...";

/// Commands that are not run here, and why.
const LEFT_OUT: [(&str, &str); 8] = [
    ("cargo test", "this is it"),
    (
        "wattstep run amplifier-class-ab --equipment my-amplifier.yaml",
        "a person answers at a terminal: the tests of `session` type through a run",
    ),
    ("wattstep resume", "a person answers at a terminal: the tests of `interrupted` take a run up"),
    (
        "wattstep people my-people.yaml --approve",
        "the test `an_edited_people_file_is_told_at_the_start_in_the_record_and_in_the_report` approves one",
    ),
    ("wattstep trend", "only real runs count: the tests of `archive` have some"),
    ("wattstep propose", "only real runs count: the tests of `archive` have some"),
    ("wattstep signatures", "the record of these pages is signed by people with keys: `signing`"),
    ("wattstep verify --all --against allowed_signers", "likewise"),
];

/// Commands that end with another code than 0, and why.
const ENDS: [(&str, i32, &str); 1] = [(
    "wattstep run amplifier-class-ab --bench simulated --fault",
    5,
    "the fault trips the supply",
)];

/// The commands of this program and of cargo in the blocks of a page, each on one line.
fn commands(page: &str) -> Vec<String> {
    let blocks = page.split("```sh\n").skip(1).map(|rest| rest.split("```").next().unwrap());
    let lines: String = blocks.map(|block| block.replace("\\\n", " ")).collect();
    let is_ours = |line: &&str| line.starts_with("wattstep ") || line.starts_with("cargo ");
    lines.lines().filter(is_ours).map(str::to_owned).collect()
}

/// The words of a command; those between double quotes are one.
fn words(command: &str) -> Vec<String> {
    let mut words = Vec::new();
    for (n, piece) in command.split('"').enumerate() {
        match n % 2 {
            0 => words.extend(piece.split_whitespace().map(str::to_owned)),
            _ => words.push(piece.to_owned()),
        }
    }
    words
}

/// A bench with the files that the pages speak of.
fn bench() -> Bench {
    let bench = Bench::new();
    let procedures = Path::new(env!("CARGO_MANIFEST_DIR")).join("procedures");
    symlink(&procedures, bench.path("procedures")).unwrap();
    for (from, name) in [
        ("amplifier-class-ab/equipment.yaml", "my-amplifier.yaml"),
        ("amplifier-class-ab/procedure.yaml", "my-procedure.yaml"),
        ("quillmere.bench.yaml", "my-bench.yaml"),
        ("quillmere.people.yaml", "my-people.yaml"),
    ] {
        bench.write(name, fs::read(procedures.join(from)).unwrap());
    }
    bench
}

/// The name of the record that the pages speak of: the first that was made here, or one that is made now.
fn run(bench: &Bench) -> String {
    if bench.records().is_empty() {
        let answers = "procedures/amplifier-class-ab/good.answers.yaml";
        let run = ["run", "amplifier-class-ab", "--equipment", "my-amplifier.yaml"];
        bench.wattstep(&run).args(&["--answers", answers]).any_out().any_err().exit(0);
    }
    bench.records()[0].file_stem().unwrap().to_str().unwrap().to_owned()
}

fn is_left_out(command: &str) -> bool {
    LEFT_OUT.iter().any(|(begin, _)| command.starts_with(begin))
}

/// Runs the commands of a page that are wanted, in their order, and tells how many ran.
fn run_all(page: &str, is_wanted: fn(&str) -> bool) -> usize {
    let text = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(page)).unwrap();
    let bench = bench();
    let mut ran = 0;
    for written in
        commands(&text).iter().filter(|command| !is_left_out(command) && is_wanted(command))
    {
        let mut command = written.replace("cargo run --release -- ", "wattstep ");
        if command.contains(RUN) {
            command = command.replace(RUN, &run(&bench));
        }
        if command.contains(DIGEST) {
            let digest = bench.wattstep(&["digest"]).any_out().exit(0).out;
            command = command.replace(DIGEST, digest.trim());
        }
        let words = words(&command);
        let arguments: Vec<_> = words[1..].iter().map(String::as_str).collect();
        let code = ENDS.iter().find(|(begin, ..)| command.starts_with(begin));
        let printed = bench.wattstep(&arguments).any_out().any_err();
        let printed = printed.exit(code.map_or(0, |(_, code, _)| *code));
        let is_rehearsal = command.contains("simulated");
        assert!(!is_rehearsal || printed.out.contains("REHEARSAL"), "a rehearsal says so");
        ran += 1;
    }
    ran
}

fn is_rehearsal(command: &str) -> bool {
    command.contains("--bench simulated")
}

#[test]
fn the_first_command_of_the_readme_runs() {
    assert_eq!(
        run_all("README.md", |command| is_rehearsal(command) && !command.contains("--fault")),
        1
    );
}

#[test]
fn the_command_of_the_readme_with_a_fault_stops_on_it() {
    assert_eq!(
        run_all("README.md", |command| is_rehearsal(command) && command.contains("--fault")),
        1
    );
}

#[test]
fn every_other_command_of_the_readme_runs_or_is_listed_with_the_reason_why_not() {
    let ran = run_all("README.md", |command| !is_rehearsal(command));
    assert!(ran >= 15, "only {ran} commands ran");
}

#[test]
fn every_command_of_the_other_pages_runs_or_is_listed_with_the_reason_why_not() {
    for page in &PAGES[1..] {
        run_all(page, |_| true);
    }
}

#[test]
fn every_page_with_commands_is_listed_and_nothing_else_is_left_out() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let docs = fs::read_dir(root.join("docs")).unwrap().map(|entry| entry.unwrap().path());
    let docs = docs.filter(|path| path.extension().is_some_and(|ending| ending == "md"));
    let (mut all, mut pages) = (Vec::new(), Vec::new());
    for path in docs.chain([root.join("README.md")]) {
        let found = commands(&fs::read_to_string(&path).unwrap());
        if !found.is_empty() {
            pages.push(path.strip_prefix(root).unwrap().to_str().unwrap().to_owned());
        }
        all.extend(found);
    }
    pages.sort();
    assert_eq!(pages, PAGES);
    for (begin, why) in LEFT_OUT {
        assert!(
            all.iter().any(|command| command.starts_with(begin)),
            "{begin} stands nowhere: {why}"
        );
    }
}
