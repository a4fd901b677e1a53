//! The units of measure a person may write, and guesses at what a slip of the keyboard meant.

use super::dimension::Dimension;
use super::prefix::PREFIXES;

/// One unit by name.
pub(super) struct NamedUnit {
    /// How it is written on screens and in files.
    pub(super) symbol: &'static str,
    /// Other spellings that are read.
    pub(super) also: &'static [&'static str],
    pub(super) dimension: Dimension,
    /// The unit in base units: a whole number times a power of ten.
    pub(super) factor: (i64, i32),
    /// Whether it takes SI prefixes.
    pub(super) prefixes: bool,
}

const fn si(symbol: &'static str, dimension: Dimension) -> NamedUnit {
    NamedUnit { symbol, also: &[], dimension, factor: (1, 0), prefixes: true }
}

const fn plain(symbol: &'static str, dimension: Dimension, digits: i64, power: i32) -> NamedUnit {
    NamedUnit { symbol, also: &[], dimension, factor: (digits, power), prefixes: false }
}

/// Every unit; the first of a dimension is its base unit.
pub(super) const UNITS: [NamedUnit; 23] = [
    si("V", Dimension::VOLTAGE),
    si("A", Dimension::CURRENT),
    NamedUnit { also: &["\u{2126}", "\u{3a9}"], ..si("ohm", Dimension::RESISTANCE) },
    si("W", Dimension::POWER),
    si("VA", Dimension::POWER),
    si("F", Dimension::CAPACITANCE),
    si("H", Dimension::INDUCTANCE),
    si("Hz", Dimension::FREQUENCY),
    si("s", Dimension::TIME),
    plain("min", Dimension::TIME, 60, 0),
    plain("h", Dimension::TIME, 3600, 0),
    si("J", Dimension::ENERGY),
    si("C", Dimension::CHARGE),
    si("S", Dimension::CONDUCTANCE),
    si("K", Dimension::TEMPERATURE),
    NamedUnit { also: &["\u{b0}C"], ..plain("degC", Dimension::CELSIUS, 1, 0) },
    plain("%", Dimension::NONE, 1, -2),
    plain("ppm", Dimension::NONE, 1, -6),
    plain("dB", Dimension::LEVEL, 1, 0),
    si("m", Dimension::LENGTH),
    plain("m2", Dimension::AREA, 1, 0),
    plain("mm2", Dimension::AREA, 1, -6),
    plain("cm2", Dimension::AREA, 1, -4),
];

/// Units written out, which are hinted at but not read.
const WORDS: [(&str, &str); 16] = [
    ("volt", "V"),
    ("amp", "A"),
    ("ampere", "A"),
    ("watt", "W"),
    ("farad", "F"),
    ("henry", "H"),
    ("hertz", "Hz"),
    ("second", "s"),
    ("sec", "s"),
    ("minute", "min"),
    ("hour", "h"),
    ("celsius", "degC"),
    ("deg", "degC"),
    ("c", "degC"),
    ("\u{b0}", "degC"),
    ("\u{2103}", "degC"),
];

/// Finds the unit a text names, with the power of ten of its prefix.
pub(super) fn find(text: &str) -> Option<(&'static NamedUnit, i32)> {
    if old_capacitance(text).is_some() {
        return None;
    }
    let exact = UNITS.iter().find(|unit| is_written(unit, text)).map(|unit| (unit, 0));
    exact.or_else(|| {
        PREFIXES.iter().find_map(|(prefix, power)| {
            let rest = text.strip_prefix(prefix)?;
            let unit = UNITS.iter().find(|unit| unit.prefixes && is_written(unit, rest))?;
            Some((unit, *power))
        })
    })
}

