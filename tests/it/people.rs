//! People files: who begins, who supervises, who takes over, and what the record and the commands say of it.

use serde_json::Value;

use crate::support::bench::{Bench, SET};
use crate::support::desk::Desk;
use crate::support::keys::Keys;
use crate::support::record::Record;
use crate::support::terminal::Look;
use crate::support::{PROCEDURES, unwrapped};

/// The staff of the lantern's shop. Invented.
const SHOP: &str = "format: 1
people: A lantern shop (invented)
roles:
  sweeper: {}
staff:
  kim: {name: Kim Example-Tech, roles: [ROLE], competent: {lantern: 2099-12-31}}
  ivo: {name: Ivo Example-Tech, roles: [technician], competent: {lantern: 2020-12-31}}
  moss: {name: Moss Example-Super, roles: [supervisor], competent: {lantern: 2099-12-31}}
";

fn shop(role: &str) -> Bench {
    let bench = Bench::new();
    bench.write("shop.yaml", SHOP.replace("ROLE", role));
    bench
}

#[test]
fn who_is_not_admitted_begins_and_resumes_nothing() {
    let bench = shop("technician");
    let begin = ["run", "lantern.yaml", "--answers", "good.yaml", "--people", "shop.yaml"];
    for (operator, said) in [
        ("ivo", "the competence of Ivo Example-Tech for lantern ran out after 2020-12-31"),
        ("Eve Stranger-Test", "Eve Stranger-Test is not on the staff of the people file"),
    ] {
        bench.wattstep(&begin).args(&["--operator", operator]).err(said).exit(2);
    }
    assert!(bench.records().is_empty(), "nothing was begun");
    bench.write_answers("short.yaml", &[("  lead-ohms: 0.12 ohm\n", "")]);
    let short = ["run", "lantern.yaml", "--answers", "short.yaml", "--people", "shop.yaml"];
    bench.wattstep(&short).args(&["--operator", "kim"]).any_out().exit(4);
    let lines = bench.record().entries.len();
    assert_eq!(bench.record().events("started")[0]["operator"], "Kim Example-Tech");
    // The record holds the people file: nobody has to bring it again.
    std::fs::remove_file(bench.path("shop.yaml")).unwrap();
    let resume = ["resume", "--answers", "good.yaml", "--operator"];
    bench.wattstep(&resume).args(&["ivo"]).err("ran out after 2020-12-31").exit(2);
    assert_eq!(bench.record().entries.len(), lines, "nothing was added");
    bench.write_answers("all.yaml", &[("Moss Example-Super (invented)", "Moss Example-Super")]);
    let resume = ["resume", "--answers", "all.yaml", "--operator", "KIM example-tech"];
    bench.wattstep(&resume).any_out().exit(0);
    bench.wattstep(&["verify", "--all", "--conclusions"]).out("verified").exit(0);
    assert_eq!(bench.record().entries.last().unwrap()["by"], "Kim Example-Tech");
}

#[test]
fn an_apprentice_runs_a_bundled_procedure_with_a_supervisor_at_hand_and_a_technician_alone() {
    let folder = format!("{PROCEDURES}/appliance-earthed");
    let beside = |name: &str| format!("{folder}/{name}");
    let people = format!("{PROCEDURES}/quillmere.people.yaml");
    let (equipment, answers) = (beside("equipment.yaml"), beside("good.answers.yaml"));
    let arguments = [
        "run",
        "appliance-earthed",
        "--equipment",
        &equipment,
        "--people",
        &people,
        "--answers",
        &answers,
    ];
    for (operator, supervisions) in
        [("Juno Learner-Test (invented)", 11), ("Wren Adair-Test (invented)", 0)]
    {
        let bench = Bench::new();
        let run = bench.wattstep(&arguments).args(&["--operator", operator]);
        run.any_out().exit(0);
        let record = bench.record();
        let supervised = record.facts("supervised");
        assert_eq!(supervised.len(), supervisions, "{operator}");
        assert!(supervised.iter().all(|value| value["by"] == "Moss Calloway-Test (invented)"));
        let duties: std::collections::BTreeSet<_> =
            supervised.iter().map(|value| value["duty"].as_str().unwrap()).collect();
        assert!(supervisions == 0 || duties.len() == 3, "{duties:?}");
        bench.wattstep(&["verify", "--all", "--conclusions"]).out("verified").exit(0);
        let path = record.path.to_str().unwrap().to_owned();
        let report = bench.wattstep(&["report", &path]).out("quillmere.people.yaml, SHA-256");
        let report = unwrapped(&report.exit(0).out);
        assert_eq!(report.contains("supervised by"), supervisions > 0, "{report}");
    }
}

