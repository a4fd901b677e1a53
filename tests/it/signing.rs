//! Signatures from end to end: made with key files and an agent, checked by the program and by OpenSSH's own tools.

use std::fs;
use std::path::Path;
use std::process::Command;

use serde_json::Value;
use sha2::{Digest, Sha256};

use super::support::bench::{Bench, SET};
use super::support::call::Call;
use super::support::desk::Desk;
use super::support::keys::{Agent, Keys, NAMESPACE};
use super::support::record::Record;
use super::support::terminal::Look;
use super::support::unwrapped;

/// A passphrase that stands in no file of these tests but this.
const PASSPHRASE: &str = "correct-horse-invented";

/// A signed record of a scripted run.
fn signed() -> Keys {
    let keys = Keys::new("", "");
    keys.bench.wattstep(&Keys::RUN).any_out().any_err().exit(0);
    keys
}

/// The signatures as the program lists them.
fn listed(bench: &Bench) -> Vec<Value> {
    let name = Bench::record_name(bench.folder());
    let call = bench.wattstep(&["signatures", &name, "--format", "json"]);
    let printed = call.any_out().any_err().exit(0);
    let listed: Value = serde_json::from_str(&printed.out).unwrap();
    listed["signatures"].as_array().unwrap().clone()
}

fn meanings(signatures: &[Value]) -> Vec<(String, String)> {
    let word = |value: &Value, name: &str| value[name].as_str().unwrap().to_owned();
    signatures.iter().map(|value| (word(value, "meaning"), word(value, "name"))).collect()
}

fn pair(meaning: &str, name: &str) -> (String, String) {
    (meaning.to_owned(), name.to_owned())
}

