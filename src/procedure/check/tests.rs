//! The catalogue of findings and its pages: every example on a page does what the page says.
#![expect(clippy::unwrap_used, reason = "a test fails loudly")]

use std::collections::BTreeSet;
use std::path::Path;

use super::{CHECKS, Subject, all_pages, check, check_equipment, page};
use crate::procedure::{read_equipment, read_procedure};

/// A sound procedure into which examples are put.
const BASE: &str = include_str!("base.yaml");

/// The blocks of a page with this info string.
fn blocks(page: &str, info: &str) -> Vec<String> {
    let opening = format!("```{info}\n");
    let after = page.split(opening.as_str()).skip(1);
    after.map(|rest| rest.split("\n```").next().unwrap().to_owned() + "\n").collect()
}

/// Puts an example into [`BASE`]. An example that begins with steps goes to the end of the stage `cold`, one that
/// begins with stages goes after that stage, and any other replaces the keys of the procedure that it holds.
fn spliced(example: &str) -> String {
    if example.starts_with("- step:") {
        BASE.replace("      # steps\n", &indented(example, "      "))
    } else if example.starts_with("- stage:") {
        BASE.replace("  # stages\n", &indented(example, "  "))
    } else {
        let keys = example.lines().filter_map(top_key).collect::<BTreeSet<_>>();
        let mut kept = true;
        let rest = BASE.lines().filter(|line| {
            if let Some(key) = top_key(line) {
                kept = !keys.contains(key);
            }
            kept
        });
        rest.fold(String::new(), |text, line| text + line + "\n") + example
    }
}

fn top_key(line: &str) -> Option<&str> {
    let key = line.split_once(':')?.0;
    key.starts_with(|c: char| c.is_ascii_alphabetic()).then_some(key)
}

fn indented(example: &str, indent: &str) -> String {
    example.lines().fold(String::new(), |text, line| text + indent + line + "\n")
}

/// The codes that an example gives, each once. An example with a key `equipment` is a whole equipment file.
fn codes(example: &str) -> Vec<&'static str> {
    let is_equipment = example.lines().any(|line| top_key(line) == Some("equipment"));
    let findings = if is_equipment {
        let procedure = read_procedure(BASE).unwrap();
        read_equipment(example).map(|equipment| check_equipment(&procedure, &equipment))
    } else {
        let procedure = read_procedure(&spliced(example));
        procedure.map(|procedure| check(&Subject { procedure: &procedure, equipment: None }))
    };
    let findings = findings.unwrap_or_else(|finding| vec![finding]);
    let codes: BTreeSet<_> = findings.iter().map(|finding| finding.code).collect();
    codes.into_iter().collect()
}

#[test]
fn the_base_is_sound() {
    assert!(codes("title: Changed\n").is_empty(), "{:?}", codes("title: Changed\n"));
}

#[test]
fn every_example_does_what_its_page_says() {
    for (code, _, page) in all_pages() {
        let (bad, good) = (blocks(page, "yaml bad"), blocks(page, "yaml good"));
        assert!(!bad.is_empty() && !good.is_empty(), "{code} lacks a bad or a good example");
        for example in bad {
            assert_eq!(codes(&example), [code], "{code}, bad:\n{example}");
        }
        for example in good {
            assert_eq!(codes(&example), Vec::<&str>::new(), "{code}, good:\n{example}");
        }
    }
}

#[test]
fn codes_and_names_are_unique_and_in_order() {
    let codes: Vec<_> = all_pages().map(|(code, ..)| code).collect();
    let names: BTreeSet<_> = all_pages().map(|(_, name, _)| name).collect();
    let families: Vec<_> = codes.chunk_by(|one, other| one.get(..3) == other.get(..3)).collect();
    assert!(families.iter().all(|family| family.is_sorted_by(|one, other| one < other)));
    assert_eq!(codes.iter().collect::<BTreeSet<_>>().len(), codes.len());
    assert_eq!(names.len(), codes.len());
}

#[test]
fn every_page_begins_with_its_code_and_name() {
    for (code, name, text) in all_pages() {
        assert!(text.starts_with(&format!("# {code} {name}\n\n")), "{code} {name}");
        assert_eq!(page(code), Some(text));
    }
    assert_eq!(page("XYZ999"), None);
}

#[test]
fn every_page_in_the_folder_is_in_the_table_and_every_check_has_one() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/procedure/check");
    let names_of = |kind: &str| -> BTreeSet<String> {
        let entries = folder.read_dir().unwrap().map(|entry| entry.unwrap().path());
        let entries = entries.filter(|path| path.extension().is_some_and(|own| own == kind));
        entries.map(|path| path.file_stem().unwrap().to_str().unwrap().to_owned()).collect()
    };
    let listed: BTreeSet<_> = all_pages().map(|(_, name, _)| name.replace('-', "_")).collect();
    assert_eq!(names_of("md"), listed);
    let checks: BTreeSet<_> = CHECKS.iter().map(|check| check.name.replace('-', "_")).collect();
    let shared = ["flow", "mod", "names", "parts", "tests", "texts", "trial"].map(str::to_owned);
    let files: BTreeSet<_> = checks.into_iter().chain(shared).collect();
    assert_eq!(names_of("rs"), files);
}
