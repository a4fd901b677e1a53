//! Sound procedures with one dangerous mistake each: every one of them is found.
#![expect(clippy::unwrap_used, reason = "a test fails loudly")]

use std::collections::BTreeSet;

use super::dangerous::codes;
use crate::procedure::bundled;

/// A mistake: the code that it gives, what stands in the sound procedure, and what stands in its place.
type Mistake = (&'static str, &'static str, &'static str);

const AMPLIFIER: &[Mistake] = &[
    // Questions of notices.
    (
        "HAZ020",
        "in the set when the limiter is switched on\", voltage: mains}",
        "in the set\", voltage: 0 V}",
    ),
    ("HAZ020", "word: fuse}", "word: ok}"),
    ("HAZ020", "word: fuse}", "word: y}"),
    ("HAZ020", "word: fuse}", "word: understood}"),
    ("HAZ020", "What alone limits a fault now?\", word: fuse", "Type fuse to go on\", word: fuse"),
    ("HAZ020", "word: fuse}", "word: banana}"),
    (
        "HAZ021",
        "{ask: \"What alone limits a fault now?\", word: fuse}",
        "{ask: \"Voltage on the mains side\", voltage: mains}",
    ),
    ("HAZ021", "What can a set left alone start?", "What alone limits a fault now?"),
    // Words of notices.
    (
        "HAZ022",
        "avoid: \"Turn slowly with an insulated tool, eye protection on, the other hand at the output switch.\"",
        "avoid: \"Be careful.\"",
    ),
    (
        "HAZ022",
        "result: \"Fragments or hot electrolyte can injure eyes and skin.\"",
        "result: \"N/A\"",
    ),
    (
        "HAZ022",
        "signal: warning\n          harm: death\n          risk: \"The earth clip of an earthed oscilloscope",
        "signal: notice\n          harm: property\n          risk: \"The earth clip of an earthed oscilloscope",
    ),
    (
        "HAZ022",
        "result: \"Fragments or hot electrolyte can injure eyes and skin.\"",
        "result: \"A blown device.\"",
    ),
    (
        "HAZ023",
        "risk: \"A part fitted the wrong way round or a shorted device can burst even on a small supply.\"\n      result: \"Fragments or hot electrolyte can injure eyes and skin.\"",
        "risk: \"A part fitted the wrong way round gets hot.\"\n      result: \"It burns skin, and serious burns do not heal.\"",
    ),
    (
        "HAZ023",
        "Turn slowly with an insulated tool, eye protection on",
        "Turn slowly, eye protection on",
    ),
    (
        "HAZ023",
        "the heatsink burns skin, and a fault left alone can start a fire",
        "a fault left alone can start a fire",
    ),
    (
        "HAZ023",
        "The earth clip of an earthed oscilloscope is a wire to earth; without that earth the whole oscilloscope takes the volts of the clip.\"\n          result: \"On a rail or an output the clip is a short circuit; an oscilloscope whose own earth was taken away gives a shock that can kill.\"\n          avoid: \"Put the clip on 0 V and nowhere else; never take the oscilloscope's own earth away.\"",
        "The probe may slip.\"\n          result: \"A shock that can kill.\"\n          avoid: \"Clip it on well.\"",
    ),
    (
        "TXT007",
        "Turn slowly with an insulated tool",
        "Connect the supply, then turn slowly with an insulated tool",
    ),
    // Protections taken away.
    (
        "HAZ024",
        "Clip a 10:1 oscilloscope probe on each output, earth clip to 0 V only",
        "Clip a 10:1 oscilloscope probe on each output, earth clip on the live chassis",
    ),
    ("HAZ024", "Take everything off the speaker terminals", "Lift the earth of the oscilloscope"),
    ("HAZ024", "Take everything off the speaker terminals", "Fit a larger fuse"),
    ("HAZ024", "never with a screwdriver", "or with a screwdriver"),
    (
        "HAZ025",
        "between: [8 V, 10 V], function: dc-voltage",
        "between: [1 V, 1000 V], function: dc-voltage",
    ),
    ("HAZ026", "meter and leads CAT II 300 V", "meter and leads CAT I 300 V"),
    ("HAZ026", "meter and leads CAT II 300 V", "meter and leads CAT II 150 V"),
    // The leakage meter.
    (
        "SAF004",
        "for_each: [conductor-meter, touch-probe]\n        proves: tester",
        "for_each: [conductor-meter, touch-probe]",
    ),
    (
        "SAF004",
        "function: leakage-current, window: {near: 1 mA, within: 20 %}",
        "function: leakage-current, window: {at_most: 1.2 mA}",
    ),
    (
        "SAF004",
        "unit: mA, function: leakage-current, window: {near: 1 mA",
        "unit: mA, function: dc-current, window: {near: 1 mA",
    ),
    // Prose where a step belongs.
    (
        "TXT002",
        "do: \"Fit a shorting plug in every input\"",
        "do: \"Fit a shorting plug in every input, connect the loads\"",
    ),
    (
        "TXT002",
        "do: \"Fit a shorting plug in every input\"",
        "do: \"Fit a shorting plug in every input, and then lift the relay\"",
    ),
    (
        "TXT002",
        "do: \"Fit a shorting plug in every input\"",
        "do: \"Fit a shorting plug in every input; measure the rail\"",
    ),
    (
        "TXT004",
        "do: \"Fit a shorting plug in every input\"",
        "do: \"Fit a shorting plug in every input if it hums\"",
    ),
    (
        "TXT004",
        "Lamp, smell and sound at the end of these readings",
        "Lamp and smell; repeat as needed",
    ),
    (
        "TXT005",
        "Lamp, smell and sound at the end of these readings",
        "Lamp, smell and sound after five minutes",
    ),
    (
        "TXT005",
        "do: \"Take everything off the speaker terminals\"",
        "do: \"Leave the reservoirs alone for a minute\"",
    ),
    (
        "TXT006",
        "do: \"Take everything off the speaker terminals\"",
        "do: \"See that the rail stands below 5 V\"",
    ),
    ("TXT006", "good: [\"both dark\"]", "good: [\"rail below 5 V\"]"),
    (
        "TXT006",
        "Plug the amplifier, its own switch on",
        "Turn the bias until the lamp glows, its own switch on",
    ),
    (
        "TXT007",
        "what: \"Mains voltage on the power meter, ahead of the limiter\"",
        "what: \"Switch the limiter on and read the mains\"",
    ),
    (
        "TXT008",
        "what: \"Positive rail on its clipped meter\"",
        "what: \"Current of the positive rail\"",
    ),
    (
        "TXT008",
        "set: {what: \"Both channels of the bench supply",
        "set: {what: \"Both ways of the mains outlet",
    ),
    ("HAZ025", "[8 V, 10 V]", "[5 V, 50 V]"),
    // Windows, hints and answers.
    ("WIN020", "window: {near: primary, within: 25 %}", "window: {near: primary, within: 150 %}"),
    (
        "WIN020",
        "with: left_seen - bias_start, within: 30 %",
        "with: left_seen - bias_start, within: 100 %",
    ),
    (
        "WIN021",
        "{above: lead_most, likely: \"line and another",
        "{above: 0.1 ohm, likely: \"line and another",
    ),
    (
        "WIN021",
        "{above: lead_most, likely: \"line and another",
        "{below: lead_most, likely: \"line and another",
    ),
    (
        "WIN022",
        "function: earth-resistance, window: {at_most: earth_most}",
        "function: earth-resistance, window: {record_only: true}",
    ),
    ("WIN022", "window: {near: idle_power, within: 30 %}", "window: {record_only: true}"),
    (
        "WIN002",
        "basis: \"common practice, no source: only a discharge resistor of a mains capacitor may be left\"",
        "basis: tbd",
    ),
    ("YML012", "good: [\"both dark\"]", "good: [\"both dark\", \"smoke or a smell\"]"),
    (
        "YML012",
        "next: \"fit the type on the label; fuse standards differ, so match the standard too\"",
        "next: \"carry on\"",
    ),
    // Facts and people.
    (
        "QTY013",
        "  fuse_rating: {",
        "  spare: {ask: \"Spare fact\", unit: V, between: [1 V, 2 V]}\n  fuse_rating: {",
    ),
    ("QTY014", "unit: A, between: [0.1 A, 10 A],", "unit: A, between: [0.1 A, 10 MA],"),
    ("QTY014", "unit: A, between: [0.1 A, 10 A],", "unit: A,"),
    ("QTY018", "example: 8.5 ohm", "example: 850 ohm"),
    ("QTY018", "{take: 50 mV,", "{take: 500 mV,"),
    ("QTY002", "value: drop_due /", "value: drop_duo /"),
    ("QTY001", "value: drop_due / emitter_resistor", "value: drop_due * emitter_resistor"),
    ("ORD012", "hold: {released_by: supervisor", "hold: {released_by: technician"),
    ("ORD012", "witness: {by: colleague", "witness: {by: technician"),
    (
        "ORD045",
        "witness: {by: colleague, in_reach: true, ask: \"Stay in reach while mains is on; know the emergency off and whom to call\"}",
        "note: \"Who is in reach\"",
    ),
    (
        "ORD045",
        "wait: {what: \"Ten minutes without drive\", time: 10 min}",
        "wait: {what: \"Overnight\", time: 8 h}",
    ),
];

const BOARD: &[Mistake] = &[
    (
        "ORD046",
        "      - step: joints\n",
        "      - step: rest\n        wait: {what: \"Until the charge has gone\", time: 1 s}\n      - step: joints\n",
    ),
    ("WIN020", "agree_within: 5 %", "agree_within: 90 %"),
    ("WIN020", "to: feed, over: 30 s}", "to: feed, over: 30 s, within: 60 %}"),
    (
        "HAZ023",
        "can burst even on a small supply; the pass device and the load resistor get hot.\"\n      result: \"Fragments or hot electrolyte can injure eyes and skin; a",
        "gets warm even on a small supply; the pass device and the load resistor get hot.\"\n      result: \"Hot parts can burn skin; a",
    ),
    (
        "TXT006",
        "ask: \"The output at its rated volts for the first time\"",
        "ask: \"The output reads about 12 V\"",
    ),
];

#[test]
fn every_mistake_is_found() {
    let mut missed = Vec::new();
    for (name, mistakes) in [("amplifier-class-ab", AMPLIFIER), ("regulator-board", BOARD)] {
        let sound = bundled::text(name).unwrap();
        for (code, right, wrong) in mistakes {
            assert!(sound.contains(right), "{name} does not hold: {right}");
            let codes: BTreeSet<_> = codes(&sound.replacen(right, wrong, 1)).into_iter().collect();
            if !codes.contains(code) {
                missed.push(format!("{code} ({codes:?}): {wrong}"));
            }
        }
    }
    assert!(missed.is_empty(), "{}", missed.join("\n"));
}

#[test]
fn a_meter_whose_category_stands_nowhere_is_found() {
    let sound = bundled::text("amplifier-class-ab").unwrap();
    let (named, bare) = ("CAT II 300 V or better, leads fused", "from the drawer");
    assert!(sound.matches(named).count() > 1, "it is said where clips go on and at the mains");
    assert!(codes(&sound.replace(named, bare)).contains(&"HAZ026"));
}
