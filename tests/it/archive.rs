//! `records`, `trend`, `affected` and `propose` over the records of an invented shop.

use std::fs;
use std::path::PathBuf;
use std::thread::sleep;

use chrono::Duration;
use serde_json::Value;
use wattstep::test_points::archive::{
    Archive, INDEX_NAME,
    Thoroughness::{Every, Quick},
};
use wattstep::test_points::journal::Register;
use wattstep::test_points::record::{Mode, Outcome};

use crate::support::bench::{Bench, LANTERN};
use crate::support::shop::{Run, register};
use crate::support::terminal::{Look, Terminal};
use crate::support::unwrapped;

/// Runs of the shop; among them are stopped ones and one rehearsal.
const RUNS: u32 = 60;

fn shop() -> Bench {
    let bench = Bench::new();
    with_on(&bench, (0..RUNS).map(Run::nth));
    bench
}

/// Puts these runs into the records of a bench, and begins its register with them.
fn with_on(bench: &Bench, runs: impl IntoIterator<Item = Run>) {
    let folder = bench.path("records");
    fs::create_dir(&folder).unwrap();
    let lines: Vec<_> = runs.into_iter().flat_map(|run| run.write(&folder)).collect();
    register(&folder, lines);
}

/// A bench with these runs alone.
fn with(runs: impl IntoIterator<Item = Run>) -> Bench {
    let bench = Bench::new();
    with_on(&bench, runs);
    bench
}

/// Adds a run, registered as a sitting would have it.
fn add(bench: &Bench, run: &Run) {
    let folder = bench.path("records");
    let lines = run.write(&folder);
    let mut register = Register::open(&folder).unwrap();
    lines.into_iter().for_each(|line| register.add(line).unwrap());
}

/// Puts a record into the folder behind the register's back.
fn slip_in(bench: &Bench, run: &Run) {
    drop(run.write(&bench.path("records")));
}

fn path(bench: &Bench, number: u32) -> PathBuf {
    bench.path(&format!("records/run-{number:06}.jsonl"))
}

fn index(bench: &Bench) -> PathBuf {
    bench.path("records").join(INDEX_NAME)
}

fn json(bench: &Bench, arguments: &[&str]) -> Value {
    let call = bench.wattstep(arguments).args(&["--format", "json"]);
    serde_json::from_str(&call.any_out().exit(0).out).unwrap()
}

fn files(bench: &Bench, filters: &[&str]) -> Vec<String> {
    let listed = json(bench, &[&["records"], filters].concat());
    let records = listed["records"].as_array().unwrap().iter();
    records.map(|record| record["file"].as_str().unwrap().to_owned()).collect()
}

/// What the archive answers to all that can be asked, rehearsals and all.
fn answers(bench: &Bench) -> Vec<Value> {
    let since = ["--since", "2021-03-05"];
    vec![
        json(bench, &["records", "--with-rehearsals"]),
        json(bench, &["trend", "idle-plus", "--with-rehearsals"]),
        json(bench, &[&["affected", "--instrument", "SM-1"], &since[..]].concat()),
        json(bench, &["propose", "idle-plus"]),
    ]
}

#[test]
fn a_rebuilt_index_gives_the_same_answers() {
    let bench = shop();
    let before = answers(&bench);
    assert_eq!(before[0]["records"].as_array().unwrap().len(), RUNS as usize);
    assert_eq!(answers(&bench), before, "asked again");
    fs::remove_file(index(&bench)).unwrap();
    assert_eq!(answers(&bench), before, "deleted");
    fs::write(index(&bench), "this is no index").unwrap();
    assert_eq!(answers(&bench), before, "broken");
    json(&bench, &["records", "--rebuild"]);
    assert_eq!(answers(&bench), before, "rebuilt");
}

