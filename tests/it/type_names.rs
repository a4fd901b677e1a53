//! One name, one type: what a name stands for is known wherever it is read.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;

use super::support::source::{files, root};

/// Names that stand for several types.
const ALLOWED: [(&str, &str); 1] = [(
    "Arguments",
    "each verb and each topic has its own: clap reads them, and nothing else names them",
)];

/// The name of the type that a line declares. A `type` that is indented belongs to a trait.
fn declared(line: &str) -> Option<&str> {
    let bare = line.trim_start();
    let bare = match bare.strip_prefix("pub(") {
        Some(rest) => rest.split_once(") ")?.1,
        None => bare.strip_prefix("pub ").unwrap_or(bare),
    };
    let (word, rest) = bare.split_once(' ')?;
    let is_type = match word {
        "struct" | "enum" | "trait" | "union" => true,
        "type" => !line.starts_with(' '),
        _ => false,
    };
    let name = rest.split(|c: char| !c.is_alphanumeric()).next()?;
    (is_type && name.starts_with(char::is_uppercase)).then_some(name)
}

/// Where each name is declared, tests included.
fn places(sources: &[(String, String)]) -> BTreeMap<&str, Vec<String>> {
    let mut places = BTreeMap::<_, Vec<_>>::new();
    for (path, text) in sources {
        for (i, line) in text.lines().enumerate() {
            if let Some(name) = declared(line) {
                places.entry(name).or_default().push(format!("{path}:{}", i + 1));
            }
        }
    }
    places
}

/// Every file of code in a folder: its path and its text, tests included.
fn code_in(folder: &str) -> Vec<(String, String)> {
    let mut paths = files(&root().join(folder));
    paths.retain(|path| path.extension().is_some_and(|e| e == "rs"));
    let read = |path: std::path::PathBuf| {
        let shown = path.strip_prefix(root()).unwrap().display().to_string();
        (shown, fs::read_to_string(path).unwrap())
    };
    paths.into_iter().map(read).collect()
}

#[test]
fn a_name_of_a_type_stands_for_one_type() {
    let sources = code_in("src");
    let places = places(&sources);
    assert!(places.len() > 700, "only {} types are seen", places.len());
    let doubled: BTreeMap<_, _> = places.into_iter().filter(|(_, at)| at.len() > 1).collect();
    let allowed: BTreeSet<_> = ALLOWED.iter().map(|(name, _)| *name).collect();
    let new: Vec<_> = doubled.iter().filter(|(name, _)| !allowed.contains(*name)).collect();
    assert!(new.is_empty(), "these stand for several types: {new:#?}");
    let gone: Vec<_> = allowed.iter().filter(|name| !doubled.contains_key(*name)).collect();
    assert!(gone.is_empty(), "these stand for one type by now: {gone:#?}");
}

#[test]
fn a_type_is_seen_however_it_is_declared() {
    for line in [
        "struct Window;",
        "pub enum Window {",
        "pub(crate) trait Window: Sized {",
        "    pub(in crate::cli) struct Window<'a>(&'a str);",
        "type Window = (f64, f64);",
    ] {
        assert_eq!(declared(line), Some("Window"), "{line}");
    }
    for line in
        ["    type Window = f64;", "pub fn window() {", "/// struct Window", "pub use Window;"]
    {
        assert_eq!(declared(line), None, "{line}");
    }
}

/// Whether a line calls a value `own`, which says nothing of what it is. Prose and longer names may have the word.
fn calls_it_own(line: &str) -> bool {
    let code = line.split("//").next().unwrap_or_default();
    let is_name = |c: char| c.is_alphanumeric() || c == '_';
    ["let own", "let mut own", "|own", "(own", ", own", "&own", "own:"].iter().any(|start| {
        code.match_indices(start).any(|(at, _)| {
            let before = code[..at].chars().next_back();
            let end = at + start.trim_end_matches(':').len();
            let after = code[end..].chars().next();
            let begins = !start.starts_with('o') || !before.is_some_and(is_name);
            begins && !after.is_some_and(is_name) && !code[..at].contains('"')
        })
    })
}

#[test]
fn a_value_is_called_by_what_it_is() {
    for line in ["let own = 1;", ".map(|own| own.name)", "fn f(a: u8, own: u8) {", "f(&own)"] {
        assert!(calls_it_own(line), "{line}");
    }
    for line in ["// of its own", "let own_time = 1;", "say(\"on its own\")", "own_rule(5.2e6)"] {
        assert!(!calls_it_own(line), "{line}");
    }
    let sources = code_in("src");
    let called: Vec<_> = sources
        .iter()
        .flat_map(|(path, text)| text.lines().zip(1..).map(move |(line, n)| (path, n, line)))
        .filter(|(.., line)| calls_it_own(line))
        .map(|(path, n, line)| format!("{path}:{n}: {}", line.trim()))
        .collect();
    assert!(called.is_empty(), "{called:#?}");
}
