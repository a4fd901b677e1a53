//! The words of a state in which a source is on.

use super::clause::{Clause, clauses, is};
use super::energising::is_off;
use super::families::{CORDS, INNER_PLUGS, SETS, SWITCHGEAR};
use super::words::among;

/// Words of what brings the energy.
const FEEDS: &str = "mains power supply outlet receptacle limiter";
/// Words before a state that turn it round.
const SPARED: &str = "before without until un nothing nobody never no none";
/// Words between a participle and its "in" or "on".
const BETWEEN: &str =
    "it the a this that them set amplifier appliance equipment radio lead cord cable plug back";
/// Words that begin a clause of what goes on meanwhile.
const MEANWHILE: &str = "with while when once after as if";

/// The words of a state in which a source is on. With an ohmmeter on, "switched on" is a switch of the equipment: `with_switches` is
/// false there.
pub(super) fn is_on(text: &str, with_switches: bool) -> Option<String> {
    let clauses = clauses(text);
    // "Set switched on, its plug out": a switch of the equipment alone.
    let apart = clauses.iter().any(|clause| {
        clause.words().iter().any(|word| among("unplugged switched-off", word)) || is_off(clause)
    });
    let on = clauses.iter().find(|clause| says_on(clause, with_switches));
    on.filter(|_| !apart).map(|clause| clause.words().join(" "))
}

fn says_on(clause: &Clause, with_switches: bool) -> bool {
    let words = clause.told();
    let inner = words.iter().any(|word| is(word, INNER_PLUGS));
    let spared = |n: usize| words.iter().take(n).rev().take(3).any(|word| among(SPARED, word));
    (0..words.len()).any(|n| {
        let rest = words.get(n..).unwrap_or_default();
        let before = words.get(..n).unwrap_or_default();
        let on = is_done(rest, with_switches) && !(inner && is_plugged(rest))
            || is_fed(rest)
            || with_switches && runs(before, rest);
        on && !spared(n)
    })
}

/// "Plugged it in", "switching the set on", "energised".
fn is_done(words: &[String], with_switches: bool) -> bool {
    let word = |n: usize| words.get(n).map_or("", String::as_str);
    let mut behind = words.iter().skip(1).skip_while(|word| among(BETWEEN, word));
    let end = behind.next().map_or("", String::as_str);
    match word(0) {
        "plugging" | "plugged" | "replugged" => among("in into", end),
        "powered" => among("on up from by through", end),
        "switching" | "powering" | "turning" => among("on up", end),
        "switched" | "turned" => with_switches && among("on up", end),
        "energised" | "energized" | "energising" | "energizing" => true,
        _ => false,
    }
}

fn is_plugged(words: &[String]) -> bool {
    words.first().is_some_and(|first| among("plugging plugged replugged", first))
}

/// "The mains on", "power applied", "breaker closed", "the plug in the wall". "Power on the rating plate" is none.
fn is_fed(words: &[String]) -> bool {
    let word = |n: usize| words.get(n).map_or("", String::as_str);
    let comes = usize::from(among("goes comes is", word(1)));
    let on = word(1 + comes) == "on" && (words.len() == 2 + comes || word(2 + comes) == "it");
    let plug = among(CORDS, word(0)) && word(1) == "in";
    let the = usize::from(word(2) == "the");
    among(FEEDS, word(0)) && on
        || among("mains power", word(0)) && word(1) == "applied"
        || is(word(0), SWITCHGEAR) && among("closed in on", word(1)) && words.len() == 2
        || plug && among("wall outlet mains receptacle", word(2 + the))
}

/// "With the set on", "while it is running", "set on the mains".
fn runs(before: &[String], words: &[String]) -> bool {
    let word = |n: usize| words.get(n).map_or("", String::as_str);
    let meanwhile = before.iter().any(|word| among(MEANWHILE, word));
    let is = usize::from(word(1) == "is");
    let state = word(1 + is);
    let the = usize::from(word(2 + is) == "the");
    let at_end = |n: usize| words.len() == n + 1;
    let set = among(SETS, word(0)) || word(0) == "it";
    let onto = state == "on" && word(2 + is + the) == "mains" && at_end(2 + is + the);
    set && (onto || meanwhile && (state == "on" && at_end(1 + is) || state == "running"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_state_in_which_a_source_is_on_is_seen() {
        for text in [
            "The lamp after plugging in",
            "Pilot lamp with the mains on",
            "Insert the fuse with the mains on",
            "Lamp with the plug in the wall",
            "Once you have plugged the set in",
            "Lamp when the mains goes on",
            "Lamp with power applied",
        ] {
            assert!(is_on(text, false).is_some(), "{text}");
        }
        for text in [
            "Dial lamp while the set is on",
            "Dial lamp with the set running",
            "Lamp, set on the mains",
        ] {
            assert!(is_on(text, true).is_some(), "{text}");
            assert_eq!(is_on(text, false), None, "{text}");
        }
        for text in [
            "Line pin to neutral pin of the plug, mains switch on, fuse fitted",
            "Plug, lead along its whole length, terminals inside the plug where it opens",
            "Switch and thermostat before the plug goes in",
            "Power on the rating plate",
            "Nothing is plugged in before this is released",
            "Bulbs with all valves plugged in",
            "Running of the tuning drive",
        ] {
            assert_eq!(is_on(text, true), None, "{text}");
        }
    }
}
