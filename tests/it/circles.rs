//! The files of a room use each other in no circle, but for a few that are listed with their reason: a file can be read, changed and
//! moved with those below it alone.

use std::collections::{BTreeMap, BTreeSet};

use super::support::source::sources;

/// Circles that stay: one thing in several files.
const ALLOWED: [(&[&str], &str); 9] = [
    (
        &["cli/verb/trend/answer.rs", "cli/verb/trend/drawing.rs"],
        "an answer in words has its drawing in it, which is drawn from the same answer",
    ),
    (
        &["cli/verb/work_out/mod.rs", "cli/verb/work_out/topic.rs"],
        "the list of topics, and what a topic is to the command line",
    ),
    (
        &["journal/register/book.rs", "journal/writer.rs"],
        "a journal is registered when it begins, and the register is a journal itself",
    ),
    (
        &[
            "procedure/acceptance.rs",
            "procedure/ask.rs",
            "procedure/ceiling.rs",
            "procedure/hazard.rs",
            "procedure/model.rs",
            "procedure/step/hold.rs",
            "procedure/step/mod.rs",
            "procedure/verify.rs",
        ],
        "the model of one file: stages hold steps, and ceilings and verifications are told from the steps of their stage",
    ),
    (
        &["procedure/check/subject.rs", "procedure/check/trial.rs"],
        "what is checked keeps its trials, which are tried on it",
    ),
    (
        &["quantity/decimal.rs", "quantity/decimal_text.rs"],
        "a number, and the text that it is read from and written as",
    ),
    (
        &[
            "runner/age.rs",
            "runner/agreement.rs",
            "runner/answer.rs",
            "runner/authority.rs",
            "runner/concession.rs",
            "runner/judge.rs",
            "runner/machine.rs",
            "runner/progress.rs",
            "runner/task.rs",
            "runner/undecided.rs",
            "runner/verification.rs",
        ],
        "one machine: a task knows what it carries, and carrying it out makes further tasks",
    ),
    (
        &["sitting/known.rs", "sitting/opening.rs"],
        "who answers is known from the run before, and is asked when a run is opened",
    ),
    (
        &["sitting/session.rs", "sitting/supervision.rs"],
        "one session: what it does while nothing is asked stands by itself",
    ),
];

/// A path in the code, as a list of names.
type Names = Vec<String>;

/// The files of the program, and what each of them uses of which others.
struct Tree {
    /// The path of each module's file.
    files: BTreeMap<Names, String>,
    code: BTreeMap<String, String>,
    /// What each module has under another name than where it is declared.
    passed_on: BTreeMap<Names, BTreeMap<String, Names>>,
}

/// The module that a file holds.
fn module(path: &str) -> Names {
    let path = path.trim_end_matches(".rs");
    path.trim_end_matches("/mod").split('/').map(str::to_owned).collect()
}

/// The paths in a tree of `use`, each with the name under which it is used.
fn spread(prefix: &str, tree: &str) -> Vec<(String, String)> {
    let tree = tree.trim();
    let Some((head, rest)) = tree.split_once('{') else {
        let (path, name) = tree.split_once(" as ").unwrap_or((tree, tree));
        let name = name.rsplit("::").next().unwrap_or_default();
        return vec![(format!("{prefix}{path}"), name.to_owned())];
    };
    let inner = rest.rsplit_once('}').map_or(rest, |(inner, _)| inner);
    let (mut depth, mut parts) = (0, vec![String::new()]);
    for c in inner.chars() {
        match c {
            '{' => depth += 1,
            '}' => depth -= 1,
            _ => {}
        }
        match c {
            ',' if depth == 0 => parts.push(String::new()),
            _ => parts.last_mut().unwrap().push(c),
        }
    }
    let parts = parts.iter().filter(|part| !part.trim().is_empty());
    parts.flat_map(|part| spread(&format!("{prefix}{}", head.trim()), part)).collect()
}

/// The `use` statements of a file, each with whether it passes on what it names, and the rest of the code.
fn uses(code: &str) -> (Vec<(bool, String)>, String) {
    let (mut found, mut rest) = (Vec::new(), String::new());
    let mut lines = code.lines();
    while let Some(line) = lines.next() {
        let bare = line.trim_start();
        let after = match bare.strip_prefix("pub") {
            Some(after) if after.starts_with('(') => after.split_once(") ").map(|(_, rest)| rest),
            Some(after) => after.strip_prefix(' '),
            None => Some(bare),
        };
        let Some(first) = after.and_then(|rest| rest.strip_prefix("use ")) else {
            rest.push_str(line);
            rest.push('\n');
            continue;
        };
        let mut statement = first.to_owned();
        while !statement.trim_end().ends_with(';') {
            statement.push(' ');
            statement.push_str(lines.next().unwrap_or(";"));
        }
        found
            .push((bare.starts_with("pub"), statement.trim_end().trim_end_matches(';').to_owned()));
    }
    (found, rest)
}

impl Tree {
    fn of(sources: impl IntoIterator<Item = (String, String)>) -> Self {
        let code: BTreeMap<_, _> = sources.into_iter().collect();
        let files = code.keys().map(|path| (module(path), path.clone())).collect();
        let tree = Self { files, code, passed_on: BTreeMap::new() };
        let passed_on = |(path, code): (&String, &String)| {
            let here = module(path);
            let named = uses(code).0.into_iter().flat_map(|(_, statement)| spread("", &statement));
            let absolute = |(path, name): (String, _)| Some((name, tree.absolute(&here, &path)?));
            (here.clone(), named.filter_map(absolute).collect())
        };
        let passed_on = tree.code.iter().map(passed_on).collect();
        Self { passed_on, ..tree }
    }