#[test]
fn an_index_of_another_version_is_made_again() {
    let bench = shop();
    let before = answers(&bench);
    let connection = rusqlite::Connection::open(index(&bench)).unwrap();
    connection.pragma_update(None, "user_version", 99).unwrap();
    connection.execute("UPDATE record SET operator = 'someone else'", []).unwrap();
    drop(connection);
    assert_eq!(answers(&bench), before);
}

#[test]
fn what_is_kept_up_equals_what_is_rebuilt() {
    let bench = shop();
    answers(&bench);
    (RUNS..RUNS + 5).for_each(|number| add(&bench, &Run::nth(number)));
    slip_in(&bench, &Run { idle: vec![55.5], ..Run::nth(3) });
    fs::remove_file(path(&bench, 7)).unwrap();
    let mut archive = Archive::open(&bench.path("records")).unwrap();
    let done = archive.refresh(Quick).unwrap();
    assert_eq!((done.read, done.gone, done.unchanged), (6, 1, RUNS as usize - 2));
    let again = archive.refresh(Every).unwrap();
    assert_eq!((again.read, again.gone, again.unchanged), (0, 0, RUNS as usize + 4));
    let kept_up = answers(&bench);
    // It was changed behind the register's back, so it counts only where that is asked for.
    assert!(!kept_up[1]["points"].to_string().contains("0.0555"));
    let all = json(&bench, &["trend", "idle-plus", "--with-rehearsals", "--with-unregistered"]);
    assert!(all["points"].to_string().contains("0.0555"));
    assert_eq!(all["register"]["not_as_registered"][0]["file"], "run-000003.jsonl");
    assert_eq!(all["register"]["missing"], serde_json::json!(["run-000007"]));
    fs::remove_file(index(&bench)).unwrap();
    assert_eq!(answers(&bench), kept_up);
}

#[test]
fn where_no_index_can_be_written_the_answers_are_the_same() {
    let bench = shop();
    let before = answers(&bench);
    fs::remove_file(index(&bench)).unwrap();
    fs::create_dir(index(&bench)).unwrap();
    assert_eq!(answers(&bench), before);
}

#[test]
fn deleted_and_slipped_in_records_are_told_above_every_answer_and_count_nowhere() {
    let bench = with((0..20).map(Run::nth));
    let of_meter = ["affected", "--instrument", "SM-", "--since", "2021-01-01"];
    let before = [&["trend", "idle-plus"][..], &["propose", "idle-plus"], &of_meter];
    let before = before.map(|ask| json(&bench, ask));
    (0..3).for_each(|number| fs::remove_file(path(&bench, number)).unwrap());
    let slipped = |number| Run { idle: vec![59.0], ..Run::nth(number) };
    (100..115).for_each(|number| slip_in(&bench, &slipped(number)));
    let count = |answer: &Value| answer["points"].as_array().unwrap().len();
    let trend = json(&bench, &["trend", "idle-plus"]);
    assert_eq!((count(&before[0]), count(&trend)), (20, 17));
    assert_eq!(trend["register"]["missing"].as_array().unwrap().len(), 3);
    assert_eq!(trend["register"]["not_as_registered"].as_array().unwrap().len(), 15);
    let proposed = json(&bench, &["propose", "idle-plus"]);
    assert_eq!(proposed["count"], 17);
    let widened = json(&bench, &["propose", "idle-plus", "--with-unregistered"]);
    assert_eq!(widened["count"], 32);
    assert!(widened["high"].as_f64().unwrap() > 1.2 * proposed["high"].as_f64().unwrap());
    let touched = |answer: &Value| answer["readings"].as_array().unwrap().len();
    assert_eq!((touched(&before[2]), touched(&json(&bench, &of_meter))), (20, 17));
    let missing = "MISSING: 3 records in the register, gone from the folder and from this answer: run-000000, run-000001";
    for ask in [&["records"][..], &["trend", "idle-plus"], &["propose", "idle-plus"], &of_meter] {
        let shown =
            bench.wattstep(ask).out(missing).out("NOT AS REGISTERED: 15 records").exit(0).out;
        assert!(shown.starts_with("MISSING: 3"), "{shown}");
    }
    let listed = bench.wattstep(&["records"]).any_out().exit(0).out;
    assert_eq!(listed.matches("NOT AS REGISTERED; finished").count(), 15, "{listed}");
    let asked = ["trend", "idle-plus", "--with-unregistered"];
    bench.wattstep(&asked).out("NOT AS REGISTERED: 15 records, taken in, as asked").exit(0);
}

