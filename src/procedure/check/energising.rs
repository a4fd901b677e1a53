//! The words with which a person brings a source on, or leaves it on, whatever verbs they choose.

use super::clause::{Clause, Instruction, any, clauses};
use super::families::{
    CORDS, INNER_PLUGS, MAINS, PARTS_OF_MAINS, SETS, SHELLS, SUPPLIES, SWITCHGEAR, TOOLS,
};
use super::words::among;

/// Where words stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Feeding {
    /// In a stage without a source.
    DeadStage,
    /// In a stage with a source, which is off.
    SourceOff,
    /// In a stage with a source, which is on: another one is not joined to it.
    Live,
}

/// The words that bring a source on in what a person is told to do.
pub(super) fn brings_on(text: &str, place: Feeding) -> Option<String> {
    let clauses = clauses(text);
    let told = clauses.iter().enumerate().find(|(n, clause)| {
        clause.acts().any(|act| {
            let joins = plugs_in(&act) || puts_in(&act) || joins_mains(&act) || gives_mains(&act);
            let comes_on = || {
                feeds(&act)
                    || closes(&act)
                    || presses(&act)
                    || turns_on(&act, place)
                    || turns_up(&act)
                    || is_left_on(&act)
                    || place == Feeding::DeadStage && (starts(&act) || is_tried(&act))
            };
            joins && !stays_off(&clauses, *n) || place != Feeding::Live && comes_on()
        })
    });
    told.map(|(_, clause)| clause.words().join(" "))
}

/// Whether what is joined in that clause stays off: as it says itself, or the one before or behind it.
fn stays_off(clauses: &[Clause], n: usize) -> bool {
    let says_off = clauses.get(n).is_some_and(|clause| {
        clause.words().contains(&"switched-off".to_owned()) || is_off(clause)
    });
    let behind = clauses.get(n + 1).is_some_and(is_off);
    let shares = |one: &Clause, other: &Clause| {
        one.words().iter().any(|word| among(SUPPLIES, word) && other.words().contains(word))
    };
    let before = match (n.checked_sub(1).and_then(|n| clauses.get(n)), clauses.get(n)) {
        (Some(before), Some(clause)) => {
            let begins_with = before.words().first().is_some_and(|word| word == "with");
            begins_with && is_off(before) && shares(before, clause)
        }
        _ => false,
    };
    says_off || behind || before
}

/// Whether the clause says that a source is off, and is not the act of switching it off: "with the limiter off", "its output off",
/// "which is switched off".
pub(super) fn is_off(clause: &Clause) -> bool {
    let words = clause.words();
    let acts = "switch turn flip throw put set shut take bring";
    let told = clause.acts().any(|act| act.is(acts));
    let pair = words.windows(2).any(|pair| {
        let [what, off] = pair else { return false };
        let off_itself = off == "off" || off == "open";
        off_itself && (among(SUPPLIES, what) || among("switch output outputs switched is", what))
    });
    !told && (pair || words.iter().any(|word| word == "isolated" || word == "switched-off"))
}

/// Words behind an "in" that name no place.
const NO_PLACE: &str = "again now back there here at first briefly once more for a an moment the second short while time me us you look \
    listen try test quick bit see then";
/// Words that begin what is done meanwhile or afterwards.
const MEANWHILE: &str = "and while when as so but until till or before after";

/// "Plug the set into the mains outlet", "plug it in".
fn plugs_in(act: &Instruction<'_>) -> bool {
    let Some(at) = act.rest.iter().position(|word| among("in into", word)) else { return false };
    let (what, place) = act.rest.split_at_checked(at).unwrap_or_default();
    let place = place.get(1..).unwrap_or_default();
    let unplaced =
        place.iter().take_while(|word| !among(MEANWHILE, word)).all(|word| among(NO_PLACE, word));
    let inner = any(what, INNER_PLUGS) || any(place, INNER_PLUGS);
    act.is("plug replug")
        && !inner
        && (unplaced
            || names_a_supply(place)
            || at == 0 && (any(place, SETS) || any(place, "it lead cord")))
}

/// "Insert the plug", "push the plug home", "put the lead into the wall socket".
fn puts_in(act: &Instruction<'_>) -> bool {
    let inward = act.rest.iter().position(|word| among("in into to with home", word));
    let (what, place) =
        act.rest.split_at_checked(inward.unwrap_or(act.rest.len())).unwrap_or_default();
    let lead = any(what, CORDS) && !any(what, INNER_PLUGS);
    let ends = act.rest.last().is_some_and(|last| among("in home back", last));
    lead && (act.is("insert offer mate") && (inward.is_none() || names_a_supply(place))
        || act.is("insert offer mate stick put push shove slot seat return")
            && (names_a_supply(place) || ends))
}