#[test]
fn at_the_terminal_a_supervisor_is_named_and_shown() {
    let bench = shop("apprentice");
    let run = ["run", "lantern.yaml", "--people", "shop.yaml", "--operator", "Kim Example-Tech"];
    let run = [&run[..], &SET].concat();
    let mut desk = Desk::start(bench.folder(), &Look::usual(), &run);
    desk.until("under direct supervision only");
    assert!(desk.question().contains("never the person at the bench"), "{}", desk.question());
    desk.answers("ivo");
    assert!(desk.question().contains("lantern ran out after"), "{}", desk.question());
    desk.answers("moss");
    assert!(desk.question().contains("Moss Example-Super is present and supervises"));
    desk.until("Lead end to end");
}

#[test]
fn at_the_terminal_somebody_else_takes_the_bench_over() {
    let bench = shop("sweeper");
    let run = ["run", "lantern.yaml", "--people", "shop.yaml", "--operator", "Kim Example-Tech"];
    let run = [&run[..], &SET].concat();
    let mut desk = Desk::start(bench.folder(), &Look::usual(), &run);
    desk.until("Who takes over the bench?");
    assert!(desk.question().contains("Kim Example-Tech may not prove dead here"));
    desk.answers("");
    assert!(desk.question().contains("Who takes over the bench?"), "an empty line is nobody");
    desk.answers("Moss Example-Super");
    desk.answers("plug out, nothing else done");
    assert!(desk.question().contains("The 9 V test battery"), "{}", desk.question());
    let handed = bench.record().events("handed_over")[0].clone();
    assert_eq!(handed["remarks"], "plug out, nothing else done");
}

#[test]
fn a_record_with_another_people_file_does_not_verify() {
    let bench = shop("technician");
    bench.write_answers("all.yaml", &[("Moss Example-Super (invented)", "Moss Example-Super")]);
    let begin = ["run", "lantern.yaml", "--answers", "all.yaml", "--people", "shop.yaml"];
    bench.wattstep(&begin).args(&["--operator", "kim"]).any_out().exit(0);
    let path = bench.record().path;
    let text = std::fs::read_to_string(&path).unwrap();
    let forged = text.replacen("roles: [technician]", "roles: [supervisor]", 1);
    assert_ne!(forged, text);
    std::fs::write(&path, forged).unwrap();
    bench.wattstep(&["verify", "--all"]).any_out().any_err().exit(7);
}

#[test]
fn the_staff_is_shown_for_a_day_to_people_and_programs() {
    let bench = shop("apprentice");
    let people = ["people", "shop.yaml", "--on", "2021-01-01"];
    let shown = bench
        .wattstep(&people)
        .out("A lantern shop (invented), on 2021-01-01")
        .out("Kim Example-Tech (apprentice)")
        .out("energise: supervised, prove dead: supervised, test safety: supervised, release a hold: no")
        .out("NOT ADMITTED: the competence of Ivo Example-Tech for lantern ran out after 2020-12-31");
    shown.exit(0);
    let json = bench.wattstep(&people).args(&["--format", "json"]).any_out().exit(0);
    let json: Value = serde_json::from_str(&json.out).unwrap();
    let may = |n: usize| json["staff"][n]["competent"][0]["may"].clone();
    assert_eq!(may(0)["energise"], "supervised");
    assert_eq!(may(1)["energise"], "no");
    assert_eq!(may(2)["concede"], "alone");
    assert_eq!(json["staff"][1]["competent"][0]["last_day"], "2020-12-31");
}