#[test]
fn what_is_gone_or_left_out_is_told_above_an_error_too() {
    let bench = with((0..10).map(Run::nth));
    (0..2).for_each(|number| fs::remove_file(path(&bench, number)).unwrap());
    (100..103).for_each(|number| slip_in(&bench, &Run::nth(number)));
    for ask in [["propose", "idle-plus"], ["trend", "nothing-like-it"]] {
        let told = bench.wattstep(&ask).any_err().exit(1).err;
        assert!(told.starts_with("MISSING: 2 records in the register"), "{told}");
        assert!(told.contains("NOT AS REGISTERED: 3 records, left out"), "{told}");
        assert!(told.find("error: ") > told.find("NOT AS REGISTERED"), "{told}");
    }
    let whole = with((0..10).map(Run::nth));
    let told = whole.wattstep(&["propose", "idle-plus"]).any_err().exit(1).err;
    assert!(told.starts_with("error: 10 good real runs"), "{told}");
}

#[test]
fn where_the_register_is_gone_no_record_counts_unless_that_is_asked_for() {
    let bench = with((0..20).map(Run::nth));
    json(&bench, &["records"]);
    fs::remove_file(bench.path("records/register.jsonl")).unwrap();
    for ask in ["trend", "propose"] {
        bench.wattstep(&[ask, "idle-plus"]).err("REGISTER MISSING").err("--with-unreg").exit(1);
        let asked = bench.wattstep(&[ask, "idle-plus", "--with-unregistered"]);
        let shown = asked.out("taken in, as asked").exit(0).out;
        assert!(shown.starts_with("REGISTER MISSING"), "{shown}");
    }
    let listed = bench.wattstep(&["records"]).out("REGISTER MISSING").out("20 records").exit(0).out;
    assert_eq!(listed.matches("NOT AS REGISTERED; finished").count(), 20, "{listed}");
    bench.wattstep(&["register", "--adopt", "--by", "Kim Bench-Test"]).any_out().exit(0);
    let words = "20 records taken over as found: nothing vouches for them from before";
    bench.wattstep(&["trend", "idle-plus"]).out(words).exit(0);
}

#[test]
fn only_what_may_have_changed_is_looked_at_until_a_day_has_passed_or_it_is_asked_for() {
    let bench = with((0..5).map(Run::nth));
    let read = |look| Archive::open(&bench.path("records")).unwrap().refresh(look).unwrap().read;
    assert_eq!(read(Quick), 5);
    // The folder has to be at rest for longer than the tick of a coarse clock before it can be trusted.
    sleep(std::time::Duration::from_millis(2_300));
    assert_eq!(read(Quick), 0);
    let edit = |number| {
        let mut bytes = fs::read(path(&bench, number)).unwrap();
        bytes[3_000] ^= 1;
        fs::write(path(&bench, number), bytes).unwrap();
    };
    edit(0);
    assert_eq!(read(Quick), 0, "the price: an old record that is edited in its place");
    assert_eq!(read(Every), 1);
    edit(1);
    let index = rusqlite::Connection::open(index(&bench)).unwrap();
    index.execute("UPDATE look SET at = at - 24 * 60 * 60 * 1000 - 1", []).unwrap();
    assert_eq!(read(Quick), 1, "after a day every file is looked at");
    edit(2);
    index.execute("UPDATE look SET at = at + 60 * 60 * 1000", []).unwrap();
    assert_eq!(read(Quick), 1, "a clock that went back tells no age");
    edit(3);
    let damaged = json(&bench, &["records", "--look-again"])["damaged"].clone();
    assert_eq!(damaged.as_array().unwrap().len(), 4, "{damaged}");
    edit(4);
    add(&bench, &Run::nth(9));
    assert_eq!(read(Quick), 2, "a new run has every file looked at");
}

