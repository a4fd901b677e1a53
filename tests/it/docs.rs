//! The pages say what is so: their links lead somewhere, their examples work, their commands run.
#![expect(clippy::unwrap_used, reason = "a test fails loudly")]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use wattstep::test_points::bench::{BenchClock, Rehearsal, SimulatedBench};
use wattstep::test_points::cli::Exit;
use wattstep::test_points::procedure::{
    Subject, all_pages, check, check_people, read_equipment, read_model, read_people,
    read_procedure,
};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Every file with this ending in a folder and below.
fn files(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(files(&path, ending));
        } else if path.extension().is_some_and(|extension| extension == ending) {
            found.push(path);
        }
    }
    found
}

/// Every page that people read, with its text.
fn pages() -> Vec<(PathBuf, String)> {
    let mut paths = files(&root().join("docs"), "md");
    paths.extend(["README.md", "DEVELOPERS.md"].map(|name| root().join(name)));
    paths.into_iter().map(|path| (path.clone(), fs::read_to_string(path).unwrap())).collect()
}

fn page(path: &str) -> String {
    fs::read_to_string(root().join(path)).unwrap()
}

/// The first block of a page with this info string.
fn block(page: &str, info: &str) -> String {
    let opening = format!("```{info}\n");
    let after = page.split(opening.as_str()).nth(1).unwrap();
    after.split("```\n").next().unwrap().to_owned()
}

/// The words in backticks.
fn quoted(text: &str) -> impl Iterator<Item = &str> {
    text.split('`').skip(1).step_by(2)
}

/// The anchors that the headings of a page make.
fn anchors(page: &str) -> BTreeSet<String> {
    let headings = page.lines().filter_map(|line| line.trim_start_matches('#').strip_prefix(' '));
    let kept = |c: &char| c.is_alphanumeric() || "-_ ".contains(*c);
    headings
        .map(|heading| heading.to_lowercase().chars().filter(kept).collect::<String>())
        .map(|heading| heading.replace(' ', "-"))
        .collect()
}

#[test]
fn the_changelog_begins_with_this_version() {
    let changelog = page("docs/changelog.md");
    let first = changelog.lines().find_map(|line| line.strip_prefix("## "));
    assert_eq!(first, Some(env!("CARGO_PKG_VERSION")));
}

#[test]
fn every_link_leads_somewhere() {
    let mut links = 0;
    for (path, text) in pages() {
        let targets = text.split("](").skip(1).map(|rest| rest.split(')').next().unwrap());
        for target in targets.filter(|target| !target.contains("://")) {
            let (file, anchor) = target.split_once('#').unwrap_or((target, ""));
            let meant =
                if file.is_empty() { path.clone() } else { path.parent().unwrap().join(file) };
            assert!(meant.exists(), "{}: {target} leads nowhere", path.display());
            if !anchor.is_empty() {
                let anchors = anchors(&fs::read_to_string(&meant).unwrap());
                assert!(anchors.contains(anchor), "{}: no heading for {target}", path.display());
            }
            links += 1;
        }
    }
    assert!(links > 20, "only {links} links were found");
}

#[test]
fn no_page_names_a_place_on_one_machine() {
    let is_path_char = |c: char| c.is_alphanumeric() || "/\\:~._-".contains(c);
    let is_place = |word: &&str| {
        let absolute =
            word.strip_prefix('/').is_some_and(|rest| rest.starts_with(char::is_alphabetic));
        absolute || word.starts_with("~/") || word.contains(":\\")
    };
    for (path, text) in pages() {
        let place = text.split(|c| !is_path_char(c)).find(is_place);
        assert_eq!(place, None, "{}", path.display());
    }
}

#[test]
fn the_example_procedure_has_no_findings() {
    let example = block(&page("docs/procedure-format.md"), "yaml procedure");
    let procedure = read_procedure(&example).unwrap();
    let findings = check(&Subject::new(&procedure, None, None));
    assert!(findings.is_empty(), "{findings:?}");
}

