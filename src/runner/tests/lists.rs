//! Questions that may be answered on one line, and what keeps them apart.

use super::sitting::{RunAtBench, at_60_v, cold, rails};

fn at(steps: &str) -> RunAtBench {
    let mut sitting = RunAtBench::new(&at_60_v(&cold(steps)));
    sitting.make_safe();
    sitting
}

/// What the rows of the question at hand are about.
fn rows(sitting: &RunAtBench) -> Vec<String> {
    sitting.question().list.iter().map(|row| row.what.clone()).collect()
}

#[test]
fn readings_of_many_parts_are_one_list_unless_anything_tells_them_apart() {
    let read = |more: &str| {
        let step = "
- step: gate
  read: {what: Gate to source, unit: ohm, window: {at_least: 1 kohm, open_ok: true}}
  for_each: [q1, q2, q3]
";
        at(&format!("{}{more}- step: tidy\n  do: Tidy the wires\n", step.trim_start()))
    };
    let mut sitting = read("");
    assert_eq!(rows(&sitting), ["q1", "q2", "q3"]);
    sitting.say("2 kohm");
    assert_eq!(rows(&sitting), ["q2", "q3"]);
    sitting.say("2 kohm");
    assert_eq!(rows(&sitting), ["q3"]);
    let twice = read("  verify: independent\n  agree_within: 5 ohm\n");
    assert!(rows(&twice).is_empty(), "a second person reads each again");
    let charging = read("  proves: insulation\n");
    assert!(rows(&charging).is_empty(), "each charges what it measures");
    let mut live = RunAtBench::new(&rails(
        "
- step: offset
  read: {what: Offset, unit: mV, window: {at_most: 50 mV}}
  for_each: [left, right]
",
    ));
    live.live();
    assert_eq!(live.key(), "offset.left");
    assert!(rows(&live).is_empty(), "with the rails on each is judged before the next");
}

/// Two things to do, with `between` before the second, and `more` said of the second.
fn two_things(between: &str, more: &str) -> String {
    format!(
        "
- step: clip
  do: Put the clip on
  for_each: [left, right]
{between}- step: probe
  do: Put the probe on
{more}- step: tidy
  do: Tidy the wires
"
    )
}

#[test]
fn things_to_do_one_after_another_are_one_list() {
    let mut sitting = at(&two_things("", ""));
    let all =
        ["left: Put the clip on", "right: Put the clip on", "Put the probe on", "Tidy the wires"];
    for n in 0..all.len() {
        assert_eq!(rows(&sitting), all[n..]);
        sitting.acknowledge();
    }
}

#[test]
fn a_list_of_things_to_do_ends_where_anything_else_comes_with_one() {
    let notice = "  hazard: {signal: warning, harm: serious-injury, risk: Sharp, result: Cuts, avoid: Gloves}\n";
    let look = "- step: fit\n  look: {at: The clip, good: [holds], bad: [{say: loose, likely: worn, next: change it}]}\n";
    let clips = ["left: Put the clip on", "right: Put the clip on"];
    let ends = [
        ("", notice, &clips[..]),
        ("", "  opens: lid\n", &clips),
        ("", "  closes: lid\n", &clips),
        (look, "", &clips),
    ];
    for (between, more, due) in ends {
        let procedure = at_60_v(&cold(&two_things(between, more)));
        let covered = procedure.replace("below: 60 V", "below: 60 V, behind: lid");
        let mut sitting = RunAtBench::new(if more.contains("lid") { &covered } else { &procedure });
        sitting.make_safe();
        assert_eq!(rows(&sitting), due, "{between}{more}");
    }
}

#[test]
fn with_the_rails_on_things_are_done_one_by_one() {
    let mut live = RunAtBench::new(&rails(&two_things("", "")));
    live.live();
    assert_eq!(live.key(), "clip.left");
    assert!(rows(&live).is_empty(), "{:?}", rows(&live));
}

#[test]
fn looks_are_one_list_as_long_as_one_digit_tells_their_answers() {
    let look = |name: &str, answers: usize| {
        let good: Vec<_> = (1..answers).map(|n| format!("state {n}")).collect();
        let bad = "{say: burnt, likely: heat, next: look}";
        format!(
            "- step: {name}\n  look: {{at: The {name}, good: [{}], bad: [{bad}]}}\n",
            good.join(", ")
        )
    };
    let looks = |counts: [usize; 3]| {
        let names = ["lid", "lamp", "lead"];
        let looks = names.iter().zip(counts).map(|(name, count)| look(name, count));
        let mut sitting =
            at(&format!("- step: tidy\n  do: Tidy up\n{}", looks.collect::<String>()));
        assert_eq!(rows(&sitting), ["Tidy up"], "a look is no thing to do");
        sitting.acknowledge();
        sitting
    };
    let mut sitting = looks([3, 3, 3]);
    assert_eq!(rows(&sitting), ["The lid", "The lamp", "The lead"]);
    sitting.say("state 2");
    assert_eq!(rows(&sitting), ["The lamp", "The lead"]);
    assert_eq!(rows(&looks([3, 3, 4])), ["The lid", "The lamp"]);
    assert_eq!(rows(&looks([3, 7, 1])), ["The lid"], "a later one does not come first");
}
