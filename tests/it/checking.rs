//! `check`: findings with their place, for people and for programs.

use serde_json::Value;

use crate::support::bench::{Bench, LANTERN};

/// A procedure in which nothing is to be found.
const SOUND: &str = include_str!("../data/dangerous/sound.yaml");

/// A bench on which a word of the lantern's procedure is misspelt, and the line and column it stands at.
fn misspelt() -> (Bench, usize, usize) {
    let bench = Bench::new();
    let text = LANTERN.replace("at_most: 0.3", "at_moost: 0.3");
    bench.write("bad.yaml", &text);
    let before = &text[..text.find("at_moost").unwrap()];
    let column = before.len() - before.rfind('\n').unwrap();
    (bench, before.lines().count(), column)
}

#[test]
fn a_finding_names_file_line_and_column_and_points_at_the_word() {
    let (bench, line, column) = misspelt();
    let printed = bench
        .wattstep(&["check", "bad.yaml"])
        .out("unknown key `at_moost`")
        .out(&format!("bad.yaml:{line}:{column}"))
        .out("did you mean `at_most`?")
        .out("1 file checked, 1 finding")
        .exit(6);
    let mut lines = printed.out.lines().skip_while(|line| !line.contains("at_moost:"));
    let (quoted, under) = (lines.next().unwrap(), lines.next().unwrap());
    let start = quoted[..quoted.find("at_moost").unwrap()].chars().count();
    let marks: Vec<_> = under.chars().enumerate().filter(|(_, c)| *c == '━').collect();
    assert_eq!(marks.first().map(|(at, _)| *at), Some(start), "{}", printed.out);
    assert_eq!(marks.len(), "at_moost".len(), "{}", printed.out);
}

#[test]
fn findings_for_programs_say_the_same() {
    let (bench, line, column) = misspelt();
    let printed = bench.wattstep(&["check", "bad.yaml", "--format", "json"]).any_out().exit(6);
    let findings: Vec<Value> = serde_json::from_str(&printed.out).unwrap();
    assert_eq!(findings.len(), 1);
    let finding = &findings[0];
    assert_eq!(finding["file"], "bad.yaml");
    assert_eq!((&finding["line"], &finding["column"]), (&line.into(), &column.into()));
    assert_eq!(finding["message"], "unknown key `at_moost`");
    assert_eq!(finding["end_column"].as_u64().unwrap() - finding["column"].as_u64().unwrap(), 8);
    bench.write("sound.yaml", SOUND);
    let none = bench.wattstep(&["check", "sound.yaml", "--format", "json"]).any_out().exit(0);
    assert_eq!(serde_json::from_str::<Value>(&none.out).unwrap(), Value::Array(Vec::new()));
}

#[test]
fn each_file_is_checked_whatever_is_wrong_with_the_others() {
    let (bench, ..) = misspelt();
    bench.write("worse.yaml", "format: [1\n");
    bench.write("sound.yaml", SOUND);
    bench
        .wattstep(&["check", "bad.yaml", "worse.yaml", "sound.yaml"])
        .out("bad.yaml:")
        .out("worse.yaml:")
        .out("3 files checked, 2 findings")
        .exit(6);
}

#[test]
fn codes_are_explained() {
    let (bench, ..) = misspelt();
    let printed = bench.wattstep(&["check", "bad.yaml"]).any_out().exit(6);
    let code = &printed.out[printed.out.find('[').unwrap() + 1..printed.out.find(']').unwrap()];
    bench.wattstep(&["check", "--explain", code]).out(&format!("# {code}")).exit(0);
    bench.wattstep(&["check", "--explain", &code.to_lowercase()]).out(code).exit(0);
    bench.wattstep(&["check", "--explain", "XYZ999"]).err("there is no finding XYZ999").exit(2);
}

#[test]
fn a_procedure_with_findings_is_not_run() {
    let (bench, ..) = misspelt();
    bench
        .wattstep(&["run", "bad.yaml", "--answers", "good.yaml"])
        .err("unknown key `at_moost`")
        .err("a file with findings is not run: bad.yaml")
        .exit(6);
    assert!(bench.records().is_empty());
}

#[test]
fn later_formats_are_refused_with_what_to_do() {
    let bench = Bench::new();
    bench.write("later.yaml", LANTERN.replace("format: 1", "format: 2"));
    bench.wattstep(&["check", "later.yaml"]).out("later.yaml:3:9").out("format").exit(6);
    let run = ["run", "later.yaml", "--answers", "good.yaml"];
    bench.wattstep(&run).err("later.yaml:3:9").err("is not run").exit(6);
    bench.write_answers("later-answers.yaml", &[("format: 1", "format: 2")]);
    bench
        .run("later-answers.yaml")
        .err("later-answers.yaml has format 2; this program reads format 1")
        .exit(1);
    bench.write("later-equipment.yaml", "format: 2\nequipment: A lantern\nserial: X1\nfacts: {}\n");
    bench.run("good.yaml").args(&["--equipment", "later-equipment.yaml"]).any_err().exit(6);
    assert!(bench.records().is_empty());
}
