//! The words of the program, its pages and its procedures: docs/words-and-tone.md lists those that don't come back.

use std::fs;
use std::path::{Path, PathBuf};

const PAGE: &str = include_str!("../../docs/words-and-tone.md");

/// Files with lists of words that are looked for in procedures.
const RECOGNISED: [&str; 3] = [
    "src/procedure/check/families.rs",
    "src/procedure/check/energising.rs",
    "src/procedure/check/trivial_confirmation.rs",
];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The words in the first column of the last table.
fn gone() -> Vec<&'static str> {
    let (_, table) = PAGE.split_once("## Words that don't come back").unwrap();
    let cells = table.lines().filter_map(|line| line.strip_prefix("| `")?.split(" | ").next());
    cells.flat_map(|cell| cell.split(['`', ','])).map(str::trim).filter(|w| !w.is_empty()).collect()
}

/// Tells whether a line holds a phrase as whole words, whatever their capitals.
fn holds(line: &str, phrase: &str) -> bool {
    let line = line.to_lowercase();
    let is_edge = |c: Option<char>| c.is_none_or(|c| !c.is_alphanumeric());
    line.match_indices(phrase).any(|(at, _)| {
        is_edge(line[..at].chars().next_back()) && is_edge(line[at + phrase.len()..].chars().next())
    })
}

fn texts(folder: &Path, into: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let is_text =
            || path.extension().is_some_and(|name| ["rs", "md", "yaml"].iter().any(|e| name == *e));
        if path.is_dir() {
            texts(&path, into);
        } else if is_text() && !path.ends_with("words-and-tone.md") {
            into.push(path);
        }
    }
}

#[test]
fn no_word_that_was_given_up_comes_back() {
    let gone = gone();
    assert!(gone.len() > 20, "{gone:?}");
    let mut paths = vec![root().join("README.md"), root().join("DEVELOPERS.md")];
    ["src", "docs", "procedures"].iter().for_each(|name| texts(&root().join(name), &mut paths));
    let mut found = Vec::new();
    for path in paths {
        let text = fs::read_to_string(&path).unwrap();
        for (n, line) in (1..).zip(text.lines()) {
            for word in gone.iter().filter(|word| holds(line, word)) {
                let place = path.strip_prefix(root()).unwrap().display();
                found.push(format!("{place}:{n}: \"{word}\": {}", line.trim()));
            }
        }
    }
    // What others may write is recognised all the same.
    found.retain(|line| !RECOGNISED.iter().any(|file| line.starts_with(file)));
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn a_word_is_found_as_a_whole_and_in_capitals() {
    assert!(holds("Read it ANEW.", "anew") && holds("it may be off, or not", "may be off"));
    assert!(!holds("a renewed part", "anew") && !holds("as thought of", "ought"));
}
