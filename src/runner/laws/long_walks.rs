//! Long random walks, and what they must have reached so that no law is empty.

use super::bench::{MonitoredRun, recorded};
use super::monitor::Coverage;
use super::moves::Move;
use super::rig::RigKind;
use crate::record::{Event, Moment, Outcome};
use crate::runner::Effect;

const WALKS: u64 = 2500;
const MOVES: usize = 90;

/// Good moves that lead from anywhere to the end of a run, if anything does.
const MOVES_TO_THE_END: usize = 200;

/// The xorshift generator of Marsaglia (2003): small, and the same everywhere.
struct Dice(u64);

impl Dice {
    fn below(&mut self, limit: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % limit
    }

    fn choose<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        let n = self.below(from.len() as u64) as usize;
        from.get(n).expect("a face of the dice")
    }

    fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        *self.choose(from)
    }

    /// A good move most times; `trouble` in a hundred are a bad answer or any move at all.
    fn next(&mut self, trouble: u64, rig: RigKind) -> Move {
        match self.below(100) {
            n if n >= trouble => Move::Good,
            n if n % 3 == 0 => Move::Outside,
            _ => self.pick(Move::on(rig)),
        }
    }
}

/// The seed of the walks: any number in `WATTSTEP_SEED` plays a failure again.
fn first_seed() -> u64 {
    let given = std::env::var("WATTSTEP_SEED").ok().and_then(|text| text.parse().ok());
    given.unwrap_or(20_260_101)
}

/// One walk: its moves, and the effects of each event that was recorded.
struct LongWalk {
    bench: MonitoredRun,
    trail: Vec<Move>,
    story: Vec<RecordedMove>,
}

/// An event as it was recorded, if it was, and all its effects.
struct RecordedMove {
    recorded: Option<(Moment, Event)>,
    effects: Vec<Effect>,
}

impl RecordedMove {
    fn new(effects: Vec<Effect>) -> Self {
        Self { recorded: recorded(&effects), effects }
    }
}

/// A bench of each kind, before its run starts.
fn benches() -> [MonitoredRun; 5] {
    RigKind::ALL.map(MonitoredRun::new)
}

fn walk(benches: &[MonitoredRun], seed: u64, coverage: &mut Coverage) -> LongWalk {
    let mut dice = Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
    // Calm walks get far, wild ones get everywhere.
    let trouble = dice.pick(&[1, 4, 12, 40]);
    let mut bench = dice.choose(benches).clone();
    let effects = bench.start(coverage);
    let mut walk = LongWalk { bench, trail: Vec::new(), story: vec![RecordedMove::new(effects)] };
    for _ in 0..MOVES {
        let step = dice.next(trouble, walk.bench.rig);
        walk.trail.push(step);
        match walk.bench.step(step, coverage) {
            Ok(effects) => walk.story.push(RecordedMove::new(effects)),
            Err(broken) => panic!("{broken}\nWATTSTEP_SEED={seed}, after {:?}", walk.trail),
        }
    }
    walk
}

#[test]
fn no_rule_breaks_and_everything_is_reached() {
    let mut coverage = Coverage::default();
    let seed = first_seed();
    let benches = benches();
    for seed in seed..seed + WALKS {
        walk(&benches, seed, &mut coverage);
    }
    let missed: Vec<_> = REACHED.into_iter().filter(|what| coverage.count(what) == 0).collect();
    assert!(missed.is_empty(), "never reached: {missed:?}\n{coverage:#?}");
}

/// A person who answers well from here on gets to an end: nobody is stuck.
#[test]
fn from_anywhere_good_answers_lead_to_an_end() {
    let seed = first_seed();
    let (benches, mut finished) = (benches(), 0);
    for seed in seed..seed + WALKS / 5 {
        let mut walk = walk(&benches, seed, &mut Coverage::default());
        // Where the run had ended it is taken up first, if it may be.
        walk.bench.step(Move::Good, &mut Coverage::default()).expect("no rule breaks");
        let mut left = MOVES_TO_THE_END;
        while walk.bench.pending.is_some() {
            left = left.checked_sub(1).unwrap_or_else(|| {
                panic!("stuck at {:?}\nWATTSTEP_SEED={seed}", walk.bench.pending)
            });
            let effects = walk.bench.step(Move::Good, &mut Coverage::default());
            let effects = effects.unwrap_or_else(|broken| panic!("{broken}\nWATTSTEP_SEED={seed}"));
            finished += u32::from(effects.contains(&Effect::Finish(Outcome::Finished)));
        }
    }
    assert!(finished > 80, "only {finished} runs could be finished");
}