/// "Connect the set to the mains", "hook it up to the grid", "connect the line cord", "put the set back on the supply".
fn joins_mains(act: &Instruction<'_>) -> bool {
    let connects = act.is("connect reconnect hook wire join couple attach link tie run");
    let at = act.rest.iter().rposition(|word| among("to into with onto", word));
    let target = at.and_then(|at| act.rest.get(at + 1..));
    let what = act.rest.get(..at.unwrap_or(act.rest.len())).unwrap_or_default();
    let by_cord = what.windows(2).any(|pair| {
        let [mains, cord] = pair else { return false };
        among("line mains power supply", mains) && among(CORDS, cord)
    });
    let near = act.rest.iter().take(2).position(|word| word == "mains");
    let itself =
        near.is_some_and(|n| !act.rest.get(n + 1).is_some_and(|next| among(PARTS_OF_MAINS, next)));
    let on = act.rest.iter().rposition(|word| word == "on").and_then(|at| act.rest.get(at + 1..));
    let onto =
        act.is("put hang place set") && any(act.rest, SETS) && on.is_some_and(is_mains_or_supply);
    let makes = act.is("make") && any(act.rest, "connection contact");
    connects && (target.is_some_and(names_mains) || target.is_none() && by_cord || itself)
        || makes && target.is_some_and(names_mains)
        || onto
        || act.is("move change transfer")
            && target.is_some_and(names_mains)
            && any(what, "set it plug lead cord")
}

fn is_mains_or_supply(place: &[String]) -> bool {
    names_mains(place)
        || matches!(place, [the, supply] if the == "the" && among("supply power line", supply))
}

/// "Give the set mains", "let the mains in", "feed it from the wall".
fn gives_mains(act: &Instruction<'_>) -> bool {
    act.is("give feed warm let supply send run power")
        && names_mains(act.rest)
        && !any(act.rest, "off out")
}

/// Whether what is done is done to the whole set: "the set", "it".
fn is_of_the_set(act: &Instruction<'_>) -> bool {
    let first = act.rest.first().is_some_and(|word| word == "it");
    first || act.rest.iter().take(3).any(|word| among(SETS, word)) && !any(act.rest, TOOLS)
}

/// "Leave the plug in the wall", "keep the set powered", "leave the outlet on": what is on stays so.
fn is_left_on(act: &Instruction<'_>) -> bool {
    let at = act.rest.iter().position(|word| word == "in");
    let (what, place) = act.rest.split_at_checked(at.unwrap_or(act.rest.len())).unwrap_or_default();
    let is_in = any(what, CORDS) && any(place, "wall outlet mains receptacle");
    let is_powered = is_of_the_set(act)
        && any(act.rest, "powered live energised energized running plugged")
        && !any(act.rest, "off");
    let is_on = (is_of_the_set(act) || names_a_supply(act.rest)) && is_short(act.rest);
    act.is("leave keep") && (is_in || is_powered || is_on)
}

/// "Test the set on the mains", "see it run".
fn is_tried(act: &Instruction<'_>) -> bool {
    let on = act.rest.iter().rposition(|word| word == "on").and_then(|at| act.rest.get(at + 1..));
    let is_used = act.is("try test run check see look operate use leave keep watch")
        && is_of_the_set(act)
        && on.is_some_and(names_mains);
    let runs = act.is("see watch hear let") && any(act.rest, "run running start play");
    let goes =
        act.is("get set bring make keep have") && any(act.rest, "going running alive life live");
    is_used || is_of_the_set(act) && (runs || goes)
}

