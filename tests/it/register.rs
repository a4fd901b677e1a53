//! The register of a folder of records: what happens to a record behind its back is named for what it is.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use chrono::{DateTime, Local};
use serde_json::Value;
use wattstep::test_points::journal::{
    Change, FileDisk, Journal, Register, Registration, sha256_hex,
};
use wattstep::test_points::record::Mode;

use crate::support::bench::Bench;
use crate::support::call::{Call, environment};
use crate::support::{WATTSTEP, unwrapped};

const ALL: [&str; 2] = ["verify", "--all"];

/// A bench with the records of some good runs, and their paths.
fn recorded(runs: usize) -> (Bench, Vec<PathBuf>) {
    let bench = Bench::new();
    (0..runs).for_each(|_| drop(bench.run("good.yaml").any_out().exit(0)));
    let paths = bench.records();
    assert_eq!(paths.len(), runs);
    (bench, paths)
}

fn lines(path: &Path) -> Vec<String> {
    fs::read_to_string(path).unwrap().split_inclusive('\n').map(str::to_owned).collect()
}

fn register(bench: &Bench) -> PathBuf {
    bench.path("records/register.jsonl")
}

/// The changes of the register, as anyone may read them in ten years.
fn registered(bench: &Bench) -> Vec<Value> {
    let entry = |line: &String| serde_json::from_str::<Value>(line).unwrap()["entry"].clone();
    lines(&register(bench)).iter().map(entry).collect()
}

fn kinds(bench: &Bench) -> Vec<String> {
    let kind = |entry: &Value| entry["what"].as_object().unwrap().keys().next().unwrap().clone();
    registered(bench).iter().map(kind).collect()
}

fn name(path: &Path) -> &str {
    path.file_stem().unwrap().to_str().unwrap()
}

