//! The newcomer's page, gone through word by word at a terminal: what it says is asked is asked, in that order, and nothing else.

use std::fs;
use std::path::Path;

use crate::support::PROCEDURES;
use crate::support::bench::Bench;
use crate::support::desk::Desk;
use crate::support::terminal::{Look, Terminal};

/// A command of the page, and what is asked after it.
struct Command {
    line: String,
    answers: Vec<Exchange>,
}

/// Words that the screen has, and what is typed then.
struct Exchange {
    asked: String,
    typed: String,
}

fn page() -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/first-run.md")).unwrap()
}

/// The commands of a page with their questions, over all blocks.
fn commands(page: &str) -> Vec<Command> {
    let blocks = page.split("```dialogue\n").skip(1).map(|rest| rest.split("```").next().unwrap());
    let mut commands: Vec<Command> = Vec::new();
    for line in blocks.flat_map(str::lines) {
        if let Some(line) = line.strip_prefix("$ wattstep ") {
            commands.push(Command { line: line.to_owned(), answers: Vec::new() });
        } else {
            let (asked, typed) =
                line.split_once(" > ").unwrap_or_else(|| panic!("no answer: {line}"));
            let typed = if typed == "(Enter)" { "" } else { typed };
            let exchange = Exchange { asked: asked.trim().to_owned(), typed: typed.to_owned() };
            commands.last_mut().unwrap().answers.push(exchange);
        }
    }
    commands
}

/// Goes through one command; gives what stands on the screen at its end.
fn follow(bench: &Bench, command: &Command, name: Option<&str>) -> String {
    let line = command.line.replace("NAME", name.unwrap_or("NAME"));
    let arguments: Vec<_> = line.split_whitespace().collect();
    let terminal = Terminal::start(bench.folder(), &Look::usual(), &arguments);
    let Some(first) = command.answers.first() else {
        assert_eq!(terminal.exit_code(), 0, "{line}\n{}", terminal.screen());
        return terminal.screen();
    };
    let mut desk = Desk::at(terminal, &first.asked);
    for (n, exchange) in command.answers.iter().enumerate() {
        let asked = desk.question();
        assert!(asked.contains(&exchange.asked), "not {:?} but:\n{asked}", exchange.asked);
        desk.types(&exchange.typed);
        let goes_on = desk.goes_on();
        assert_eq!(goes_on, n + 1 < command.answers.len(), "{line}\n{}", desk.terminal.screen());
    }
    assert_eq!(desk.terminal.exit_code(), 0, "{line}\n{}", desk.terminal.screen());
    desk.question()
}

#[test]
fn the_newcomers_page_is_what_the_program_asks_word_by_word() {
    let bench = Bench::new();
    for file in ["quillmere.bench.yaml", "bench-supply-output/good.answers.yaml"] {
        let text = fs::read(format!("{PROCEDURES}/{file}")).unwrap();
        let path = bench.path(&format!("procedures/{file}"));
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }
    let mut name = None;
    for command in commands(&page()) {
        let screen = follow(&bench, &command, name.as_deref());
        // The page takes the name from the last lines of the run.
        name = screen
            .split_whitespace()
            .find_map(|word| word.strip_prefix("records/")?.strip_suffix(".jsonl"))
            .map(str::to_owned)
            .or(name);
    }
    let report = fs::read(bench.path("my-supply.pdf")).unwrap();
    assert!(report.starts_with(b"%PDF"), "a report of one's own equipment");
    let mut plain = bench.records();
    plain.retain(|path| path.to_str().unwrap().contains(name.as_deref().unwrap()));
    assert_eq!(plain.len(), 1);
    let opened = fs::read_to_string(plain.first().unwrap()).unwrap();
    assert!(opened.contains("\"mode\":\"real\""), "a run of one's own, and no rehearsal");
}
