//! The way of the bundled amplifier through its circuit, and what is concluded of values that no simulator had to work out.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]

use super::outcome::OutsideStep;
use super::walk::FaultWalk;
use super::*;
use crate::circuit::answer::values;
use crate::circuit::walk::Walk;
use crate::netlist::FeedState;
use crate::procedure::check::read_netlist;
use crate::procedure::{bundled, read_circuit, read_equipment, read_procedure};
use crate::record::Source;

const NAME: &str = "amplifier-class-ab";

struct RehearsedFiles {
    procedure: Procedure,
    equipment: Equipment,
    circuit: Circuit,
}

fn files() -> RehearsedFiles {
    let [file, netlist] = bundled::circuit(NAME).unwrap();
    RehearsedFiles {
        procedure: read_procedure(bundled::text(NAME).unwrap()).unwrap(),
        equipment: read_equipment(bundled::equipment(NAME).unwrap()).unwrap(),
        circuit: Circuit {
            file: read_circuit(file).unwrap(),
            netlist: read_netlist(netlist).unwrap(),
        },
    }
}

impl RehearsedFiles {
    fn known(&self) -> KnownValues {
        KnownValues::of(&self.procedure, Some(&self.equipment))
    }

    fn route(&self) -> Route {
        Route::of(&self.procedure, &self.circuit, [&self.known(); 2]).unwrap()
    }

    /// Where a step stands on the way.
    fn situation(&self, route: &Route, step: &str) -> Option<Situation> {
        let place = route
            .places
            .iter()
            .find(|place| *self.procedure.stages[place.stage].steps[place.step].step == step);
        place.unwrap().situation.map(|at| route.situations[at].clone())
    }

    /// What becomes of a circuit of which this is printed in each case; nothing where a case was not done.
    fn walked(&self, spoiled: Spoiled, printed: impl Fn(&Case) -> Option<String>) -> FaultOutcome {
        let (known, route, gauges) = (self.known(), self.route(), gauges(&self.circuit));
        let walk = Walk {
            procedure: &self.procedure,
            circuit: &self.circuit,
            known: &known,
            truth: &known,
            route: &route,
        };
        let walk = FaultWalk { walk, gauges: &gauges };
        let spoiled = [spoiled];
        let cases = cases(&self.circuit, &route.situations, &gauges, &spoiled).unwrap();
        let results: Vec<_> =
            cases.iter().map(|case| values(case, &[], printed(case).as_deref())).collect();
        let states: Vec<_> = cases.iter().zip(&results).collect();
        walk.take(&spoiled[0], &states)
    }

    /// What becomes of a circuit that shows these values wherever it is asked, and zero elsewhere.
    fn taken(&self, fault: &str, shown: &[(&str, f64)]) -> FaultOutcome {
        self.walked(vec![fault.parse().unwrap()], |case| {
            let line = |vector: &crate::netlist::Vector| {
                let found = shown.iter().find(|(name, _)| *name == vector.0);
                format!("{vector} = {:e}\n", found.map_or(0.0, |(_, value)| *value))
            };
            Some(case.vectors().iter().map(line).collect())
        })
    }
}

#[test]
fn the_sources_of_the_circuit_are_fed_as_the_steps_set_them() {
    let files = files();
    let route = files.route();
    let fed =
        |step: &str| files.situation(&route, step).map(|situation| situation.feeds["plus"].clone());
    assert_eq!(fed("emitter-ohms"), None, "nothing is fed in a dead stage");
    let Some(FeedState::Limited { volts, amps }) = fed("low-plus") else {
        panic!("a bench supply")
    };
    assert!((volts - 15.0).abs() < 1e-9 && (amps - 0.1).abs() < 1e-9, "{volts} {amps}");
    let Some(FeedState::Limited { volts, amps }) = fed("mid-plus") else {
        panic!("a bench supply")
    };
    assert!((volts - 25.6).abs() < 0.1 && (amps - 0.125).abs() < 1e-9, "{volts} {amps}");
    assert_eq!(fed("rail-fuse-value"), None);
    let curve = |step: &str| {
        let Some(FeedState::Curve(curve)) = fed(step) else {
            panic!("{step}: a rail that follows")
        };
        curve.points().iter().map(|point| (point.amps, point.volts)).collect::<Vec<_>>()
    };
    // Behind the lamp no more than its own watts come through: 60 W are 0.7 A of both rails at half their volts.
    let (lamp, mains) = (curve("lamp-plus"), curve("direct-plus"));
    assert!(
        (lamp[0].1 - 43.0).abs() < 0.5 && (mains[0].1 - 43.5).abs() < 0.5,
        "{lamp:?} {mains:?}"
    );
    let at = |curve: &[(f64, f64)], amps: f64| curve.iter().find(|point| point.0 > amps).unwrap().1;
    assert!(at(&lamp, 1.0) < 10.0, "{lamp:?}");
    assert!((36.0..42.0).contains(&at(&mains, 1.0)), "{mains:?}");
}

#[test]
fn a_control_stands_where_a_step_has_left_it() {
    let files = files();
    let route = files.route();
    let at = |step: &str| {
        let set = files.situation(&route, step).unwrap().set(&files.circuit.netlist).unwrap();
        set.element("RV1").unwrap().value().unwrap()
    };
    assert!((at("bias-start") - 1.0).abs() < 1e-9);
    assert!((at("left-seen") - 808.0).abs() < 1e-6);
    assert!((at("left-rest") - 1.0).abs() < 1e-9);
    assert!((at("soak-late") - 852.0).abs() < 1e-6);
}

