//! A step that takes a protection away, or trusts what proves nothing.

use super::clause::{Instruction, any, tells};
use super::families::{BIGGER, METAL_TOOLS, PROTECTIONS, SHORTS};
use super::words::{among, may_mention, mentions, words};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::step::Step;
use crate::procedure::{At, Hazard, Procedure};

pub(super) const CHECK: Check =
    Check::new("HAZ024", "defeated-protection", include_str!("defeated_protection.md"))
        .of_procedure(run);

/// Words that turn an order round.
const NEVER: &str = "cannot don't must'nt never no not nothing nowhere without";

/// What a clause says: one word beginning with each of these lists, and what is wrong with it.
const FORBIDDEN: &[(&[&str], &str)] = &[
    (
        &["oscilloscope scope", "float isolat unearth"],
        "an oscilloscope without its earth has a live case",
    ),
    (
        &[
            "bypass cut defeat disconnect isolat lift remov tape",
            "earth ground",
            "hum loop pin prong oscilloscope scope tester outlet plug",
        ],
        "the earth is the protection: it stays on",
    ),
    (
        &["bypass bridg defeat disabl disregard ignor overrid", PROTECTIONS],
        "a protection is taken away",
    ),
    (
        &[
            SHORTS,
            "add clip connect fit fix jumper lay place put run solder strap twist wrap",
            "across around round",
            PROTECTIONS,
        ],
        "a protection is taken away",
    ),
    (
        &[
            "clamp hold jam prop strap tape tie wedge",
            "cage contactor cover door interlock lid microswitch relay",
            "contactor interlock microswitch plunger relay switch",
            "band closed cord down peg shut tape tie wedge",
        ],
        "an interlock that is held closed keeps nobody out",
    ),
    (&[BIGGER, "fuse"], "a larger fuse protects nothing"),
    (
        &["non-contact noncontact neon phase volt", "detector pen screwdriver stick tester"],
        "it tells nothing of DC, and of AC not that there is none",
    ),
    (&["cheater"], "the earth is the protection: it stays on"),
    (
        &[
            "adapt plug lead outlet socket",
            "two-pin 2-pin two-prong 2-prong two-wire unearth ungrounded earthless",
        ],
        "the earth is the protection: it stays on",
    ),
    (&["bypass bridg circumvent defeat overrid", "limiter"], "a protection is taken away"),
    (
        &["cfl energy-saving fluorescent led", "bulb lamp", "limiter rated series stated watt"],
        "such a lamp limits nothing: it takes a filament",
    ),
    (
        &[
            "bolt coin copper foil jumper nail penny strap wire",
            "place instead lieu",
            "fuse breaker",
        ],
        "a protection is taken away",
    ),
];
/// Places on which the earthed clip of an oscilloscope is a short circuit.
const NOT_FOR_THE_CLIP: &str = "collector drain emitter hot live primary rail";

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let told = advice(subject.procedure).into_iter();
    let told = told.filter_map(|text| Some(finding(text, wrong(text)?)));
    let looked_at = subject.procedure.steps().filter_map(|(_, step)| of_look(step));
    told.chain(looked_at).collect()
}

/// What comes next after a bad look at a protection, which the advice calls "it" or "one": "fit a bigger one", "bridge it".
fn of_look(step: &Step) -> Option<Finding> {
    let look = step.look.as_ref().filter(|look| says(&look.at, PROTECTIONS))?;
    let away = |act: &Instruction<'_>| {
        act.is("bridge bypass jumper link short strap")
            && act.rest.first().is_some_and(|it| it == "it")
            || act.is("fit use put try take find") && any(act.rest, BIGGER) && any(act.rest, "one")
    };
    let next = look.bad.iter().map(|bad| &bad.next).find(|next| tells(next, away))?;
    Some(finding(next, "a protection is taken away"))
}