#[test]
fn a_record_that_may_still_grow_is_looked_at_each_time() {
    let bench = Bench::new();
    bench.run("good.yaml").any_out().exit(0);
    bench.forget_ends();
    let read = || Archive::open(&bench.path("records")).unwrap().refresh(Quick).unwrap().read;
    assert_eq!(read(), 1);
    sleep(std::time::Duration::from_millis(2_300));
    assert_eq!(read(), 0);
    let record = fs::OpenOptions::new().append(true).open(bench.record().path);
    std::io::Write::write_all(&mut record.unwrap(), b"{").unwrap();
    assert_eq!(read(), 1);
}

#[test]
fn a_run_that_goes_on_is_read_again() {
    let bench = Bench::new();
    bench.leave_unfinished();
    let state = |bench: &Bench| {
        json(bench, &["records", "--with-rehearsals"])["records"][0]["outcome"].clone()
    };
    assert_eq!(state(&bench), "left_unfinished");
    bench.wattstep(&["resume", "--answers", "good.yaml"]).any_out().exit(0);
    assert_eq!(state(&bench), "finished");
}

#[test]
fn each_filter_takes_what_it_names() {
    let bench = shop();
    let real = (0..RUNS).filter(|number| number % 40 != 39).count();
    assert_eq!(files(&bench, &[]).len(), real);
    assert_eq!(files(&bench, &["--serial", "L-000012"]), ["run-000012.jsonl"]);
    assert_eq!(files(&bench, &["--serial", "L-0000"]).len(), 0, "a serial number is whole");
    assert_eq!(
        files(&bench, &["--equipment", "LANTERN 12"]),
        ["run-000012.jsonl", "run-000032.jsonl", "run-000052.jsonl"]
    );
    assert_eq!(files(&bench, &["--procedure", "lantern"]).len(), real);
    assert_eq!(files(&bench, &["--procedure", "lan"]).len(), 0);
    assert_eq!(
        files(&bench, &["--outcome", "stopped-on-reading"]),
        ["run-000024.jsonl", "run-000049.jsonl"]
    );
    assert_eq!(files(&bench, &["--outcome", "not-closed"]).len(), 0);
    assert_eq!(files(&bench, &["--person", "example-3 (inv"]).len(), 9);
    assert_eq!(files(&bench, &["--instrument", "serial SM-2"]).len(), 20);
    let days = ["--from", "2021-03-02", "--to", "2021-03-02"];
    assert_eq!(files(&bench, &days), ["run-000003.jsonl", "run-000004.jsonl", "run-000005.jsonl"]);
    let both = ["--person", "example-3", "--instrument", "SM-0"];
    assert_eq!(files(&bench, &both), ["run-000003.jsonl", "run-000024.jsonl", "run-000045.jsonl"]);
    bench.wattstep(&["records", "--from", "yesterday"]).any_err().exit(2);
}

#[test]
fn runs_that_are_not_real_are_left_out_until_asked_for_and_marked_then() {
    let unreal = |number, mode| Run { mode, idle: vec![900.0], ..Run::nth(number) };
    let good = (0..20).map(Run::nth);
    let bench = with(good.chain([unreal(20, Mode::Rehearsal), unreal(21, Mode::Scripted)]));
    let real = json(&bench, &["trend", "idle-plus"]);
    assert_eq!(real["points"].as_array().unwrap().len(), 20);
    assert!(!real.to_string().contains("\"value\":0.9"), "{real}");
    let all = json(&bench, &["trend", "idle-plus", "--with-rehearsals"]);
    assert_eq!(all["points"].as_array().unwrap().len(), 22);
    let trend = ["trend", "idle-plus", "--with-rehearsals"];
    let shown = bench.wattstep(&trend).out("WITH RUNS THAT ARE NOT REAL").any_out().exit(0).out;
    assert!(shown.contains(", REHEARSAL") && shown.contains(", SCRIPTED"), "{shown}");
    bench
        .wattstep(&["records"])
        .out("20 records")
        .out("2 more runs not real, shown by --with-rehearsals")
        .exit(0);
    assert_eq!(json(&bench, &["propose", "idle-plus"])["count"], 20);
    // There is no way to ask for it.
    bench.wattstep(&["propose", "idle-plus", "--with-rehearsals"]).any_err().exit(2);
}

