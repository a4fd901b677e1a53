//! Every order of events up to a length, from several places in a run.

use super::bench::MonitoredRun;
use super::monitor::Coverage;
use super::moves::Move;
use super::rig::RigKind;

/// Walks every order of moves. A move that leads to nothing leaves the run as it was: the orders that go on from it are
/// walked without it. Only time that passes is kept, as it changes what a proof is worth.
fn walk(bench: &MonitoredRun, depth: usize, trail: &mut Vec<Move>, coverage: &mut Coverage) -> u64 {
    let mut orders = 0;
    for &step in Move::on(bench.rig) {
        trail.push(step);
        let mut next = bench.clone();
        let effects = match next.step(step, coverage) {
            Ok(effects) => effects,
            Err(broken) => panic!("{broken}\nafter {trail:?}"),
        };
        orders += 1;
        if depth > 1 && (!effects.is_empty() || step == Move::Lapse) {
            orders += walk(&next, depth - 1, trail, coverage);
        }
        trail.pop();
    }
    orders
}

fn from(rig: RigKind, key: &str, then: &[Move], depth: usize) {
    let mut coverage = Coverage::default();
    let mut bench = MonitoredRun::new(rig);
    bench.start(&mut coverage);
    let mut bench = bench.until(key);
    for step in then {
        bench.step(*step, &mut coverage).expect("no rule broken on the way");
    }
    let mut trail = Vec::new();
    let orders = walk(&bench, depth, &mut trail, &mut coverage);
    assert!(orders > 25_u64.pow(2), "only {orders} orders were walked");
}

#[test]
fn from_the_start() {
    from(RigKind::ByHand, "ask.rail", &[], 4);
}

#[test]
fn on_the_bench_supply() {
    from(RigKind::ByHand, "idle", &[], 4);
}

#[test]
fn in_the_middle_of_a_proof_after_a_stop() {
    let to_the_proof = [Move::Outside, Move::Good, Move::Good, Move::Good];
    from(RigKind::ByHand, "idle", &to_the_proof, 4);
}

#[test]
fn before_the_source_comes_on() {
    from(RigKind::ByHand, "rails.clear", &[], 4);
}

#[test]
fn on_the_mains() {
    from(RigKind::ByHand, "rail-full", &[], 4);
}

#[test]
fn at_the_decision_after_a_stop() {
    let to_the_decision =
        [Move::Outside, Move::Good, Move::Good, Move::Good, Move::Good, Move::Good];
    from(RigKind::ByHand, "idle", &to_the_decision, 4);
}

#[test]
fn where_a_supervisor_has_to_be_there() {
    from(RigKind::Staffed, "rails.supervisor", &[], 3);
}

#[test]
fn once_a_supervisor_is_there() {
    from(RigKind::Staffed, "rails.clear", &[], 3);
}

#[test]
fn at_a_hold_that_is_signed() {
    from(RigKind::Signed, "lamp.hold", &[], 3);
}

#[test]
fn at_the_signature_under_the_record() {
    from(RigKind::Signed, "sign-off", &[], 3);
}

#[test]
fn while_a_second_person_is_named() {
    from(RigKind::ByHand, "sound.q1.verifier", &[], 3);
}

#[test]
fn while_two_people_agree() {
    from(RigKind::ByHand, "lamp-on.agree", &[], 3);
}

#[test]
fn at_a_connected_ramp() {
    from(RigKind::Connected, "rails-up", &[], 3);
}

#[test]
fn while_a_connected_supply_is_watched() {
    from(RigKind::Connected, "drift", &[Move::SampledGood], 3);
}

#[test]
fn after_a_trip_in_a_rehearsal() {
    from(RigKind::Rehearsed, "drift", &[Move::Tripped, Move::Good, Move::Good], 3);
}
