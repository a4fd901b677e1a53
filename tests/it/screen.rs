//! What the screen looks like: narrow, without colour, in ASCII, and with hostile text in files and at prompts.

use serde_json::Value;

use crate::support::bench::{Bench, LANTERN};
use crate::support::desk::Desk;
use crate::support::fed;
use crate::support::terminal::{Look, Terminal, plain};
use crate::support::unwrapped;

/// A whole run with a stop in it: every kind of screen there is.
fn through(look: &Look) -> (Bench, Desk) {
    let bench = Bench::new();
    let mut desk = Desk::run(&bench, look);
    desk.answers("?");
    desk.answers("why");
    desk.answers("all");
    desk.until("Current from the bench supply");
    desk.answers("90");
    desk.until("What next?");
    desk.answers("2");
    desk.answers("smoothing capacitor");
    assert_eq!(desk.finish(), 0);
    (bench, desk)
}

#[test]
fn forty_columns_are_enough_and_nothing_is_lost() {
    let (bench, desk) = through(&Look::usual().columns(40));
    desk.terminal.assert_no_line_is_too_wide();
    let shown = unwrapped(&desk.terminal.since(0));
    let record = bench.record();
    let facts = [record.facts("judged"), record.facts("seen"), record.facts("done")].concat();
    assert!(facts.len() > 15);
    for fact in facts {
        let what = unwrapped(fact["what"].as_str().unwrap());
        assert!(shown.contains(&what), "{what}\n{}", desk.terminal.since(0));
    }
    for words in [
        "Touching it gives an electric shock that kills.",
        "likely a leaking smoothing capacitor",
        "check lift one leg of it and read again",
        "have someone in reach who knows how to cut the power",
    ] {
        assert!(shown.contains(words), "{words}\n{}", desk.terminal.since(0));
    }
    for screen in desk.screens() {
        let asks_live = screen.contains("Power on the power meter");
        assert!(!asks_live || screen.contains("LIVE: direct mains"), "{screen}");
    }
}

#[test]
fn forty_columns_are_enough_for_the_mark_of_a_script() {
    let bench = Bench::new();
    let run = ["run", "lantern.yaml", "--answers", "good.yaml"];
    let terminal = Terminal::start(bench.folder(), &Look::usual().columns(40), &run);
    assert_eq!(terminal.exit_code(), 0);
    terminal.assert_no_line_is_too_wide();
    let shown = unwrapped(&terminal.since(0));
    let mark = "SCRIPTED: answers from a file, not a real run";
    assert_eq!(shown.matches(mark).count(), shown.matches("Stage ").count() + 1, "{shown}");
}

#[test]
fn without_colour_the_screens_say_the_same() {
    let (_, with) = through(&Look::usual());
    let (_, without) = through(&Look::usual().env("NO_COLOR", "1"));
    let colours = |desk: &Desk| has_colours(&desk.terminal.raw());
    assert!(colours(&with) && !colours(&without));
    let same = |screen: &String| screen.lines().map(str::trim_end).collect::<Vec<_>>().join("\n");
    let screens = |desk: &Desk| desk.screens().iter().map(same).collect::<Vec<_>>();
    assert_eq!(screens(&with), screens(&without));
}

/// Looks for `ESC [ ... m`.
fn has_colours(bytes: &[u8]) -> bool {
    let text = String::from_utf8_lossy(bytes).into_owned();
    text.split("\x1b[").skip(1).any(|rest| {
        rest.trim_start_matches(|c: char| c.is_ascii_digit() || c == ';').starts_with('m')
    })
}

#[test]
fn an_ascii_terminal_gets_ascii() {
    let (_, desk) = through(&Look::usual().env("LANG", "C"));
    let shown = desk.terminal.since(0);
    let foreign: String = shown.chars().filter(|c| !c.is_ascii()).collect();
    assert!(foreign.is_empty(), "{foreign:?}\n{shown}");
    assert!(shown.contains("DANGER") && shown.contains("NOW: "), "{shown}");
}

