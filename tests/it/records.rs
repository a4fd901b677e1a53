//! `show`, `verify` and `resume` on records of scripted runs.

use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::support::bench::Bench;
use crate::support::record::Record;
use crate::support::unwrapped;

/// A bench with the record of a good run on it.
fn recorded() -> (Bench, Record) {
    let bench = Bench::new();
    bench.run("good.yaml").any_out().exit(0);
    let record = bench.record();
    (bench, record)
}

fn name(record: &Record) -> &str {
    record.path.file_stem().unwrap().to_str().unwrap()
}

#[test]
fn a_record_shows_every_reading_for_people_and_for_programs() {
    let (bench, record) = recorded();
    let text = bench.wattstep(&["show", name(&record)]).any_out().exit(0).out;
    let json = bench.wattstep(&["show", name(&record), "--format", "json"]).any_out().exit(0).out;
    let run: Value = serde_json::from_str(&json).unwrap();
    let items: Vec<_> = run["items"].as_array().unwrap().iter().collect();
    let readings = record.facts("judged");
    assert!(readings.len() >= 7);
    for fact in readings {
        let in_json = items.iter().filter(|item| item["what"]["fact"]["judged"] == *fact).count();
        assert_eq!(in_json, 1, "{fact}");
        let what = unwrapped(fact["what"].as_str().unwrap());
        assert!(unwrapped(&text).contains(&what), "{what}\n{text}");
        let value = fact["text"].as_str().unwrap();
        assert!(text.contains(value), "{value}\n{text}");
    }
    let mark = "SCRIPTED: answers from a file, not a real run";
    assert!(text.lines().next().unwrap().contains(mark));
    assert_eq!(run["opening"]["mode"], "scripted");
    assert!(text.matches(", scripted").count() >= 7, "every reading says that it is scripted");
}

#[test]
fn a_record_is_found_by_its_file_and_by_the_name_of_its_run() {
    let (bench, record) = recorded();
    let path = record.path.to_str().unwrap();
    let by_name = bench.wattstep(&["show", name(&record)]).any_out().exit(0);
    let bare = path.strip_suffix(".jsonl").unwrap();
    bench.wattstep(&["show", bare]).any_out().exit(0);
    let by_file = bench.wattstep(&["show", path]).any_out().exit(0);
    let inside = bench.wattstep(&["show", &format!("{}.jsonl", name(&record))]).any_out().exit(0);
    assert_eq!((&by_name.out, &by_name.out), (&by_file.out, &inside.out));
}

#[test]
fn a_whole_record_verifies() {
    let (bench, record) = recorded();
    let count = format!("{} entries, head ", record.entries.len());
    let state = "closed: finished, every stage held; SCRIPTED: answers from a file";
    bench.wattstep(&["verify", name(&record)]).out("verified").out(&count).out(state).exit(0);
    let json = ["verify", name(&record), "--format", "json"];
    let found: Value = serde_json::from_str(&bench.wattstep(&json).any_out().exit(0).out).unwrap();
    assert_eq!(found[0]["verified"], true);
    assert_eq!(found[0]["entries"], record.entries.len());
}

#[test]
fn a_changed_byte_and_a_dropped_line_do_not_verify() {
    let (bench, record) = recorded();
    let bytes = fs::read(&record.path).unwrap();
    let lines: Vec<_> = bytes.split_inclusive(|byte| *byte == b'\n').collect();
    let head = lines[..4].concat().len();

    let mut changed = bytes.clone();
    changed[head + 200] ^= 1;
    fs::write(&record.path, &changed).unwrap();
    bench.wattstep(&["verify", name(&record)]).out("DOES NOT VERIFY").out("line 5").exit(7);
    bench.wattstep(&["show", name(&record)]).err("line 5").exit(7);
    bench.wattstep(&["resume", name(&record), "--answers", "good.yaml"]).err("line 5").exit(7);

    fs::write(&record.path, [&lines[..4], &lines[5..]].concat().concat()).unwrap();
    bench.wattstep(&["verify", name(&record)]).out("DOES NOT VERIFY").out("line 5").exit(7);
    let json = ["verify", name(&record), "--format", "json"];
    let found: Value = serde_json::from_str(&bench.wattstep(&json).any_out().exit(7).out).unwrap();
    assert_eq!(found[0]["verified"], false);
    assert!(found[0]["wrong"].as_str().unwrap().contains("line 5"));
}

#[test]
fn a_record_whose_end_was_cut_off_never_passes_for_a_finished_run() {
    let (bench, record) = recorded();
    let bytes = fs::read(&record.path).unwrap();
    let last = bytes[..bytes.len() - 1].iter().rposition(|byte| *byte == b'\n').unwrap() + 1;
    fs::write(&record.path, &bytes[..last]).unwrap();
    let lines = record.entries.len();
    let cut = format!("CUT: {lines} lines are registered and the file has {}", lines - 1);
    bench.wattstep(&["verify", name(&record)]).out(&cut).exit(7);
    fs::write(&record.path, &bytes[..last + 40]).unwrap();
    bench.wattstep(&["verify", name(&record)]).out(&cut).exit(7);
    // Where the register knows no end, it is at least not closed.
    bench.forget_ends();
    let state = "not closed: unfinished, or its end was cut off";
    let torn = "a torn tail: the last write was cut off";
    bench.wattstep(&["verify", name(&record)]).out(state).out(torn).exit(0);
    bench.wattstep(&["show", name(&record)]).any_out().exit(0);
}

