//! The procedure that the walks run: small, with every kind of step. Invented.

use super::rig::RigKind;
use crate::procedure::{Procedure, read_procedure};

/// A stage of the procedure with the keys that its windows are judged under.
pub(super) struct Rung {
    pub(super) stage: &'static str,
    windows: &'static [&'static str],
    /// Those that a person reads one by one, and what stands for them where an instrument samples.
    by_hand: &'static [&'static str],
    sampled: &'static [&'static str],
    pub(super) hold: Option<&'static str>,
}

impl Rung {
    const fn new(stage: &'static str, windows: &'static [&'static str]) -> Self {
        Self { stage, windows, by_hand: &[], sampled: &[], hold: None }
    }

    const fn watched(
        self,
        by_hand: &'static [&'static str],
        sampled: &'static [&'static str],
    ) -> Self {
        Self { by_hand, sampled, ..self }
    }

    const fn held(self, hold: &'static str) -> Self {
        Self { hold: Some(hold), ..self }
    }

    /// The keys of its windows on this bench.
    pub(super) fn windows(&self, rig: RigKind) -> impl Iterator<Item = &'static str> {
        let watched = if rig.is_connected() { self.sampled } else { self.by_hand };
        self.windows.iter().chain(watched).copied()
    }
}

/// The stages from the bottom up, told by hand so that the laws do not ask the runner.
pub(super) const RUNGS: [Rung; 6] = [
    Rung::new("cold", &["sound.q1", "sound.q1.second", "sound.q2", "sound.q2.second", "joints"]),
    Rung::new("rails", &["rails-up", "idle", "drift.settled"])
        .watched(&["drift.1", "drift.2"], &["drift"]),
    Rung::new("between", &["heatsink", "megohms"]).held("between.hold"),
    Rung::new("lamp", &["glow"]).held("lamp.hold"),
    Rung::new("direct", &["rail-full", "rail-full.second", "ratio"]),
    Rung::new("handback", &["as-left"]),
];

/// Questions that put hands or probes in: without a live source they need a valid proof of dead.
pub(super) const HANDS_IN: [&str; 13] = [
    "sound.q1",
    "sound.q1.second",
    "sound.q2",
    "sound.q2.second",
    "fit-load",
    "limits",
    "load-out",
    "unclip",
    "cover",
    "tidy",
    "as-left",
    "idle",
    "trim",
];

/// The stage that a connected supply feeds, the output it does so with, and the point that is guarded meanwhile.
pub(super) const CONTROLLED: (&str, &str, &str) = ("rails", "plus", "plus.current");

/// The reading that charges what it measures.
pub(super) const CHARGES: &str = "megohms";

/// The step that a connected supply leaves out, and the one that it carries out.
pub(super) const LEFT_OUT: &str = "limits";
pub(super) const RAMP: &str = "rails-up";

/// The readings of stages with a source.
pub(super) const READ_LIVE: [&str; 7] =
    ["rails-up", "idle", "drift", "drift.1", "drift.2", "rail-full", "rail-full.second"];

/// The actions that put a temporary item in, and take it out.
pub(super) const ITEM_MOVED: [&str; 2] = ["fit-load", "load-out"];

/// The action that moves a control, and the window that it undoes.
pub(super) const MOVED: (&str, &str) = ("trim", "idle");

/// The readings that a second person takes again.
pub(super) const READ_TWICE: [&str; 3] = ["sound.q1", "sound.q2", "rail-full"];

/// The acts that two people agree on, with the stage whose source they bring on.
pub(super) const AGREED: [(&str, &str); 2] = [("lamp", "lamp-on"), ("", "cover")];

/// What the known source may read, and the highest voltage that counts as dead (V).
pub(super) const KNOWN_V: (f64, f64) = (8.0, 10.0);
pub(super) const DEAD_V: f64 = 2.0;

/// How long the procedure believes a proof of dead.
pub(super) const PROOF_LASTS_MS: u64 = 20 * 60 * 1000;

pub(super) const OPERATOR: &str = "Kim Bench-Test";

pub(super) fn procedure() -> Procedure {
    read_procedure(TEXT).expect("a sound procedure")
}

const TEXT: &str = r#"
format: 1
procedure: laws
revision: 1
title: First power of an amplifier (invented)
run_by: technician
asks:
  rail: {ask: "Voltage of the rail", unit: V, between: [10 V, 100 V]}
work_out:
  low: 0.6 * rail
charge_points:
  plus:
    at: "across the reservoir capacitor"
    below: 2 V
    holds: {capacitance: 10 mF, charged_to: rail, bleeder: 2.2 kohm}