/// The events of a record, fed to a fresh runner, give the effects they gave the first time.
#[test]
fn a_record_plays_again_to_the_same_effects() {
    let seed = first_seed();
    let (benches, mut replayed) = (benches(), 0);
    for seed in seed..seed + WALKS / 5 {
        let walk = walk(&benches, seed, &mut Coverage::default());
        let mut fresh = walk.bench.rig.runner();
        for RecordedMove { recorded, effects } in walk.story {
            let Some((at, event)) = recorded else { continue };
            let again = fresh.handle(at, event);
            assert!(again == effects, "WATTSTEP_SEED={seed}\n{again:#?}\nis not\n{effects:#?}");
            replayed += 1;
        }
    }
    assert!(replayed > 1000, "only {replayed} events were played again");
}

/// What the walks must have met: every stage, every kind of question, every source, every stop, every end, and the
/// trigger of every rule.
const REACHED: [&str; 130] = [
    "a reading of an energised stage",
    "what can't be",
    "too much the other way round",
    "signature wanted: Some(Verified)",
    "signed: Verified",
    "signature wanted: Some(Released)",
    "signature wanted: Some(Performed)",
    "signed: Released",
    "signed: HandedOver",
    "signed: TookOver",
    "signed: Performed",
    "unsigned refused",
    "closed unsigned",
    "stage: cold",
    "stage: rails",
    "stage: between",
    "stage: lamp",
    "stage: direct",
    "stage: handback",
    "asked: ask.rail",
    "asked: plug-out",
    "asked: sound.q2",
    "asked: joints",
    "asked: rails.hazard",
    "asked: rails.clear",
    "asked: rails-up",
    "asked: settle",
    "asked: drift.2",
    "asked: trim",
    "asked: rails-off",
    "asked: load-out",
    "asked: cool",
    "asked: lamp.hold",
    "asked: lamp-on",
    "asked: seen",
    "asked: photo",
    "asked: remark",
    "asked: as-left",
    "asked: make-safe.off",
    "asked: make-safe.wait",
    "asked: dead.after",
    "asked: what-next",
    "asked: what-next.why",
    "energised: BenchSupply",
    "energised: MainsThroughLamp",
    "energised: Mains",
    "stop: Outside",
    "stop: Seen",
    "stop: Declined",
    "stop: Halted",
    "stop: Interrupted",
    "stop: InstrumentLost",
    "stop: Tripped",
    "stop: RecordFailed",
    "stop: Resumed",
    "stop: Abandoned",
    "a stop on live equipment",
    "decided after a stop",
    "repaired",
    "taken again",
    "a reading undone",
    "proved dead",
    "a proof that stands",
    "a proof in doubt",
    "asked: unclip",
    "a proof expired by time",
    "closed safe",
    "closed not safe",
    "closed: LeftUnfinished",
    "closed: StoppedOnReading",
    "closed: InstrumentLost",
    "closed: Finished",
    "event after the end",
    "hold released",
    "own hold refused",
    "works alone",
    "handed over",
    "a wait ends on live equipment",
    "a note or handover on live equipment",
    "danger notice answered",
    "a file given as an answer",
    "an open circuit that is good",
    "a reading without a number",
    "a value refused",
    "a value doubted",
    "refused at a reading: ``",
    "refused at a reading: `ok`",
    "origin: Instrument",
    "origin: Simulated",
    "asked: limits",
    "a step for hands left out",
    "a typed value at a connected ramp",
    "asked: drift",
    "asked: drift.over",
    "sampled: kept",
    "sampled: nothing",
    "guarded: a question",
    "guarded: a wait",
    "a decision after a trip",
    "stop: Unattended",
    "stop: FoundOn",
    "stop: ClockUpset",
    "a clock upset",
    "taken up by another",
    "left: in sight",
    "left: hands in",
    "expired: Old",
    "expired: OutOfSight",
    "a clock upset on live equipment",
    "nobody there at a question",
    "origin: WorkedOut",
    "supervised: Energise",
    "supervised: ProveDead",
    "supervised: SafetyTest",
    "let on by Kim Bench-Test",
    "let on by Robin Relief-Test",
    "made safe alone by somebody who may not prove dead alone",
    "a step of a safety test",
    "sent away from the bench",
    "asked: sound.q1.verifier",
    "asked: rail-full.second",
    "asked: lamp-on.agree",
    "asked: cover.verifier",
    "two readings agree",
    "two disagree",
    "two agreed",
    "hidden: by eye",
    "hidden: by an instrument",
    "stop: Disagreement",
    "off is not confirmed",
];