#[test]
fn a_void_run_is_listed_as_void_and_counts_nowhere() {
    let void = Run { void: Some("wrong serial".to_owned()), idle: vec![59.0], ..Run::nth(20) };
    let bench = with((0..20).map(Run::nth).chain([void]));
    bench.wattstep(&["records"]).out("VOID; finished").out("21 records").exit(0);
    let records = json(&bench, &["records"]);
    let is_void = |value: &&Value| value["void"] == true;
    let listed: Vec<_> = records["records"].as_array().unwrap().iter().filter(is_void).collect();
    assert!(listed.len() == 1 && listed[0]["file"] == "run-000020.jsonl", "{records}");
    assert_eq!(json(&bench, &["trend", "idle-plus"])["points"].as_array().unwrap().len(), 20);
    assert_eq!(json(&bench, &["propose", "idle-plus"])["count"], 20);
    assert_eq!(json(&bench, &["trend", "idle-plus"])["void_runs_left_out"], 1);
    bench.wattstep(&["trend", "idle-plus"]).out("1 more run left out: void").exit(0);
    // The meter touched it all the same.
    let affected = ["affected", "--instrument", "SM-2", "--since", "2021-01-01"];
    bench.wattstep(&affected).out("Pellow lantern 0 (invented), serial L-000020, VOID").exit(0);
}

#[test]
fn an_amended_record_is_listed_with_the_number_of_its_amendments() {
    let bench = with([Run::nth(1)]);
    bench.wattstep(&["register", "--adopt", "--by", "Kim Bench-Test"]).any_out().exit(0);
    let amend =
        ["amend", "run-000001", "--line", "3", "--text", "read 41", "--by", "Kim Bench-Test"];
    bench.wattstep(&amend).any_out().exit(0);
    bench.wattstep(&amend).any_out().exit(0);
    bench.wattstep(&["records"]).out("every stage held, 2 amendments afterwards").exit(0);
    assert_eq!(json(&bench, &["records"])["records"][0]["amendments"], 2);
}

#[test]
fn a_damaged_record_is_listed_with_every_answer() {
    let bench = shop();
    let sound = answers(&bench);
    let mut bytes = fs::read(path(&bench, 5)).unwrap();
    let length = bytes.len();
    bytes[length / 2] ^= 1;
    fs::write(path(&bench, 5), &bytes).unwrap();
    fs::write(bench.path("records/empty.jsonl"), "").unwrap();
    for (answer, before) in answers(&bench).iter().zip(&sound) {
        let damaged = answer["damaged"].as_array().unwrap();
        assert_eq!((damaged.len(), damaged[0]["file"].as_str()), (2, Some("empty.jsonl")));
        assert_eq!(damaged[1]["file"], "run-000005.jsonl");
        assert!(damaged[1]["damage"].as_str().unwrap().contains("changed after it was written"));
        assert_ne!(answer, before);
    }
    let words = "2 records DAMAGED, in no answer:";
    bench.wattstep(&["records", "--serial", "none"]).out(words).out("the file is empty").exit(0);
    bench.wattstep(&["trend", "idle-plus"]).out(words).out("run-000005.jsonl").exit(0);
    let affected = ["affected", "--instrument", "SM-1", "--since", "2021-01-01"];
    bench.wattstep(&affected).out(words).exit(0);
    bench.wattstep(&["propose", "idle-plus"]).out(words).exit(0);
}