#[test]
fn all_records_are_verified_and_one_bad_one_is_enough() {
    let bench = Bench::new();
    bench.wattstep(&["verify", "--all"]).err("there is no folder of records").exit(1);
    for _ in 0..3 {
        bench.run("good.yaml").any_out().exit(0);
    }
    let all = ["verify", "--all"];
    let printed = bench.wattstep(&all).any_out().exit(0);
    assert_eq!(printed.out.matches("verified  ").count(), 3);
    let path = &bench.records()[1];
    let mut bytes = fs::read(path).unwrap();
    bytes[2000] ^= 1;
    fs::write(path, bytes).unwrap();
    let printed = bench.wattstep(&all).any_out().exit(7);
    assert_eq!(printed.out.matches("DOES NOT VERIFY").count(), 1);
    assert_eq!(printed.out.matches("verified  ").count(), 2);
}

#[test]
fn a_record_in_a_later_format_is_refused_with_what_to_do() {
    let (bench, record) = recorded();
    let text = fs::read_to_string(&record.path).unwrap();
    fs::write(&record.path, text.replacen("\"n\":1,\"format\":1", "\"n\":1,\"format\":2", 1))
        .unwrap();
    let message = "written by a newer version (format 2";
    bench.wattstep(&["show", name(&record)]).err(message).err("newer version").exit(7);
    bench.wattstep(&["verify", name(&record)]).out(message).exit(7);
    let before = fs::read(&record.path).unwrap();
    bench.wattstep(&["resume", name(&record), "--answers", "good.yaml"]).err(message).exit(7);
    assert_eq!(fs::read(&record.path).unwrap(), before);
}

#[test]
fn a_run_is_taken_up_where_it_was_left_and_starts_by_making_safe() {
    let bench = Bench::new();
    bench.leave_unfinished();
    let left = bench.record().entries.len();
    let resumed = bench.wattstep(&["resume", "--answers", "good.yaml"]).any_out().exit(0);
    let first = resumed.out.find("SWITCH EVERYTHING OFF").unwrap();
    assert!(first < resumed.out.find("> ").unwrap(), "{}", resumed.out);
    let record = bench.record();
    assert!(record.entries[left]["event"].get("resumed").is_some());
    assert_eq!(record.closed_safe(), Some(true));
    bench.wattstep(&["verify", "--all"]).out("closed: finished").exit(0);
    // It is over now.
    bench.wattstep(&["resume", "--answers", "good.yaml"]).err("no unfinished run").exit(1);
    let again = ["resume", name(&record), "--answers", "good.yaml"];
    bench.wattstep(&again).err("this run has ended for good").exit(1);
}

#[test]
fn a_damaged_record_among_the_unfinished_is_named() {
    let bench = Bench::new();
    let path = &bench.leave_unfinished();
    let mut bytes = fs::read(path).unwrap();
    bytes[2000] ^= 1;
    fs::write(path, bytes).unwrap();
    let resume = ["resume", "--answers", "good.yaml"];
    bench.wattstep(&resume).err("passed over").err("no unfinished run").exit(1);
}

#[test]
fn which_of_two_unfinished_runs_is_not_guessed() {
    let bench = Bench::new();
    bench.leave_unfinished();
    bench.run("short.yaml").any_out().exit(4);
    let paths = bench.records();
    // The end of the second is cut off: it was live when it was last heard of.
    let text = fs::read_to_string(&paths[1]).unwrap();
    let live = text.find(r#"{"energised""#).unwrap();
    let end = live + text[live..].find('\n').unwrap() + 1;
    fs::write(&paths[1], &text[..end]).unwrap();
    let printed = bench.wattstep(&["resume", "--answers", "good.yaml"]);
    let printed = printed.err("2 unfinished runs").err("LIVE: switch off or pull the plug").exit(2);
    fs::write(&paths[1], &text).unwrap();
    let lines: Vec<_> = printed.err.lines().collect();
    let [.., first, last] = lines.as_slice() else { panic!("{lines:?}") };
    let name = |path: &Path| path.file_stem().unwrap().to_str().unwrap().to_owned();
    assert!(first.starts_with(&format!("  LIVE  {}  ", name(&paths[1]))), "{first}");
    assert!(last.starts_with(&format!("        {}  ", name(&paths[0]))), "{last}");
    let second = paths[1].file_stem().unwrap().to_str().unwrap();
    bench.wattstep(&["resume", second, "--answers", "good.yaml"]).any_out().exit(0);
    bench.wattstep(&["verify", second]).out("closed: finished").exit(0);
}

#[test]
fn an_attached_file_that_changed_does_not_verify() {
    let bench = Bench::new();
    let procedure = crate::support::bench::LANTERN
        .replace("note: What was replaced", "attach: A photo of the inside");
    bench.write("photo.yaml", procedure);
    bench.write("inside.jpg", b"not really a photo");
    bench.write_answers("shot.yaml", &[("smoothing capacitor replaced", "inside.jpg")]);
    bench.wattstep(&["run", "photo.yaml", "--answers", "shot.yaml"]).any_out().exit(0);
    bench.wattstep(&["verify", "--all"]).out("verified").exit(0);
    let record = bench.record();
    let sha256 = record.events("attached")[0]["sha256"].as_str().unwrap().to_owned();
    let folder = record.path.with_extension("files");
    let stored = fs::read_dir(&folder).unwrap().map(|file| file.unwrap().path()).next().unwrap();
    assert!(stored.file_name().unwrap().to_str().unwrap().contains(&sha256));
    let mut permissions = fs::metadata(&stored).unwrap().permissions();
    std::os::unix::fs::PermissionsExt::set_mode(&mut permissions, 0o644);
    fs::set_permissions(&stored, permissions).unwrap();
    fs::write(&stored, b"another photo").unwrap();
    bench.wattstep(&["verify", "--all"]).out("attached file inside.jpg").out("changed").exit(7);
    fs::remove_file(&stored).unwrap();
    bench.wattstep(&["verify", "--all"]).out("attached file inside.jpg").out("missing").exit(7);
}