#[test]
fn the_example_people_file_has_no_findings() {
    let people = read_people(&block(&page("docs/people.md"), "yaml people")).unwrap();
    assert_eq!(check_people(&people, None), []);
}

#[test]
fn the_example_model_can_be_rehearsed_sound_and_with_its_fault() {
    let page = page("docs/procedure-format.md");
    let procedure = &read_procedure(&block(&page, "yaml procedure")).unwrap();
    let model = &read_model(&block(&page, "yaml model")).unwrap();
    let facts = "format: 1\nequipment: A board (invented)\nserial: \"1\"\nfacts: {output: 12 V, reservoir: 1 mF}\n";
    let equipment = &read_equipment(facts).unwrap();
    let shown = |fault| {
        let rehearsal = Rehearsal {
            procedure,
            equipment,
            model,
            fault,
            circuit: None,
            clock: &BenchClock::default(),
            log: None,
        };
        SimulatedBench::start(&rehearsal).unwrap().shows(&"output-ohms".into()).unwrap().to_f64()
    };
    assert!(shown(None) > 100.0);
    assert!(shown(Some("output-shorted")) < 1.0);
}

#[test]
fn the_page_of_the_format_lists_every_finding_and_no_other() {
    let page = page("docs/procedure-format.md");
    let section = page.split("\n## Findings").nth(1).unwrap().split("\n## ").next().unwrap();
    let is_code = |word: &&str| word.len() == 6 && word.ends_with(|c: char| c.is_ascii_digit());
    let listed: BTreeSet<_> = quoted(section).filter(is_code).collect();
    let known: BTreeSet<_> = all_pages().map(|(code, ..)| code).collect();
    assert_eq!(listed, known);
    for (code, name, _) in all_pages() {
        assert!(section.contains(&format!("`{code}` {name}")), "{code} is not called {name}");
    }
}

#[test]
fn the_exit_codes_on_the_page_are_those_of_the_program() {
    let source = page("src/cli/exit.rs");
    let mut lines = source.lines().map(str::trim).skip_while(|line| !line.starts_with("pub enum"));
    let mut expected = Vec::new();
    while let Some(line) = lines.next().filter(|line| *line != "}") {
        if let Some(meaning) = line.strip_prefix("/// ") {
            let code = lines.next().and_then(|line| line.split_once(" = ")).unwrap().1;
            expected.push(format!("| {} | {meaning} |", code.trim_end_matches(',')));
        }
    }
    assert_eq!(expected.len(), Exit::Damaged as usize + 1);
    let page = page("docs/exit-codes.md");
    let table = page.split("| code | meaning |\n| --- | --- |\n").nth(1).unwrap();
    let listed: Vec<_> = table.lines().take_while(|line| line.starts_with('|')).collect();
    assert_eq!(listed, expected);
}

/// The names of the variants of an enum, in order.
fn variants<'a>(source: &'a str, name: &str) -> Vec<&'a str> {
    let body = source.split(&format!("pub enum {name} {{\n")).nth(1).unwrap();
    let body = body.split("\n}\n").next().unwrap();
    let names = body.lines().filter_map(|line| line.strip_prefix("    "));
    let names = names.filter(|line| line.starts_with(|c: char| c.is_ascii_uppercase()));
    names.map(|line| line.split(|c: char| !c.is_ascii_alphanumeric()).next().unwrap()).collect()
}

#[test]
fn the_events_and_effects_on_the_page_are_those_of_the_runner() {
    let page = page("docs/architecture.md");
    for (list, source, name) in [
        ("- Events: ", "src/record/event.rs", "Event"),
        ("- Effects: ", "src/runner/effect.rs", "Effect"),
    ] {
        let sentence = page.split(list).nth(1).unwrap().split('.').next().unwrap();
        let listed: Vec<_> = quoted(sentence).collect();
        assert_eq!(listed, variants(&self::page(source), name));
    }
}