/// Lines that carry these entries, every hash made again, as somebody would who knows the format.
pub(crate) fn forged<'a>(entries: impl IntoIterator<Item = &'a str>) -> String {
    let mut prev = "0".repeat(64);
    let mut text = String::new();
    for (n, entry) in entries.into_iter().enumerate() {
        let format = if n == 0 { r#","format":1"# } else { "" };
        let bare = format!(r#"{{"prev":"{prev}","n":{}{format},"entry":{entry}"#, n + 1);
        let hash = sha256_hex(format!("{bare}}}").as_bytes());
        let line = format!(r#"{bare},"sha256":"{hash}"}}"#);
        prev = sha256_hex(line.as_bytes());
        text += &line;
        text.push('\n');
    }
    text
}

/// The text of the entry in a line.
pub(crate) fn entry(line: &str) -> &str {
    let from = line.find(r#","entry":"#).unwrap() + 9;
    &line[from..line.rfind(r#","sha256":""#).unwrap()]
}

/// Does something to the second of three records and gives what is said of it; nothing is said of the others.
fn tampered(tamper: impl Fn(&Path)) -> String {
    let (bench, paths) = recorded(3);
    tamper(&paths[1]);
    let quick = bench.wattstep(&ALL).any_out().exit(7).out;
    let thorough = bench.wattstep(&ALL).args(&["--conclusions"]).any_out().exit(7).out;
    for printed in [&quick, &thorough] {
        assert_eq!(printed.matches("DOES NOT VERIFY").count(), 1, "{printed}");
        assert_eq!(printed.matches("verified  ").count(), 2, "{printed}");
    }
    bench.wattstep(&["verify", name(&paths[1])]).out("DOES NOT VERIFY").exit(7);
    let wrong = quick.lines().skip_while(|line| !line.contains("DOES NOT VERIFY"));
    assert!(wrong.clone().next().unwrap().contains(name(&paths[1])), "{quick}");
    wrong.take(2).map(|line| format!("{line}\n")).collect()
}

fn assert_named(printed: &str, words: &str) {
    assert!(printed.contains(words), "should say {words:?}:\n{printed}");
}

/// Writes some of a record's lines in another order.
fn arrange(path: &Path, order: impl Fn(&mut Vec<String>)) {
    let mut all = lines(path);
    order(&mut all);
    fs::write(path, all.concat()).unwrap();
}

#[test]
fn an_edited_a_swapped_and_a_dropped_line_are_named() {
    let edited = tampered(|path| arrange(path, |all| all[4] = all[4].replacen("at", "aT", 1)));
    assert_named(&edited, "line 5: the line was changed after it was written");
    let swapped = tampered(|path| arrange(path, |all| all.swap(6, 7)));
    assert_named(&swapped, "line 7: line number 7 is due here, but this is number 8");
    let dropped = tampered(|path| arrange(path, |all| drop(all.remove(9))));
    assert_named(&dropped, "line 10: line number 10 is due here, but this is number 11");
}

#[test]
fn a_cut_and_an_emptied_record_are_named_with_what_is_missing() {
    let cut = tampered(|path| arrange(path, |all| all.truncate(all.len() - 3)));
    assert_named(&cut, "CUT: 45 lines are registered and the file has 42");
    let torn = tampered(|path| arrange(path, |all| all.last_mut().unwrap().truncate(50)));
    assert_named(&torn, "CUT: 45 lines are registered and the file has 44");
    let emptied = tampered(|path| fs::write(path, "").unwrap());
    assert_named(&emptied, "EMPTIED: 45 lines are registered and the file has none");
}

#[test]
fn a_record_with_all_its_hashes_made_again_is_named_with_the_line_it_differs_at() {
    let whole = tampered(|path| {
        let all = lines(path).concat().replace("31 W", "29 W");
        fs::write(path, forged(all.lines().map(entry))).unwrap();
    });
    assert_named(&whole, "REWRITTEN: line 45 is sound, but it is not the line that was registered");
    assert_named(&whole, "(line 1 still is)");
    let other = tampered(|path| {
        let all = lines(path).concat().replacen("lantern.yaml", "another.yaml", 1);
        fs::write(path, forged(all.lines().map(entry))).unwrap();
    });
    assert_named(&other, "REWRITTEN: line 1 is sound");
    let longer = tampered(|path| {
        let all = lines(path);
        let more = all.iter().map(|line| entry(line)).chain([entry(&all[10])]);
        fs::write(path, forged(more)).unwrap();
    });
    assert_named(&longer, "ADDED TO: 45 lines are registered and the file has 46");
}

#[test]
fn a_deleted_and_a_foreign_record_are_named() {
    let (bench, paths) = recorded(2);
    fs::remove_file(&paths[0]).unwrap();
    let printed = bench.wattstep(&ALL).out("MISSING: the register knows this record").exit(7).out;
    assert_eq!(printed.matches("DOES NOT VERIFY").count(), 1, "{printed}");
    assert!(printed.contains(name(&paths[0])), "{printed}");
    bench.wattstep(&["verify", name(&paths[0])]).out("MISSING").exit(7);

    let (bench, paths) = recorded(1);
    let foreign = bench.path("records/20260302-091500-7k2mq.jsonl");
    fs::copy(&paths[0], &foreign).unwrap();
    let printed = bench.wattstep(&ALL).out("NOT REGISTERED").exit(7).out;
    assert_eq!(printed.matches("DOES NOT VERIFY").count(), 1, "{printed}");
    bench.wattstep(&["verify", name(&foreign)]).out("NOT REGISTERED").exit(7);
    // Without any register that is the matter, and not each record.
    fs::remove_file(register(&bench)).unwrap();
    let printed = bench.wattstep(&ALL).out("REGISTER MISSING").exit(7).out;
    let alone = "sound by itself, NOT CHECKED AGAINST A REGISTER  ";
    assert_eq!(printed.matches(alone).count(), 2, "{printed}");
    assert_eq!(printed.matches("verified  ").count(), 0, "{printed}");
}

#[test]
fn a_register_is_shown_to_go_on_from_a_digest_or_not() {
    let (bench, _) = recorded(2);
    let digest = bench.wattstep(&["digest"]).any_out().exit(0).out;
    assert!(digest.starts_with("wattstep register: 4 lines, head "), "{digest}");
    bench.write("digest.txt", digest.replace(", ", ",\n  "));
    let against = ["verify", "--all", "--against"];
    let text = [&against[..], &[digest.trim()]].concat();
    let file = [&against[..], &["digest.txt"]].concat();
    bench.run("good.yaml").any_out().exit(0);
    for call in [&text, &file] {
        bench.wattstep(call).out("6 lines").out("it goes on from the digest of 20").exit(0);
    }

    let whole = lines(&register(&bench));
    fs::write(register(&bench), whole[..3].concat()).unwrap();
    let shortened = "REGISTER SHORTENED: it had 4 lines at the digest and has 3 now";
    bench.wattstep(&text).out(shortened).exit(7);
    let replaced = whole.concat().replace("scripted", "real");
    fs::write(register(&bench), forged(replaced.lines().map(entry))).unwrap();
    bench.wattstep(&text).out("REGISTER REPLACED: its line 4 is not the one").exit(7);
    bench.wattstep(&text[..1]).args(&["--against", "digest.txt"]).out("REGISTER REPLACED").exit(7);
    fs::remove_file(register(&bench)).unwrap();
    bench.wattstep(&text).out("REGISTER MISSING").exit(7);
    bench.wattstep(&["verify", "--against", "a word"]).err("this is not a digest").exit(2);
}

#[test]
fn a_line_of_the_register_that_was_changed_is_named_and_nothing_is_added() {
    let (bench, _) = recorded(2);
    let before = lines(&register(&bench)).concat();
    let changed = before.replacen("finished", "finiShed", 1);
    fs::write(register(&bench), &changed).unwrap();
    let line = "line 2: the line was changed";
    bench.wattstep(&ALL).out(line).out("register.jsonl").exit(7);
    bench.run("good.yaml").err(line).err("give another folder").exit(1);
    assert_eq!(fs::read_to_string(register(&bench)).unwrap(), changed);
    let elsewhere = ["--records", "elsewhere"];
    bench.run("good.yaml").args(&elsewhere).any_out().exit(0);
    bench.wattstep(&ALL).args(&elsewhere).out("2 lines").exit(0);
}

#[test]
fn a_run_is_registered_before_its_first_line_and_where_each_sitting_ended() {
    let bench = Bench::new();
    bench.leave_unfinished();
    let left = bench.record().entries.len();
    bench.wattstep(&["resume", "--answers", "good.yaml"]).any_out().exit(0);
    assert_eq!(kinds(&bench), ["opened", "ended", "taken_up", "ended"]);
    let record = lines(&bench.record().path);
    let hash = |n: usize| sha256_hex(record[n - 1].trim_end().as_bytes());
    let changes = registered(&bench);
    assert_eq!(changes[0]["what"]["opened"]["first"], hash(1));
    assert_eq!(changes[0]["what"]["opened"]["mode"], "scripted");
    assert_eq!(changes[1]["what"]["ended"]["end"]["lines"], left);
    assert_eq!(changes[1]["what"]["ended"]["end"]["head"], hash(left));
    assert_eq!(changes[1]["what"]["ended"]["outcome"], "left_unfinished");
    assert_eq!(changes[2]["what"]["taken_up"]["end"], changes[1]["what"]["ended"]["end"]);
    assert_eq!(changes[3]["what"]["ended"]["end"]["head"], hash(record.len()));
    bench.wattstep(&ALL).out("closed: finished").exit(0);
}

#[test]
fn a_kill_between_the_registration_and_the_first_line_is_told_and_written_down() {
    let (bench, paths) = recorded(1);
    bench.forget_ends();
    for kept in ["", "{\"prev\":\"0000"] {
        fs::write(&paths[0], kept).unwrap();
        bench.wattstep(&ALL).out("NOTHING RECORDED: the run was opened").exit(7);
    }
    bench.wattstep(&["register"]).out("settled").exit(0);
    assert_eq!(kinds(&bench), ["opened", "settled"]);
    bench.wattstep(&ALL).out("0 entries").exit(0);
    // A run that began with another line is not the one that was opened.
    let (_other, others) = recorded(1);
    fs::copy(&others[0], &paths[0]).unwrap();
    bench.wattstep(&ALL).out("REWRITTEN: line 1").exit(7);
    fs::write(&paths[0], "{\"prev\":\"0000").unwrap();
    bench.run("good.yaml").any_out().exit(0);
    bench.wattstep(&ALL).out("closed: finished").exit(0);
}

#[test]
#[ignore = "needs strace: run by .ci/run"]
fn a_run_killed_before_its_first_line_is_in_the_register() {
    let bench = Bench::new();
    // The first sync is that of opening the register, the second that of the line in it.
    let strace = "strace -f -o trace -e trace=fdatasync -e inject=fdatasync:signal=KILL:when=2";
    let run = "$WATTSTEP run lantern.yaml --answers good.yaml";
    Call::shell(bench.folder(), &format!("{strace} {run}; true")).any_err().any_out().exit(0);
    assert_eq!(kinds(&bench), ["opened"]);
    assert_eq!(fs::read(bench.records().remove(0)).unwrap(), b"");
    bench.wattstep(&ALL).out("NOTHING RECORDED").exit(7);
}

#[test]
fn an_end_that_was_never_registered_is_told_and_written_down() {
    let (bench, paths) = recorded(1);
    bench.forget_ends();
    bench.wattstep(&ALL).out("its end is not registered").exit(0);
    bench.wattstep(&["register"]).out("settled").exit(0);
    bench.wattstep(&["register"]).out("known").exit(0);
    assert_eq!(kinds(&bench), ["opened", "settled"]);
    let printed = bench.wattstep(&ALL).out("closed: finished").exit(0).out;
    assert!(!printed.contains("not registered"), "{printed}");
    arrange(&paths[0], |all| all.truncate(20));
    bench.wattstep(&ALL).out("CUT").exit(7);
    bench.wattstep(&["register"]).out("left alone").out("CUT").exit(7);
}

#[test]
fn records_without_a_register_are_taken_over_by_a_named_person_and_marked() {
    let bench = Bench::new();
    bench.leave_unfinished();
    fs::remove_file(register(&bench)).unwrap();
    let resume = ["resume", "--answers", "good.yaml"];
    bench.wattstep(&resume).err("REGISTER MISSING").err("switch it off first").exit(7);
    let told = bench.wattstep(&["register"]).out("left alone").exit(7).out;
    assert!(told.starts_with("REGISTER MISSING"), "{told}");
    bench.wattstep(&["register", "--adopt"]).err("--by").exit(2);
    bench.wattstep(&["register", "--adopt", "--by", "ok"]).err("no name is given").exit(2);
    let adopt = ["register", "--adopt", "--by", "Kim Bench-Test"];
    bench.wattstep(&adopt).out("adopted").exit(0);
    let adopted = &registered(&bench)[0]["what"]["adopted"];
    assert_eq!((&adopted["by"], &adopted["mode"]), (&"Kim Bench-Test".into(), &"scripted".into()));
    let marked = "taken over as it was by Kim Bench-Test on 20";
    bench.wattstep(&ALL).out(marked).out("closed: left unfinished; SCRIPTED").exit(0);
    bench.wattstep(&resume).any_out().exit(0);
    bench.wattstep(&ALL).out(marked).out("closed: finished").exit(0);
}

#[test]
fn a_cut_record_is_not_gone_on_with() {
    let bench = Bench::new();
    let path = bench.leave_unfinished();
    arrange(&path, |all| all.truncate(all.len() - 4));
    let before = lines(&path);
    let resume = bench.wattstep(&["resume", "--answers", "good.yaml"]);
    resume.err("CUT").err("switch it off first").exit(7);
    let amend = ["amend", name(&path), "--line", "2", "--text", "other", "--by", "Kim Bench-Test"];
    bench.wattstep(&amend).err("CUT").exit(7);
    assert_eq!(lines(&path), before);
}

#[test]
fn a_run_that_is_about_to_write_its_first_line_is_running_and_one_that_was_killed_before_is_named()
{
    let bench = Bench::new();
    let folder = bench.path("records");
    let journal = Journal::<FileDisk>::create(&folder, "20991231-120000-begun").unwrap();
    let opened = Change::Opened {
        first: "0".repeat(64),
        program: "0".to_owned(),
        mode: Mode::Real,
        operator: "Kim Bench-Test".to_owned(),
    };
    let (at, run) = (DateTime::UNIX_EPOCH.fixed_offset(), "20991231-120000-begun".to_owned());
    Register::open(&folder).unwrap().add(Registration { at, run, what: opened }).unwrap();
    let one = ["verify", "20991231-120000-begun"];
    for verify in [&ALL[..], &one[..]] {
        bench.wattstep(verify).out("0 entries").out("it is running or was cut short").exit(0);
    }
    drop(journal);
    for verify in [&ALL[..], &one[..]] {
        bench.wattstep(verify).out("NOTHING RECORDED").exit(7);
    }
}

#[test]
fn several_benches_share_a_register() {
    let bench = Bench::new();
    fs::create_dir(bench.path("records")).unwrap();
    let start = || {
        let mut command = Command::new(WATTSTEP);
        command.args(["run", "lantern.yaml", "--answers", "good.yaml"]);
        command.current_dir(bench.folder()).env_clear().envs(environment());
        command.stdin(Stdio::null()).stdout(Stdio::null()).spawn().unwrap()
    };
    let running: Vec<_> = (0..6).map(|_| start()).collect();
    // Verifying meanwhile never finds anything wrong.
    bench.wattstep(&ALL).any_out().exit(0);
    for mut child in running {
        assert!(child.wait().unwrap().success());
    }
    let printed = bench.wattstep(&ALL).out("12 lines").exit(0).out;
    assert_eq!(printed.matches("closed: finished").count(), 6, "{printed}");
}

/// Lets the register grow until a run's opening fits below so many blocks of 512 bytes and its end does not.
fn grow_register(bench: &Bench, run_size: u64) -> u64 {
    let (opening, end) = (lines(&register(bench))[0].len(), lines(&register(bench))[1].len());
    loop {
        let size = fs::metadata(register(bench)).unwrap().len();
        let blocks = (size + opening as u64 + 30).div_ceil(512);
        let room = blocks * 512 - size - opening as u64;
        if size > run_size + 2048 && room < end as u64 - 30 {
            return blocks;
        }
        bench.run("good.yaml").any_out().exit(0);
        fs::remove_file(bench.records().pop().unwrap()).unwrap();
    }
}

#[test]
fn a_register_that_takes_no_end_is_told_and_mended_later() {
    let (bench, paths) = recorded(1);
    let blocks = grow_register(&bench, fs::metadata(&paths[0]).unwrap().len());
    let run = "exec \"$WATTSTEP\" run lantern.yaml --answers good.yaml";
    let script = format!("trap '' XFSZ; ulimit -f {blocks}; {run}");
    let told = "THE END OF THIS SITTING IS NOT IN THE REGISTER: cannot write";
    let printed = Call::shell(bench.folder(), &script).out(told).exit(1);
    assert!(printed.out.contains("Outcome: finished"), "the run itself went on: {}", printed.out);
    let run = name(bench.records().last().unwrap()).to_owned();
    bench.wattstep(&["verify", &run]).out("its end is not registered").exit(0);
    bench.wattstep(&["register"]).out("settled").exit(7);
    bench.wattstep(&["verify", &run]).out("closed: finished").exit(0);
}

#[test]
fn a_folder_whose_register_cannot_be_written_begins_no_run() {
    let bench = Bench::new();
    fs::create_dir_all(register(&bench)).unwrap();
    let printed = bench.run("good.yaml").err("register.jsonl is not a regular file").exit(1);
    assert!(!printed.out.contains("> "), "nothing is asked: {}", printed.out);
}

#[test]
fn an_amendment_stands_beside_what_it_amends() {
    let (bench, paths) = recorded(1);
    let run = name(&paths[0]);
    let before = lines(&paths[0]);
    let text = "the meter was on its 2 V range";
    let by = ["--by", "Lee Second-Test"];
    let amend = ["amend", run, "--line", "12", "--text", text];
    bench.wattstep(&amend).args(&by).out("Line 46 added").exit(0);
    assert_eq!(lines(&paths[0])[..45], before, "what was written is still there");
    let shown = bench.wattstep(&["show", run]).any_out().exit(0).out;
    let old = shown.find("\n    12 ").unwrap();
    let new = shown.find("12 AMENDED").unwrap();
    assert!(old < new && shown[new..].contains("Lee Second-Test"), "{shown}");
    assert!(shown.contains("46 ") && shown.contains("line 12 amended by Lee"), "{shown}");
    bench.wattstep(&ALL).args(&["--conclusions"]).out("46 entries").out("closed: finished").exit(0);
    assert_eq!(kinds(&bench), ["opened", "ended", "amended"]);

    bench
        .wattstep(&["amend", run, "--line", "47", "--text", "x"])
        .args(&by)
        .err("no line 47")
        .exit(2);
    bench.wattstep(&["amend", run, "--line", "0", "--text", "x"]).args(&by).err("from 1").exit(2);
    bench.wattstep(&["amend", run, "--line", "1", "--text", " "]).args(&by).err("nothing").exit(2);
    bench.wattstep(&amend).args(&["--by", "ok"]).err("it does not say who added it").exit(2);
    bench
        .wattstep(&amend)
        .args(&["--by", "x"])
        .err("`x` is not a name (two letters or more")
        .exit(2);
    assert_eq!(lines(&paths[0]).len(), 46);
}

#[test]
fn a_void_record_says_so_everywhere_and_goes_on_no_more() {
    let bench = Bench::new();
    let path = bench.leave_unfinished();
    let run = name(&path);
    let void = ["void", run, "--by", "Lee Second-Test", "--why", "wrong serial number"];
    bench.wattstep(&void).out("added").exit(0);
    let shown = bench.wattstep(&["show", run]).any_out().exit(0).out;
    assert!(shown.lines().next().unwrap().contains("VOID; SCRIPTED"), "{shown}");
    assert!(shown.contains("VOID, it counts for nothing: wrong serial number"), "{shown}");
    for call in [&["verify", run][..], &ALL, &["verify", "--all", "--conclusions"]] {
        bench.wattstep(call).out("VOID; closed: left unfinished").exit(0);
    }
    let resume = ["resume", "--answers", "good.yaml"];
    bench.wattstep(&resume).err("no unfinished run").exit(1);
    bench.wattstep(&["resume", run]).args(&resume[1..]).err("declared void").exit(1);
    bench.wattstep(&void).err("void already").exit(2);
    let amend = ["amend", run, "--line", "2", "--text", "other", "--by", "Kim Bench-Test"];
    bench.wattstep(&amend).out("added").exit(0);
    bench.wattstep(&["verify", run]).out("VOID; closed").exit(0);
}

/// The good record with an entry more, its hashes made again, in a folder without a register.
fn with_another(bench: &Bench, path: &Path, more: &[&str]) {
    let all = lines(path);
    fs::remove_file(register(bench)).unwrap();
    fs::write(path, forged(all.iter().map(|line| entry(line)).chain(more.iter().copied())))
        .unwrap();
}

#[test]
fn what_is_added_afterwards_concludes_itself_and_nothing_else() {
    let now = Local::now().fixed_offset().to_rfc3339();
    let at = format!(r#""at":{{"wall":"{now}","elapsed_ms":0}},"by":"Lee Second-Test""#);
    let void = format!(
        r#"{{{at},"event":{{"voided":{{"why":"w"}}}},"facts":[{{"voided":{{"why":"w"}}}}]}}"#
    );
    let other = void.replacen(r#""why":"w""#, r#""why":"v""#, 1);
    let held = void.replace(r#""facts":["#, r#""facts":[{"stage_held":{"stage":"cold"}},"#);
    let nobody = void.replace("Lee Second-Test", "ok");
    let noted = format!(r#"{{{at},"event":{{"noted":{{"text":"t"}}}},"facts":[]}}"#);
    for (more, wrong) in [
        (vec![void.as_str()], None),
        (vec![&other], Some("line 46: what it concludes differs from what it says")),
        (vec![&held], Some("line 46: what it concludes differs from what it says")),
        (vec![&nobody], Some("line 46: it does not say who added it")),
        (vec![&void, &void], Some("line 47: the record is void already")),
        (vec![&void, &noted], Some("line 47: the record was declared void, so no run goes on")),
    ] {
        let (bench, paths) = recorded(1);
        with_another(&bench, &paths[0], &more);
        let call = bench.wattstep(&["verify", name(&paths[0]), "--alone"]);
        match wrong {
            None => drop(call.out("VOID").exit(0)),
            Some(wrong) => drop(call.out(wrong).exit(7)),
        }
    }
}

/// A record that is forged: its mode and a reading are others, every hash is made again.
fn forge(path: &Path) {
    let text = lines(path).concat().replace(r#""mode":"scripted""#, r#""mode":"real""#);
    fs::write(path, forged(text.replace("31 W", "29 W").lines().map(entry))).unwrap();
}

#[test]
fn without_the_register_no_forged_record_is_verified_by_anything() {
    let (bench, paths) = recorded(1);
    let run = name(&paths[0]);
    forge(&paths[0]);
    fs::remove_file(register(&bench)).unwrap();
    let missing = "REGISTER MISSING";
    bench.wattstep(&["verify", run]).out(missing).exit(7);
    let json = bench.wattstep(&["verify", run, "--format", "json"]).any_out().exit(7).out;
    assert!(!json.contains(r#""verified": true"#), "{json}");
    let shown = bench.wattstep(&["show", run]).any_out().err(missing).exit(7).out;
    assert!(shown.starts_with("DOES NOT VERIFY: REGISTER MISSING"), "{shown}");
    let report = bench.wattstep(&["report", run]).any_out().err(missing).exit(7).out;
    assert!(report.contains("UNVERIFIED") && !report.contains("verified when"), "{report}");
    // A copy that was sent can still be looked at by itself, and is not called verified.
    let alone = bench.wattstep(&["verify", run, "--alone"]).any_out().exit(0).out;
    assert!(alone.starts_with("sound by itself, NOT CHECKED"), "{alone}");
}

#[test]
fn a_record_that_was_taken_over_says_so_wherever_it_is_shown() {
    let (bench, paths) = recorded(1);
    let run = name(&paths[0]);
    forge(&paths[0]);
    fs::remove_file(register(&bench)).unwrap();
    bench.wattstep(&["register", "--adopt", "--by", "Kim Bench-Test"]).any_out().exit(0);
    let words = "taken over as it was by Kim Bench-Test on 20";
    let shown = bench.wattstep(&["show", run]).any_out().exit(0).out;
    assert!(shown.starts_with(&format!("The register: {words}")), "{shown}");
    let mark = "TAKEN OVER AS IT WAS";
    let report = bench.wattstep(&["report", run]).out(mark).out(words).exit(0).out;
    assert!(report.contains("NOT A FINAL REPORT"), "{report}");
    bench.wattstep(&["verify", run]).out(words).exit(0);
    bench.wattstep(&["register"]).out(words).exit(0);
    let signatures = bench.wattstep(&["signatures", run]).any_out().exit(0).out;
    assert!(signatures.starts_with(&format!("The register: {words}")), "{signatures}");
    let json = bench.wattstep(&["report", run, "--format", "json"]).any_out().exit(0).out;
    let json: Value = serde_json::from_str(&json).unwrap();
    assert!(json["record"]["register"][0].as_str().unwrap().starts_with("taken over"), "{json}");
}

#[test]
fn lines_that_nobody_vouches_for_keep_their_caveat_once_their_end_is_settled() {
    let (bench, paths) = recorded(1);
    let run = name(&paths[0]);
    bench.forget_ends();
    arrange(&paths[0], |all| {
        let text = all.concat().replace("31 W", "29 W");
        *all = vec![forged(text.lines().map(entry))];
    });
    bench.wattstep(&["register"]).out("settled").exit(0);
    let words = "lines 2 to 45 were first seen at 20";
    for verb in [&["verify", run][..], &ALL, &["show", run], &["report", run], &["register"]] {
        bench.wattstep(verb).out(words).exit(0);
    }
    let amend = ["amend", run, "--line", "3", "--text", "other", "--by", "Kim Bench-Test"];
    bench.wattstep(&amend).any_out().exit(0);
    let verified = bench.wattstep(&["verify", run]).out(words).exit(0).out;
    assert_eq!(verified.matches("first seen").count(), 1, "{verified}");
}

#[test]
fn a_run_that_was_killed_and_taken_up_keeps_the_caveat_and_one_that_was_left_has_none() {
    let bench = Bench::new();
    bench.write_answers("short.yaml", &[("  power-seen: 31 W\n", "")]);
    let resume = ["resume", "--answers", "good.yaml"];
    bench.run("short.yaml").any_out().exit(4);
    bench.wattstep(&resume).any_out().exit(0);
    let left = bench.wattstep(&ALL).any_out().exit(0).out;
    assert!(!left.contains("first seen"), "{left}");
    fs::remove_file(&bench.records()[0]).unwrap();
    fs::remove_file(register(&bench)).unwrap();
    bench.run("short.yaml").any_out().exit(4);
    bench.forget_ends();
    let there = bench.record().entries.len();
    let words = format!("lines 2 to {there} were first seen at 20");
    bench.wattstep(&resume).out(&format!("The register: {words}")).exit(0);
    bench.wattstep(&ALL).out(&words).exit(0);
}

#[test]
fn bytes_after_a_registered_end_are_no_write_that_was_cut_off() {
    let (bench, paths) = recorded(1);
    let run = name(&paths[0]);
    let whole = lines(&paths[0]).concat();
    fs::write(&paths[0], format!("{whole}rubbish")).unwrap();
    let words = "BYTES AFTER ITS END: 7 bytes follow line 45";
    for verb in [&["verify", run][..], &ALL, &["verify", "--all", "--conclusions"]] {
        bench.wattstep(verb).out(words).exit(7);
    }
    let json = bench.wattstep(&["verify", run, "--format", "json"]).any_out().exit(7).out;
    assert!(json.contains(r#""verified": false"#), "{json}");
    let report = bench.wattstep(&["report", run]).any_out().err(words).exit(7).out;
    assert!(!report.contains("cut off"), "{report}");
    bench.wattstep(&["register"]).out("left alone").out(words).exit(7);
    bench.wattstep(&["register", "--adopt", "--by", "Kim Bench-Test"]).out("adopted").exit(0);
    let adopted = "what follows line 45 was taken over by Kim Bench-Test";
    bench.wattstep(&["verify", run]).out(adopted).exit(0);
    fs::write(&paths[0], format!("{whole}RUBBISH")).unwrap();
    bench.wattstep(&["verify", run]).out("BYTES AFTER ITS END").exit(7);
}

#[test]
fn a_write_that_was_cut_off_is_settled_with_its_bytes() {
    let (bench, paths) = recorded(1);
    let run = name(&paths[0]);
    bench.forget_ends();
    arrange(&paths[0], |all| all.last_mut().unwrap().truncate(50));
    let torn = "a torn tail: the last write was cut off";
    bench.wattstep(&["verify", run]).out(torn).exit(0);
    bench.wattstep(&["register"]).out("settled").exit(0);
    assert_eq!(registered(&bench)[1]["what"]["settled"]["end"]["torn"]["bytes"], 50);
    bench.wattstep(&["verify", run]).out(torn).out("first seen").exit(0);
    let text = lines(&paths[0]).concat();
    for other in [format!("{text}x"), text[..text.len() - 50].to_owned()] {
        fs::write(&paths[0], other).unwrap();
        bench.wattstep(&["verify", run]).out("BYTES AFTER ITS END").out("50 belong").exit(7);
    }
}

#[test]
fn a_record_that_cannot_be_read_is_told_among_the_others() {
    let (bench, paths) = recorded(3);
    // A file that can be opened, and of which nothing can be read.
    fs::remove_file(&paths[1]).unwrap();
    std::os::unix::fs::symlink("/proc/self/mem", &paths[1]).unwrap();
    let printed = bench.wattstep(&ALL).out("DOES NOT VERIFY").exit(7).out;
    assert_eq!(printed.matches("verified  ").count(), 2, "{printed}");
    assert!(printed.contains("register  "), "{printed}");
}

#[test]
#[ignore = "needs python3: run by .ci/run"]
fn the_script_for_the_register_agrees_with_the_program() {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/verify_register.py");
    let check = |bench: &Bench, digest: Option<&str>, code: i32, words: &str| {
        let mut python = Command::new("python3");
        python.arg(&script).arg("records").args(digest).current_dir(bench.folder());
        let output = python.output().unwrap();
        let printed = String::from_utf8(output.stdout).unwrap();
        let complaint = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(code), "{printed}{complaint}");
        assert!(printed.contains(words), "should say {words:?}:\n{printed}{complaint}");
    };
    let (bench, paths) = recorded(2);
    let boss = "staff:\n  moss: {name: Moss Example-Super, roles: [supervisor]}\n";
    bench.write("shop.yaml", format!("format: 1\npeople: A lantern shop (invented)\n{boss}"));
    bench.wattstep(&["people", "shop.yaml", "--approve", "--by", "moss"]).any_out().exit(0);
    let digest = bench.wattstep(&["digest"]).any_out().exit(0).out;
    check(&bench, Some(digest.trim()), 0, "2 records and the register hold");
    let whole = lines(&paths[0]).concat();
    let tamper: [(&dyn Fn(), &str); 6] = [
        (
            &|| arrange(&paths[0], |all| all[4] = all[4].replacen("at", "aT", 1)),
            "line 5 is damaged",
        ),
        (&|| arrange(&paths[0], |all| all.truncate(30)), "CUT: 45 lines registered, 30 there"),
        (&|| fs::write(&paths[0], "").unwrap(), "EMPTIED"),
        (
            &|| {
                arrange(&paths[0], |all| {
                    let text = all.concat().replace("31 W", "29 W");
                    *all = vec![forged(text.lines().map(entry))];
                })
            },
            "REWRITTEN: line 45",
        ),
        (
            &|| {
                arrange(&paths[0], |all| {
                    let twice = all.iter().map(|line| entry(line)).chain([entry(&all[10])]);
                    *all = vec![forged(twice)];
                })
            },
            "ADDED TO: 45 lines registered, 46 there",
        ),
        (&|| fs::remove_file(&paths[0]).unwrap(), "MISSING"),
    ];
    for (tamper, words) in tamper {
        tamper();
        check(&bench, None, 1, words);
        bench.wattstep(&ALL).any_out().exit(7);
        fs::write(&paths[0], &whole).unwrap();
    }
    fs::write(&paths[0], format!("{whole}rubbish")).unwrap();
    check(&bench, None, 1, "BYTES AFTER ITS END: 7 after line 45, 0 registered");
    fs::write(&paths[0], &whole).unwrap();
    fs::write(bench.path("records/foreign.jsonl"), &whole).unwrap();
    check(&bench, None, 1, "NOT REGISTERED");
    fs::remove_file(bench.path("records/foreign.jsonl")).unwrap();
    arrange(&register(&bench), |all| all.truncate(4));
    check(&bench, Some(digest.trim()), 1, "REGISTER SHORTENED");
    arrange(&register(&bench), |all| {
        let text = all.concat().replace("scripted", "real");
        *all = vec![forged(text.lines().map(entry).chain([entry(&all[0])]))];
    });
    check(&bench, Some(digest.trim()), 1, "REGISTER REPLACED");
}

#[test]
fn a_folder_that_is_not_there_is_no_answer_and_an_empty_one_is_said() {
    let bench = Bench::new();
    for ask in [&ALL[..], &["register"], &["records"]] {
        let call = bench.wattstep(ask).args(&["--records", "nowhere"]);
        call.err("there is no folder of records nowhere").exit(1);
    }
    fs::create_dir(bench.path("empty")).unwrap();
    for ask in [&ALL[..], &["register"]] {
        bench.wattstep(ask).args(&["--records", "empty"]).out("no record in empty").exit(0);
    }
}

/// The lines of a file with the entries changed, every hash made again.
fn redated(path: &Path, from: usize, to: &str) {
    let text = lines(path);
    let entries = text.iter().enumerate().map(|(n, line)| {
        let entry_text = entry(line);
        let at = entry_text.find("20").unwrap();
        let is_kept = n + 1 < from;
        if is_kept {
            entry_text.to_owned()
        } else {
            format!("{}{to}{}", &entry_text[..at], &entry_text[at + 4..])
        }
    });
    let entries: Vec<_> = entries.collect();
    fs::write(path, forged(entries.iter().map(String::as_str))).unwrap();
}

#[test]
fn a_register_that_goes_back_in_time_is_a_finding_with_its_line() {
    let (bench, _) = recorded(2);
    bench.wattstep(&ALL).out("verified").exit(0);
    redated(&register(&bench), 3, "2020");
    let printed = bench.wattstep(&ALL).any_out().exit(6).out;
    assert_eq!(printed.matches("LOOK AT IT: ").count(), 1, "{printed}");
    assert!(printed.contains("LOOK AT IT: line 3 is dated "), "{printed}");
    let json = bench.wattstep(&ALL).args(&["--format", "json"]).any_out().exit(6).out;
    let found: Value = serde_json::from_str(&json).unwrap();
    assert_eq!(found["register"]["verified"], true);
    assert!(found["register"]["findings"][0].as_str().unwrap().contains("before line 2"));
}

#[test]
fn a_clock_that_is_behind_is_told_at_each_start_and_not_at_the_first_alone() {
    let (bench, before) = recorded(1);
    redated(&register(&bench), 2, "2999");
    for n in 1..=2 {
        let run = bench.wattstep(&["run", "lantern.yaml", "--answers", "good.yaml"]).any_out();
        let shown = run.any_err().exit(0).out;
        assert!(shown.contains("THE CLOCK IS BACK by "), "start {n}: {shown}");
    }
    // Which of two runs of one second comes last in the folder is chance.
    let last = bench.records().into_iter().find(|path| !before.contains(path)).unwrap();
    for verb in ["report", "show"] {
        let shown = bench.wattstep(&[verb, name(&last)]).any_out().any_err().exit(0).out;
        let words = unwrapped(&shown);
        assert!(words.contains("The clock: at line 1 it was 3"), "{shown}");
        assert!(words.contains("were judged at that later time"), "{shown}");
    }
}

#[test]
fn what_cannot_be_read_as_a_record_is_not_taken_over() {
    let (bench, paths) = recorded(2);
    let changed = lines(&paths[0]).concat().replacen("\"operator\":", "\"operatour\":", 1);
    fs::write(&paths[0], forged(changed.lines().map(entry))).unwrap();
    let empty = bench.path("records/empty.jsonl");
    fs::write(&empty, "").unwrap();
    fs::remove_file(register(&bench)).unwrap();
    let adopt = ["register", "--adopt", "--by", "Kim Bench-Test"];
    let said = bench.wattstep(&adopt).out("NOT READABLE AS A RECORD").exit(7).out;
    assert_eq!(said.matches("left alone").count(), 2, "{said}");
    assert!(said.contains(&format!("adopted     records/{}", name(&paths[1]))), "{said}");
    assert_eq!(kinds(&bench), ["adopted"]);
    bench.wattstep(&["verify", name(&paths[0])]).out("NOT REGISTERED").exit(7);
}

#[test]
fn what_is_called_like_a_record_and_is_no_file_is_told() {
    let (bench, _) = recorded(1);
    fs::create_dir(bench.path("records/folder.jsonl")).unwrap();
    std::os::unix::fs::symlink("nowhere", bench.path("records/link.jsonl")).unwrap();
    let pipe = bench.path("records/pipe.jsonl");
    assert!(Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    let adopt = ["register", "--adopt", "--by", "Kim Bench-Test"];
    for verb in [&ALL[..], &["verify", "--all", "--conclusions"], &["register"], &adopt] {
        let said = bench.wattstep(verb).any_out().exit(7).out;
        for what in ["folder", "link", "pipe"] {
            assert!(said.contains(&format!("records/{what}.jsonl")), "{what}: {said}");
        }
    }
    assert_eq!(kinds(&bench), ["opened", "ended"]);
    let listed = bench.wattstep(&["records", "--with-rehearsals"]).any_out().any_err().exit(0).out;
    for what in ["folder", "link", "pipe"] {
        assert!(listed.contains(&format!("{what}.jsonl")), "{what}: {listed}");
    }
}

#[test]
fn a_register_that_cannot_be_read_is_not_taken_for_none() {
    let (bench, _) = recorded(1);
    arrange(&register(&bench), |all| all[0] = all[0].replacen("at", "aT", 1));
    let run = ["run", "lantern.yaml", "--answers", "good.yaml"];
    let said = bench.wattstep(&run).any_out().err("line 1: the line was changed").exit(1);
    assert!(said.out.is_empty(), "{}", said.out);
    assert_eq!(bench.records().len(), 1);
}

#[test]
fn lines_from_the_future_are_a_finding_of_records_and_register() {
    let (bench, paths) = recorded(1);
    redated(&register(&bench), 2, "2999");
    let ahead = "ahead of this machine's clock: one of the two is wrong";
    let printed = bench.wattstep(&ALL).out("LOOK AT IT: line ").out(ahead).exit(6).out;
    assert_eq!(printed.matches(ahead).count(), 1, "{printed}");
    redated(&paths[0], 2, "2999");
    fs::remove_file(register(&bench)).unwrap();
    bench.wattstep(&["register", "--adopt", "--by", "Kim Example-Tech"]).any_out().exit(0);
    for arguments in [&ALL[..], &["verify", name(&paths[0])]] {
        bench.wattstep(arguments).out(" d ").out(ahead).exit(6);
    }
}

#[test]
fn a_record_that_goes_back_in_time_is_a_finding_and_the_report_says_so() {
    let (bench, paths) = recorded(1);
    redated(&paths[0], 5, "2020");
    // The forger who made its hashes again made those of the register again too.
    fs::remove_file(register(&bench)).unwrap();
    bench.wattstep(&["register", "--adopt", "--by", "Kim Example-Tech"]).any_out().exit(0);
    let words = "before line 4, and before line 1: it ends before it began";
    for arguments in [&ALL[..], &["verify", "--all", "--conclusions"], &["verify", name(&paths[0])]]
    {
        bench.wattstep(arguments).out("LOOK AT IT: line 5 is dated ").out(words).exit(6);
    }
    let report = bench.wattstep(&["report", name(&paths[0])]).any_out().exit(0).out;
    assert!(report.contains("The order of time: line 5 is dated "), "{report}");
}

#[test]
fn a_record_that_goes_back_in_the_time_of_its_sitting_is_a_finding_and_shown() {
    let (bench, paths) = recorded(1);
    let text = lines(&paths[0]);
    let elapsed = |line: &str| {
        let entry: Value = serde_json::from_str(entry(line)).unwrap();
        entry["at"]["elapsed_ms"].as_u64().unwrap()
    };
    let last = text.len();
    let (before, last_ms) = (elapsed(&text[last - 2]), elapsed(&text[last - 1]));
    let member = |ms: u64| format!("\"elapsed_ms\":{ms}");
    let mut entries: Vec<_> = text.iter().map(|line| entry(line).to_owned()).collect();
    entries[last - 1] = entries[last - 1].replacen(&member(last_ms), &member(before - 7), 1);
    fs::write(&paths[0], forged(entries.iter().map(String::as_str))).unwrap();
    fs::remove_file(register(&bench)).unwrap();
    bench.wattstep(&["register", "--adopt", "--by", "Kim Example-Tech"]).any_out().exit(0);
    let words =
        format!("line {last} is 7 ms sooner after its sitting began than line {}", last - 1);
    for arguments in [&ALL[..], &["verify", "--all", "--conclusions"], &["verify", name(&paths[0])]]
    {
        bench.wattstep(arguments).out("LOOK AT IT: ").out(&words).exit(6);
    }
    let told = format!("The order of time: {words}");
    bench.wattstep(&["show", name(&paths[0])]).out(&told).exit(0);
    bench.wattstep(&["report", name(&paths[0])]).out(&told).exit(0);
}

#[test]
fn what_is_added_to_a_record_and_a_run_taken_up_begin_a_time_of_their_own() {
    let bench = Bench::new();
    bench.leave_unfinished();
    bench.wattstep(&["resume", "--answers", "good.yaml"]).any_out().exit(0);
    let path = bench.records().remove(0);
    let amend = [
        "amend",
        name(&path),
        "--line",
        "2",
        "--text",
        "the lid was open",
        "--by",
        "Kim Example-Tech",
    ];
    bench.wattstep(&amend).any_out().exit(0);
    bench.wattstep(&ALL).out("verified").exit(0);
    bench.wattstep(&["verify", name(&path)]).out("verified").exit(0);
}

#[test]
fn conclusions_that_were_not_checked_are_said_to_be_so() {
    let (bench, paths) = recorded(1);
    let words = "conclusions were not checked";
    let said = |arguments: &[&str]| bench.wattstep(arguments).out("verified").exit(0).out;
    assert_eq!(said(&ALL).matches(words).count(), 1);
    for arguments in [&["verify", "--all", "--conclusions"][..], &["verify", name(&paths[0])]] {
        assert_eq!(said(arguments).matches(words).count(), 0, "{arguments:?}");
    }
    for (more, checked) in [(&[][..], false), (&["--conclusions"][..], true)] {
        let json =
            bench.wattstep(&ALL).args(more).args(&["--format", "json"]).any_out().exit(0).out;
        let found: Value = serde_json::from_str(&json).unwrap();
        assert_eq!(found["conclusions_checked"], checked);
    }
}

#[test]
fn one_record_beside_a_register_that_goes_back_in_time_is_told_so_too() {
    let (bench, paths) = recorded(2);
    let one = ["verify", name(&paths[0])];
    let printed = bench.wattstep(&one).out("verified").exit(0).out;
    assert!(!printed.contains("register  "), "{printed}");
    redated(&register(&bench), 3, "2020");
    let printed = bench.wattstep(&one).any_out().exit(6).out;
    assert!(printed.contains("verified  "), "{printed}");
    assert!(printed.contains("LOOK AT IT: line 3 is dated "), "{printed}");
    let json = bench.wattstep(&one).args(&["--format", "json"]).any_out().exit(6).out;
    let found: Value = serde_json::from_str(&json).unwrap();
    assert_eq!(found["records"][0]["verified"], true);
    assert!(found["register"]["findings"][0].as_str().unwrap().contains("before line 2"));
    bench.wattstep(&["verify", "--alone", name(&paths[0])]).any_out().exit(0);
}
