//! Files made to break a reader: each is refused quickly, within little memory, with a clear word.

use std::fmt::Write as _;
use std::process::Command;
use std::time::{Duration, Instant};

use crate::support::WATTSTEP;
use crate::support::bench::{Bench, LANTERN};
use crate::support::call::{Call, environment};

/// Generous, for a debug build on a busy machine; a release build takes a few milliseconds.
const PATIENCE: Duration = Duration::from_secs(5);

/// The most memory the program may even ask for (KiB); `ulimit -v` counts what is reserved, used or not.
const MEMORY_KIB: u32 = 200 * 1024;

/// Checks a file under the limits of time and memory, gives it as a procedure, equipment file and answers file.
fn refused(bench: &Bench, name: &str, code: i32, words: &str) {
    let wattstep = |arguments: &str| {
        let script = format!("ulimit -v {MEMORY_KIB}; exec \"$WATTSTEP\" {arguments}");
        Call::shell(bench.folder(), &script)
    };
    let begun = Instant::now();
    let check = wattstep(&format!("check {name}"));
    let printed = if code == 6 { check.out(words) } else { check.err(words) }.any_err().exit(code);
    let taken = begun.elapsed();
    assert!(taken < PATIENCE, "{name} took {taken:?}");
    assert!(printed.out.len() + printed.err.len() < 10_000, "{name}: more than a screen or two");
    wattstep(&format!("run {name} --answers good.yaml")).any_err().exit(code);
    wattstep(&format!("check lantern.yaml --equipment {name}")).any_out().any_err().exit(code);
    wattstep(&format!("run lantern.yaml --answers {name}")).any_err().exit(code);
    assert!(bench.records().is_empty());
}

#[test]
fn aliases_that_grow_without_end_are_refused() {
    let bench = Bench::new();
    let mut bomb = String::from("title: &a0 [x, x, x, x, x, x, x, x, x, x]\n");
    for n in 1..12 {
        let aliases = vec![format!("*a{}", n - 1); 10].join(", ");
        writeln!(bomb, "key{n}: &a{n} [{aliases}]").unwrap();
    }
    bench.write("bomb.yaml", &bomb);
    refused(&bench, "bomb.yaml", 6, "error[");
    let under_answers = bomb.lines().map(|line| format!("  {line}\n")).collect::<String>();
    bench.write(
        "bomb2.yaml",
        format!("format: 1\noperator: Kim Example-Tech\nanswers:\n{under_answers}"),
    );
    refused(&bench, "bomb2.yaml", 6, "error[");
}

#[test]
fn nesting_without_end_is_refused() {
    let bench = Bench::new();
    for (name, text) in [
        ("flow.yaml", "[".repeat(100_000)),
        ("maps.yaml", "{a: ".repeat(100_000)),
        ("block.yaml", format!("stages:\n{}x", "- ".repeat(100_000))),
        ("answers.yaml", format!("format: 1\nanswers: {}", "{a: ".repeat(100_000))),
        (
            "formula.yaml",
            LANTERN.replace(
                "voltage: 24 V",
                &format!("voltage: \"{}24 V{}\"", "(".repeat(100_000), ")".repeat(100_000)),
            ),
        ),
        (
            "minus.yaml",
            LANTERN.replace("voltage: 24 V", &format!("voltage: \"{}24 V\"", "-".repeat(100_000))),
        ),
    ] {
        bench.write(name, text);
        refused(&bench, name, 6, "error[");
    }
}

#[test]
fn a_file_of_100_mb_is_refused_unread() {
    let bench = Bench::new();
    std::fs::File::create(bench.path("huge.yaml")).unwrap().set_len(100_000_000).unwrap();
    refused(&bench, "huge.yaml", 1, "huge.yaml is larger than 1 MiB");
    bench.write("long.yaml", format!("{LANTERN}#{}\n", "x".repeat(2_000_000)));
    refused(&bench, "long.yaml", 1, "long.yaml is larger than 1 MiB");
}

#[test]
fn a_device_without_end_is_refused() {
    let bench = Bench::new();
    bench.wattstep(&["check", "/dev/zero"]).err("/dev/zero").exit(1);
    bench.wattstep(&["run", "/dev/zero", "--answers", "good.yaml"]).err("/dev/zero").exit(1);
}