/// "Apply 230 V", "restore power", "energise", "make the outlet live".
fn feeds(act: &Instruction<'_>) -> bool {
    let tests = any(act.rest, "insulation tester test meter");
    let volts = act.rest.windows(2).any(|pair| {
        let [figure, unit] = pair else { return false };
        figure.parse::<f64>().is_ok() && among("v volt volts kv", unit)
    });
    let energy = any(act.rest, "mains power voltage volts supply");
    act.is("energise energize re-energise re-energize reenergise reenergize repower re-power electrify")
        || act.is("make") && any(act.rest, "live")
        || act.is("give") && is_of_the_set(act) && any(act.rest, "power juice current")
        || act.is("cycle") && (energy || is_of_the_set(act))
        || act.is("power-cycle powercycle")
        || touches_a_supply(act)
        || act.is("apply feed put give send inject") && volts && !tests
        || act.is("apply restore reinstate return") && energy && !tests
        || act.is("charge precharge pre-charge form reform re-form") && volts
        || act.is("connect hook clip attach put") && volts && any(act.rest, "battery batteries accumulator cells")
        || act.is("reconnect") && matches!(act.rest, [.., supply] if among("supply power", supply)) && act.rest.len() <= 2
}

/// "Touch the bench supply's lead to the rail".
fn touches_a_supply(act: &Instruction<'_>) -> bool {
    let to = act.rest.iter().position(|word| among("to on against", word));
    let what = to.and_then(|at| act.rest.get(..at)).unwrap_or_default();
    act.is("touch dab tap brush")
        && any(what, "supply battery")
        && any(what, "lead leads wire wires clip clips")
}

/// "Close the breaker", "set the RCD", "lift the breaker's lever", "take the padlock off the isolator".
fn closes(act: &Instruction<'_>) -> bool {
    let verbs = "close reset re-set set lift raise rearm re-arm arm engage throw latch operate flip flick press push switch turn put move make trip-in";
    let off = any(act.rest, "off open out test trip trips tester down");
    let main = act
        .rest
        .windows(2)
        .any(|pair| matches!(pair, [main, switch] if main == "main" && switch == "switch"));
    let unlocks = act.is("take remove unlock")
        && any(act.rest, "padlock lock lockout tag")
        && any(act.rest, SWITCHGEAR);
    act.is(verbs) && !off && (any(act.rest, SWITCHGEAR) || main) || unlocks
}

/// "Press the green button".
fn presses(act: &Instruction<'_>) -> bool {
    act.is("press push hit depress operate tap")
        && any(act.rest, "green start on power run")
        && any(act.rest, "button key switch pushbutton")
        && !any(act.rest, TOOLS)
        && !any(act.rest, "off stop red")
}

/// "Switch the outlet on", "power up", "turn its switch to I"; in a dead stage "switch it on" too.
fn turns_on(act: &Instruction<'_>, place: Feeding) -> bool {
    if act.is("power") {
        let cycles = act.rest.first().is_some_and(|word| word == "cycle");
        return any(act.rest, "on up") || cycles || is_of_the_set(act);
    }
    let by_itself = any(act.rest, "own")
        || any(act.rest, "switch")
            && !any(act.rest, "outlet receptacle limiter wall socket supply bench");
    if !act.is("switch turn flip flick throw put bring set move rotate click")
        || any(act.rest, "off")
        || by_itself
    {
        return false;
    }
    let on = act.rest.iter().any(|word| word == "on");
    let to_on = act.rest.iter().position(|word| word == "to").is_some_and(|at| {
        let mut behind = act.rest.iter().skip(at + 1).skip_while(|word| among("its the", word));
        behind.next().is_some_and(|word| among("i on 1 run start", word))
    });
    let weak = place == Feeding::DeadStage && !any(act.rest, TOOLS) && !any(act.rest, "its");
    let supplied = names_a_supply(act.rest) || any(act.rest, "outlet receptacle limiter wall");
    // "Put a cover on the supply", "put the cover back on" puts a thing there.
    let whole =
        supplied || any(act.rest, SETS) || act.rest.first().is_some_and(|word| word == "on");
    let is_put = act.is("put bring set move")
        && (!is_short(act.rest) || !whole || any(act.rest, CORDS) || any(act.rest, SHELLS));
    on && !is_put && (supplied || weak && is_short(act.rest))
        || to_on && (supplied || weak && any(act.rest, "switch"))
}

/// "Turn the variac up", "wind the variable transformer to 40 V", "bring the bench supply up".
fn turns_up(act: &Instruction<'_>) -> bool {
    let variable = any(act.rest, "variac autotransformer")
        || act.rest.windows(2).any(|pair| matches!(pair, [v, t] if v == "variable" && among("transformer supply mains", t)));
    let down = any(act.rest, "down zero nought 0 off minimum least lowest back stop limit");
    let up = any(act.rest, "up on") && any(act.rest, "supply");
    act.is("bring turn wind raise crank dial advance rotate increase set run put switch flip throw")
        && !down
        && (variable || up && !act.is("set run put"))
}