#[test]
fn a_record_that_is_sound_but_starts_no_run_is_listed_as_damaged() {
    let bench = shop();
    let mut journal =
        wattstep::test_points::journal::Journal::create(&bench.path("records"), "other").unwrap();
    let at = serde_json::json!({"wall": "2026-03-02T09:15:00+01:00", "elapsed_ms": 0});
    journal
        .append(&serde_json::json!({"at": at, "by": "-", "event": "ticked", "facts": []}))
        .unwrap();
    let damaged = json(&bench, &["records"])["damaged"].clone();
    assert_eq!(damaged[0]["damage"], "line 1 is not the start of a run");
}

#[test]
fn affected_finds_every_reading_of_the_meter_since_the_day() {
    let meter = |serial: &str| Some(format!("Sallow hand meter (invented), serial {serial}"));
    let run =
        |number, serial| Run { meter: meter(serial), idle: vec![80.0, 41.0], ..Run::nth(number) };
    // The bench file says what the instrument `meter` is: SM-1.
    let sent = Run { meter: None, sent_by: Some("meter".to_owned()), ..Run::nth(30) };
    let late = Run { opened: run(0, "").opened + Duration::days(90), ..run(40, "SM-1") };
    let bench = with([run(1, "SM-1"), run(20, "SM-2"), run(25, "SM-1"), sent, late]);
    let since = |day: &str| json(&bench, &["affected", "--instrument", "sm-1", "--since", day]);
    let found = |answer: &Value| {
        let readings = answer["readings"].as_array().unwrap().iter();
        readings
            .map(|value| {
                (value["file"].as_str().unwrap().to_owned(), value["value"].as_f64().unwrap())
            })
            .collect::<Vec<_>>()
    };
    let all = since("2021-03-01");
    let file = |number: u32| format!("run-{number:06}.jsonl");
    let idle_30: f64 = format!("{}e-3", Run::nth(30).idle[0]).parse().unwrap();
    let expected = [
        (file(1), 0.08),
        (file(1), 0.041),
        (file(25), 0.08),
        (file(25), 0.041),
        (file(30), idle_30),
    ];
    assert_eq!(found(&all)[..5], expected);
    assert_eq!(found(&all).len(), 7);
    assert!(
        all["readings"][4]["instrument"]
            .as_str()
            .unwrap()
            .contains("SM-1, calibration due 2031-01-31")
    );
    assert_eq!(found(&since("2021-04-01")), [(file(40), 0.08), (file(40), 0.041)]);
    assert_eq!(all["records_with_unnamed_meters"], 5);
    let text = bench.wattstep(&["affected", "--instrument", "SM-1", "--since", "2021-03-01"]);
    let words = "7 readings in 4 records taken with \"SM-1\" since 2021-03-01";
    text.out(words)
        .out("idle-plus: 80.00 mA OUTSIDE, too high")
        .out("they may be touched too")
        .exit(0);
    bench.wattstep(&["affected", "--instrument", " ", "--since", "2021-03-01"]).any_err().exit(2);
}

#[test]
fn a_trend_takes_the_reading_that_stood_and_names_the_one_unlike_the_others() {
    let plain =
        |number: u32| Run { idle: vec![41.0 + 0.1 * f64::from(number % 5)], ..Run::nth(number) };
    let odd = Run { idle: vec![95.0, 44.9], ..Run::nth(9) };
    let bench = with((0..9).chain(10..15).map(plain).chain([odd]));
    let trend = json(&bench, &["trend", "idle-plus"]);
    assert_eq!(trend["points"][9]["value"], 0.0449, "the second attempt stood");
    assert_eq!((&trend["unlike"]["point"], &trend["unlike"]["others"]), (&9.into(), &14.into()));
    let shown = bench.wattstep(&["trend", "idle-plus"]);
    shown.out("run-000009 on 2021-03-03: 44.90 mA is inside its window but unlike the other 14 (mean 41.").exit(0);
    let without = with((0..15).map(plain));
    assert_eq!(json(&without, &["trend", "idle-plus"])["unlike"], Value::Null);
}

