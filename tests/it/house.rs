//! How the source is laid out: who may use whom, what pure rooms stay clear of, and what keeps files easy to find.
//! The table of rooms is the one in `docs/architecture.md`.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use super::support::source::{Source, files, root, sources};

/// The most lines of a file without its tests.
const LINES_MAX: usize = 400;

/// What only the outer rooms may know.
const IMPURE: [&str; 16] = [
    "std::fs",
    "std::io",
    "std::net",
    "std::env",
    "std::process",
    "std::thread",
    "Instant",
    "SystemTime",
    "Local::now",
    "Utc::now",
    "print!",
    "println!",
    "eprint!",
    "eprintln!",
    "rustix::",
    "signal_hook::",
];

/// Names that say nothing of what is in a file.
const EMPTY_NAMES: [&str; 7] = ["util", "utils", "helpers", "misc", "common", "imp", "types"];

/// What may stand at the top beside hidden files and what is built.
const TOP: [&str; 11] = [
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE-APACHE",
    "LICENSE-MIT",
    "README.md",
    "deny.toml",
    "docs",
    "procedures",
    "src",
    "tests",
];

struct Room {
    may_use: BTreeSet<String>,
    is_pure: bool,
}

/// The words in backticks.
fn quoted(text: &str) -> impl Iterator<Item = &str> {
    text.split('`').skip(1).step_by(2)
}

fn rooms() -> BTreeMap<String, Room> {
    let page = fs::read_to_string(root().join("docs/architecture.md")).unwrap();
    let table = page.lines().skip_while(|line| !line.starts_with("| room |")).skip(2);
    let rows = table.take_while(|line| line.starts_with('|'));
    let mut rooms = BTreeMap::new();
    for row in rows {
        let cells: Vec<_> = row.split('|').map(str::trim).collect();
        let name = quoted(cells[1]).next().unwrap().to_owned();
        let may_use = quoted(cells[3]).map(str::to_owned).collect();
        rooms.insert(name, Room { may_use, is_pure: cells[4] == "yes" });
    }
    // The outermost room uses every other.
    let all = rooms.keys().cloned().collect();
    rooms.get_mut("cli").unwrap().may_use = all;
    rooms
}

#[test]
fn each_folder_is_a_room_of_the_table_and_each_room_a_folder() {
    let folders = fs::read_dir(root().join("src")).unwrap().map(|entry| entry.unwrap().path());
    let folders = folders.filter(|path| path.is_dir());
    let folders: BTreeSet<_> =
        folders.map(|path| path.file_name().unwrap().to_str().unwrap().to_owned()).collect();
    assert_eq!(folders, rooms().into_keys().collect());
}

#[test]
fn a_room_uses_only_those_in_its_row() {
    let rooms = rooms();
    for source in sources() {
        let Some(name) = source.room() else { continue };
        let path = source.path.display();
        assert!(
            !source.code.contains("crate::{"),
            "{path}: one `use` a room, so that this test sees it"
        );
        for used in source.uses() {
            let may = used == name || rooms[&name].may_use.contains(&used);
            assert!(may, "{path}: {name} may not use {used}");
        }
        let climbs =
            source.path.ends_with(format!("{name}/mod.rs")) && source.code.contains("super::");
        assert!(!climbs, "{path}: `super` is the crate here: name the room");
    }
}

#[test]
fn a_pure_room_leans_on_pure_rooms_and_no_two_on_each_other() {
    let rooms = rooms();
    for (name, room) in &rooms {
        for used in room.may_use.iter().filter(|used| *used != name) {
            assert!(!room.is_pure || rooms[used].is_pure, "{name} is pure and uses {used}");
            assert!(!reaches(&rooms, used, name), "{name} and {used} use each other");
        }
    }
}

fn reaches(rooms: &BTreeMap<String, Room>, from: &str, to: &str) -> bool {
    let others = rooms[from].may_use.iter().filter(|used| *used != from);
    from == to || others.into_iter().any(|used| reaches(rooms, used, to))
}

#[test]
fn a_pure_room_meets_no_file_clock_network_process_environment_or_terminal() {
    let rooms = rooms();
    for source in sources() {
        let is_pure = source.room().is_some_and(|name| rooms[&name].is_pure);
        for word in IMPURE.iter().filter(|_| is_pure) {
            let found = source.code.lines().find(|line| line.contains(word));
            assert_eq!(found, None, "{}: a pure room mentions {word}", source.path.display());
        }
    }
}

#[test]
fn the_library_is_a_list_of_rooms_that_are_closed() {
    let lib = sources().into_iter().find(|source| source.path == Path::new("lib.rs")).unwrap();
    let (mut named, mut open) = (BTreeSet::new(), Vec::new());
    for line in lib.code.lines().filter(|line| !line.is_empty()) {
        let room = line.strip_prefix("pub(crate) mod ").and_then(|rest| rest.strip_suffix(';'));
        match room {
            Some(room) => drop(named.insert(room.to_owned())),
            None => open.push(line),
        }
    }
    assert_eq!(named, rooms().into_keys().collect());
    assert_eq!(open, ["pub mod test_points;", "pub use cli::run;"]);
}