/// A supply that delivers 90 mA to a circuit that should take 25, with 14.98 V at its terminals: the model of its limit takes up
/// the rest of what it could deliver.
const OVERDRAWN: [(&str, f64); 4] =
    [("v(vp)", 14.98), ("v(vn)", -14.98), ("i(vplus)", 0.01), ("i(vminus)", 0.088)];

#[test]
fn a_fault_is_stopped_where_the_procedures_own_window_says_and_bears_nothing_after_it() {
    let files = files();
    let outcome = files.taken("Q11:ce-short", &OVERDRAWN);
    let stop = outcome.stop.as_ref().unwrap();
    assert_eq!(
        (stop.step.as_str(), stop.source),
        ("low-up (while on: plus.current)", Source::BenchSupply)
    );
    assert!(
        stop.reads.contains("90.0 mA") && stop.reads.contains("at most 85 mA"),
        "{}",
        stop.reads
    );
    assert!(outcome.signs.iter().any(|sign| sign.step == "low-plus"), "{:?}", outcome.signs);
    assert_eq!(
        (outcome.passed, outcome.reaches_mains, outcome.unknown.as_deref()),
        (0, false, None)
    );
}

#[test]
fn the_worst_part_is_the_one_that_bears_most_for_its_rating_but_for_the_faulty_one() {
    let files = files();
    let power = |part: &'static str, watts: f64| (part, watts);
    let shown =
        [&OVERDRAWN[..], &[power("@q12[p]", 20.0), power("@r42[p]", 6.0), power("@q11[p]", 900.0)]]
            .concat();
    let worst = files.taken("Q11:ce-short", &shown).worst.unwrap();
    assert_eq!((worst.part.as_str(), worst.rating.as_str()), ("R42", "3.00 W"));
    assert!((worst.times - 2.0).abs() < 1e-9, "{worst:?}");
    // The ramp of 30 s and what a step takes, at 6 W.
    assert!((290.0..310.0).contains(&worst.joules.unwrap()), "{worst:?}");
}

#[test]
fn a_circuit_without_an_operating_point_is_not_told_as_passed() {
    let outcome = files().walked(Vec::new(), |_| None);
    assert!(outcome.unknown.unwrap().contains("sound, situation 1"));
}

#[test]
fn behind_a_stop_an_operating_point_that_is_not_found_matters_no_more() {
    let files = files();
    let outcome = files.walked(vec!["Q11:ce-short".parse().unwrap()], |case| {
        let line = |vector: &crate::netlist::Vector| {
            let found = OVERDRAWN.iter().find(|(name, _)| *name == vector.0);
            format!("{vector} = {:e}\n", found.map_or(0.0, |(_, value)| *value))
        };
        case.name.ends_with("situation 1").then(|| case.vectors().iter().map(line).collect())
    });
    assert!(outcome.stop.is_some() && outcome.unknown.is_none(), "{outcome:?}");
}

#[test]
fn every_part_has_the_faults_of_its_kind() {
    let files = files();
    let all: Vec<_> = every_fault(&files.circuit).iter().map(ToString::to_string).collect();
    for fault in ["Q11:ce-short", "R41:open", "RV1:open", "C1:leaky", "RF1:open", "R18:value*2"] {
        assert!(all.iter().any(|name| name == fault), "{fault}");
    }
    assert!(!all.iter().any(|name| name.starts_with("X2") || name == "C1:value*2"));
}

/// What became of faults on the way through steps `a`, `b` and `c`.
fn of_three_steps(faults: Vec<FaultOutcome>) -> FaultCoverage {
    FaultCoverage {
        cases: 0,
        engine: 39,
        read: ["a", "b", "c"].map(str::to_owned).to_vec(),
        unread: Vec::new(),
        untried: Vec::new(),
        missing: Vec::new(),
        faults,
    }
}

#[test]
fn a_step_can_be_spared_where_another_of_its_stage_sees_the_same() {
    let files = files();
    let mut outcome = files.taken("Q11:ce-short", &OVERDRAWN);
    let sign = |(stage, step): (&str, &str)| OutsideStep {
        stage: stage.to_owned(),
        step: step.to_owned(),
    };
    let mut spare = |signs: &[(&str, &str)]| {
        outcome.signs = signs.iter().copied().map(sign).collect();
        of_three_steps(vec![outcome.clone()]).spare().join(" ")
    };
    assert_eq!(spare(&[]), "a b c");
    assert_eq!(spare(&[("low", "a"), ("low", "b")]), "a b c");
    // Without it the fault would get as far as the next stage.
    assert_eq!(spare(&[("low", "a"), ("mid", "b")]), "b c");
    assert_eq!(spare(&[("low", "a"), ("low", "a")]), "b c");
}

#[test]
fn a_step_is_idle_where_earlier_ones_stop_all_that_it_would() {
    let outcome = |stop: Option<&str>, is_unknown: bool| FaultOutcome {
        stop: stop.map(|step| Stop {
            stage: String::new(),
            step: step.to_owned(),
            source: Source::BenchSupply,
            reads: String::new(),
        }),
        unknown: is_unknown.then(String::new),
        ..FaultOutcome::of(String::new(), None)
    };
    let stops = [Some("c"), Some("a"), Some("c"), Some("b (while on: plus.current)"), None];
    let mut faults: Vec<_> = stops.into_iter().map(|stop| outcome(stop, false)).collect();
    faults.push(outcome(None, true));
    let coverage = of_three_steps(faults);
    assert_eq!(coverage.stopped_at(), [("a", 1), ("b (while on: plus.current)", 1), ("c", 2)]);
    assert_eq!(coverage.idle(), ["b"]);
    assert_eq!(coverage.uncaught().count(), 1, "what is not known is not told as missed");
}