/// Every text that a person does something by: not what a fault is said to come from, nor what a risk is.
pub(super) fn advice(procedure: &Procedure) -> Vec<&At<String>> {
    let points = procedure.charge_points.iter().map(|(_, point)| &point.at);
    let notices = super::wrong_signal_word::notices(procedure).map(|Hazard { avoid, .. }| avoid);
    let reasons =
        procedure.stages.iter().filter_map(|stage| stage.ceiling.as_ref()?.reason.as_ref());
    let held = procedure.stages.iter().filter_map(|stage| Some(&stage.hold.as_ref()?.ask));
    let asked = procedure.asks.iter().map(|(_, ask)| &ask.ask).chain(held);
    let steps = procedure.steps().flat_map(|(_, step)| of_step(step));
    let whole = points.chain([&procedure.known_source.what]).chain(notices);
    whole.chain(reasons).chain(asked).chain(steps).collect()
}

fn of_step(step: &Step) -> impl Iterator<Item = &At<String>> {
    let told = super::words::told(step).into_iter().chain(&step.why);
    let looks = step.look.iter();
    let looks = looks.flat_map(|look| look.good.iter().chain(look.bad.iter().map(|bad| &bad.next)));
    let asked =
        step.hold.iter().map(|hold| &hold.ask).chain(step.witness.iter().map(|hold| &hold.ask));
    told.chain(looks).chain(asked).chain(step.outside.iter().map(|hint| &hint.next))
}

/// What a text tells to do that nobody should.
fn wrong(text: &str) -> Option<&'static str> {
    if let Some(why) =
        text.split([',', '.', ';', ':']).find_map(|clause| waved_through(text, clause))
    {
        return Some(why);
    }
    let mut clauses = text.split([',', '.', ';', ':']).filter(|clause| !is_refused(clause));
    clauses.find_map(|clause| {
        let found = FORBIDDEN.iter().find(|(lists, _)| lists.iter().all(|list| says(clause, list)));
        found
            .map(|(_, why)| *why)
            .or_else(|| hard_short(text, clause))
            .or_else(|| wire_short(text, clause))
            .or_else(|| slow_for_fast(clause))
            .or_else(|| opened_limit(text, clause))
            .or_else(|| isolating_by_one_winding(clause))
            .or_else(|| misplaced_clip(clause))
            .or_else(|| hand_on(clause))
    })
}

pub(super) fn is_refused(clause: &str) -> bool {
    words(clause).iter().any(|word| among(NEVER, &word.low))
}

/// As [`mentions`], where a root with a dash is looked for as it stands.
fn says(clause: &str, list: &str) -> bool {
    let mut dashed = list.split(' ').filter(|root| root.contains('-') && may_mention(clause, root));
    let begins = |root: &str| words(clause).iter().any(|word| word.low.starts_with(root));
    mentions(clause, list) || dashed.any(begins)
}

/// "Without a fuse", "without its guard".
fn is_without_protection(clause: &str) -> bool {
    let words = words(clause);
    let Some(at) = words.iter().position(|word| word.low == "without") else { return false };
    let behind = words.iter().skip(at + 1).skip_while(|word| among("a an any the its", &word.low));
    behind.take(2).any(|word| says(&word.low, PROTECTIONS))
}

/// A protection that acted, or is not there, and is waved through. Of a larger fuse a "not" turns nothing round: it "will not blow".
fn waved_through(text: &str, clause: &str) -> Option<&'static str> {
    let goes_on = mentions(
        clause,
        "carry change continu move operat plug power proceed run swap switch use work",
    ) && is_without_protection(clause);
    let resets = mentions(clause, "reset") && mentions(clause, "just keep simply");
    let acted = says(text, PROTECTIONS) || mentions(text, "trip");
    if (goes_on || resets && acted)
        && !words(clause).iter().any(|word| among("don't never not", &word.low))
    {
        return Some("what acts or is not there is a finding, not a nuisance");
    }
    let blows = words(clause).iter().any(|word| among("blow blows", &word.low));
    (mentions(clause, BIGGER) && blows).then_some("a larger fuse protects nothing")
}

/// What is wrong with letting charge out through metal.
const HARD_SHORT: &str = "a hard short welds, sprays and breaks the capacitor";

/// A tool put across charge; what is to be discharged may stand in another clause.
fn hard_short(text: &str, clause: &str) -> Option<&'static str> {
    (mentions(text, "bleed charge discharg drain") && mentions(clause, METAL_TOOLS))
        .then_some(HARD_SHORT)
}

