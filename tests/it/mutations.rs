//! Safety-bearing lines broken one after the other, in a copy of the tree: the tests that are named have to notice.
//!
//! The list is `tests/mutations/list`. That its old texts still stand in the tree is looked at with every run of the tests;
//! to replay it costs a build for each mutation: DEVELOPERS.md says how.

use std::env;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

const LIST: &str = include_str!("../mutations/list");

/// What the copy of the tree needs of it.
const COPIED: [&str; 6] = ["Cargo.toml", "Cargo.lock", "src", "tests", "procedures", "docs"];

/// How long the tests of one mutation may take, its build included.
const PATIENCE: Duration = Duration::from_secs(1800);

/// One line, broken.
#[derive(Debug)]
struct Mutation {
    lost: &'static str,
    file: &'static str,
    old: String,
    new: String,
    /// The target (`lib` or `it`) and a part of the names of the tests.
    tests: Vec<(&'static str, &'static str)>,
}

/// What became of a mutation.
#[derive(Debug, PartialEq)]
enum Fate {
    Noticed,
    Survived,
    DoesNotBuild,
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn mutations() -> Vec<Mutation> {
    let is_comment = |line: &&str| line.starts_with('#');
    let blocks = LIST.split("\n\n").map(|block| {
        block.lines().filter(|line| !is_comment(line)).filter(|line| !line.is_empty()).collect()
    });
    blocks.filter(|lines: &Vec<_>| !lines.is_empty()).map(|lines| mutation(&lines)).collect()
}

fn mutation(lines: &[&'static str]) -> Mutation {
    let text = |mark: &str| {
        let lines: Vec<_> = lines.iter().filter_map(|line| line.strip_prefix(mark)).collect();
        lines.join("\n")
    };
    let test = |line: &&'static str| {
        line.split_once(' ').filter(|(target, _)| ["lib", "it"].contains(target))
    };
    let tests: Vec<_> = lines[2..].iter().filter_map(test).collect();
    assert!(!tests.is_empty(), "{}: no test is named", lines[0]);
    Mutation { lost: lines[0], file: lines[1], old: text("- "), new: text("+ "), tests }
}

#[test]
fn every_old_text_of_the_mutations_stands_once_in_the_tree() {
    let all = mutations();
    assert!(all.len() > 40, "{}", all.len());
    for Mutation { lost, file, old, new, .. } in all {
        let text = fs::read_to_string(root().join(file)).unwrap();
        assert_eq!(text.matches(&old).count(), 1, "{lost}: {file}");
        assert_ne!(old, new, "{lost}");
    }
}

#[test]
fn every_test_that_has_to_notice_a_mutation_is_there() {
    let mut sources = String::new();
    for folder in ["src", "tests/it"] {
        read(&root().join(folder), &mut sources);
    }
    for Mutation { lost, tests, .. } in mutations() {
        for (_, name) in tests {
            // A part of the path of many is that of a room, or of a file in it.
            let found = match name.contains("::") {
                true => {
                    root().join("src").join(name.replace("::", "/")).exists()
                        || root()
                            .join("src")
                            .join(name.replace("::", "/"))
                            .with_extension("rs")
                            .exists()
                }
                false => sources.contains(&format!("fn {name}()")),
            };
            assert!(found, "{lost}: {name}");
        }
    }
}

fn read(folder: &Path, into: &mut String) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            read(&path, into);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            into.push_str(&fs::read_to_string(path).unwrap());
        }
    }
}

fn copy(from: &Path, to: &Path) {
    if from.is_dir() {
        fs::create_dir_all(to).unwrap();
        for entry in fs::read_dir(from).unwrap() {
            let name = entry.unwrap().file_name();
            copy(&from.join(&name), &to.join(&name));
        }
    } else if fs::read(from).ok() != fs::read(to).ok() {
        // What is as it was keeps its time, so that it is not built again.
        fs::copy(from, to).unwrap();
    }
}

/// Runs cargo in the copy; tells whether it succeeded, which a run that never ends does not.
fn cargo(tree: &Path, arguments: &[&str]) -> bool {
    let mut child = Command::new(env!("CARGO"))
        .args(arguments)
        .current_dir(tree)
        .env("CARGO_TARGET_DIR", tree.with_file_name("build"))
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let begun = Instant::now();
    loop {
        if let Some(status) = child.try_wait().unwrap() {
            return status.success();
        }
        if begun.elapsed() > PATIENCE {
            child.kill().unwrap();
            child.wait().unwrap();
            return false;
        }
        sleep(Duration::from_millis(50));
    }
}

/// The arguments that build or run the tests of one target.
fn of_target(target: &str) -> Vec<&str> {
    match target {
        "lib" => vec!["test", "--offline", "--lib"],
        _ => vec!["test", "--offline", "--test", "it"],
    }
}

/// Breaks the line in the copy and runs the tests that are named until one of them notices.
fn fate(tree: &Path, mutation: &Mutation) -> Fate {
    let path: PathBuf = tree.join(mutation.file);
    let sound = fs::read_to_string(&path).unwrap();
    fs::write(&path, sound.replacen(&mutation.old, &mutation.new, 1)).unwrap();
    let noticed = |(target, name): &(&str, &str)| -> Option<bool> {
        let build = [of_target(target), vec!["--no-run"]].concat();
        let is_built = cargo(tree, &build);
        is_built.then(|| !cargo(tree, &[of_target(target), vec!["--", name]].concat()))
    };
    let mut fate = Fate::Survived;
    for test in &mutation.tests {
        match noticed(test) {
            None => fate = Fate::DoesNotBuild,
            Some(true) => fate = Fate::Noticed,
            Some(false) => continue,
        }
        break;
    }
    fs::write(&path, sound).unwrap();
    fate
}

/// Which of them are replayed: all, or those of `MUTATIONS` (`1-10`, by their place in the list).
fn slice(count: usize) -> std::ops::RangeInclusive<usize> {
    let Ok(text) = env::var("MUTATIONS") else { return 1..=count };
    let (first, last) = text.split_once('-').unwrap_or((&text, &text));
    first.parse().unwrap()..=last.parse().unwrap()
}

#[test]
#[ignore = "builds the program once for each mutation: DEVELOPERS.md"]
#[expect(clippy::print_stderr, reason = "the person who replays them wants to see how far it is")]
fn every_mutation_is_noticed_by_the_tests_that_are_named() {
    let tree = root().join("target/mutations/tree");
    fs::create_dir_all(&tree).unwrap();
    for name in COPIED {
        copy(&root().join(name), &tree.join(name));
    }
    let all = mutations();
    let slice = slice(all.len());
    let mut unnoticed = Vec::new();
    for (place, mutation) in (1..).zip(&all).filter(|(place, _)| slice.contains(place)) {
        let fate = fate(&tree, mutation);
        eprintln!("{place:>3}  {fate:?}  {}", mutation.lost);
        if fate != Fate::Noticed {
            unnoticed.push((place, mutation.lost, fate));
        }
    }
    assert!(unnoticed.is_empty(), "{unnoticed:#?}");
}