#[test]
fn scripted_runs_and_findings_keep_to_ascii_as_well() {
    let bench = Bench::new();
    let printed = bench.run("good.yaml").env("LANG", "C").any_out().exit(0);
    assert!(printed.out.is_ascii(), "{}", printed.out);
    bench.write("bad.yaml", LANTERN.replace("at_most: 0.3", "at_moost: 0.3"));
    let printed = bench.wattstep(&["check", "bad.yaml"]).env("LANG", "C").any_out().exit(6);
    assert!(printed.out.is_ascii(), "{}", printed.out);
    let path = bench.record().path;
    let show = ["show", path.to_str().unwrap()];
    let printed = bench.wattstep(&show).env("LANG", "C").any_out().exit(0);
    assert!(printed.out.is_ascii(), "{}", printed.out);
}

/// Moves the cursor, clears the screen, sets the title, rings, turns text around.
const HOSTILE: &str = "a\x1b[31mb\x1b[2Jc\x1b]0;owned\x07d\u{9b}31me\u{202e}f";

/// What may never reach a screen from a file or from a person.
fn assert_harmless(shown: &str) {
    let is_bad = |c: char| {
        (c.is_control() && !['\n', '\r', '\t'].contains(&c))
            || ('\u{202a}'..='\u{202e}').contains(&c)
    };
    let bad: Vec<_> = shown.chars().filter(|c| is_bad(*c)).collect();
    assert!(bad.is_empty(), "{bad:?} in:\n{}", shown.escape_debug());
}

#[test]
fn escape_sequences_typed_at_a_prompt_do_not_reach_the_screen() {
    let bench = Bench::new();
    let mut desk = Desk::run(&bench, &Look::usual().env("NO_COLOR", "1"));
    desk.answers("note");
    desk.answers("a\x1b[31mb\x1b[2Jc\x1b]0;owned\x07d");
    desk.until("Lead end to end");
    desk.answers("0.1\x1b[2J\x07");
    let raw = String::from_utf8(desk.terminal.raw()).unwrap();
    for sequence in ["\x1b[31m", "\x1b[2J", "\x1b]", "\x07"] {
        assert!(!raw.contains(sequence), "{sequence:?} in {raw:?}");
    }
    let path = bench.record().path;
    let printed = bench.wattstep(&["show", path.to_str().unwrap()]).any_out().exit(0);
    assert_harmless(&printed.out);
}

#[test]
fn escape_sequences_in_an_answers_file_do_not_reach_the_screen() {
    let bench = Bench::new();
    let hostile = serde_json::to_string(HOSTILE).unwrap().replace('\u{9b}', "\\u009b");
    let operator = format!("operator: {hostile}");
    bench.write_answers("named.yaml", &[("operator: Kim Example-Tech (invented)", &operator)]);
    let refused = bench.run("named.yaml").err("can't be seen").exit(6);
    assert_harmless(&refused.err);
    bench.write_answers(
        "hostile.yaml",
        &[
            ("smoothing capacitor replaced", &hostile),
            ("lead-ohms: 0.12 ohm", &format!("lead-ohms: [{hostile}, 0.12 ohm]")),
        ],
    );
    let refused = bench.run("hostile.yaml").err("can't be seen").exit(6);
    assert_harmless(&refused.err);
    assert!(bench.records().is_empty(), "nothing was begun");
}

#[test]
fn control_characters_in_a_procedure_are_findings_and_are_shown_harmless() {
    let bench = Bench::new();
    let hostile = serde_json::to_string(HOSTILE).unwrap().replace('\u{9b}', "\\u009b");
    for (name, from, to) in [
        ("title.yaml", "title: First power of a small mains lantern", format!("title: {hostile}")),
        ("raw.yaml", "title: First power", format!("title: {HOSTILE}")),
        ("key.yaml", "basis: rating plate", format!("{hostile}: rating plate")),
        ("comment.yaml", "# First", format!("# {HOSTILE}")),
    ] {
        bench.write(name, LANTERN.replace(from, &to));
        let printed = bench.wattstep(&["check", name]).any_out().any_err().exit(6);
        assert_harmless(&printed.out);
        let json = ["check", name, "--format", "json"];
        let printed = bench.wattstep(&json).any_out().any_err().exit(6);
        assert_harmless(&printed.out);
        assert!(!serde_json::from_str::<Vec<Value>>(&printed.out).unwrap().is_empty());
        let run = ["run", name, "--answers", "good.yaml"];
        let printed = bench.wattstep(&run).any_out().any_err().exit(6);
        assert_harmless(&printed.err);
    }
}