#[test]
fn mistakes_in_a_people_file_are_found_and_keep_it_from_being_used() {
    let bench = shop("aprentice");
    bench.wattstep(&["check", "shop.yaml"]).out("PEO001").out("did you mean `apprentice`?").exit(6);
    for verb in [
        &["people", "shop.yaml"][..],
        &["run", "lantern.yaml", "--answers", "good.yaml", "--people", "shop.yaml"],
    ] {
        bench.wattstep(verb).err("PEO001").exit(6);
    }
    assert!(bench.records().is_empty());
    let bench = shop("apprentice");
    bench.wattstep(&["check", "shop.yaml"]).out("1 file checked, nothing found").exit(0);
}

#[test]
fn a_missing_file_of_signers_is_told_before_anything_is_begun() {
    let bench = shop("technician");
    let signed = format!("signers: keys.txt\n{}", SHOP.replace("ROLE", "technician"));
    bench.write("shop.yaml", signed);
    let begin = ["run", "lantern.yaml", "--answers", "good.yaml", "--people", "shop.yaml"];
    bench.wattstep(&begin).err("cannot open keys.txt").exit(1);
    assert!(bench.records().is_empty());
}

#[test]
fn whoever_types_half_a_name_is_asked_again_and_a_refused_hand_over_says_who_stays() {
    let bench = shop("technician");
    let run = [&["run", "lantern.yaml", "--people", "shop.yaml"][..], &SET].concat();
    let mut desk = Desk::start(bench.folder(), &Look::usual(), &run);
    assert!(desk.question().contains("Your name or identity"), "{}", desk.question());
    desk.answers("Example-Tech");
    assert!(desk.question().contains("nobody on the staff"), "{}", desk.question());
    desk.answers("kim");
    for line in ["hand over", "Eve Stranger-Test", "nothing done"] {
        desk.answers(line);
    }
    let refused = desk.question();
    assert!(refused.contains("Kim Example-Tech is still at the bench."), "{refused}");
}

#[test]
fn only_the_staff_in_the_record_adds_to_it_and_no_name_passes_for_a_signature() {
    let bench = shop("technician");
    bench.write_answers("all.yaml", &[("Moss Example-Super (invented)", "Moss Example-Super")]);
    let begin = ["run", "lantern.yaml", "--answers", "all.yaml", "--people", "shop.yaml"];
    bench.wattstep(&begin).args(&["--operator", "kim"]).any_out().exit(0);
    let run = Bench::record_name(bench.folder());
    let lines = bench.record().entries.len();
    let amend = ["amend", &run, "--line", "2", "--text", "other", "--by"];
    let void = ["void", &run, "--why", "wrong serial", "--by"];
    for add in [&amend[..], &void] {
        bench.wattstep(add).args(&["Eve Stranger-Test"]).err("is not on the staff").exit(2);
    }
    assert_eq!(bench.record().entries.len(), lines, "nothing was added");
    for add in [&amend[..], &void] {
        bench.wattstep(add).args(&["Moss Example-Super"]).any_out().exit(0);
    }
    let shown = unwrapped(&bench.wattstep(&["show", &run]).any_out().exit(0).out);
    assert!(shown.contains("other (Moss Example-Super, name typed, not signed, "), "{shown}");
    let report = unwrapped(&bench.wattstep(&["report", &run]).any_out().any_err().exit(0).out);
    let words = "declared void by Moss Example-Super (name typed, not signed): wrong serial";
    assert!(report.contains(words), "{report}");
}

