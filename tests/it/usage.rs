//! Being called wrongly, or with files that cannot be used.

use crate::support::bench::{Bench, LANTERN};

#[test]
fn wrong_usage_ends_with_2_and_says_what_is_wrong() {
    let bench = Bench::new();
    bench.wattstep(&["walk"]).err("walk").err("Usage").exit(2);
    bench.wattstep(&["run"]).err("<PROCEDURE>").exit(2);
    bench.wattstep(&["run", "lantern.yaml", "--force"]).err("--force").exit(2);
    bench.wattstep(&["check"]).err("<FILE>").exit(2);
    bench.wattstep(&["plan"]).err("<PROCEDURE>").exit(2);
    bench.wattstep(&["bench"]).err("<BENCH>").exit(2);
    bench.wattstep(&["verify"]).err("<RECORD>").exit(2);
    bench.wattstep(&["show"]).err("<RECORD>").exit(2);
    bench.wattstep(&["verify", "x", "--all"]).err("--all").exit(2);
    bench.wattstep(&["show", "x", "--format", "paper"]).err("paper").exit(2);
}

#[test]
fn help_and_version_go_to_standard_output() {
    let bench = Bench::new();
    let help = bench.wattstep(&["--help"]).out("It advises; you decide").exit(0);
    for verb in ["run", "resume", "plan", "check", "show", "verify", "bench", "work-out"] {
        assert!(help.out.contains(verb));
        bench.wattstep(&[verb, "--help"]).out(&format!("Usage: wattstep {verb}")).exit(0);
    }
    bench.wattstep(&["--version"]).out(env!("CARGO_PKG_VERSION")).exit(0);
}

/// The verbs that the help lists.
fn verbs(bench: &Bench) -> Vec<String> {
    let help = bench.wattstep(&["--help"]).any_out().exit(0).out;
    let lines = help.lines().skip_while(|line| *line != "Commands:").skip(1);
    let lines = lines.take_while(|line| !line.starts_with("Options"));
    let words = lines.filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    let words = words.filter_map(|line| line.split_whitespace().next());
    words.filter(|word| *word != "help").map(str::to_owned).collect()
}

#[test]
fn every_verb_has_its_row_of_exit_codes() {
    let verbs = verbs(&Bench::new());
    assert!(verbs.len() > 15, "{verbs:?}");
    let page = include_str!("../../docs/exit-codes.md");
    let rows = page.lines().filter(|line| line.starts_with("| `"));
    let first: Vec<_> = rows.filter_map(|line| line.split('|').nth(1)).collect();
    for verb in verbs {
        let named = format!("`{verb}`");
        assert!(first.iter().any(|cell| cell.contains(&named)), "{verb} has no row");
    }
}

#[test]
fn a_shell_completes_every_verb_and_topic() {
    let bench = Bench::new();
    for shell in ["bash", "zsh", "fish"] {
        let script = bench.wattstep(&["completions", shell]).any_out().exit(0).out;
        for verb in verbs(&bench).iter().map(String::as_str).chain(["safety-limits", "--records"]) {
            // Fish leaves the dashes of an option away.
            assert!(script.contains(verb.trim_start_matches('-')), "{shell}: {verb}");
        }
    }
    bench.wattstep(&["completions", "abacus"]).err("abacus").exit(2);
}

#[test]
fn every_verb_has_a_manual_page_and_none_is_written_over() {
    let bench = Bench::new();
    let program = bench.wattstep(&["man"]).any_out().exit(0).out;
    assert!(program.contains("Follow local codes"), "{program}");
    let folder = bench.path("man1");
    std::fs::create_dir(&folder).unwrap();
    let write = ["man", "--out", folder.to_str().unwrap()];
    bench.wattstep(&write).any_err().exit(0);
    for verb in verbs(&bench) {
        assert!(program.contains(&verb.replace('-', "\\-")), "{verb} in {program}");
        let page = std::fs::read_to_string(folder.join(format!("wattstep-{verb}.1"))).unwrap();
        assert!(page.contains(".SH SYNOPSIS"), "{page}");
    }
    bench.wattstep(&write).err("exists already").any_err().exit(1);
    bench.wattstep(&["man", "--out", "nowhere"]).err("nowhere").any_err().exit(1);
}

