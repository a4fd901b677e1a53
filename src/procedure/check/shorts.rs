//! Short circuits that are put in for a time, as their words tell them.

use super::words::{Word, among, mentions, words};

/// What a short is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum ShortedItem {
    /// Of charge, a supply, a protection, or to earth: it goes with no source.
    Power,
    /// Of a signal or of an output that is made for it.
    Signal,
    /// Nothing says of what.
    Anything,
}

/// Where a short circuit is none of a meter's or a signal's.
const POWER: &str = "breaker bulk capacitor cutout earth fuse interlock line live mains neutral rail rcd reservoir supply thermal";
/// The same without the earth: a part that is screwed back on belongs there as well.
const LIVE_PARTS: &str = "breaker bulk capacitor cutout fuse interlock line live mains neutral rail rcd reservoir supply thermal";
/// Where one is made for a test.
const SIGNALS: &str =
    "aerial antenna audio headphone input loudspeaker oscillo output probe scope signal speaker";
/// Beginnings of words that join two points which are apart.
const JOINERS: &str = "bond jumper shorted shorting strap";
/// A clip or a lead to earth.
const TO_EARTH: [&str; 9] = [
    "earth clip",
    "earth lead",
    "earthed lead",
    "earthing",
    "earthed short",
    "ground clip",
    "ground lead",
    "grounding",
    "safety ground",
];
/// Whose earth lead it is, where it belongs to an instrument.
const OF_AN_INSTRUMENT: &str = "generator meter oscillo probe scope tester voltmeter";
/// Words behind "short" that make it a length.
const LENGTHS: &str = "cable cord lead leads length piece test time wait wire wires";
/// Verbs that put something in.
const PUTS: &str = "attach bolt bond bridge clamp clip connect fasten fit hook join jumper lay link place put screw short solder \
    strap twist wind";
/// Those that say by themselves that it is a short.
const SHORTS: &str = "bond bridge jumper link short strap";
/// Words of what is put back where it belongs, or of charge that is let out.
const OTHERWISE: &str = "back bleed discharg again refit resistor";

/// What a temporary item shorts; none where it is no short.
pub(super) fn item_of(item: &str) -> Option<ShortedItem> {
    let is_earthed = is_to_earth(item);
    if !is_earthed && !is_short(item) {
        return None;
    }
    Some(if is_earthed || mentions(item, POWER) {
        ShortedItem::Power
    } else if mentions(item, SIGNALS) {
        ShortedItem::Signal
    } else {
        ShortedItem::Anything
    })
}

/// Whether a text tells to put a short across what a source feeds, or across what protects it.
pub(super) fn puts_a_short_in(text: &str) -> bool {
    let words = words(text);
    let Some(verb) = words.first().map(|word| word.low.as_str()) else { return false };
    let is_short = among(SHORTS, verb) || is_short(text) || is_to_earth(text);
    among(PUTS, verb) && is_short && mentions(text, LIVE_PARTS) && !mentions(text, OTHERWISE)
}

fn is_short(text: &str) -> bool {
    let words = words(text);
    let is_link = |at: usize, word: &Word<'_>| {
        let before = at.checked_sub(1).and_then(|at| words.get(at));
        among("link links", &word.low) && before.is_none_or(|before| before.low != "fuse")
    };
    let is_noun = |at: usize, word: &Word<'_>| {
        let after = words.get(at + 1);
        among("short shorts", &word.low) && after.is_none_or(|after| !among(LENGTHS, &after.low))
    };
    mentions(text, JOINERS)
        || words.iter().enumerate().any(|(at, word)| is_link(at, word) || is_noun(at, word))
}

fn is_to_earth(text: &str) -> bool {
    let low = text.to_lowercase();
    TO_EARTH.iter().any(|words| low.contains(words)) && !mentions(text, OF_AN_INSTRUMENT)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_short_is_told_by_what_it_is_across() {
        for (item, due) in [
            ("shorting strap across the reservoir", Some(ShortedItem::Power)),
            ("jumper across the rail fuse", Some(ShortedItem::Power)),
            ("short from line to neutral", Some(ShortedItem::Power)),
            ("link over the interlock", Some(ShortedItem::Power)),
            ("bond from the rail to the chassis", Some(ShortedItem::Power)),
            ("earth clip", Some(ShortedItem::Power)),
            ("grounding lead", Some(ShortedItem::Power)),
            ("Earthed short", Some(ShortedItem::Power)),
            ("shorting lead", Some(ShortedItem::Anything)),
            ("a link", Some(ShortedItem::Anything)),
            ("input shorting plugs", Some(ShortedItem::Signal)),
            ("shorting lead on the output", Some(ShortedItem::Signal)),
            ("oscilloscope probes, earth clip on 0 V", None),
            ("short test lead", None),
            ("fuse link of 100 mA", None),
            ("dummy load", None),
            ("bench supply leads on the reservoir", None),
        ] {
            assert_eq!(item_of(item), due, "{item}");
        }
    }

    #[test]
    fn a_short_that_is_put_in_is_told_from_a_part_that_is_put_back() {
        for text in [
            "Clip the shorting strap across the reservoir",
            "Link line and neutral at the plug",
            "Short the rail to the chassis",
            "Put a jumper over the fuse",
            "Clip the grounding lead on the positive rail",
        ] {
            assert!(puts_a_short_in(text), "{text}");
        }
        for text in [
            "Fit a shorting plug in every input",
            "Screw the earth strap to the chassis",
            "Short the reservoir through the discharge resistor",
            "Put the link of the mains selector back",
            "Connect the bench supply to the reservoir",
            "Take the jumper off the fuse",
        ] {
            assert!(!puts_a_short_in(text), "{text}");
        }
    }
}