#[test]
fn hostile_names_of_files_are_shown_harmless() {
    let bench = Bench::new();
    for arguments in [
        ["check", HOSTILE].as_slice(),
        &["show", HOSTILE],
        &["verify", HOSTILE],
        &["run", HOSTILE],
        &["run", "lantern.yaml", "--answers", HOSTILE],
    ] {
        let printed = bench.wattstep(arguments).any_out().any_err().exit(1);
        assert_harmless(&printed.err);
        assert_harmless(&printed.out);
    }
    bench.write(&format!("{HOSTILE}.yaml"), LANTERN.replace("at_most: 0.3", "at_moost: 0.3"));
    let check = ["check", &format!("{HOSTILE}.yaml")];
    let printed = bench.wattstep(&check).any_out().any_err().exit(6);
    assert_harmless(&printed.out);
}

#[test]
fn a_record_with_hostile_text_in_it_is_shown_harmless() {
    let bench = Bench::new();
    let mut desk = Desk::run(&bench, &Look::usual());
    desk.until("Power on the power meter");
    desk.types("leave");
    desk.terminal.wait_for("type off");
    desk.types("leave");
    desk.terminal.exit_code();
    let path = bench.record().path;
    let text = std::fs::read_to_string(&path).unwrap();
    // The chain breaks here: a forged record still has to be shown without harm.
    let forged = text.replace("smoothing", "smoo\\u001b[2Jthing");
    std::fs::write(&path, forged).unwrap();
    for verb in ["show", "verify"] {
        let printed = bench.wattstep(&[verb, path.to_str().unwrap()]).any_out().any_err().exit(7);
        assert_harmless(&printed.out);
        assert_harmless(&printed.err);
    }
}

#[test]
fn a_window_made_narrow_in_the_middle_is_kept_to() {
    let bench = Bench::new();
    let mut desk = Desk::run(&bench, &Look::usual());
    desk.until("Lead end to end");
    let mark = desk.terminal.mark();
    desk.terminal.resize(40);
    desk.until("Inside under a good light");
    let widest = plain(&desk.terminal.raw()[mark..])
        .lines()
        .skip(2)
        .map(|line| line.trim_end().chars().count())
        .max();
    assert!(widest.unwrap() <= 40, "{}", desk.terminal.since(mark));
}

#[test]
fn a_step_that_was_left_out_is_shown_as_left_out_and_why() {
    let limit = "      - step: feed-limit
        do: Set the current limit of the supply
        by_hand: true
      - step: feed-up
";
    let bench = fed::bench(&[("      - step: feed-up\n", limit)]);
    let mut desk = fed::rehearse(&bench);
    desk.until("Current into the lantern");
    desk.answers("all");
    let shown = desk.question();
    assert!(shown.contains("LEFT feed-limit: left out, the connected supply does it"), "{shown}");
    assert!(shown.contains("good lead-ohms"), "{shown}");
}

#[test]
fn every_question_says_which_set_it_is_of() {
    for columns in [80, 40] {
        let bench = Bench::new();
        let mut desk = Desk::run(&bench, &Look::usual().columns(columns));
        let mut questions = 0;
        while !desk.question().contains("Current from the bench supply") {
            let question = desk.question();
            assert!(question.contains("Lantern 2 (invented), serial L-2 (invented)"), "{question}");
            desk.answers(desk.usual());
            questions += 1;
        }
        assert!(questions > 8, "{questions}");
        desk.terminal.assert_no_line_is_too_wide();
    }
}

#[test]
fn a_person_is_told_what_a_run_takes_once() {
    let bench = Bench::new();
    let mut desk = Desk::run(&bench, &Look::usual());
    let start = desk.question();
    let told = "BEFORE YOU START";
    for words in [told, "of waiting and watching at least", "supervisor releases"] {
        assert!(start.contains(words), "no {words:?} in {start}");
    }
    desk.until("Lead end to end");
    desk.interrupt(|desk| desk.terminal.signal("INT"));
    desk.finish();
    let mut desk = Desk::resume(&bench, &Look::usual());
    // As far as the next stage.
    while !desk.question().contains("Current from the bench supply") {
        assert!(!desk.question().contains(told), "only once: {}", desk.question());
        desk.answers(desk.usual());
    }
}
