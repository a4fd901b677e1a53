//! Windows learned from points, and what a trend makes of them.
#![expect(clippy::unwrap_used, reason = "a test fails loudly")]

use super::affected::USED_IN;
use super::code::Coded;
use super::history::readings_of;
use super::proposal::{NoProposal, SAMPLE_MIN};
use super::{Archive, Filter, HistoryPoint, Proposal, Sides, Trend, common_unit};
use crate::record::{Mode, Origin, Outcome};
use crate::window::{Side, Verdict};

const DAY_MS: i64 = 86_400_000;

fn point(number: i32, value: f64) -> HistoryPoint {
    HistoryPoint {
        file: format!("run-{number}.jsonl"),
        mode: Mode::Real,
        procedure: "lantern".to_owned(),
        outcome: Some(Outcome::Finished),
        at: i64::from(number) * DAY_MS,
        day: 738_000 + number,
        value: Some(value),
        unit: "mA".into(),
        low: Some(0.02),
        high: Some(0.06),
        verdict: Verdict::Inside,
        origin: Origin::Typed,
        meter: None,
        what: "Idle current (invented)".into(),
        by: "Kim Example (invented)".into(),
    }
}

/// Points that lie 40.8, 41.0 and 41.2 mA in turn.
fn points(count: i32) -> Vec<HistoryPoint> {
    (0..count).map(|number| point(number, 0.041 + 0.0002 * f64::from(number % 3 - 1))).collect()
}

#[test]
fn only_good_real_finished_runs_are_learned_from() {
    let mut all = points(SAMPLE_MIN as i32);
    let alone = Proposal::learn(&all, Sides::Both).unwrap();
    let bad = |change: &dyn Fn(&mut HistoryPoint)| {
        let mut bad = point(99, 0.059);
        change(&mut bad);
        bad
    };
    all.push(bad(&|point| point.mode = Mode::Rehearsal));
    all.push(bad(&|point| point.mode = Mode::Scripted));
    all.push(bad(&|point| point.outcome = None));
    all.push(bad(&|point| point.outcome = Some(Outcome::StoppedOnReading)));
    all.push(bad(&|point| point.verdict = Verdict::Outside(Side::Above)));
    all.push(bad(&|point| point.verdict = Verdict::Undecided));
    all.push(bad(&|point| point.value = Some(f64::INFINITY)));
    all.push(bad(&|point| point.value = None));
    let learned = Proposal::learn(&all, Sides::Both).unwrap();
    assert_eq!(learned.passed_over, 8);
    assert_eq!(Proposal { passed_over: 0, ..learned }, alone);
    let few = Proposal::learn(&points(SAMPLE_MIN as i32 - 1), Sides::Both);
    assert_eq!(few, Err(NoProposal::TooFew { found: SAMPLE_MIN - 1 }));
}

#[test]
fn a_window_is_written_in_the_unit_of_the_step_and_rounded_outward() {
    let both = Proposal::learn(&points(20), Sides::Both).unwrap();
    // Mean 40.99 mA, deviation 0.1651 mA; the two-sided 99/95 factor for 20 is printed as 3.62: 40.392 to 41.588 mA.
    assert!(
        both.yaml().starts_with("window: {between: [40.39 mA, 41.59 mA]}\nbasis: \""),
        "{}",
        both.yaml()
    );
    let low = Proposal::learn(&points(20), Sides::Low).unwrap();
    assert!(low.yaml().starts_with("window: {at_least: 40.4"), "{}", low.yaml());
    assert_eq!(low.high, None);
}

#[test]
fn what_measures_different_things_has_no_common_unit() {
    let mut mixed = points(SAMPLE_MIN as i32 + 1);
    mixed.first_mut().unwrap().unit = "A".into();
    assert_eq!(common_unit(&mixed).unwrap().symbol(), "mA");
    mixed.first_mut().unwrap().unit = "V".into();
    assert_eq!(common_unit(&mixed), None);
    assert_eq!(Proposal::learn(&mixed, Sides::Both), Err(NoProposal::Mixed));
}