#[test]
fn without_a_terminal_a_person_cannot_be_asked() {
    let bench = Bench::new();
    let help = "run it in a terminal, or give --answers FILE for a scripted run";
    bench
        .wattstep(&["run", "lantern.yaml"])
        .err("there is no terminal to ask questions on")
        .err(help)
        .exit(2);
    bench.wattstep(&[]).err("there is no terminal to ask questions on").exit(2);
    assert!(bench.records().is_empty());
}

#[test]
fn answers_without_an_operator_need_one_on_the_command_line() {
    let bench = Bench::new();
    bench.write_answers("nobody.yaml", &[("operator: Kim Example-Tech (invented)\n", "")]);
    bench.run("nobody.yaml").err("nobody is named as the operator").exit(2);
    for no_name in ["", "x", "ok"] {
        bench.run("nobody.yaml").args(&["--operator", no_name]).err("is not a name").exit(2);
    }
    assert!(bench.records().is_empty(), "no record is begun by nobody");
    bench.run("nobody.yaml").args(&["--operator", "Ivo Example-Tech"]).any_out().exit(0);
    assert_eq!(bench.record().entries[0]["by"], "Ivo Example-Tech");
}

#[test]
fn a_missing_file_is_named() {
    let bench = Bench::new();
    bench.wattstep(&["check", "nowhere.yaml"]).err("cannot open nowhere.yaml").exit(1);
    bench.wattstep(&["plan", "nope"]).err("the bundled procedures are amplifier-class-ab").exit(1);
    let slip = ["run", "amplifer-class-ab"];
    bench.wattstep(&slip).err("did you mean the bundled `amplifier-class-ab`?").exit(1);
    bench.wattstep(&["run", "nowhere.yaml"]).err("cannot open nowhere.yaml").exit(1);
    bench.run("nowhere.yaml").err("cannot open nowhere.yaml").exit(1);
    bench.wattstep(&["show", "nowhere"]).err("nowhere").exit(1);
    bench.wattstep(&["verify", "nowhere"]).err("nowhere").exit(1);
    bench.wattstep(&["resume", "nowhere"]).err("nowhere").exit(1);
    bench.wattstep(&["check", "."]).err("cannot open .: it is no regular file").exit(1);
    assert!(bench.records().is_empty());
}

#[test]
fn text_that_is_not_utf_8_is_refused_where_it_goes_wrong() {
    let bench = Bench::new();
    let mut bytes = LANTERN.as_bytes().to_vec();
    bytes[100] = 0xff;
    bench.write("latin.yaml", &bytes);
    let message = "latin.yaml is not UTF-8 text: byte 100 fits nothing";
    bench.wattstep(&["check", "latin.yaml"]).err(message).err("save it as UTF-8").exit(1);
    bench.run("latin.yaml").err(message).exit(1);
}

#[test]
fn answers_that_run_out_leave_the_run_unfinished_but_safe() {
    let bench = Bench::new();
    bench.write_answers("short.yaml", &[("  power-seen: 31 W\n", "")]);
    bench
        .run("short.yaml")
        .out("the answers file has no answer to `power-seen`")
        .out("Outcome: left unfinished")
        .out("Energy: proved dead")
        .exit(4);
    let record = bench.record();
    assert_eq!(record.last_stop(), ("power-seen".to_owned(), "halted".to_owned()));
    assert_eq!(record.closed_safe(), Some(true));

    let bench = Bench::new();
    let gone = [("  power-seen: 31 W\n", ""), ("  make-safe: {off: off}\n", "")];
    bench.write_answers("shorter.yaml", &gone);
    bench
        .run("shorter.yaml")
        .out("NOT CONFIRMED SAFE")
        .out("Outcome: left unfinished")
        .out("ENERGY STATE UNKNOWN")
        .exit(4);
    assert_eq!(bench.record().closed_safe(), Some(false));
}

#[test]
fn a_folder_for_records_that_cannot_be_made_is_told_before_anything_else() {
    let bench = Bench::new();
    bench
        .run("good.yaml")
        .args(&["--records", "lantern.yaml/records"])
        .err("lantern.yaml is not a folder; name one for the records")
        .err("give another folder with --records DIR")
        .exit(1);
}

#[test]
fn the_folder_for_records_comes_from_the_argument_then_the_environment() {
    let bench = Bench::new();
    bench.run("good.yaml").env("WATTSTEP_RECORDS", "elsewhere").out("Record: elsewhere/").exit(0);
    let both = bench.run("good.yaml").env("WATTSTEP_RECORDS", "elsewhere");
    both.args(&["--records", "here"]).out("Record: here/").exit(0);
    assert!(bench.records().is_empty());
}