#[test]
fn the_verdicts_of_the_glossary_are_those_of_the_program() {
    let page = page("docs/glossary.md");
    let row = page.split("| verdict | a reading against its window: ").nth(1).unwrap();
    let listed: Vec<_> = row.split(" |").next().unwrap().split(", ").collect();
    let source = self::page("src/window/verdict.rs");
    let known = variants(&source, "Verdict").into_iter().map(|name| match name {
        "NotJudged" => "recorded only".to_owned(),
        name => name.to_lowercase(),
    });
    assert_eq!(listed, known.collect::<Vec<_>>());
}

#[test]
fn the_places_that_every_order_is_walked_from_are_all_in_the_safety_case() {
    let page = page("docs/safety-case.md");
    let list = page.split("from several places in a run (").nth(1).unwrap();
    let listed: Vec<_> = quoted(list.split(')').next().unwrap()).collect();
    let source = self::page("src/runner/laws/every_order.rs");
    let walked = source.split("#[test]\nfn ").skip(1).map(|rest| rest.split('(').next().unwrap());
    assert_eq!(listed, walked.collect::<Vec<_>>());
}

/// The names of all tests of the project.
fn all_tests() -> BTreeSet<String> {
    let mut sources = files(&root().join("src"), "rs");
    sources.extend(files(&root().join("tests"), "rs"));
    let sources: String = sources.iter().map(|path| fs::read_to_string(path).unwrap()).collect();
    // Between the attribute and the name there may be other attributes.
    let names = sources.split("#[test]").skip(1);
    let names = names.filter_map(|rest| rest.split("fn ").nth(1)?.split('(').next());
    names.map(str::to_owned).collect()
}

/// The words of a text in backquotes that are names of tests or look like one.
fn named_tests(text: &str) -> Vec<&str> {
    quoted(text).filter(|word| word.contains('_')).collect()
}

#[test]
fn every_test_named_in_the_safety_case_exists() {
    let tests = all_tests();
    let page = page("docs/safety-case.md");
    let named = named_tests(&page);
    assert!(named.len() > 20, "only {} tests are named", named.len());
    let missing: Vec<_> = named.iter().filter(|name| !tests.contains(**name)).collect();
    assert!(missing.is_empty(), "no such tests: {missing:#?}");
}

#[test]
fn every_requirement_is_answered_and_names_tests_that_exist() {
    let tests = all_tests();
    let page = page("docs/requirements.md");
    let mut numbers = Vec::new();
    for line in page.lines() {
        let cells: Vec<_> = line.trim_matches('|').split('|').map(str::trim).collect();
        let Some(number) = cells[0].strip_prefix('R').and_then(|n| n.parse::<u32>().ok()) else {
            continue;
        };
        numbers.push(number);
        let [_, asked, source, answer, held] = cells[..] else { panic!("{line}") };
        assert!(!asked.is_empty() && !source.is_empty(), "{line}");
        let is_answered = answer.starts_with("met") || answer.starts_with("in part: ");
        assert!(is_answered || answer.starts_with("not: "), "{line}");
        assert_eq!(is_answered, !held.is_empty(), "a test holds what is answered: {line}");
        for name in quoted(held) {
            assert!(tests.contains(name), "R{number} names no test: {name}");
        }
    }
    numbers.sort_unstable();
    assert_eq!(numbers, (1..=81).collect::<Vec<_>>());
}

#[test]
fn every_rule_in_the_safety_case_is_held_by_a_test() {
    let page = page("docs/safety-case.md");
    let first_cell = |line: &str| line.trim_matches('|').split('|').next()?.trim().parse().ok();
    let rules: Vec<u32> = page.lines().filter_map(first_cell).collect();
    assert_eq!(rules, (1..=19).collect::<Vec<_>>());
    let mut held = page.split("\n### Rule ").skip(1);
    for rule in rules {
        let section = held.next().unwrap_or_default();
        assert!(section.starts_with(&format!("{rule}\n")), "rule {rule} has no section: {section}");
        assert!(section.contains("- `"), "no test holds rule {rule}");
    }
    assert_eq!(held.next(), None);
}