/// "Start the set up", "run it for a moment", "blip the mains".
fn starts(act: &Instruction<'_>) -> bool {
    let set = act.rest.iter().take(3).any(|word| among(SETS, word));
    let it = act.rest.first().is_some_and(|word| word == "it")
        && act.rest.get(1).is_none_or(|word| among("up for briefly", word));
    act.is("start run boot fire wake try operate") && (set || it) && !any(act.rest, TOOLS)
        || act.is("light") && it && any(act.rest, "up")
        || act.is("blip jog bump pulse flick flash")
            && any(act.rest, "mains power supply switch outlet it")
}

/// Words behind an "on" that is a switch's: "on again and see".
const BEHIND_ON: &str = "again once briefly for and while when as at so now then until till but";

/// "Switch the set on", "on again and see": what stands behind `on` is no place, as in "on its side".
fn is_short(rest: &[String]) -> bool {
    let Some(at) = rest.iter().position(|word| word == "on") else { return false };
    let next = rest.get(at + 1);
    next.is_none_or(|next| at == 0 && next != "its" || among(BEHIND_ON, next))
}

fn names_a_supply(words: &[String]) -> bool {
    words.iter().enumerate().any(|(n, word)| {
        let part = words.get(n + 1).is_some_and(|next| among(PARTS_OF_MAINS, next));
        among(SUPPLIES, word) && !part
    })
}

/// The mains themselves, and not a part that has their name: "the line" and "line and neutral" too.
fn names_mains(words: &[String]) -> bool {
    let word = |n: usize| words.get(n).map_or("", String::as_str);
    (0..words.len()).any(|n| {
        let is_line =
            word(n) == "line" && n > 0 && among("the and", word(n - 1)) && n + 1 == words.len();
        is_line || among(MAINS, word(n)) && !among(PARTS_OF_MAINS, word(n + 1))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_that_bring_a_source_on_are_seen() {
        for text in [
            "Plug the set into the mains outlet",
            "Plug the amplifier in",
            "Plug in the appliance",
            "Put the cover aside, then plug it into the wall",
            "Switch the outlet on",
            "Switch on the mains",
            "Turn on the bench supply",
            "Power up the set",
            "Power the amplifier on",
            "Energise the transformer",
            "Connect the set to the mains",
            "Reconnect the mains",
            "Close the breaker",
            "Apply mains by way of the isolating transformer",
            "Restore power",
            "Turn the variac up to half",
            "Bring the bench supply up to 12 V",
            "Charge the smoothing capacitor to 300 V",
            "Connect a 90 V battery across the rail",
            "Switch the supply off, plug the set into the wall",
            "Take the lid off, plug the set into the wall",
        ] {
            assert!(brings_on(text, Feeding::SourceOff).is_some(), "{text}");
        }
        for text in [
            "Switch the amplifier on",
            "Switch it on",
            "Turn on the amplifier",
            "Switch it on again and see",
        ] {
            assert!(brings_on(text, Feeding::DeadStage).is_some(), "{text}");
            assert_eq!(brings_on(text, Feeding::SourceOff), None, "{text}");
        }
    }

    #[test]
    fn words_that_leave_the_equipment_dead_are_left_alone() {
        for text in [
            "Plug the amplifier into the switched-off limiter",
            "Plug the mains lead into the test socket of the bench supply, its output off",
            "Plug the transformer secondary into the rectifier board",
            "Plug the mains lead into the inlet of the set",
            "Pull the mains plug out of the wall",
            "Turn the mains switch on",
            "Switch the appliance on at its own switch",
            "Switch the meter on",
            "Connect the bench supply to the reservoir: plus to plus, minus to minus",
            "Connect the insulation tester to the mains plug",
            "Fit an insulating cover over every bare mains terminal in the set",
            "Fit the mains fuse",
            "Turn the bias control of this channel to the end of least idle current",
            "Do not plug it in yet",
            "Switch the mains off",
            "Push the terminal back on the element until it grips",
            "Plug the supply into the limiter with the limiter off",
            "Plug the power cord into the limiter, its switch off",
            "Turn the voltage control up to the stop",
            "Turn it on its side",
            "Put the cover back on",
            "Leave the set switched off",
        ] {
            assert_eq!(brings_on(text, Feeding::DeadStage), None, "{text}");
        }
    }
}
