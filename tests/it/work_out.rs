//! Bench arithmetic through the program.

use std::collections::BTreeSet;

use serde_json::Value;

use crate::support::bench::Bench;
use crate::support::terminal::{Look, Terminal};

const PAGE: &str = include_str!("../../docs/work-out.md");

const RAIL: [&str; 12] = [
    "work-out",
    "rail",
    "--secondary",
    "36V",
    "--winding",
    "0.5ohm",
    "--reservoir",
    "10mF",
    "--load",
    "0.3A",
    "--topology",
    "split",
];

/// The examples of the page: each a command and what it prints.
fn examples() -> impl Iterator<Item = (Vec<&'static str>, &'static str)> {
    PAGE.split("```text work-out\n$ wattstep ").skip(1).map(|rest| {
        let (command, rest) = rest.split_once('\n').unwrap();
        (command.split_whitespace().collect(), rest.split("```\n").next().unwrap())
    })
}

/// The topics that the help lists.
fn topics(bench: &Bench) -> BTreeSet<String> {
    let help = bench.wattstep(&["work-out", "--help"]).any_out().exit(0).out;
    let listed = help.split("Commands:\n").nth(1).unwrap().split("\n\n").next().unwrap();
    // A line that goes on is indented further.
    let named = listed.lines().filter_map(|line| line.strip_prefix("  "));
    let words = named.filter(|line| !line.starts_with(' '));
    let words = words.map(|line| line.split_whitespace().next().unwrap().to_owned());
    words.filter(|word| word != "help").collect()
}

#[test]
fn every_topic_has_an_example_on_the_page_and_it_prints_just_that() {
    let bench = Bench::new();
    let mut shown = BTreeSet::new();
    for (command, wanted) in examples() {
        let printed = bench.wattstep(&command).any_out().exit(0);
        assert_eq!(printed.out, wanted, "{command:?}");
        shown.insert(command[1].to_owned());
    }
    assert_eq!(shown, topics(&bench));
}

#[test]
fn json_says_what_the_text_says() {
    let bench = Bench::new();
    for (command, text) in examples() {
        let json = bench.wattstep(&command).args(&["--format", "json"]).any_out().exit(0).out;
        let json: Value = serde_json::from_str(&json).unwrap();
        assert_eq!(json["topic"], command[1]);
        assert!(json.get("explanation").is_none());
        let lines: Vec<_> = text.lines().collect();
        for (value, line) in json["values"].as_array().unwrap().iter().zip(&lines) {
            let (name, shown) = (value["name"].as_str().unwrap(), value["text"].as_str().unwrap());
            assert!(line.starts_with(name) && line.ends_with(shown), "{line:?} is not {value}");
        }
        let remarks = json["remarks"].as_array().unwrap();
        let kinds = ["hazard ", "warning ", "rule ", "note "];
        let is_remark = |line: &&&str| kinds.iter().any(|kind| line.starts_with(kind));
        assert_eq!(remarks.len(), lines.iter().filter(is_remark).count(), "{text}");
    }
}

#[test]
fn every_topic_explains_itself_with_and_without_values() {
    let bench = Bench::new();
    for topic in topics(&bench) {
        let explain = ["work-out", &topic, "--explain"];
        let page = bench.wattstep(&explain).out("Formula").out("Assumptions").out("Source").exit(0);
        assert!(page.out.starts_with("Formula\n"), "{}", page.out);
        let json = bench.wattstep(&explain).args(&["--format", "json"]).any_out().exit(0).out;
        let json: Value = serde_json::from_str(&json).unwrap();
        let headings: Vec<_> = json["explanation"].as_object().unwrap().keys().collect();
        assert_eq!(headings, ["assumptions", "formula", "range_of_validity", "source"]);
        assert!(json.get("values").is_none());
    }
    bench.wattstep(&RAIL).args(&["--explain"]).out("winding current").out("Formula").exit(0);
}

#[test]
fn a_wrong_unit_is_refused_with_the_one_to_type() {
    let bench = Bench::new();
    let wrong =
        |from: &str, to: &'static str| RAIL.map(|word| if word == from { to } else { word });
    bench
        .wattstep(&wrong("36V", "36A"))
        .err("'36A' for '--secondary <V>'")
        .err("`36A` is current, but this is voltage: write it in V")
        .exit(2);
    bench.wattstep(&wrong("10mF", "0")).err("--reservoir").err("above zero").exit(2);
    bench.wattstep(&wrong("0.3A", "0,3A")).err("comma").exit(2);
    bench.wattstep(&wrong("rail", "rails")).err("unrecognized subcommand 'rails'").exit(2);
    bench.wattstep(&["work-out"]).err("Commands:").exit(2);
    bench.wattstep(&["work-out", "rail"]).err("--secondary <V>").err("--explain").exit(2);
    let unfinished = ["work-out", "lamp", "--lamp", "60W", "--secondary", "31V"];
    bench.wattstep(&unfinished).err("--rail-load <A|OHM>").exit(2);
    let contradiction = ["--capacitance", "1mF", "--from", "5V", "--to", "9V", "--resistor", "1k"];
    bench
        .wattstep(&["work-out", "discharge"])
        .args(&contradiction)
        .err("not below the one at the start")
        .err("help: give a --to below --from")
        .exit(2);
}

#[test]
fn forty_columns_no_colour_and_ascii_are_enough() {
    let bench = Bench::new();
    for topic in topics(&bench) {
        let command =
            examples().map(|(command, _)| command).find(|words| words[1] == topic).unwrap();
        let command = [command, vec!["--explain"]].concat();
        let look = Look::usual().columns(40).env("LANG", "C").env("NO_COLOR", "1");
        let terminal = Terminal::start(bench.folder(), &look, &command);
        assert_eq!(terminal.exit_code(), 0);
        terminal.assert_no_line_is_too_wide();
        let raw = terminal.raw();
        assert!(raw.is_ascii() && !raw.contains(&0x1b), "{topic}");
    }
}
