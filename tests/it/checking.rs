//! `check`: findings with their place, for people and for programs.

use std::fs;
use std::path::Path;

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
    bench.run("later-answers.yaml").err("later-answers.yaml:").err("the file says 2").exit(6);
    bench.write("later-equipment.yaml", "format: 2\nequipment: A lantern\nserial: X1\nfacts: {}\n");
    bench.run("good.yaml").args(&["--equipment", "later-equipment.yaml"]).any_err().exit(6);
    assert!(bench.records().is_empty());
}

/// A bench with every file that comes with the procedures under its own name.
fn with_all_kinds() -> (Bench, Vec<String>) {
    let bench = Bench::new();
    let all = Path::new(env!("CARGO_MANIFEST_DIR")).join("procedures");
    let folder = all.join("regulator-board");
    let shop = ["quillmere.people.yaml", "quillmere.bench.yaml"].map(|name| all.join(name));
    let bundled = fs::read_dir(folder).unwrap().map(|file| file.unwrap().path());
    let mut names = Vec::new();
    for path in bundled.chain(shop) {
        let name = path.file_name().unwrap().to_str().unwrap().to_owned();
        bench.write(&name, fs::read(&path).unwrap());
        names.push(name);
    }
    (bench, names)
}

#[test]
fn every_kind_of_file_is_checked_as_what_it_is() {
    let (bench, names) = with_all_kinds();
    let all: Vec<_> = ["check"].into_iter().chain(names.iter().map(String::as_str)).collect();
    let expected = format!("{} files checked, nothing found", names.len());
    bench.wattstep(&all).out(&expected).exit(0);
    for (name, sound, slip, found) in [
        ("quillmere.bench.yaml", "ambient:", "ambeint:", "unknown key `ambeint`"),
        ("quillmere.people.yaml", "staff:", "stuff:", "unknown key `stuff`"),
        ("equipment.yaml", "serial:", "seriel:", "unknown key `seriel`"),
        ("good.answers.yaml", "operator:", "operater:", "unknown key `operater`"),
        ("simulated.yaml", "points:", "pionts:", "unknown key `pionts`"),
    ] {
        let text = fs::read_to_string(bench.path(name)).unwrap();
        bench.write("slip.yaml", text.replacen(sound, slip, 1));
        bench.wattstep(&["check", "slip.yaml"]).out(found).out("1 finding;").exit(6);
    }
    bench.write("untold.yaml", "format: 1\ntitle: nothing else\n");
    bench
        .wattstep(&["check", "untold.yaml"])
        .out("YML013")
        .out("`simulates` (a model file)")
        .exit(6);
}

#[test]
fn a_file_of_another_kind_is_told_wherever_it_is_given() {
    let (bench, _) = with_all_kinds();
    let run = ["run", "lantern.yaml", "--answers", "good.yaml"];
    for (arguments, told, help) in [
        (&["run", "quillmere.bench.yaml"][..], "a bench file, not a procedure", "--bench FILE"),
        (&["plan", "simulated.yaml"], "a model file, not a procedure", "--model FILE"),
        (&["form", "equipment.yaml"], "an equipment file, not a procedure", "--equipment FILE"),
        (&["bench", "quillmere.people.yaml"], "a people file, not a bench file", "--people FILE"),
        (&["people", "good.yaml"], "an answers file, not a people file", "--answers FILE"),
        (
            &["run", "lantern.yaml", "--equipment", "quillmere.people.yaml"],
            "a people file, not an equipment file",
            "--people FILE",
        ),
        (
            &["run", "lantern.yaml", "--answers", "procedure.yaml"],
            "a procedure, not an answers file",
            "`wattstep run FILE`",
        ),
        (
            &["run", "regulator-board", "--bench", "simulated", "--model", "equipment.yaml"],
            "an equipment file, not a model file",
            "--equipment FILE",
        ),
        (
            &[&run[..], &["--people", "good.yaml"]].concat(),
            "an answers file, not a people file",
            "--answers FILE",
        ),
    ] {
        let printed = bench.wattstep(arguments).any_out().any_err().exit(6);
        let all = printed.out + &printed.err;
        assert!(all.contains(&format!("this is {told}")), "{arguments:?}: {all}");
        assert!(all.contains(help), "{arguments:?}: {all}");
    }
    assert!(bench.records().is_empty());
}

#[test]
fn a_model_is_tried_with_the_procedure_and_the_equipment_it_is_for() {
    let (bench, _) = with_all_kinds();
    let text = fs::read_to_string(bench.path("simulated.yaml")).unwrap();
    let (name, quantity) = ("simulates: regulator-board", "quantities:\n");
    assert!(text.contains(name) && text.contains(quantity));
    let slip = text.replacen(quantity, "quantities:\n  never: 2 * nothing-such\n", 1);
    bench.write("slip.yaml", &slip);
    bench.wattstep(&["check", "slip.yaml"]).out("slip.yaml:").out("QTY002").exit(6);
    // Of a procedure of one's own, with the files that go with it and only then.
    bench.write("own.model.yaml", slip.replacen(name, "simulates: my-board", 1));
    bench.wattstep(&["check", "own.model.yaml"]).out("nothing found").exit(0);
    let procedure = fs::read_to_string(bench.path("procedure.yaml")).unwrap();
    let renamed = procedure.replacen("procedure: regulator-board", "procedure: my-board", 1);
    bench.write("own.yaml", renamed);
    let given = ["check", "own.model.yaml", "own.yaml", "--equipment", "equipment.yaml"];
    bench.wattstep(&given).out("own.model.yaml:").out("QTY002").exit(6);
}