/// Rewrites the lines of a record and makes every hash again, as a forger would who has no key.
fn forged(path: &Path, edit: impl Fn(usize, String) -> String) {
    let hex = |text: &str| -> String {
        Sha256::digest(text.as_bytes()).iter().map(|byte| format!("{byte:02x}")).collect()
    };
    let mut prev = "0".repeat(64);
    let mut forged = String::new();
    for (n, line) in fs::read_to_string(path).unwrap().lines().enumerate() {
        let line = edit(n + 1, line.to_owned());
        let rest = &line[r#"{"prev":""#.len() + 64..line.rfind(r#","sha256":""#).unwrap()];
        let bare = format!("{{\"prev\":\"{prev}{rest}");
        let line = format!("{bare},\"sha256\":\"{}\"}}", hex(&format!("{bare}}}")));
        prev = hex(&line);
        forged.push_str(&line);
        forged.push('\n');
    }
    fs::write(path, forged).unwrap();
}

/// A copy of the only record in a folder of its own, where no register knows it.
fn copied(bench: &Bench, name: &str) -> std::path::PathBuf {
    let record = bench.record().path;
    let folder = bench.path(name);
    fs::create_dir(&folder).unwrap();
    let copy = folder.join(record.file_name().unwrap());
    fs::copy(record, &copy).unwrap();
    copy
}

/// The number of the line with the release of the hold.
fn release(bench: &Bench) -> usize {
    let is_release = |entry: &Value| entry["facts"].to_string().contains("\"released\"");
    bench.record().entries.iter().position(is_release).unwrap() + 1
}

#[test]
#[ignore = "needs ssh-keygen: run by .ci/run"]
fn a_release_and_the_record_itself_are_signed_and_everything_verifies() {
    let keys = signed();
    let expected = [pair("released", "Moss Example-Super"), pair("performed", "Kim Example-Tech")];
    assert_eq!(meanings(&listed(&keys.bench)), expected);
    let name = Bench::record_name(keys.bench.folder());
    keys.bench.wattstep(&["verify", &name]).out("signatures hold").exit(0);
    keys.bench.wattstep(&["verify", "--all"]).out("signatures hold").exit(0);
    keys.bench.wattstep(&["verify", "--all", "--conclusions"]).any_out().exit(0);
    let fingerprint = listed(&keys.bench)[0]["key"].as_str().unwrap().to_owned();
    let shown = keys.bench.wattstep(&["show", &name]).any_out().exit(0).out;
    let words = format!("signed, released: Moss Example-Super (moss@shop.example), {fingerprint}");
    assert!(unwrapped(&shown).contains(&words), "{shown}");
    assert!(!shown.contains("not signed"), "{shown}");
    let report = keys.bench.wattstep(&["report", &name]).any_out().any_err().exit(0).out;
    let report = unwrapped(&report);
    assert!(report.contains("Signatures") && report.contains(&fingerprint), "{report}");
    // Behind the key of the question: only the list of signatures has it so.
    assert!(report.contains(": hold released by Moss Example-Super"), "{report}");
    assert!(!report.contains("not signed"), "{report}");
}

#[test]
#[ignore = "needs ssh-keygen: run by .ci/run"]
fn ssh_keygen_accepts_every_signature_by_the_lines_that_are_printed() {
    let keys = signed();
    let name = Bench::record_name(keys.bench.folder());
    let call = keys.bench.wattstep(&["signatures", &name, "--out", "signed"]);
    let printed = call.any_out().any_err().exit(0).out;
    let lines: Vec<_> = printed.lines().filter(|line| line.starts_with("ssh-keygen")).collect();
    assert_eq!(lines.len(), 2, "{printed}");
    let verified = |line: &str| {
        let mut shell = Command::new("sh");
        let output = shell.args(["-c", line]).current_dir(keys.bench.path("signed")).output();
        output.unwrap().status.success()
    };
    for line in lines {
        assert!(verified(line), "{line}");
        assert!(!verified(&line.replace(NAMESPACE, "file")), "another namespace");
        let other = line.replace("moss@", "kiM@").replace("kim@", "moss@").replace("kiM@", "kim@");
        assert!(!verified(&other), "another person: {other}");
    }
    for file in fs::read_dir(keys.bench.path("signed")).unwrap().map(|file| file.unwrap().path()) {
        if file.extension().is_some_and(|extension| extension == "txt") {
            let text = fs::read_to_string(&file).unwrap().replace("line: ", "line: 1");
            fs::write(&file, text).unwrap();
        }
    }
    for line in printed.lines().filter(|line| line.starts_with("ssh-keygen")) {
        assert!(!verified(line), "an edited statement");
    }
}

#[test]
#[ignore = "needs ssh-keygen: run by .ci/run"]
fn what_ssh_keygen_signs_is_accepted_in_a_record() {
    let keys = signed();
    let all = listed(&keys.bench);
    let last = all.last().unwrap();
    keys.bench.write("statement.txt", last["statement"].as_str().unwrap());
    assert!(keys.ssh_keygen(&["-Y", "sign", "-f", "kim", "-n", NAMESPACE, "statement.txt"]));
    let theirs = fs::read_to_string(keys.bench.path("statement.txt.sig")).unwrap();
    let ours = last["signature"].as_str().unwrap();
    let (line, copy) = (last["line"].as_u64().unwrap() as usize, copied(&keys.bench, "theirs"));
    let in_json = |text: &str| serde_json::to_string(text).unwrap();
    forged(
        &copy,
        |n, text| {
            if n == line { text.replace(&in_json(ours), &in_json(&theirs)) } else { text }
        },
    );
    assert!(fs::read_to_string(&copy).unwrap().contains(&in_json(&theirs)));
    keys.bench.wattstep(&["verify", copy.to_str().unwrap(), "--alone"]).any_out().exit(0);
}

#[test]
#[ignore = "needs ssh-keygen: run by .ci/run"]
fn an_agent_signs_without_any_key_file() {
    let keys = Keys::new("", "");
    let agent = Agent::holding(keys.bench.folder(), &["kim", "moss"]);
    for key in ["kim", "moss"] {
        fs::remove_file(keys.bench.path(key)).unwrap();
    }
    let call = keys.bench.wattstep(&Keys::RUN).env("SSH_AUTH_SOCK", agent.socket.to_str().unwrap());
    call.any_out().any_err().exit(0);
    assert_eq!(listed(&keys.bench).len(), 2);
    keys.bench.wattstep(&["verify", "--all"]).any_out().exit(0);
}

#[test]
#[ignore = "needs ssh-keygen: run by .ci/run"]
fn without_a_key_nothing_is_signed_and_the_run_is_made_safe() {
    for (options, passphrase, why) in [
        (
            "valid-before=\"20200101\" ",
            "",
            "the file of allowed signers has no key of moss@shop.example that is valid now",
        ),
        (
            "valid-after=\"20990101\" ",
            "",
            "the file of allowed signers has no key of moss@shop.example that is valid now",
        ),
        (
            "namespaces=\"file\" ",
            "",
            "the file of allowed signers has no key of moss@shop.example that is valid now",
        ),
        ("", PASSPHRASE, "a script can't unlock moss: use an ssh-agent"),
    ] {
        let keys = Keys::new(passphrase, options);
        let printed = keys.bench.wattstep(&Keys::RUN).any_out().any_err().exit(4);
        let printed = unwrapped(&(printed.out + &printed.err));
        assert!(printed.contains(&format!("NOT SIGNED: {why}")), "{options}: {printed}");
        let record = keys.bench.record();
        assert_eq!(record.facts("released").len(), 0, "{options}");
        assert_eq!(record.closed_safe(), Some(true), "{options}");
        keys.bench.wattstep(&["verify", "--all"]).any_out().exit(0);
    }
}

#[test]
#[ignore = "needs ssh-keygen: run by .ci/run"]
fn a_stranger_s_key_is_refused() {
    let keys = Keys::new("", "");
    fs::copy(keys.bench.path("ivo"), keys.bench.path("moss")).unwrap();
    let printed = keys.bench.wattstep(&Keys::RUN).any_out().any_err().exit(4);
    let why = "NOT SIGNED: moss is not a key of moss@shop.example in the file of allowed signers";
    assert!(unwrapped(&(printed.out + &printed.err)).contains(why));
}

/// One change of one line, by somebody who has no key.
struct Forgery {
    name: &'static str,
    line: usize,
    from: String,
    to: String,
    words: &'static str,
}

/// What somebody may try on the line with the release, or above it.
fn forgeries(keys: &Keys, line: usize) -> [Forgery; 5] {
    let others = signed();
    let armored = |keys: &Keys| listed(&keys.bench)[0]["signature"].to_string();
    let record = fs::read_to_string(keys.bench.record().path).unwrap();
    let text = record.lines().nth(line - 1).unwrap();
    let start = text.find(",\"signature\":{").unwrap();
    let whole = &text[start..=start + text[start..].find('}').unwrap()];
    let wall = text[text.find("\"wall\":\"").unwrap()..].chars().take(12).collect::<String>();
    let holds_not = "SIGNATURE DOES NOT HOLD";
    let forgery = |name, line, from: &str, to: &str, words| {
        let (from, to) = (from.to_owned(), to.to_owned());
        Forgery { name, line, from, to, words }
    };
    let answer = "\"text\":\"Moss Example-Super\"";
    let lacks = "NOT SIGNED: it lacks the signature of Moss Example-Super (released)";
    [
        forgery("edited", line, answer, &answer.to_lowercase(), holds_not),
        forgery("moved", line, &armored(keys), &armored(&others), holds_not),
        forgery("before", 2, "\"elapsed_ms\":", "\"elapsed_ms\":1", holds_not),
        forgery("later", line, &wall, &wall.replace("\"2", "\"3"), holds_not),
        forgery("gone", line, whole, "", lacks),
    ]
}

#[test]
#[ignore = "needs ssh-keygen: run by .ci/run"]
fn an_edited_answer_a_moved_signature_and_a_missing_one_do_not_verify() {
    let keys = signed();
    let line = release(&keys.bench);
    for Forgery { name, line: at, from, to, words } in forgeries(&keys, line) {
        let copy = copied(&keys.bench, name);
        forged(&copy, |n, text| if n == at { text.replacen(&from, &to, 1) } else { text });
        let wanted = format!("line {line}: {words}");
        keys.bench.wattstep(&["verify", copy.to_str().unwrap()]).out(&wanted).exit(7);
        let folder = copy.parent().unwrap().to_str().unwrap().to_owned();
        keys.bench.wattstep(&["verify", "--all", "--records", &folder]).out(&wanted).exit(7);
    }
    // Nothing but the hashes made again: the forger's tool itself changes nothing.
    let copy = copied(&keys.bench, "same");
    forged(&copy, |_, text| text);
    assert_eq!(fs::read(&copy).unwrap(), fs::read(keys.bench.record().path).unwrap());
}

/// The people of the lantern at a terminal.
fn desk(keys: &Keys) -> Desk {
    let arguments =
        ["run", "lantern.yaml", "--people", "people.yaml", "--operator", "Kim Example-Tech"];
    Desk::start(keys.bench.folder(), &Look::usual(), &[&arguments[..], &SET].concat())
}

#[test]
#[ignore = "needs ssh-keygen: run by .ci/run"]
fn a_passphrase_is_asked_for_three_times_and_never_shown() {
    let keys = Keys::new(PASSPHRASE, "");
    let mut desk = desk(&keys);
    desk.until("Supervisor has seen the readings");
    desk.answers("Moss Example-Super");
    assert!(desk.question().contains("Moss Example-Super signs: released."), "{}", desk.question());
    for _ in 0..2 {
        desk.answers("wrong-horse");
        assert!(desk.question().contains("That is not its passphrase."), "{}", desk.question());
    }
    desk.answers("wrong-horse");
    assert!(desk.question().contains("NOT SIGNED: the passphrase was wrong three times"));
    assert!(desk.question().contains("Supervisor has seen the readings"), "{}", desk.question());
    desk.answers("Moss Example-Super");
    // A slip, taken back.
    desk.answers(&format!("{PASSPHRASE}x\u{7f}"));
    assert!(desk.question().contains("Signed with SHA256:"), "{}", desk.question());
    desk.until("sign the record");
    desk.answers("sign");
    desk.types(PASSPHRASE);
    assert_eq!(desk.terminal.exit_code(), 0, "{}", desk.terminal.screen());
    assert!(!desk.screens().iter().any(|screen| screen.contains("horse")));
    let record = fs::read_to_string(keys.bench.record().path).unwrap();
    assert!(!record.contains("horse"));
    keys.bench.wattstep(&["verify", "--all"]).any_out().exit(0);
}

#[test]
#[ignore = "needs ssh-keygen: run by .ci/run"]
fn both_sides_sign_a_hand_over_and_whoever_cannot_sign_leaves_the_record_unsigned() {
    let keys = Keys::new("", "");
    let mut desk = desk(&keys);
    desk.until("Lead end to end");
    for line in ["hand over", "Ivo Example-Tech", "nothing measured yet"] {
        desk.answers(line);
    }
    desk.until("sign the record");
    assert!(desk.question().contains("Ivo Example-Tech"), "{}", desk.question());
    assert!(desk.question().contains("`leave`: it is closed without a signature"));
    fs::remove_file(keys.bench.path("ivo")).unwrap();
    for line in ["hand over", "Kim Example-Tech", "all done"] {
        desk.answers(line);
    }
    let failed = desk.question();
    assert!(failed.contains("NOT SIGNED"), "{failed}");
    assert!(failed.contains("Ivo Example-Tech is still at the bench."), "{failed}");
    desk.answers("sign");
    assert!(desk.question().contains("NOT SIGNED: the key file ivo can't be read"));
    desk.types("leave");
    assert_eq!(desk.terminal.exit_code(), 4, "{}", desk.terminal.screen());
    let expected = [
        pair("handed_over", "Kim Example-Tech"),
        pair("took_over", "Ivo Example-Tech"),
        pair("released", "Moss Example-Super"),
    ];
    assert_eq!(meanings(&listed(&keys.bench)), expected);
    let record: Record = keys.bench.record();
    assert_eq!(record.closed_safe(), Some(true));
    let name = Bench::record_name(keys.bench.folder());
    keys.bench.wattstep(&["show", &name]).out("Closed without a signature").exit(0);
    keys.bench.wattstep(&["verify", "--all"]).any_out().exit(0);
}

#[test]
#[ignore = "needs ssh-keygen: run by .ci/run"]
fn a_file_of_signers_that_cannot_be_read_begins_nothing() {
    let keys = Keys::new("", "");
    keys.bench.write("allowed_signers", "moss@shop.example valid-before=2027 ssh-ed25519 AAAA\n");
    let call = keys.bench.wattstep(&Keys::RUN);
    call.err("allowed_signers: line 1: valid-before wants its value in double quotes").exit(1);
    assert!(keys.bench.records().is_empty());
}

#[test]
fn a_record_without_signers_says_that_names_are_typed() {
    let bench = Bench::new();
    bench.run("good.yaml").any_out().any_err().exit(0);
    let name = Bench::record_name(bench.folder());
    bench.wattstep(&["signatures", &name]).out("names typed, not checked").exit(0);
    bench.wattstep(&["verify", &name]).out("names typed, not checked").any_out().exit(0);
    bench.wattstep(&["show", &name]).out("(name typed, not checked)").exit(0);
    bench.wattstep(&["report", &name]).out("(name typed, not checked)").any_err().exit(0);
}

/// The fenced blocks of the page with this info string.
fn blocks(info: &str) -> Vec<String> {
    let page =
        fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/signatures.md")).unwrap();
    let after = page.split(&format!("```{info}\n")).skip(1).map(str::to_owned).collect::<Vec<_>>();
    after.iter().map(|rest| rest.split("```\n").next().unwrap().to_owned()).collect()
}

#[test]
#[ignore = "needs ssh-keygen: run by .ci/run"]
fn the_page_sets_up_keys_and_checks_a_record_with_openssh_alone() {
    let bench = Keys::new("", "").bench;
    let agent = Agent::holding(bench.folder(), &[]);
    let script_of = |script: &str| {
        let call = Call::shell(bench.folder(), script);
        call.env("SSH_AUTH_SOCK", agent.socket.to_str().unwrap()).any_out().any_err()
    };
    let shell = |script: &str| script_of(script).exit(0).out;
    let fails = |script: &str| script_of(script).exit(1).out;
    fs::remove_file(bench.path("allowed_signers")).unwrap();
    fs::create_dir(bench.path("keys")).unwrap();
    let [set_up] = blocks("sh keys").try_into().unwrap();
    for who in ["kim", "moss"] {
        // A test has nobody to type a passphrase or to say yes to an agent.
        let commands = set_up.replace("kim", who).replace("ssh-add -c ", "ssh-add ");
        let commands = commands.replace("ssh-keygen ", "ssh-keygen -q -N '' ");
        shell(&commands);
        let people = fs::read_to_string(bench.path("people.yaml")).unwrap();
        let people = people.replace(&format!("    key: {who}\n"), "");
        bench.write("people.yaml", people.replace("@shop.example", "@quillmere.example"));
    }
    shell(&format!("$WATTSTEP {}", Keys::RUN.join(" ")));
    let run = Bench::record_name(bench.folder());
    let [list, check] = blocks("sh check").try_into().unwrap();
    let this = |block: String| block.replace("RUN=20260302-091500-7k2mq", &format!("RUN={run}"));
    shell(&this(list).replace("wattstep sig", "$WATTSTEP sig"));
    let check = this(check);
    let checked = shell(&check);
    assert_eq!(checked.matches("Good \"record@wattstep\" signature for").count(), 2, "{checked}");
    assert!(!checked.contains("ANOTHER") && !checked.contains("NOT HOLD"), "{checked}");
    let record = bench.record().path;
    let whole = fs::read_to_string(&record).unwrap();
    fs::write(&record, whole.replace("\"elapsed_ms\":", "\"elapsed_ms\":1")).unwrap();
    assert_eq!(fails(&check).matches("ANOTHER RECORD").count(), 2);
    let line = release(&bench);
    let lines: Vec<_> = whole.lines().collect();
    let swapped = [&lines[..line - 1], &lines[..1], &lines[line..]].concat().join("\n");
    fs::write(&record, swapped + "\n").unwrap();
    assert_eq!(fails(&check).matches("ANOTHER LINE").count(), 1);
    let statement = bench.path(&format!("signed/{line}-1.txt"));
    let text = fs::read_to_string(&statement).unwrap();
    fs::write(&statement, text.replace("Moss", "Noss")).unwrap();
    fs::write(&record, &whole).unwrap();
    assert!(fails(&check).contains("DOES NOT HOLD"));
}

#[test]
#[ignore = "needs ssh-keygen: run by .ci/run"]
fn a_record_with_keys_of_its_own_does_not_hold_by_the_file_of_the_shop() {
    let keys = signed();
    let name = Bench::record_name(keys.bench.folder());
    fs::copy(keys.bench.path("allowed_signers"), keys.bench.path("shop")).unwrap();
    let [list, one, all] = [&["signatures", &name][..], &["verify", &name], &["verify", "--all"]];
    let asked = [list, one, all].map(|verb| [verb, &["--against", "shop"]].concat());
    for verb in &asked {
        keys.bench.wattstep(verb).any_out().exit(0);
    }
    // A shop of the same names whose keys are others: the record brings its own.
    let others = Keys::new("", "");
    keys.bench.write("shop", fs::read(others.bench.path("allowed_signers")).unwrap());
    let words = "by the shop's own file of allowed signers: its key SHA256:";
    let listed = keys.bench.wattstep(&asked[0]).out("DOES NOT HOLD").any_err().exit(7).out;
    assert!(unwrapped(&listed).contains(words), "{listed}");
    for verb in &asked[1..] {
        keys.bench.wattstep(verb).out(words).exit(7);
    }
    fs::copy(keys.bench.path("allowed_signers"), keys.bench.path("shop")).unwrap();
    fs::copy(keys.bench.path("moss.pub"), keys.bench.path("gone")).unwrap();
    let revoked = [&asked[1][..], &["--revoked", "gone"]].concat();
    keys.bench.wattstep(&revoked).out("is revoked by the shop").exit(7);
    let listed = keys.bench.wattstep(&[&asked[0][..], &["--revoked", "gone"]].concat());
    let listed = listed.any_out().any_err().exit(7).out;
    assert_eq!(listed.matches("is revoked by the shop").count(), 1, "{listed}");
    let first = listed.lines().next().unwrap();
    assert!(first.ends_with(", 1 DOES NOT HOLD"), "{first}");
    fs::write(keys.bench.path("gone"), "rubbish").unwrap();
    keys.bench.wattstep(&revoked).err("gone: line 1: there is no public key").exit(2);
}

#[test]
#[ignore = "needs ssh-keygen: run by .ci/run"]
fn typed_names_show_nothing_by_the_keys_of_a_shop() {
    let keys = Keys::new("", "");
    keys.bench.run("good.yaml").any_out().exit(0);
    let name = Bench::record_name(keys.bench.folder());
    keys.bench.wattstep(&["verify", &name]).out("names typed, not checked").exit(0);
    let words = "NOT SIGNED: it holds no signature to check by the shop's keys";
    let against = ["--against", "allowed_signers"];
    keys.bench.wattstep(&[&["verify", &name], &against[..]].concat()).out(words).exit(7);
    let listed = keys.bench.wattstep(&[&["signatures", &name], &against[..]].concat());
    listed.any_out().err(words).exit(7);
    keys.bench.wattstep(&["verify", "--against", "allowed_signers"]).err("name a record").exit(2);
}

#[test]
#[ignore = "needs ssh-keygen: run by .ci/run"]
fn a_signature_that_does_not_hold_is_never_shown_as_signed() {
    let keys = signed();
    let path = keys.bench.record().path;
    let name = Bench::record_name(keys.bench.folder());
    let answer = "\"text\":\"Moss Example-Super\"";
    forged(&path, |_, text| text.replacen(answer, &answer.to_lowercase(), 1));
    keys.bench.forget_ends();
    for verb in ["show", "report"] {
        let shown = keys.bench.wattstep(&[verb, &name]).any_out().any_err().exit(7).out;
        let shown = unwrapped(&shown);
        assert!(shown.contains("SIGNATURE DOES NOT HOLD, released: Moss"), "{shown}");
        assert!(!shown.contains("signed, released"), "{shown}");
    }
}

#[test]
#[ignore = "needs ssh-keygen: run by .ci/run"]
fn the_second_value_is_bound_to_who_verified_and_another_one_does_not_verify() {
    let keys = Keys::new("", "");
    let lantern = fs::read_to_string(keys.bench.path("lantern.yaml")).unwrap();
    let twice = "step: lead-ohms\n        verify: independent\n        agree_within: 0.05 ohm";
    keys.bench.write("lantern.yaml", lantern.replacen("step: lead-ohms", twice, 1));
    let two = "  lead-ohms: 0.12 ohm\n  lead-ohms.verifier: ivo@shop.example\n  lead-ohms.second: 0.13 ohm\n";
    let people = ("Moss Example-Super (invented)", "Moss Example-Super");
    let end = ("what-next: end", "what-next: end\n  sign-off: sign");
    let operator = ("Kim Example-Tech (invented)", "Kim Example-Tech");
    let second = ("  lead-ohms: 0.12 ohm\n", two);
    keys.bench.write_answers("good.yaml", &[operator, people, second, end]);
    keys.bench.wattstep(&Keys::RUN).any_out().any_err().exit(0);
    let first = meanings(&listed(&keys.bench)).remove(0);
    assert_eq!(first, pair("verified", "Ivo Example-Tech"));
    keys.bench.wattstep(&["verify", "--all", "--conclusions"]).any_out().exit(0);
    let copy = copied(&keys.bench, "forged");
    forged(&copy, |_, text| text.replace("\"text\":\"0.13 ohm\"", "\"text\":\"0.12 ohm\""));
    let copy = copy.to_str().unwrap();
    keys.bench.wattstep(&["verify", copy]).out("SIGNATURE DOES NOT HOLD").exit(7);
}

#[test]
#[ignore = "needs ssh-keygen: run by .ci/run"]
fn whoever_takes_a_run_up_does_not_sign_for_whoever_left_it() {
    let keys = Keys::new("", "");
    let people = ("Moss Example-Super (invented)", "Moss Example-Super");
    let end = ("what-next: end", "what-next: end\n  sign-off: sign");
    keys.bench.write_answers("short.yaml", &[("  lead-ohms: 0.12 ohm\n", ""), people]);
    let begin = ["run", "lantern.yaml", "--people", "people.yaml", "--answers", "short.yaml"];
    keys.bench.wattstep(&begin).args(&["--operator", "kim@shop.example"]).any_out().exit(4);
    keys.bench.write_answers("all.yaml", &[people, end]);
    let resume = ["resume", "--answers", "all.yaml", "--operator", "ivo@shop.example"];
    keys.bench.wattstep(&resume).args(&["--keys", "."]).any_out().any_err().exit(0);
    let name = Bench::record_name(keys.bench.folder());
    let report = keys.bench.wattstep(&["report", &name]).any_out().any_err().exit(0).out;
    let report = unwrapped(&report);
    let said = "by Kim Example-Tech: not signed by Kim Example-Tech.";
    assert_eq!(report.matches(said).count(), 2, "page 1 and the signatures: {report}");
    assert!(!report.contains("not signed by Ivo"), "{report}");
}

#[test]
#[ignore = "needs ssh-keygen: run by .ci/run"]
fn one_key_for_two_people_is_found_and_no_run_begins_with_it() {
    let keys = Keys::new("", "");
    keys.bench.wattstep(&["check", "people.yaml"]).out("nothing found").exit(0);
    fs::remove_file(keys.bench.path("ivo")).unwrap();
    keys.bench.wattstep(&["check", "people.yaml"]).out("PEO010").exit(6);
    let public = fs::read_to_string(keys.bench.path("kim.pub")).unwrap();
    keys.bench.write("allowed_signers", format!("*@shop.example {public}"));
    keys.bench.wattstep(&["check", "people.yaml"]).out("PEO008").exit(6);
    keys.bench.wattstep(&Keys::RUN).any_out().err("PEO008").exit(6);
    assert!(keys.bench.records().is_empty());
}

#[test]
#[ignore = "needs ssh-keygen: run by .ci/run"]
fn a_file_of_signers_that_nobody_could_sign_by_is_found() {
    let keys = Keys::new("", "valid-before=\"20200101\" ");
    keys.bench.wattstep(&["check", "people.yaml"]).out("PEO009").exit(6);
    keys.bench.write("allowed_signers", "rubbish");
    keys.bench.wattstep(&["check", "people.yaml"]).err("allowed_signers: line 1").exit(1);
    fs::remove_file(keys.bench.path("allowed_signers")).unwrap();
    keys.bench.wattstep(&["check", "people.yaml"]).err("cannot open allowed_signers").exit(1);
}