#[test]
fn what_gives_no_number_keeps_its_place_and_changes_no_figure() {
    let numbers = points(14);
    let mut all = numbers.clone();
    all.insert(2, HistoryPoint { value: Some(f64::INFINITY), ..point(2, 0.0) });
    all.insert(5, HistoryPoint { value: None, ..point(4, 0.0) });
    all.push(point(14, 0.05));
    let trend = Trend::of(&all);
    assert_eq!((trend.numbers, trend.without), (15, 2));
    assert_eq!(trend.unlike.unwrap().0, 16);
    assert_eq!(trend.beyond, [16]);
    let calm = Trend::of(&numbers);
    assert!(calm.unlike.unwrap().1.chance > 0.5 && calm.beyond.is_empty());
    assert_eq!(Trend::of(&[]).sample, None);
}

#[test]
fn each_word_has_its_own_number() {
    fn holds<T: Coded + std::fmt::Debug>() {
        for word in T::ALL {
            assert_eq!(word.code().and_then(T::of), Some(*word));
        }
        assert_eq!(T::of(-1), None);
        assert_eq!(T::of(100), None);
    }
    holds::<Mode>();
    holds::<Origin>();
    holds::<Verdict>();
    holds::<Outcome>();
}

/// How SQLite goes about a question, a line a table.
fn plan(archive: &Archive, sql: &str) -> Vec<String> {
    let mut statement = archive.connection.prepare(&format!("EXPLAIN QUERY PLAN {sql}")).unwrap();
    let values = vec![rusqlite::types::Value::Null; statement.parameter_count()];
    let lines = statement.query_map(rusqlite::params_from_iter(values), |row| row.get(3)).unwrap();
    lines.collect::<Result<_, _>>().unwrap()
}

/// Tells whether every table that grows with the archive is reached by an index, and the first of them by this one.
fn is_led_by(plan: &[String], index: &str) -> bool {
    let grows = |line: &&String| {
        ["record", "reading", "person", "used"]
            .iter()
            .any(|table| line.split(' ').nth(1) == Some(*table))
    };
    let lines: Vec<_> = plan.iter().filter(grows).collect();
    lines.iter().all(|line| line.starts_with("SEARCH"))
        && lines.first().is_some_and(|line| line.contains(index))
}

#[test]
fn what_is_asked_of_few_records_is_led_to_by_an_index() {
    let folder = tempfile::tempdir().unwrap();
    let archive = Archive::open(folder.path()).unwrap();
    let some = || Some("lantern".to_owned());
    let from = Some("2021-03-01".parse().unwrap());
    let all = Filter::default();
    for (filter, index) in [
        (Filter { serial: some(), ..all.clone() }, "record_by_serial"),
        (Filter { equipment: some(), ..all.clone() }, "record_by_equipment"),
        (Filter { from, ..all.clone() }, "record_by_day"),
        (Filter { person: some(), from, ..all.clone() }, "record_by_day"),
        (Filter { person: some(), equipment: some(), ..all.clone() }, "record_by_equipment"),
        (Filter { person: some(), ..all.clone() }, "INTEGER PRIMARY KEY"),
        (Filter { instrument: some(), ..all.clone() }, "INTEGER PRIMARY KEY"),
    ] {
        let condition = filter.condition();
        let records = plan(&archive, &format!("SELECT title FROM record WHERE {}", condition.sql));
        assert!(is_led_by(&records, index), "{filter:?}: {records:#?}");
    }
    let model = Filter { equipment: some(), ..all.clone() };
    let history = plan(&archive, &readings_of(&model, &model.condition()));
    assert!(is_led_by(&history, "COVERING INDEX record_by_equipment"), "{history:#?}");
    let every = plan(&archive, &readings_of(&all, &all.condition()));
    assert!(is_led_by(&every, "PRIMARY KEY (key=?)"), "{every:#?}");
    let used_in = plan(&archive, USED_IN);
    assert!(is_led_by(&used_in, "record_by_last_day"), "{used_in:#?}");
}