#[test]
fn keys_that_come_twice_are_refused() {
    let bench = Bench::new();
    bench.write("twice.yaml", LANTERN.replace("revision: 3", "revision: 3\nrevision: 4"));
    refused(&bench, "twice.yaml", 6, "revision");
    bench.write_answers("two.yaml", &[("  feed-on: done\n", "  feed-on: done\n  feed-on: done\n")]);
    bench.run("two.yaml").err("feed-on").exit(6);
}

#[test]
fn characters_that_cannot_be_seen_are_refused() {
    let bench = Bench::new();
    for (name, hidden) in [
        ("nul.yaml", "\0"),
        ("nul-escaped.yaml", "\\0"),
        ("escape.yaml", "\x1b[2J"),
        ("escape-escaped.yaml", "\\e[2J"),
        ("bidi.yaml", "\u{202e}"),
        ("bidi-escaped.yaml", "\\u202e"),
        ("c1.yaml", "\u{9b}2J"),
        ("zero-width.yaml", "\u{200b}"),
        ("second-mark.yaml", "\u{feff}"),
    ] {
        let title = "title: First power of a small mains lantern";
        let line = LANTERN.lines().position(|line| line == title).unwrap() + 1;
        let hidden = format!("title: \"First {hidden}power\"");
        bench.write(name, LANTERN.replace(title, &hidden));
        bench.wattstep(&["check", name]).out(&format!("{name}:{line}:")).exit(6);
        bench.wattstep(&["run", name, "--answers", "good.yaml"]).err(name).exit(6);
    }
    bench.write("plain-nul.yaml", LANTERN.replace("plug-out", "plug\0out"));
    refused(&bench, "plain-nul.yaml", 6, "plain-nul.yaml:");
}

#[test]
fn findings_without_end_are_counted_but_not_all_shown() {
    let bench = Bench::new();
    let mut text = LANTERN.to_owned();
    for n in 0..1_000 {
        writeln!(text, "      - step: closing-words\n        note: again {n}").unwrap();
    }
    bench.write("many.yaml", text);
    let begun = Instant::now();
    let check = bench.wattstep(&["check", "many.yaml"]);
    let printed = check.out("more in many.yaml").out("1 file checked, 1004 findings").exit(6);
    assert!(printed.out.lines().count() < 1_000, "{}", printed.out);
    assert!(begun.elapsed() < PATIENCE, "{:?}", begun.elapsed());
    let json = ["check", "many.yaml", "--format", "json"];
    let all = bench.wattstep(&json).any_out().exit(6).out;
    assert_eq!(serde_json::from_str::<Vec<serde_json::Value>>(&all).unwrap().len(), 1004);
}

#[test]
fn odd_yaml_is_refused_with_its_place() {
    let bench = Bench::new();
    for (name, text) in [
        ("empty.yaml", ""),
        ("blank.yaml", "\n\n# nothing\n"),
        ("list.yaml", "- a\n- b\n"),
        ("number.yaml", "12\n"),
        ("tabs.yaml", "format: 1\n\tprocedure: x\n"),
        ("open.yaml", "title: \"never closed\n"),
        ("two.yaml", "--- \nformat: 1\n---\nformat: 1\n"),
        ("tag.yaml", "!!python/object:os.system {}\n"),
        ("merge.yaml", "<<: {format: 1}\n"),
    ] {
        bench.write(name, text);
        refused(&bench, name, 6, &format!("{name}:"));
    }
}

#[test]
fn a_character_that_cannot_be_seen_is_found_in_a_comment_and_in_a_key() {
    let bench = Bench::new();
    for (name, from, to) in [
        ("comment.yaml", "stages:\n", "# at most \u{202e}V 21\u{202c}\nstages:\n"),
        ("after.yaml", "revision: 3\n", "revision: 3 # \u{2066}as approved\u{2069}\n"),
    ] {
        assert!(LANTERN.contains(from));
        bench.write(name, LANTERN.replacen(from, to, 1));
        bench.wattstep(&["check", name]).out("TXT001").out("4 findings").exit(6);
        bench.wattstep(&["run", name, "--answers", "good.yaml"]).err("TXT001").exit(6);
    }
    bench.write("crlf.yaml", format!("\u{feff}{}", LANTERN.replace('\n', "\r\n")));
    bench.wattstep(&["check", "crlf.yaml"]).out("3 findings").exit(6);
}

#[test]
fn letters_from_the_right_beside_figures_are_found() {
    let bench = Bench::new();
    let title = "title: First power of a small mains lantern";
    let turned = LANTERN.replace(title, "title: \"\u{05de}\u{05e0}\u{05d5}\u{05e8}\u{05d4} 12 V\"");
    bench.write("turned.yaml", turned);
    bench.wattstep(&["check", "turned.yaml"]).out("TXT010").exit(6);
}

