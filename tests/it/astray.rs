//! Records that are gone, and what is no file or no folder where one belongs: each is told for what it is, and nothing is left behind.

use std::fs;
use std::os::unix::fs::symlink;
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use serde_json::Value;

use crate::support::WATTSTEP;
use crate::support::bench::Bench;
use crate::support::call::environment;

/// The run of the record at a path.
fn run_of(path: &Path) -> &str {
    path.file_stem().unwrap().to_str().unwrap()
}

fn first_line(printed: &str) -> &str {
    printed.lines().next().unwrap_or_default()
}

#[test]
fn a_record_that_is_gone_is_told_with_what_the_register_knows_of_it() {
    let bench = Bench::new();
    bench.run("good.yaml").any_out().exit(0);
    let path = bench.records().remove(0);
    let text = fs::read_to_string(&path).unwrap();
    let last: Value = serde_json::from_str(text.lines().last().unwrap()).unwrap();
    let (n, run) = (last["n"].as_u64().unwrap(), run_of(&path));
    fs::remove_file(&path).unwrap();
    let register = fs::read_to_string(bench.path("records/register.jsonl")).unwrap();
    let ended: Value = serde_json::from_str(register.lines().last().unwrap()).unwrap();
    let head = ended["entry"]["what"]["ended"]["end"]["head"].as_str().unwrap();
    let known = format!("registered to line {n}, head {head}");
    let by = ["--by", "Kim Example-Tech"];
    for arguments in [
        &["show", run][..],
        &["report", run],
        &["resume", run, "--answers", "good.yaml"],
        &["signatures", run],
        &[&["amend", run, "--line", "2", "--text", "the lid was open"], &by[..]].concat(),
        &[&["void", run, "--why", "the wrong lantern"], &by[..]].concat(),
    ] {
        let missing = "MISSING: the register knows this record";
        let call = bench.wattstep(arguments).err(missing).err(&known).err("switch it off first");
        call.err("Bring the file back from a backup").exit(7);
    }
    for verb in ["show", "report", "signatures"] {
        let call = bench.wattstep(&[verb, "20200101-000000-aaaaa"]);
        call.err("there is no record records/20200101-000000-aaaaa.jsonl").exit(1);
    }
}

#[test]
fn a_run_that_was_left_and_is_gone_is_told_where_runs_are_taken_up() {
    let bench = Bench::new();
    let path = bench.leave_unfinished();
    fs::remove_file(&path).unwrap();
    let missing = format!("MISSING, known to the register: {}", run_of(&path));
    let call = bench.wattstep(&["resume", "--answers", "good.yaml"]);
    call.err("no unfinished run in records").err(&missing).err("switch it off first").exit(7);
}

#[test]
fn damaged_records_are_told_on_the_first_line_of_every_answer() {
    let bench = Bench::new();
    (0..2).for_each(|_| drop(bench.run("good.yaml").any_out().exit(0)));
    let path = bench.records().remove(0);
    let text = fs::read_to_string(&path).unwrap();
    fs::write(&path, text.replacen("Kim", "Jim", 1)).unwrap();
    let all = ["--with-rehearsals", "--look-again"];
    for arguments in [
        &["records"][..],
        &["affected", "--instrument", "meter", "--since", "2020-01-01"],
        &["trend", "feed-current"],
    ] {
        let printed = bench.wattstep(arguments).args(&all).any_out().exit(0).out;
        let damaged = format!("DAMAGED: 1 record, in no answer, see below: {}", run_of(&path));
        assert!(first_line(&printed).starts_with(&damaged), "{arguments:?}: {printed}");
    }
    // Where it is all that there was, too.
    let call = bench.wattstep(&["trend", "feed-current", "--look-again"]);
    call.err("none of these runs holds a reading").err("DAMAGED: 1 record").exit(1);
}

#[test]
fn signatures_without_a_register_say_so_on_the_first_line() {
    let bench = Bench::new();
    bench.run("good.yaml").any_out().exit(0);
    let path = bench.records().remove(0);
    let ask = ["signatures", run_of(&path)];
    let printed = bench.wattstep(&ask).any_out().exit(0).out;
    assert!(!printed.contains("REGISTER"), "{printed}");
    let register = bench.path("records/register.jsonl");
    let kept = fs::read_to_string(&register).unwrap();
    fs::remove_file(&register).unwrap();
    let printed = bench.wattstep(&ask).any_out().exit(0).out;
    assert!(first_line(&printed).starts_with("REGISTER MISSING: "), "{printed}");
    let json = bench.wattstep(&ask).args(&["--format", "json"]).any_out().exit(0).out;
    let found: Value = serde_json::from_str(&json).unwrap();
    assert!(found["register"].as_str().unwrap().starts_with("REGISTER MISSING"), "{found}");
    // One that knows it otherwise vouches for none of its signatures.
    fs::write(&register, kept).unwrap();
    let text = fs::read_to_string(&path).unwrap();
    let short: String = text.split_inclusive('\n').take(5).collect();
    fs::write(&path, short).unwrap();
    let printed = bench.wattstep(&ask).any_err().any_out().exit(7).out;
    assert!(first_line(&printed).starts_with("CUT"), "{printed}");
}

