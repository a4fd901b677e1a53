//! The words with which hands go into the equipment, and with which it is opened or worked on.

use super::clause::{Instruction, any, clauses, tells};
use super::families::{HANDLE, INNER, INSULATED, METAL_TOOLS, SETS, SHELLS, WORK};
use super::words::{among, mentions};

/// Whether a person is told to work inside, with whatever verb.
pub(super) fn works_inside(text: &str) -> bool {
    tells(text, is_inside)
}

fn is_inside(act: &Instruction<'_>) -> bool {
    let works = act.is(WORK) && !is_of_level(act) && !is_from_outside(act);
    let handles = act.is(HANDLE)
        && (any(act.rest, INNER) || names_the_back(act))
        && (!act.is("turn set") || lays(act))
        || act.is("change") && any(act.rest, "bulb lamp");
    let shows = act.is("put lay rest place")
        && any(act.rest, "arm elbow finger fingers hand hands palm thumb");
    let strolls =
        act.is("go walk trace") && any(act.rest, "probe probes prod prods voltmeter meter");
    let probes = act.is("get use dip run bring apply stick work land")
        && any(act.rest, "probe probes prod prods")
        && !at_the_outside(act.rest);
    strolls
        || probes
        || (works && !(at_the_outside(act.rest) && act.is(AT_THE_OUTSIDE_TOO)))
        || (handles || shows) && !at_the_outside(act.rest)
}

/// Verbs of [`WORK`] that are done at terminals outside as well.
const AT_THE_OUTSIDE_TOO: &str =
    "replace swap exchange clip unclip lift short jumper renew strip clean wipe";

/// "Lift the volume a little".
fn is_of_level(act: &Instruction<'_>) -> bool {
    act.is("lift blow") && any(act.rest, "volume level gain fader")
}

/// "Reach for the switch", "press the mute button"; and what is tapped with an insulated tool.
fn is_from_outside(act: &Instruction<'_>) -> bool {
    act.is("reach tap press push rap knock rock flick") && any(act.rest, CONTROLS)
        || act.is("tap prod poke nudge rap knock press") && mentions(&act.rest.join(" "), INSULATED)
}

/// What a person works from outside.
const CONTROLS: &str =
    "button buttons key keys knob control selector pushbutton dial switch emergency";

/// What hangs at the outside, and where: output terminals, loads, inputs.
fn at_the_outside(rest: &[String]) -> bool {
    let named = rest.windows(2).any(|pair| {
        let [whose, place] = pair else { return false };
        among("output speaker loudspeaker headphone headphones input aerial antenna load binding test reference", whose)
            && among("terminal terminals post posts socket sockets jack jacks", place)
    });
    named
        || any(rest, "posts load loads inputs generator knob button key control selector")
        || any(rest, "outputs output") && any(rest, "voltmeter ammeter meter resistor")
}

/// "The back", and not "put it back".
fn names_the_back(act: &Instruction<'_>) -> bool {
    act.is("ease lever lift open prise pull remove slip swing take undo")
        && act
            .rest
            .windows(2)
            .any(|pair| matches!(pair, [the, back] if the == "the" && back == "back"))
}

/// "Turn the chassis on its side", and not "turn the control on the panel".
fn lays(act: &Instruction<'_>) -> bool {
    any(act.rest, "over round side upright upside") && any(act.rest, "chassis board")
}

/// The set itself is moved: what stands on the bench stays as it was when it was proved dead.
pub(super) fn tips(text: &str) -> bool {
    tells(text, |act| {
        let whole = any(act.rest, SETS) || any(act.rest, "chassis supply");
        let over = any(act.rest, "over round side upright upside");
        whole
            && !at_the_outside(act.rest)
            && (act.is("invert lift move tilt tip upend")
                || over && act.is("flip lay roll rotate spin stand swing turn"))
    })
}

/// A reading, a look or an act with a probe held by hand, a bare finger or a tool of bare metal.
pub(super) fn is_by_hand(text: &str) -> bool {
    let low = text.to_lowercase();
    let hands = [
        "by hand",
        "either hand",
        "each hand",
        "both hands",
        "bare hand",
        "back of your hand",
        "back of the hand",
        "back of a hand",
        "by touch",
        "head in",
        "nose in",
        "face in",
        "head close",
        "nose close",
        "face close",
        "lean over",
    ];
    let probe = mentions(text, "probe prod");
    let held = probe && (mentions(text, "held hold press touch") || low.contains("in turn"));
    let felt = mentions(text, "feel felt touch") && mentions(text, "finger hand palm thumb");
    let tool = mentions(text, METAL_TOOLS) && !mentions(text, INSULATED);
    let warm = mentions(text, "warm hot heat cool temperat");
    let skin = clauses(text).iter().any(|clause| any(clause.words(), SKIN));
    let felt = felt || warm && skin;
    hands.iter().any(|words| low.contains(words)) || held || felt || tool
}

/// Words of what is felt with a bare hand; "touchable" is none.
const SKIN: &str = "feel felt finger fingers fingertip fingertips palm thumb touch touched";

