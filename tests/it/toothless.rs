//! Whether a walk with a hazard rests on the step that is meant to catch it: without that step's judgement the run goes further, or `check` refuses
//! the procedure before any run.

use crate::support::rehearsal::Wrong::{Fact, Fault, Seen};
use crate::support::rehearsal::{Rehearsal, Wrong, first_stop};

/// Where a step stands in the text of a procedure.
fn block(text: &str, step: &str) -> std::ops::Range<usize> {
    let start =
        text.find(&format!("      - step: {step}\n")).unwrap_or_else(|| panic!("no {step}"));
    let rest = &text[start + 1..];
    let ends =
        ["\n      - step: ", "\n  - stage: ", "\n  # ---"].iter().filter_map(|own| rest.find(own));
    start..start + 1 + ends.min().unwrap_or(rest.len())
}

/// The window of a reading, up to its closing brace.
fn window(block: &str) -> std::ops::Range<usize> {
    let start = block.find("window: {").unwrap();
    let mut depth = 0;
    let end = block[start..].char_indices().find(|(_, c)| {
        depth += i32::from(*c == '{') - i32::from(*c == '}');
        *c == '}' && depth == 0
    });
    start..start + end.unwrap().0 + 1
}

/// A procedure in which this step takes whatever comes: its window is gone, or the bad answer counts as good.
fn without_judgement(text: &str, step: &str, wrong: Wrong<'_>) -> String {
    let place = block(text, step);
    let own = &text[place.clone()];
    let own = if let (Seen(..), true) = (wrong, own.contains("          good: [")) {
        let bad = "none in this outlet";
        let lines = own.lines().filter(|line| !line.contains(&format!("say: \"{bad}\"")));
        let kept = lines.fold(String::new(), |kept, line| kept + line + "\n");
        kept.replacen("good: [", &format!("good: [\"{bad}\", "), 1)
    } else {
        let of_window = window(own);
        let own = format!(
            "{}window: {{record_only: true}}{}",
            &own[..of_window.start],
            &own[of_window.end..]
        );
        let is_hint = |line: &&str| line.trim() == "outside:" || line.starts_with("          - {");
        let lines = own.lines().filter(|line| !is_hint(line));
        lines.fold(String::new(), |kept, line| kept + line + "\n")
    };
    format!("{}{own}{}", &text[..place.start], &text[place.end..].trim_start_matches('\n'))
}

/// Tells that it is this step that catches what is wrong: without its judgement the run ends with this code, elsewhere or at its end.
fn catches(procedure: &str, wrong: Wrong<'_>, stop: &str, code: i32) {
    let step = stop.split('.').next().unwrap();
    let mut without = Rehearsal::of(procedure).wrong(wrong);
    without.procedure = without_judgement(&without.procedure, step, wrong);
    let record = without.run(code);
    if code != 0 {
        assert_ne!(first_stop(&record), stop, "{procedure}: {wrong:?} is caught without {step}");
    }
    let key = format!("\"key\":\"{stop}\"");
    let was_met = record.entries.iter().any(|entry| entry.to_string().contains(&key));
    assert!(was_met, "{procedure}: {wrong:?}: {stop} was not reached");
}

/// Tells that nobody runs the procedure without the judgement of this step: a reading that a life hangs on, or a safety test, is recorded only.
fn is_not_run_without(procedure: &str, step: &str) {
    let mut without = Rehearsal::of(procedure);
    without.procedure = without_judgement(&without.procedure, step, Fault(step));
    without.check().out("error[WIN022]").exit(6);
}

#[test]
fn what_a_life_hangs_on_is_not_run_without_its_judgement() {
    for (procedure, steps) in [
        (
            "appliance-earthed",
            &[
                "insulation",
                "insulation-floating",
                "insulation-tester-before",
                "earth",
                "floating-closed",
                "leak-check",
                "outlet-earth",
                "heat-touch",
                "heat-leak",
            ][..],
        ),
        ("bench-supply-output", &["insulation-tester-before", "outlet-earth"]),
        (
            "bench-supply-linear",
            &[
                "insulation-output",
                "output-insulation",
                "chain-earth",
                "outlet-earth",
                "leak-check",
            ],
        ),
        (
            "amplifier-class-ab",
            &["insulation-floating", "final-floating", "chain-earth", "outlet-earth", "leak-check"],
        ),
        (
            "amplifier-mosfet",
            &["insulation-floating", "final-floating", "chain-earth", "outlet-earth", "leak-check"],
        ),
    ] {
        for step in steps {
            is_not_run_without(procedure, step);
        }
    }
}

#[test]
fn a_walk_goes_further_without_the_step_that_catches_it() {
    let none = "none in this outlet";
    let good = "\"residual-current device of 30 mA or less, it trips\"";
    let other_none = format!("{{mains-outlet: {good}, tester-outlet: {none}}}");
    for (procedure, wrong, stop, code) in [
        ("appliance-earthed", Fact("bench_mains", "120 V"), "mains-fits", 3),
        ("appliance-earthed", Seen("outlet-kind", &other_none), "outlet-kind.tester-outlet", 0),
        ("bench-supply-output", Fact("bench_mains", "120 V"), "mains-fits", 3),
        ("bench-supply-output", Seen("outlet-kind", none), "outlet-kind", 0),
    ] {
        catches(procedure, wrong, stop, code);
    }
}