/// What stands where a file or a folder belongs.
#[derive(Clone, Copy, Debug)]
enum Other {
    Pipe,
    Folder,
    Device,
    LinkToNothing,
}

const OTHERS: [Other; 4] = [Other::Pipe, Other::Folder, Other::Device, Other::LinkToNothing];

impl Other {
    fn put(self, path: &Path) {
        match self {
            Self::Pipe => assert!(Command::new("mkfifo").arg(path).status().unwrap().success()),
            Self::Folder => fs::create_dir(path).unwrap(),
            Self::Device => symlink("/dev/zero", path).unwrap(),
            Self::LinkToNothing => symlink("nowhere", path).unwrap(),
        }
    }
}

/// Calls the program, which has to end soon and say no; gives its exit code and what it said.
fn refused(bench: &Bench, arguments: &[&str]) -> (i32, String) {
    let begun = Instant::now();
    let mut command = Command::new("timeout");
    command.args(["20", WATTSTEP]).args(arguments).current_dir(bench.folder());
    let output = command.env_clear().envs(environment()).output().unwrap();
    assert!(begun.elapsed() < Duration::from_secs(15), "{arguments:?}");
    let said = String::from_utf8([output.stdout, output.stderr].concat()).unwrap();
    let code = output.status.code().unwrap();
    assert!([1, 2, 7].contains(&code), "{arguments:?}: {code}\n{said}");
    (code, said)
}

fn names(folder: &Path) -> Vec<String> {
    let found = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name());
    let mut names: Vec<_> = found.map(|name| name.to_str().unwrap().to_owned()).collect();
    names.sort();
    names
}

const RUN: [&str; 4] = ["run", "lantern.yaml", "--answers", "good.yaml"];

#[test]
fn what_is_no_file_in_the_place_of_the_register_is_told_and_nothing_is_left() {
    for other in OTHERS {
        let bench = Bench::new();
        fs::create_dir(bench.path("records")).unwrap();
        other.put(&bench.path("records/register.jsonl"));
        let (code, said) = refused(&bench, &RUN);
        let why = match other {
            Other::LinkToNothing => "records/register.jsonl is a link to a file that is not there",
            _ => "records/register.jsonl is not a regular file",
        };
        assert!(code == 1 && said.contains(why), "{other:?}: {said}");
        assert!(!said.contains("resume") && !said.contains("> "), "{other:?}: {said}");
        for arguments in [&["register"][..], &["digest"], &["verify", "--all"]] {
            let (_, said) = refused(&bench, arguments);
            assert!(said.contains(why), "{other:?} {arguments:?}: {said}");
        }
        let printed = bench.wattstep(&["records"]).any_out().exit(0).out;
        assert!(first_line(&printed).contains(why), "{other:?}: {printed}");
        let left = names(&bench.path("records"));
        let is_own = |name: &String| name == "register.jsonl" || name.starts_with("archive-index");
        assert!(left.iter().all(is_own), "{other:?}: {left:?}");
        assert!(!bench.path("records/nowhere").exists(), "{other:?}");
    }
}

#[test]
fn what_is_no_folder_in_the_place_of_the_records_is_told_and_nothing_is_left() {
    for other in [Other::Pipe, Other::Device, Other::LinkToNothing] {
        let bench = Bench::new();
        other.put(&bench.path("records"));
        let before = names(bench.folder());
        for arguments in [
            &RUN[..],
            &["resume"],
            &["records"],
            &["verify", "--all"],
            &["register"],
            &["affected", "--instrument", "meter", "--since", "2020-01-01"],
        ] {
            let (code, said) = refused(&bench, arguments);
            let why = "records is not a folder";
            assert!(code == 1 && said.contains(why), "{other:?} {arguments:?}: {said}");
        }
        assert_eq!(names(bench.folder()), before, "{other:?}");
    }
}

#[test]
fn what_is_no_file_given_for_a_record_or_a_file_of_people_is_told_and_nothing_is_left() {
    for other in OTHERS {
        let bench = Bench::new();
        other.put(&bench.path("odd.jsonl"));
        let before = names(bench.folder());
        for arguments in [
            &["show", "odd.jsonl"][..],
            &["report", "odd.jsonl"],
            &["resume", "odd.jsonl"],
            &["signatures", "odd.jsonl"],
            &["verify", "odd.jsonl"],
            &["verify", "--alone", "odd.jsonl"],
            &["people", "odd.jsonl"],
            &["check", "odd.jsonl"],
            &[&RUN[..], &["--people", "odd.jsonl"]].concat(),
            &[&RUN[..], &["--equipment", "odd.jsonl"]].concat(),
            &[&RUN[..], &["--bench", "odd.jsonl"]].concat(),
        ] {
            let (code, said) = refused(&bench, arguments);
            assert!(code == 1 && said.contains("odd.jsonl"), "{other:?} {arguments:?}: {said}");
        }
        assert_eq!(names(bench.folder()), before, "{other:?}");
    }
}