/// Guesses what a text that is no unit, or one of the wrong dimension, was meant to be.
///
/// The slips it knows are upper and lower case, a plural and a unit written out.
pub(super) fn guess(text: &str, wanted: Option<Dimension>) -> Option<String> {
    let is_wanted = |found: Dimension| wanted.is_none_or(|dimension| found == dimension);
    if let Some(mark) = old_capacitance(text).filter(|_| is_wanted(Dimension::CAPACITANCE)) {
        return Some(mark.to_owned());
    }
    let fits = |unit: &&NamedUnit| is_wanted(unit.dimension);
    let lower = text.to_lowercase();
    let singular = lower.strip_suffix('s').filter(|rest| rest.len() > 1).unwrap_or(&lower);
    let word =
        WORDS.iter().find(|(word, _)| [singular, &lower].contains(word)).map(|(_, symbol)| *symbol);
    // `230 VAC`: how it was measured stands behind the unit.
    let told = ["dc", "ac", "rms"].into_iter().find_map(|how| lower.strip_suffix(how));
    if let Some(alone) = told.and_then(|rest| text.get(..rest.len())).map(str::trim_end)
        && find(alone).is_some_and(|(unit, _)| fits(&unit))
    {
        return Some(alone.to_owned());
    }
    let written = UNITS.iter().filter(fits).find(|unit| word == Some(unit.symbol));
    written.map(|unit| unit.symbol.to_owned()).or_else(|| {
        let spellings = UNITS.iter().filter(fits).flat_map(spellings);
        let alike = spellings.filter(|spelling| spelling != text).filter(|spelling| {
            let spelling = spelling.to_lowercase();
            spelling == lower || spelling == singular
        });
        alike.min_by_key(|spelling| letters_changed(spelling, text))
    })
}

/// What the old marks on capacitors mean, whose letters would make them a million times a million more (practice of the
/// trade; from memory).
fn old_capacitance(text: &str) -> Option<&'static str> {
    match text {
        "MF" | "MFD" | "Mfd" | "mfd" => Some("uF"),
        "MMF" | "MMFD" | "mmF" | "mmfd" => Some("pF"),
        _ => None,
    }
}

fn is_written(unit: &NamedUnit, text: &str) -> bool {
    unit.symbol == text || unit.also.contains(&text)
}

fn spellings(unit: &NamedUnit) -> impl Iterator<Item = String> {
    let prefixes = PREFIXES.iter().filter(|_| unit.prefixes).map(|(prefix, _)| *prefix);
    std::iter::once("").chain(prefixes).map(|prefix| format!("{prefix}{}", unit.symbol))
}

fn letters_changed(left: &str, right: &str) -> usize {
    left.chars().zip(right.chars()).filter(|(left, right)| left != right).count()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_names_win_over_prefixes() {
        for (text, symbol, power) in [
            ("min", "min", 0),
            ("m", "m", 0),
            ("h", "h", 0),
            ("mm2", "mm2", 0),
            ("Hz", "Hz", 0),
            ("mm", "m", -3),
            ("mHz", "Hz", -3),
            ("daA", "A", 1),
            ("\u{b5}F", "F", -6),
            ("\u{3bc}F", "F", -6),
            ("uF", "F", -6),
            ("k\u{2126}", "ohm", 3),
            ("M\u{3a9}", "ohm", 6),
        ] {
            let found = find(text).map(|(unit, power)| (unit.symbol, power));
            assert_eq!(found, Some((symbol, power)), "{text}");
        }
        for text in ["", "v", "kmin", "k%", "mdB", "kdegC", "kkV", "k"] {
            assert!(find(text).is_none(), "{text}");
        }
    }

    #[test]
    fn no_two_spellings_are_the_same() {
        let mut all: Vec<String> = UNITS.iter().flat_map(spellings).collect();
        all.sort();
        let count = all.len();
        all.dedup();
        assert_eq!(all.len(), count);
    }

    #[test]
    fn guesses_at_slips_of_case_and_words() {
        for (text, guessed) in [
            ("v", Some("V")),
            ("Mv", Some("MV")),
            ("khz", Some("kHz")),
            ("ma", Some("mA")),
            ("KOhm", Some("kohm")),
            ("ohms", Some("ohm")),
            ("Volts", Some("V")),
            ("DB", Some("dB")),
            ("VDC", Some("V")),
            ("Vrms", Some("V")),
            ("kVac", Some("kV")),
            ("mA DC", Some("mA")),
            ("bananas", None),
            ("", None),
        ] {
            assert_eq!(guess(text, None).as_deref(), guessed, "{text}");
        }
        assert_eq!(guess("S", Some(Dimension::TIME)).as_deref(), Some("s"));
        assert_eq!(guess("ma", Some(Dimension::VOLTAGE)), None);
    }
}