/// Work that a reading or a look tells of: "joint of the heater, wiggled", "while pressing the joint".
pub(super) fn is_worked_on_meanwhile(text: &str) -> bool {
    let worked = "wiggled waggled jiggled prodded poked nudged tapped pressed rocked bent tightened loosened wiggling jiggling prodding poking \
        nudging tapping pressing touching touched rocking bending tightening loosening moving pulling reseating";
    clauses(text).iter().any(|clause| {
        let is_held = clause.told().windows(2).any(|pair| {
            let [what, place] = pair else { return false };
            among("held holding reaching leaning hung", what) && among("inside into", place)
        });
        let is_worked = any(clause.told(), worked)
            && !any(clause.told(), CONTROLS)
            && !mentions(&clause.told().join(" "), INSULATED);
        is_held || is_worked || clause.acts().any(|act| act.is_beside() && is_inside(&act))
    })
}

/// Verbs that open what covers the equipment.
const OPENING: &str = "lift open remove unscrew undo unclip unfasten unbolt take pull slide loosen slacken prise pop crack draw withdraw part ease lever swing slip";
/// Verbs that are work on the equipment, whatever on.
const REWORK: &str = "solder desolder unsolder resolder replace renew crimp splice drill shorten rewire reterminate re-terminate terminate rivet rework \
    repair mend dress redress re-dress reroute cut swap exchange";
/// Verbs that are work on a part of it.
const REFIT: &str = "change fit refit install tighten retighten loosen slacken adjust tweak trim reseat re-seat screw bolt fasten secure mount \
    connect reconnect disconnect bend move remove unplug take add shim undo do wire attach join";
/// Parts of the equipment that safety hangs on.
const OF_EQUIPMENT: &str = "fuse lead cord cable flex plug inlet screw screws nut nuts bolt bolts terminal terminals tag wire wires wiring earth ground capacitor \
    resistor transistor valve valves transformer switch holder clamp gland strap board relay preset trim trimmer trimpot element \
    thermostat cut-out cutout grommet bracket washer jumper link insulation grip";

/// Whether what covers the equipment is opened.
pub(super) fn opens_the_shell(text: &str) -> bool {
    tells(text, |act| {
        let away = !act.is("take pull slide draw withdraw") || any(act.rest, "off out away");
        let shell = any(act.rest, SHELLS) && !any(act.rest, "insulating dust plastic")
            || names_the_back(act);
        act.is(OPENING) && away && shell || act.is("solder desolder replace resolder unsolder")
    })
}

/// Whether the text tells of work that could spoil what safety tests showed.
pub(super) fn reworks(text: &str) -> bool {
    tells(text, |act| {
        let outside =
            at_the_outside(act.rest) || any(act.rest, "knob label outlet limiter tester supply");
        let inside = any(act.rest, "inside") && !any(act.rest, "hands keep stay");
        let put_on = act.is("put") && act.rest.last().is_some_and(|last| among("on in", last));
        let part = (act.is(REFIT) || put_on) && any(act.rest, OF_EQUIPMENT);
        let moved =
            act.is("slip slide put push lower drop pull draw") && any(act.rest, "chassis board");
        !outside && (act.is(REWORK) || part || inside || moved)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_inside_is_told_from_work_at_controls_and_terminals() {
        for text in [
            "Move the probe to the negative rail",
            "Take the cover off",
            "Solder the wire back",
            "Clip the meter on the rail",
            "Replace the fuse",
            "Switch the fan off and lift the board",
            "Hold the interlock closed",
            "Walk the probe from tag to tag",
            "Go round the valve bases with the voltmeter",
            "Put your arm through the slot",
            "Change the lamp for a larger one",
        ] {
            assert!(works_inside(text), "{text}");
        }
        for text in [
            "Take the oscilloscope probes off the loads",
            "Turn this channel's bias control until its millivoltmeter shows 12 mV",
            "Adjust the panel voltmeter's preset with an insulated tool",
            "Connect the reference ammeter straight across the output terminals",
            "Raise the generator to 100 mV RMS",
            "Turn the thermostat back to its highest",
        ] {
            assert!(!works_inside(text) && !is_by_hand(text) && !tips(text), "{text}");
        }
    }

    #[test]
    fn probes_held_by_hand_bare_tools_and_a_moved_chassis_are_seen() {
        for text in [
            "Bulk capacitor, a probe held on each pin, one in either hand",
            "Module, felt with a fingertip",
            "Trim the pot with a metal screwdriver",
            "Outlet on, then tap the transformer with a screwdriver",
            "Line to neutral, probes pressed on the terminals",
            "Head close to the chassis, smell for hot parts",
        ] {
            assert!(is_by_hand(text), "{text}");
        }
        for text in ["Tip the chassis on its side", "Turn the set over", "Lift the amplifier"] {
            assert!(tips(text), "{text}");
        }
        for text in [
            "Switch the outlet on at arm's length, one hand only",
            "Bench supply, finger on its output switch",
            "Adjust the preset with an insulated screwdriver",
            "Heatsink, infrared thermometer",
        ] {
            assert!(!is_by_hand(text) && !tips(text), "{text}");
        }
        assert!(!tips("Turn the set's volume control down"));
    }
}