/// Charge that is let out through a piece of wire; a resistor in it makes it the way it is done.
fn wire_short(text: &str, clause: &str) -> Option<&'static str> {
    let words = words(clause);
    let out = words.iter().position(|word| {
        ["bleed", "discharg", "drain"].iter().any(|root| word.low.starts_with(root))
    })?;
    let through =
        words.iter().skip(out + 1).position(|word| among("by through using with", &word.low))?;
    let with = words.iter().skip(out + through + 2).take(4);
    let is_wire = with.clone().any(|word| among("jumper lead link strap wire", &word.low));
    (is_wire && !mentions(text, "bleeder kohm ohm resist")).then_some(HARD_SHORT)
}

/// Words of a fuse that holds an overload longer, and of one that does not.
const SLOW: &str = "anti-surge delay slow slow-blow slow-acting time-delay time-lag";
const FAST: &str = "fast fast-acting fast-blow quick quick-acting quick-blow";

/// "A time-lag fuse in place of the fast one", "change the fast fuse for a slow-blow one".
fn slow_for_fast(clause: &str) -> Option<&'static str> {
    let words = words(clause);
    let at = |list: &str| words.iter().position(|word| among(list, &word.low));
    let (slow, fast) = (at(SLOW)?, at(FAST)?);
    let instead = at("instead place lieu").is_some_and(|at| slow < at && at < fast);
    let changed = at("change exchange replace swap").is_some_and(|at| at < fast && fast < slow)
        && at("by for with").is_some_and(|at| fast < at && at < slow);
    (instead || changed).then_some("a slower fuse lets through what the right one cuts off")
}

/// The current limit of the bench supply as far up as it goes, or off: a fault then has all that the supply can give.
fn opened_limit(text: &str, clause: &str) -> Option<&'static str> {
    let words = words(clause);
    let low: Vec<&str> = words.iter().map(|word| word.low.as_str()).collect();
    let is_off = low.windows(3).any(|three| {
        let [current, limit, off] = three else { return false };
        *current == "current" && limit.starts_with("limit") && *off == "off"
    });
    let is_limit = mentions(clause, "limit") && mentions(clause, "current");
    let is_full = mentions(clause, "fully full highest maximum max unlimited wide")
        && !mentions(clause, "anticlockwise back counterclockwise down lowest minimum zero");
    let is_disabled = mentions(clause, "disabl");
    let of_bench = text.to_lowercase().contains("bench supply");
    (of_bench && is_limit && (is_off || is_full || is_disabled))
        .then_some("the current limit is the protection on a bench supply")
}

/// "The variable transformer isolates you": it has one winding, and the set stays joined to the mains.
fn isolating_by_one_winding(clause: &str) -> Option<&'static str> {
    let isolates = words(clause).iter().any(|word| word.low == "isolates");
    let is_one_winding = mentions(clause, "autotransformer variac")
        || mentions(clause, "variable") && mentions(clause, "transformer");
    (isolates && is_one_winding && !mentions(clause, "pole switch"))
        .then_some("a variable transformer isolates nothing: it has one winding")
}

/// What a person touches with, and what nobody touches while it may be live.
const HANDS: &str = "elbow finger fingers hand hands knuckle knuckles palm thumb";
const TOUCHED: &str = "anode capacitor chassis core heatsink inside regulator tag tags terminal terminals transformer transistor valve";

/// "A hand on the transformer", "hands may go in", "touch the tags with a finger".
fn hand_on(clause: &str) -> Option<&'static str> {
    let words = words(clause);
    let any = |from: usize, list: &str| words.iter().skip(from).any(|word| among(list, &word.low));
    let at = words.iter().position(|word| among(HANDS, &word.low))?;
    let lies = words.iter().skip(at + 1).take(2).any(|word| among("against on", &word.low));
    let lies = lies && any(at, TOUCHED);
    let goes = any(0, "can may") && any(at, "hold in inside into reach steady touch");
    let feels = any(0, "feel tap touch") && any(0, TOUCHED);
    // "Feel the heatsink from a hand away".
    (!any(0, "away") && (lies || goes || feels)).then_some("hands stay out of what may be live")
}