#[test]
fn an_apprentice_declares_no_record_void_alone() {
    let bench = shop("apprentice");
    bench.write_answers("short.yaml", &[("  lead-ohms: 0.12 ohm\n", "")]);
    let begin = ["run", "lantern.yaml", "--answers", "short.yaml", "--people", "shop.yaml"];
    bench.wattstep(&begin).args(&["--operator", "moss"]).any_out().exit(4);
    let run = Bench::record_name(bench.folder());
    let lines = bench.record().entries.len();
    let void = ["void", &run, "--why", "wrong serial", "--by", "kim"];
    bench.wattstep(&void).err("Kim Example-Tech may not declare a record void alone").exit(2);
    for (with, said) in [
        ("K\u{ed}m Example-Tech", "nobody agrees with themselves"),
        ("Eve Stranger-Test", "is not on the staff"),
        ("nobody", "that names nobody"),
    ] {
        bench.wattstep(&void).args(&["--with", with]).err(said).exit(2);
    }
    assert_eq!(bench.record().entries.len(), lines, "nothing was added");
    bench.wattstep(&void).args(&["--with", "Moss Example-Super"]).any_out().exit(0);
    bench.wattstep(&["show", &run]).out("kim with Moss Example-Super").exit(0);
    bench.wattstep(&["verify", "--all"]).any_out().exit(0);
}

const APPROVE: [&str; 4] = ["people", "shop.yaml", "--approve", "--by"];

/// A scripted run by a technician of the shop to its end, and what was printed. Lines are put together again.
fn run_by_kim(bench: &Bench, more: &[&str]) -> String {
    bench.write_answers("all.yaml", &[("Moss Example-Super (invented)", "Moss Example-Super")]);
    let run = ["run", "lantern.yaml", "--answers", "all.yaml", "--operator", "Kim Example-Tech"];
    unwrapped(&bench.wattstep(&run).args(more).any_out().exit(0).out)
}

fn newest(bench: &Bench) -> Record {
    let register = std::fs::read_to_string(bench.path("records/register.jsonl")).unwrap();
    let last: Value = serde_json::from_str(register.lines().last().unwrap()).unwrap();
    let run = last["entry"]["run"].as_str().unwrap();
    Record::read(&bench.path(&format!("records/{run}.jsonl")))
}

fn report(bench: &Bench, record: &Record) -> String {
    let path = record.path.to_str().unwrap();
    unwrapped(&bench.wattstep(&["report", path]).any_out().any_err().exit(0).out)
}

#[test]
fn an_edited_people_file_is_told_at_the_start_in_the_record_and_in_the_report() {
    let bench = shop("technician");
    let approved = bench.wattstep(&APPROVE).args(&["moss"]);
    approved.out("shop.yaml approved by Moss Example-Super").any_out().exit(0);
    let staffed = ["--people", "shop.yaml"];
    let shown = run_by_kim(&bench, &staffed);
    assert!(!shown.contains("APPROVED"), "{shown}");
    assert!(newest(&bench).facts("not_approved").is_empty());
    let said = report(&bench, &newest(&bench));
    assert!(said.contains("approved by Moss Example-Super (name typed, not signed) on "), "{said}");
    assert!(!said.contains("APPROVED"), "{said}");
    let right = std::fs::read_to_string(bench.path("shop.yaml")).unwrap();
    bench.write("shop.yaml", right.replace("2020-12-31", "2099-12-31"));
    let shown = run_by_kim(&bench, &staffed);
    let words =
        "PEOPLE FILE NOT AS APPROVED: it differs from the one that Moss Example-Super approved on ";
    let told = shown.find(words).unwrap_or_else(|| panic!("{shown}"));
    assert!(told < shown.find("The 9 V test battery").unwrap(), "before the first question");
    assert!(shown.contains("wattstep people FILE --approve --by NAME"), "{shown}");
    let record = newest(&bench);
    let fact = record.facts("not_approved")[0].clone();
    let [edited, approved] = [&fact["people"], &fact["approved"]["people"]];
    assert_eq!(*edited, record.events("started")[0]["people"]["sha256"]);
    assert_eq!(*approved, wattstep::test_points::journal::sha256_hex(right.as_bytes()));
    assert!(report(&bench, &record).contains(&format!("{words}20")), "the first page");
    bench.wattstep(&["people", "shop.yaml"]).out("PEOPLE FILE NOT AS APPROVED").any_out().exit(0);
    bench.wattstep(&["verify", "--all", "--conclusions"]).any_out().exit(0);
}