    /// A path from the root of the crate; none for what is not of this crate.
    fn absolute(&self, here: &Names, path: &str) -> Option<Names> {
        let mut names = path.split("::").map(str::trim).peekable();
        let mut from = here.clone();
        match names.peek().copied()? {
            "crate" => {
                from.clear();
                names.next();
            }
            "self" => drop(names.next()),
            "super" => {
                while names.next_if_eq(&"super").is_some() {
                    from.pop();
                }
            }
            child => {
                let module: Names = here.iter().cloned().chain([child.to_owned()]).collect();
                self.files.get(&module)?;
            }
        }
        from.extend(names.map(str::to_owned));
        Some(from)
    }

    /// The file in which a path ends, through what modules pass on.
    fn file(&self, path: &Names, seen: &mut BTreeSet<Names>) -> Option<&String> {
        for n in (1..=path.len()).rev() {
            let (module, rest) = (path[..n].to_vec(), &path[n..]);
            let Some(file) = self.files.get(&module) else { continue };
            let Some(name) = rest.first() else { return Some(file) };
            let target = self.passed_on.get(&module).and_then(|names| names.get(name));
            return match target.filter(|_| seen.insert(path.clone())) {
                Some(target) => {
                    let whole: Names = target.iter().chain(&rest[1..]).cloned().collect();
                    self.file(&whole, seen)
                }
                None => Some(file),
            };
        }
        None
    }

    /// The other files of its room that a file uses.
    fn used(&self, path: &str) -> BTreeSet<&str> {
        let here = module(path);
        let (statements, rest) = uses(&self.code[path]);
        // What is only passed on is not used.
        let statements = statements.iter().filter(|(passed_on, _)| !passed_on);
        let mut paths: Vec<String> = statements
            .flat_map(|(_, statement)| spread("", statement))
            .map(|(path, _)| path)
            .collect();
        let is_path = |c: char| c.is_alphanumeric() || c == '_' || c == ':';
        // Whom something is shown to is not used.
        let rest = rest.replace("(in crate::", "(");
        let words = rest.split(|c| !is_path(c)).filter(|word| word.contains("::"));
        let is_list = path.ends_with("mod.rs");
        let is_ours =
            |word: &&str| word.starts_with("crate::") || word.starts_with("super::") || !is_list;
        paths.extend(words.filter(is_ours).map(str::to_owned));
        let files = paths.iter().filter_map(|own_path| {
            let path = self.absolute(&here, own_path.trim_end_matches(':'))?;
            self.file(&path, &mut BTreeSet::new())
        });
        let room = path.split('/').next();
        files
            .map(String::as_str)
            .filter(|file| *file != path && file.split('/').next() == room)
            .collect()
    }

    /// The circles: files each of which can be reached from each.
    fn circles(&self) -> BTreeSet<Vec<&str>> {
        let paths = self.code.keys().map(String::as_str);
        let used: BTreeMap<_, _> = paths.map(|path| (path, self.used(path))).collect();
        let reached: BTreeMap<_, _> =
            used.keys().map(|path| (*path, reached(path, &used))).collect();
        let circle = |path: &str| {
            let both = reached[path].iter().filter(|other| reached[**other].contains(path));
            both.copied().collect::<Vec<_>>()
        };
        used.keys().map(|path| circle(path)).filter(|circle| circle.len() > 1).collect()
    }
}

/// Every file that one leads to.
fn reached<'a>(from: &'a str, used: &BTreeMap<&str, BTreeSet<&'a str>>) -> BTreeSet<&'a str> {
    let (mut reached, mut next) = (BTreeSet::new(), vec![from]);
    while let Some(path) = next.pop() {
        next.extend(used[path].iter().filter(|path| reached.insert(**path)));
    }
    reached
}

#[test]
fn files_of_a_room_use_each_other_in_no_circle_but_those_that_are_listed() {
    let sources = sources().into_iter();
    let tree =
        Tree::of(sources.map(|source| (source.path.to_str().unwrap().to_owned(), source.code)));
    let uses: usize = tree.code.keys().map(|path| tree.used(path).len()).sum();
    assert!(uses > 1000, "only {uses} uses are seen");
    let found = tree.circles();
    let allowed: BTreeSet<Vec<&str>> = ALLOWED.iter().map(|(files, _)| files.to_vec()).collect();
    let new: Vec<_> = found.difference(&allowed).collect();
    assert!(new.is_empty(), "circles of files: {new:#?}");
    let gone: Vec<_> = allowed.difference(&found).collect();
    assert!(gone.is_empty(), "these are no circles any more: {gone:#?}");
}

#[test]
fn a_circle_is_seen_through_what_a_module_passes_on() {
    let circles = |files: &[(&str, &str)]| {
        let files = files.iter().map(|(path, code)| ((*path).to_owned(), (*code).to_owned()));
        let tree = Tree::of(files);
        let found = tree.circles().into_iter();
        found.map(|circle| circle.into_iter().map(str::to_owned).collect()).collect::<Vec<Vec<_>>>()
    };
    let list =
        ("room/mod.rs", "mod one;\nmod two;\npub use one::One;\npub use two::{\n    Two,\n};\n");
    let one = ("room/one.rs", "use super::Two;\npub struct One;\n");
    let (up, down) = ("pub struct Two(super::One);\n", "pub struct Two;\n");
    let circle = vec![vec!["room/one.rs".to_owned(), "room/two.rs".to_owned()]];
    assert_eq!(circles(&[list, one, ("room/two.rs", up)]), circle);
    let by_tree = "use crate::room::{one::One as Other};\npub struct Two(Other);\n";
    assert_eq!(circles(&[list, one, ("room/two.rs", by_tree)]), circle);
    assert!(circles(&[list, one, ("room/two.rs", down)]).is_empty());
}