fn misplaced_clip(clause: &str) -> Option<&'static str> {
    let words = words(clause);
    let clip = words.windows(2).position(|pair| {
        let [kind, clip] = pair else { return false };
        among("earth ground", &kind.low) && among("clip lead", &clip.low)
    })?;
    let mut behind = words.iter().skip(clip + 2).take(5);
    let is_scope = among("clip", &words.get(clip + 1)?.low);
    (is_scope && behind.any(|word| among(NOT_FOR_THE_CLIP, &word.low)))
        .then_some("the clip of an oscilloscope is a wire to earth: there it is a short circuit")
}

fn finding(text: &At<String>, why: &str) -> Finding {
    CHECK.error("the text tells to do what takes a protection away").at(text.span).label(why).help(
        "find another way; what must never be done goes into a sentence of its own with \"never\"",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_takes_a_protection_away_is_told_from_what_forbids_it() {
        for text in [
            "Float the oscilloscope on an isolating transformer",
            "Remove the earth pin of the scope's plug",
            "Bridge the fuse with a wire",
            "Fit a larger fuse",
            "Hold the non-contact tester near the wire: nothing",
            "Discharge it with a screwdriver",
            "Clip the probe on, earth clip on the live chassis",
            "Bypass the lid interlock",
            "Solder a jumper across the line fuse",
            "Wrap foil round the fuse",
            "Hold the cage switch down with a cable tie",
            "Should the RCD trip, just reset it: old filters always leak a little.",
            "Ignore the breaker: it is weak",
            "carry on without the RCD",
            "leave it in: the bigger one will not blow so easily",
            "Short it out with a screwdriver if it holds charge",
            "Use the two-pin adapter",
            "Disconnect the earth to break the hum loop",
            "Change to the outlet without the RCD",
            "Put a nail in place of the fuse",
            "Wedge the relay closed",
            "Bypass the limiter for this",
            "LED lamp of the stated watts",
            "Touch the tags with a wet finger",
            "A hand on the transformer tells how warm it is",
            "Hands may go in while they are dry",
            "Rubber gloves on, both hands may steady the chassis",
            "Discharge the reservoir with a piece of wire",
            "Bleed it through a clip lead",
            "Fit a time-lag fuse in place of the fast one",
            "Replace the fast fuse with a slow-blow one",
            "Turn the bench supply's current limit fully up",
            "Switch the bench supply on with its current limit off",
            "The variac isolates the set from the mains",
        ] {
            assert!(wrong(text).is_some(), "{text}");
        }
        for text in [
            "discharge it through 100 ohm 10 W in insulated clips, never with a screwdriver",
            "Clip a 10:1 oscilloscope probe on each output, earth clip to 0 V only",
            "Outlet behind an isolating transformer, nothing else on it",
            "Earth pin of the plug to bare metal, lead flexed",
            "Fit the same fuse; never a larger one",
            "Reset the RCD at its own button and see that it trips again",
            "Never carry on without the RCD",
            "Wire shorted to the overvoltage protection, fuse sound",
            "Lid switch and its holder",
            "fit a larger blower",
            "Wire from the fuse holder to the switch, dressed clear of the case",
            "Switch the tester on without moving the fuse",
            "Put the fuse back in its place",
            "Keep hands out of the chassis and one hand behind your back",
            "Hand on the limiter's switch, clipped meters only",
            "Keep fingers off the chip, wear goggles",
            "One hand at the outlet's switch, eye protection on",
            "Insulated tool with one hand, mains terminals covered",
            "Discharge it through 100 ohm in a lead with insulated clips",
            "Discharge it with the wire-wound resistor, a lead on each end",
            "Fit the fuse of the label: time-lag or fast",
            "Replace a time-lag fuse with a time-lag fuse and a fast one with a fast one",
            "Turn the bench supply's current limit fully down",
            "Set the bench supply's current limit to 50 mA, its output off",
            "Turn the set's current limit control fully up",
            "Switch the limiter off",
            "Variable transformer behind an isolating transformer",
            "The switch of the variable transformer isolates both poles",
        ] {
            assert_eq!(wrong(text), None, "{text}");
        }
    }
}