#[test]
fn only_somebody_of_the_approved_file_who_may_approves_the_next() {
    let bench = shop("technician");
    for (by, said) in [
        ("kim", "by this people file Kim Example-Tech may not approve one"),
        ("Eve Stranger-Test", "is not on the staff of this people file"),
        ("nobody", "that names nobody"),
    ] {
        bench.wattstep(&APPROVE).args(&[by]).err(said).exit(2);
    }
    assert!(!bench.path("records").exists(), "nothing was made for that");
    bench.wattstep(&APPROVE).args(&["moss"]).any_out().exit(0);
    bench.wattstep(&APPROVE).args(&["moss"]).out("was approved already by Moss").any_out().exit(0);
    let right = std::fs::read_to_string(bench.path("shop.yaml")).unwrap();
    let eve = "  eve: {name: Eve Stranger-Test, roles: [supervisor]}\n";
    bench.write("shop.yaml", format!("{right}{eve}"));
    let said = "Eve Stranger-Test is not on the staff of the people file that was approved last";
    bench.wattstep(&APPROVE).args(&["Eve Stranger-Test"]).err(said).exit(2);
    bench.wattstep(&APPROVE).args(&["moss"]).any_out().exit(0);
    bench.wattstep(&["people", "shop.yaml"]).out("approved by Moss").any_out().exit(0);
    bench.write("shop.yaml", right.replace("supervisor", "technician"));
    let nobody = "by this file nobody may approve the next one";
    bench.wattstep(&APPROVE).args(&["moss"]).err(nobody).exit(2);
    let register = std::fs::read_to_string(bench.path("records/register.jsonl")).unwrap();
    assert_eq!(register.lines().count(), 2, "{register}");
    bench.wattstep(&["verify", "--all"]).any_out().exit(0);
    bench.wattstep(&["register"]).any_out().exit(0);
}

#[test]
fn a_people_file_that_nobody_ever_approved_is_told_in_the_report_and_not_at_the_bench() {
    let bench = shop("technician");
    let shown = run_by_kim(&bench, &["--people", "shop.yaml"]);
    assert!(!shown.contains("APPROVED"), "{shown}");
    let record = newest(&bench);
    assert!(record.facts("not_approved")[0]["approved"].is_null());
    let said = report(&bench, &record);
    let first_page =
        "PEOPLE FILE NEVER APPROVED: nobody vouches for who may do what by it (line 1).";
    assert_eq!(said.matches(first_page).count(), 1, "{said}");
}

#[test]
fn where_a_people_file_is_approved_a_run_without_one_says_so() {
    let bench = shop("technician");
    bench.wattstep(&APPROVE).args(&["moss"]).any_out().exit(0);
    let shown = run_by_kim(&bench, &[]);
    assert!(shown.contains("NO PEOPLE FILE, although there is one that Moss Example-Super"));
    assert!(shown.contains("begin with --people FILE"), "{shown}");
    assert!(report(&bench, &newest(&bench)).contains("NO PEOPLE FILE"));
}

