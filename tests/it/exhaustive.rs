//! A match on what happened, what was concluded, why a run stopped or what is to be done names every one of them, so that a
//! new one is thought of wherever it is shown, counted, signed or compared.

use std::collections::BTreeMap;

use super::support::source::sources;

/// What is matched on. In the files where these are declared they are called `Self`.
const WATCHED: [&str; 4] = ["Event", "Fact", "StopReason", "Effect"];
const DECLARED_IN: [&str; 4] =
    ["record/event.rs", "record/fact.rs", "record/ending.rs", "runner/effect.rs"];

/// Matches that pass over the rest on purpose, by their files: how many, and why.
const ALLOWED: [(&str, usize, &str); 7] = [
    ("audit/afterwards.rs", 1, "only what is added afterwards gets so far"),
    ("audit/replay.rs", 1, "only these name the version of the program"),
    ("record/event.rs", 1, "any other goes to the runner, which names them all"),
    ("record/run.rs", 1, "any other has been concluded before, where all are named"),
    ("report/afterwards.rs", 1, "any other is told as a sentence, where all are named"),
    ("runner/age.rs", 1, "only these tell of a time beside the clock's"),
    ("runner/authority.rs", 1, "only these bring somebody to the bench who is not asked about"),
];

/// Filters for two kinds that make one table or one mark.
const FILTERS: [(&str, usize, &str); 3] = [
    ("report/content/identity.rs", 1, "the table of the facts about the equipment"),
    ("report/content/standing.rs", 1, "a release counts in the stage that was opened last"),
    ("report/content/summary.rs", 1, "a second reading is due until it was taken"),
];

/// The heads of the matches in a file that name two or more of what is watched and then take any other. A match on one of them is a
/// filter, and what takes any other by a name passes it on.
fn careless(path: &str, code: &str) -> Vec<String> {
    let lines: Vec<_> = code.lines().collect();
    let indent = |line: &str| line.len() - line.trim_start().len();
    let is_watched = |arm: &str| {
        let arm = arm.trim_start_matches(['(', '|', ' ']);
        let arm = arm.strip_prefix("Some(").or_else(|| arm.strip_prefix("Ok(")).unwrap_or(arm);
        let name = arm.split("::").next().unwrap_or_default();
        WATCHED.contains(&name) || (name == "Self" && DECLARED_IN.contains(&path))
    };
    let mut found = Vec::new();
    for (n, head) in lines.iter().enumerate() {
        if !head.contains("match ") || !head.ends_with('{') {
            continue;
        }
        let depth = indent(head);
        let body = lines[n + 1..].iter().take_while(|l| l.trim().is_empty() || indent(l) > depth);
        let arms: Vec<_> =
            body.filter(|line| indent(line) == depth + 4).map(|l| l.trim()).collect();
        let named = arms.iter().filter(|arm| is_watched(arm)).count();
        if named > 1 && arms.iter().any(|arm| arm.starts_with("_ =>")) {
            found.push(head.trim().to_owned());
        }
    }
    found
}

#[test]
fn a_match_on_facts_and_events_names_them_all() {
    let mut allowed: BTreeMap<&str, usize> = BTreeMap::new();
    for (path, count, _) in ALLOWED.iter().chain(&FILTERS) {
        allowed.insert(path, *count);
    }
    let mut read = 0;
    for source in sources() {
        let path = source.path.to_str().unwrap();
        let found = careless(path, &source.code);
        let due = allowed.remove(path).unwrap_or_default();
        assert_eq!(found.len(), due, "{path}: name them all, or say here why not: {found:#?}");
        read += source.code.matches("Fact::").count();
    }
    assert!(allowed.is_empty(), "no such files: {allowed:?}");
    assert!(read > 200, "only {read} facts were read");
}

#[test]
fn a_match_that_passes_over_the_rest_is_seen() {
    let seen = |code: &str, path: &str| careless(path, code).len();
    let two = "    match fact {\n        Fact::Done { .. } => 1,\n        Fact::Seen { .. }\n        | Fact::Written { .. } => 2,\n        _ => 3,\n    }\n";
    assert_eq!(seen(two, "report/text.rs"), 1);
    assert_eq!(seen(&two.replace("_ =>", "other =>"), "report/text.rs"), 0);
    let of_self = two.replace("Fact::", "Self::");
    assert_eq!(seen(&of_self, "report/text.rs"), 0);
    assert_eq!(seen(&of_self, "record/fact.rs"), 1);
    let one = "    match fact {\n        Fact::Done { .. } => 1,\n        _ => 3,\n    }\n";
    assert_eq!(seen(one, "report/text.rs"), 0, "a filter for one kind");
}