#[test]
fn a_message_does_not_repeat_a_megabyte() {
    let bench = Bench::new();
    let long = "x".repeat(900_000);
    bench.write("long.yaml", LANTERN.replace("voltage: 24 V", &format!("voltage: {long}")));
    let check = bench.wattstep(&["check", "long.yaml"]).any_out().any_err().exit(6);
    assert!(check.out.len() + check.err.len() < 20_000, "{} bytes", check.out.len());
    bench.write_answers("long.answers.yaml", &[("feed-on: done", &format!("feed-on: {long}"))]);
    let run = bench.run("long.answers.yaml").any_out().any_err().exit(4);
    assert!(run.out.len() + run.err.len() < 200_000, "{} {}", run.out.len(), run.err.len());
}

#[test]
fn a_pipe_given_for_a_file_is_refused_at_once() {
    let bench = Bench::new();
    assert!(Command::new("mkfifo").arg(bench.path("pipe")).status().unwrap().success());
    bench.write("bench.yaml", "format: 1\nbench: invented\ninstruments: {}\n");
    let run = ["run", "lantern.yaml"];
    let simulated =
        ["run", "bench-supply-output", "--bench", "simulated", "--simulated-log", "pipe"];
    for arguments in [
        &["check", "pipe"][..],
        &["check", "lantern.yaml", "--equipment", "pipe"],
        &["check", "--bench", "pipe"],
        &["bench", "pipe"],
        &["bench", "bench.yaml", "--answers", "pipe"],
        &["plan", "pipe"],
        &[&run[..], &["--answers", "pipe"]].concat(),
        &[&run[..], &["--people", "pipe", "--answers", "good.yaml"]].concat(),
        &[&simulated[..], &["--operator", "Kim Example-Tech", "--answers", "good.yaml"]].concat(),
        &["show", "pipe"],
        &["report", "pipe"],
        &["verify", "pipe"],
        &["digest", "--records", "pipe"],
    ] {
        let begun = Instant::now();
        let mut command = Command::new("timeout");
        command.args(["20", WATTSTEP]).args(arguments).current_dir(bench.folder());
        let output = command.env_clear().envs(environment()).output().unwrap();
        let printed = [output.stdout, output.stderr].concat();
        let printed = String::from_utf8(printed).unwrap();
        assert!(begun.elapsed() < Duration::from_secs(15), "{arguments:?}");
        assert_ne!(output.status.code(), Some(0), "{arguments:?}");
        assert!(printed.contains("pipe"), "{arguments:?}: {printed}");
        assert!(!printed.contains("os error"), "{arguments:?}: {printed}");
        assert!(!printed.contains("there is no register"), "{arguments:?}: {printed}");
    }
}

#[test]
fn thousands_of_circuits_are_refused_at_once() {
    let bench = Bench::new();
    let mut worked_out = String::from("work_out:\n");
    for n in 0..3_000 {
        writeln!(worked_out, "  rail{n}: bridge_peak({n} V, 1 ohm, 1 mF, 0.1 A, 50 Hz)").unwrap();
    }
    bench.write("rails.yaml", LANTERN.replacen("stages:\n", &format!("{worked_out}stages:\n"), 1));
    for verb in ["check", "plan"] {
        let begun = Instant::now();
        let call = bench.wattstep(&[verb, "rails.yaml"]).any_out().any_err().exit(6);
        assert!(format!("{}{}", call.out, call.err).contains("QTY040"), "{}", call.out);
        assert!(begun.elapsed() < PATIENCE, "{verb}: {:?}", begun.elapsed());
    }
}

#[test]
fn a_line_of_a_record_without_end_is_refused_in_little_memory() {
    let bench = Bench::new();
    bench.run("good.yaml").any_out().any_err().exit(0);
    let record = bench.records().pop().unwrap();
    let mut text = std::fs::read(&record).unwrap();
    let lines = text.iter().filter(|byte| **byte == b'\n').count();
    text.resize(text.len() + 240_000_000, b'x');
    std::fs::write(&record, text).unwrap();
    let script = format!("ulimit -v {MEMORY_KIB}; exec \"$WATTSTEP\" show {}", record.display());
    let words = format!("line {}", lines + 1);
    Call::shell(bench.folder(), &script).err(&words).exit(7);
}