#[test]
fn a_run_that_is_taken_up_with_a_file_that_is_approved_no_longer_says_so() {
    let bench = shop("technician");
    bench.wattstep(&APPROVE).args(&["moss"]).any_out().exit(0);
    bench.write_answers("short.yaml", &[("  lead-ohms: 0.12 ohm\n", "")]);
    let short = ["run", "lantern.yaml", "--answers", "short.yaml", "--people", "shop.yaml"];
    bench.wattstep(&short).args(&["--operator", "kim"]).any_out().exit(4);
    let right = std::fs::read_to_string(bench.path("shop.yaml")).unwrap();
    bench.write("shop.yaml", right.replace("2020-12-31", "2099-12-31"));
    bench.wattstep(&APPROVE).args(&["moss"]).any_out().exit(0);
    let resume = ["resume", "--answers", "short.yaml", "--operator", "kim"];
    let shown = unwrapped(&bench.wattstep(&resume).any_out().exit(4).out);
    assert!(shown.contains("PEOPLE FILE NOT AS APPROVED"), "{shown}");
    assert!(shown.contains("The run goes on with what it began with"), "{shown}");
    bench.wattstep(&["verify", "--all", "--conclusions"]).any_out().exit(0);
}

#[test]
#[ignore = "needs ssh-keygen: run by .ci/run"]
fn an_edited_file_of_keys_is_not_the_approved_one_either() {
    let keys = Keys::new("", "");
    let approve = ["people", "people.yaml", "--approve", "--by", "moss@shop.example"];
    keys.bench.wattstep(&approve).any_out().exit(0);
    let signers = std::fs::read_to_string(keys.bench.path("allowed_signers")).unwrap();
    keys.bench.write("allowed_signers", format!("{signers}# one more\n"));
    let shown = keys.bench.wattstep(&["people", "people.yaml"]).any_out().exit(0).out;
    assert!(unwrapped(&shown).contains("FILE OF KEYS NOT AS APPROVED"), "{shown}");
    keys.bench.wattstep(&approve).out("approved by").any_out().exit(0);
    keys.bench.wattstep(&["people", "people.yaml"]).out("approved by").any_out().exit(0);
}

#[test]
fn who_released_a_hold_takes_the_bench_only_where_the_shop_does_not_keep_that_apart() {
    for (apart, code) in [("", 4), ("separate: [release]\n", 2)] {
        let bench = shop("technician");
        bench.write("shop.yaml", format!("{apart}{}", SHOP.replace("ROLE", "technician")));
        let hold = ("Moss Example-Super (invented)", "Moss Example-Super");
        bench.write_answers("short.yaml", &[hold, ("  power-seen: 31 W\n", "")]);
        let short = ["run", "lantern.yaml", "--answers", "short.yaml", "--people", "shop.yaml"];
        bench.wattstep(&short).args(&["--operator", "kim"]).any_out().exit(4);
        let resume = ["resume", "--answers", "short.yaml", "--operator", "moss"];
        let call = bench.wattstep(&resume).any_out();
        if apart.is_empty() {
            call.exit(code);
            let said = report(&bench, &bench.record());
            let told = "One person did more than one job: Moss Example-Super worked at the bench, released a hold.";
            assert!(said.contains(told), "{said}");
        } else {
            let said =
                "Moss Example-Super released a hold in this run, and this shop keeps that apart";
            call.err(said).exit(code);
        }
    }
}

#[test]
fn without_a_people_file_the_report_says_that_nobody_was_checked() {
    let bench = Bench::new();
    bench.run("good.yaml").any_out().any_err().exit(0);
    let run = Bench::record_name(bench.folder());
    let report = unwrapped(&bench.wattstep(&["report", &run]).any_out().any_err().exit(0).out);
    assert!(report.contains("nobody checked who the named people are"), "{report}");
    assert!(report.contains("(name typed, not checked)"), "{report}");
}

#[test]
fn the_staff_of_the_bundled_procedures_is_sound() {
    let bench = Bench::new();
    let people = format!("{PROCEDURES}/quillmere.people.yaml");
    bench.wattstep(&["check", &people]).out("nothing found").exit(0);
}