/// What stands there counts as used by the program: a name that no test has a use for would hide what is dead.
#[test]
fn a_test_point_is_one_that_a_test_reaches() {
    let points =
        sources().into_iter().find(|source| source.path == Path::new("test_points.rs")).unwrap();
    let tests: Vec<_> = files(&root().join("tests"))
        .into_iter()
        .filter(|path| path.extension().is_some_and(|e| e == "rs") && !path.ends_with("house.rs"))
        .map(|path| fs::read_to_string(path).unwrap())
        .filter(|text| text.contains("test_points"))
        .collect();
    let mut tried = 0;
    for line in
        points.code.split(';').filter_map(|item| item.trim().split("pub use crate::").nth(1))
    {
        let names = line.rsplit("::").next().unwrap();
        for name in names.split(['{', '}', ',']).map(str::trim).filter(|name| !name.is_empty()) {
            let is_word = |c: char| c.is_alphanumeric() || c == '_';
            let used =
                tests.iter().any(|text| text.split(|c| !is_word(c)).any(|word| word == name));
            assert!(used, "no test reaches {name}");
            tried += 1;
        }
    }
    assert!(tried > 80, "only {tried} names were read");
}

/// As the compiler asks only for descriptions of what is open to the outside.
#[test]
fn what_a_room_offers_is_described() {
    let kinds = ["fn", "const fn", "struct", "enum", "trait", "const", "static", "type"];
    let offers = |line: &str| {
        let offered = line.trim_start().strip_prefix("pub ");
        offered.is_some_and(|item| {
            let field = item.split_once(": ").is_some_and(|(name, _)| !name.contains(' '));
            field
                || kinds
                    .iter()
                    .any(|kind| item.strip_prefix(kind).is_some_and(|o| o.starts_with(' ')))
        })
    };
    let mut tried = 0;
    for path in
        files(&root().join("src")).iter().filter(|path| path.extension().is_some_and(|e| e == "rs"))
    {
        let text = fs::read_to_string(path).unwrap();
        let text = text.split("#[cfg(test)]\nmod tests {").next().unwrap();
        let lines: Vec<_> = text.lines().collect();
        for (n, line) in lines.iter().enumerate().filter(|(_, line)| offers(line)) {
            // Attributes stand between, some over several lines.
            let above = lines[..n].iter().rev().map(|line| line.trim());
            let above = above.take_while(|line| !line.is_empty() && !line.ends_with(['{', ';']));
            let is_described = above.clone().any(|line| line.starts_with("///"));
            assert!(is_described, "{}: {}", path.display(), line.trim());
            tried += 1;
        }
    }
    assert!(tried > 1000, "only {tried} were read");
}

#[test]
fn nobody_climbs_two_floors() {
    for source in sources() {
        assert!(!source.code.contains("super::super::"), "{}", source.path.display());
    }
}

#[test]
fn a_file_holds_one_concept() {
    for source in sources() {
        let lines = source.code.trim_end().lines().count();
        assert!(lines <= LINES_MAX, "{} has {lines} lines", source.path.display());
    }
    for path in files(&root().join("src")).into_iter().chain(files(&root().join("tests"))) {
        let names = path.strip_prefix(root()).unwrap().iter();
        let mut stems = names.map(|name| name.to_str().unwrap().split('.').next().unwrap());
        assert!(!stems.any(|stem| EMPTY_NAMES.contains(&stem)), "{}", path.display());
    }
}

#[test]
fn every_room_says_what_it_is_for_what_it_may_use_and_what_is_always_true() {
    for name in rooms().into_keys() {
        let text = fs::read_to_string(root().join("src").join(&name).join("mod.rs")).unwrap();
        let page: Vec<_> = text.lines().map_while(|line| line.strip_prefix("//!")).collect();
        let page = page.join("\n").to_lowercase();
        for word in ["use", "always true"] {
            assert!(page.contains(word), "the head of src/{name}/mod.rs lacks: {word}");
        }
    }
}

#[test]
fn the_table_of_rooms_says_what_each_room_says_of_itself() {
    let page = fs::read_to_string(root().join("docs/architecture.md")).unwrap();
    for name in rooms().into_keys() {
        let text = fs::read_to_string(root().join("src").join(&name).join("mod.rs")).unwrap();
        let head = text.lines().map_while(|line| line.strip_prefix("//!"));
        let head: Vec<_> = head.map(str::trim).take_while(|line| !line.is_empty()).collect();
        let row = format!("| `{name}` | {} |", head.join(" ").trim_end_matches('.'));
        assert!(page.lines().any(|line| line.starts_with(&row)), "no row begins: {row}");
    }
}

#[test]
fn nothing_unexpected_stands_at_the_top() {
    for entry in fs::read_dir(root()).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        let is_ignored = ["target", "records"].contains(&name.as_str());
        let is_known = is_ignored || TOP.contains(&name.as_str()) || name.starts_with('.');
        assert!(is_known, "{name} does not belong at the top");
    }
}

#[test]
fn two_files_are_unsafe() {
    let is_unsafe = |source: &Source| source.code.contains(["unsafe", " {"].concat().as_str());
    let found: Vec<_> = sources().into_iter().filter(is_unsafe).map(|source| source.path).collect();
    assert_eq!(found, ["bench/link/usbtmc_control.rs", "sitting/fault_signal.rs"].map(Path::new));
}

#[test]
fn no_file_holds_a_reminder_or_a_byte_order_mark() {
    // Put together here, so that this file does not hold them.
    let reminders = [["TO", "DO"].concat(), ["FIX", "ME"].concat(), ["to", "do!"].concat()];
    for folder in ["src", "tests", "docs", "procedures", ".ci"] {
        for path in files(&root().join(folder)) {
            let Ok(text) = fs::read_to_string(&path) else { continue };
            assert!(!text.contains('\u{feff}'), "{}: a byte order mark", path.display());
            for reminder in &reminders {
                assert!(!text.contains(reminder), "{}: {reminder}", path.display());
            }
        }
    }
}