#[test]
fn what_is_no_trend_is_said() {
    let bench =
        with((0..5).map(Run::nth).chain([Run { procedure: "other".to_owned(), ..Run::nth(5) }]));
    bench.wattstep(&["trend", "idle-plus"]).err("more than one procedure: lantern, other").exit(2);
    bench.wattstep(&["trend", "idle-plus", "--procedure", "other"]).any_out().exit(0);
    bench.wattstep(&["trend", "idle"]).err("there are: idle-plus").exit(1);
    bench
        .wattstep(&["trend", "nothing-like-it"])
        .err("none of these runs holds a reading named nothing-like-it")
        .exit(1);
    bench
        .wattstep(&["records", "--from", "2026-03-02", "--to", "2026-03-01"])
        .err("--from 2026-03-02 is after --to 2026-03-01")
        .exit(2);
    let rehearsed = Bench::new();
    rehearsed.run("good.yaml").any_out().exit(0);
    for ask in ["trend", "propose"] {
        let call = rehearsed.wattstep(&[ask, "power-seen"]);
        call.err("`wattstep trend --with-rehearsals` takes the others too").exit(1);
    }
    let empty = Bench::new();
    empty.wattstep(&["records"]).err("there is no folder of records records").exit(1);
    assert!(!empty.path("records").exists(), "asking makes no folder");
    fs::create_dir(empty.path("records")).unwrap();
    empty.wattstep(&["records"]).out("0 records").exit(0);
}

#[test]
fn a_proposed_window_can_be_pasted_and_holds_the_runs_it_came_from() {
    let bench = with((0..30).map(Run::nth));
    let proposal = json(&bench, &["propose", "idle-plus"]);
    let (low, high) = (proposal["low"].as_f64().unwrap(), proposal["high"].as_f64().unwrap());
    assert_eq!(proposal["count"], 29);
    assert_eq!(proposal["passed_over"], 1, "the run that stopped");
    for number in (0..30).filter(|number| number % 25 != 24) {
        let value = Run::nth(number).idle[0] / 1000.0;
        assert!((low..=high).contains(&value), "{value} is outside {low} to {high}");
    }
    // NIST e-Handbook 7.2.6.3 in kind: mean and deviation times the factor, rounded outward.
    let reach = proposal["factor"].as_f64().unwrap() * proposal["deviation"].as_f64().unwrap();
    let exact = proposal["mean"].as_f64().unwrap() - reach;
    assert!(low <= exact && exact - low < proposal["deviation"].as_f64().unwrap() / 10.0);

    let shown = bench.wattstep(&["propose", "idle-plus"]).any_out().exit(0).out;
    let yaml =
        shown.split("paste it into the step:\n\n").nth(1).unwrap().split("\n\n").next().unwrap();
    let window = yaml.lines().next().unwrap();
    let basis: Vec<_> = yaml.lines().skip(1).map(|line| format!("        {line}\n")).collect();
    let pasted = LANTERN
        .replace("window: {between: [20 mA, 60 mA]}", window)
        .replace("        basis: data sheet of the invented lantern\n", &basis.concat());
    assert!(pasted.contains("learned from 29 good real runs"), "{pasted}");
    let found = |text: &str| {
        bench.write("pasted.yaml", text);
        bench.wattstep(&["check", "pasted.yaml"]).any_out().exit(6).out
    };
    let codes = |said: &str| said.matches("warning[").count();
    let (before, after) = (found(LANTERN), found(&pasted));
    assert_eq!(codes(&before), codes(&after), "{after}");
    assert!(!after.contains("error["), "{after}");
    let one = json(&bench, &["propose", "idle-plus", "--limits", "high"]);
    assert!(
        one["yaml"].as_str().unwrap().starts_with("window: {at_most: ") && one["low"].is_null()
    );
}