known_source: {what: "a fresh 9 V block", between: [8 V, 10 V], function: dc-voltage}
proof_lasts: 20 min
stages:
  - stage: cold
    title: Cold
    source: none
    steps:
      - step: plug-out
        do: Pull the plug out
      - step: cold-dead
        prove_dead: Before hands go in
      - step: sound
        read: {what: "Drain to source", unit: ohm, window: {at_least: 10 kohm, open_ok: true}}
        for_each: [q1, q2]
        basis: "common practice, no source"
        verify: independent
        agree_within: 5 %
      - step: joints
        look:
          at: "Solder joints"
          good: [whole]
          bad: [{say: cracked, likely: "a cracked joint", next: "solder it again"}]
      - step: still-dead
        prove_dead: Before the mains side
  - stage: rails
    title: Bench supply
    source: bench-supply
    ceiling: {voltage: low, current: 200 mA}
    hazard:
      signal: danger
      harm: serious-injury
      likely: will
      risk: "bare rails"
      result: "burns"
      avoid: "hands out"
      confirm: {ask: "Which voltage comes on?", voltage: low}
    while_on: {plus.current: {at_most: 150 mA}}
    steps:
      - step: fit-load
        do: Clip the dummy load on
        fits: dummy load
        allowed_on: [bench-supply]
      - step: limits
        do: Set the current limit
        by_hand: true
      - step: rails-up
        set: {what: "Bring the rail up", channels: [plus], to: low, over: 10 s}
      - step: idle
        read: {what: "Rail current", unit: mA, from: plus.current, window: {between: [20 mA, 100 mA]}}
        depends_on: [bias]
        outside:
          - {above: 100 mA, likely: "bias too high", next: "look at the bias transistor"}
          - {below: 20 mA, likely: "no bias", next: "look for an open joint"}
      - step: settle
        wait: {what: "Let it settle", time: 60 s}
      - step: drift
        watch: {what: "Rail current", unit: mA, from: plus.current, every: 30 s, time: 30 s,
                window: {at_most: 100 mA}, steady: {within: 30 mA, over: 30 s}}
      - step: trim
        do: Turn the bias control a little down
        moves: bias
      - step: rails-off
        set: {what: "Outputs off", power: "off"}
  - stage: between
    title: Between
    source: none
    hold: {released_by: supervisor, ask: "The drift of the current"}
    steps:
      - step: heatsink
        look:
          at: "The heatsink"
          good: [cool]
          bad: [{say: discoloured, likely: "too hot", next: "look at the bias"}]
      - step: between-dead
        prove_dead: Before hands go in again
      - step: load-out
        do: Take the dummy load off
        removes: dummy load
      - step: megohms
        read: {what: "Insulation tester at 500 V DC, both pins to earth", unit: Mohm, window: {at_least: 1 Mohm, open_ok: true}}
        proves: insulation
      - step: charged-dead
        prove_dead: Before the supply's leads come off
      - step: unclip
        do: Take the leads of the supply off
      - step: cool
        wait: {what: "Let it cool", time: 2 min}
  - stage: lamp
    title: Mains through the lamp
    source: mains-through-lamp
    verify: concurrent
    ceiling: {voltage: 240 V, current: 250 mA}
    hazard: {signal: warning, harm: death, risk: "mains", result: "a fatal shock", avoid: "cover on"}
    hold: {released_by: supervisor, ask: "The readings so far"}
    steps:
      - step: lamp-on
        set: {what: "Switch on through the lamp", power: "on"}
      - step: glow
        look:
          at: "The lamp"
          good: [dim]
          bad: [{say: bright, likely: "a short", next: "look at the bridge"}]
      - step: lamp-off
        set: {what: "Switch off", power: "off"}
  - stage: direct
    title: Mains
    source: mains
    safety_test: true
    ceiling: {voltage: 240 V, current: 2 A}
    hazard:
      signal: danger
      harm: death
      likely: will
      risk: "mains"
      result: "a fatal shock"
      avoid: "cover on"
      confirm: {ask: "What is behind the cover?", word: mains}
    steps:
      - step: direct-dead
        prove_dead: Before the cover goes on
      - step: cover
        do: Put the cover on
        verify: concurrent
      - step: direct-on
        set: {what: "Switch on", power: "on"}
      - step: rail-full
        read: {what: "Rail voltage", unit: V, function: dc-voltage, window: {near: rail, within: 20 %}}
        verify: independent
        agree_within: 1 V
      - step: ratio
        work_out: {what: "Rail as a part of its nameplate", value: rail_full / rail, unit: "%", window: {at_least: 90 %}}
      - step: seen
        witness: {by: owner, in_reach: true, ask: "The first sound"}
      - step: photo
        attach: The front while it is on
      - step: remark
        note: What was heard
      - step: direct-off
        set: {what: "Switch off and pull the plug", power: "off"}
  - stage: handback
    title: Hand back
    source: none
    safety_test: true
    steps:
      - step: last-dead
        prove_dead: Before the last look inside
      - step: tidy
        do: Tidy the wires
      - step: as-left
        read: {what: "Drain to source, q1", unit: ohm, window: {at_least: 10 kohm, open_ok: true}}
"#;