#[test]
fn too_few_runs_and_values_all_alike_make_no_window() {
    let bench = with((0..14).map(Run::nth));
    bench
        .wattstep(&["propose", "idle-plus"])
        .err("14 good real runs hold this reading, and 15 are the least")
        .exit(1);
    let alike = with((0..20).map(|number| Run { idle: vec![41.0], ..Run::nth(number) }));
    alike.wattstep(&["propose", "idle-plus"]).err("all 20 values are the same").exit(1);
    let left = with(
        (0..20).map(|number| Run { outcome: Some(Outcome::LeftUnfinished), ..Run::nth(number) }),
    );
    left.wattstep(&["propose", "idle-plus"]).err("0 good real runs hold").exit(1);
    let one = with((0..1).map(Run::nth));
    one.wattstep(&["propose", "idle-plus"]).err("1 good real run holds this reading").exit(1);
}

/// Everything a record can say, said by somebody who means harm.
fn hostile() -> Bench {
    let nasty = "\u{1b}[31m</text><script>alert('x')</script>\u{202e}\u{7}\"&\n# heading";
    let run = |number| Run {
        operator: nasty.to_owned(),
        equipment: nasty.to_owned(),
        meter: Some(format!("{nasty} SM-1")),
        ..Run::nth(number)
    };
    with((0..20).map(run))
}

#[test]
fn forty_columns_and_plain_letters_are_enough() {
    let bench = hostile();
    fs::write(bench.path("records/empty.jsonl"), "").unwrap();
    for arguments in [
        &["records"][..],
        &["trend", "idle-plus"],
        &["affected", "--instrument", "SM-1", "--since", "2021-01-01"],
        &["propose", "idle-plus"],
    ] {
        let look = Look::usual().columns(40).env("LANG", "C").env("NO_COLOR", "1");
        let terminal = Terminal::start(bench.folder(), &look, arguments);
        assert_eq!(terminal.exit_code(), 0);
        terminal.assert_no_line_is_too_wide();
        let raw = terminal.raw();
        assert!(raw.is_ascii() && !raw.contains(&0x1b) && !raw.contains(&7), "{arguments:?}");
        assert!(raw.len() > 200);
    }
}

#[test]
fn no_text_of_a_record_reaches_the_screen_unclean() {
    let bench = hostile();
    let shown = bench.wattstep(&["records"]).any_out().exit(0).out;
    assert!(!shown.contains(['\u{1b}', '\u{202e}', '\u{7}']), "{shown:?}");
    assert!(!shown.contains("\n# heading"));
    let affected = ["affected", "--instrument", "SM-1", "--since", "2021-01-01"];
    let shown = bench.wattstep(&affected).any_out().exit(0).out;
    assert!(
        !shown.contains(['\u{1b}', '\u{202e}', '\u{7}']) && unwrapped(&shown).contains("<script>")
    );
    let found = bench.wattstep(&["records", "--format", "json"]).any_out().exit(0).out;
    assert!(!found.contains(['\u{1b}', '\u{202e}']));
}

#[test]
fn a_drawing_is_svg_and_nothing_that_runs() {
    let bench = hostile();
    bench.wattstep(&["trend", "idle-plus", "--svg", "idle.svg"]).any_out().exit(0);
    let svg = fs::read_to_string(bench.path("idle.svg")).unwrap();
    assert!(svg.starts_with("<svg xmlns=") && svg.ends_with("</svg>\n"));
    assert_eq!(svg.matches("<circle").count() + svg.matches("<rect x").count(), 20);
    for word in ["<script", "onload", "href", "<style", "<foreignObject", "\u{1b}"] {
        assert!(!svg.contains(word), "{word}");
    }
    bench
        .wattstep(&["trend", "idle-plus", "--svg", "idle.svg"])
        .err("cannot write idle.svg")
        .exit(1);
}
