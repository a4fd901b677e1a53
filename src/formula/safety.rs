//! Functions for the limits of the safety check after a repair, by rule set.
//!
//! A figure that is only remembered is refused: a formula could not say so, and nobody would look it up.

use super::function::{Function, FunctionValue, Takes, WordList};
use super::physical::{number_of, physics};
use super::problem::{Problem, WordKind};
use super::word::{chosen, in_list};
use crate::physics::earth_conductor::Lead;
use crate::physics::safety_limits::{Class, PublishedFigure, RULE_SETS, RuleSet};
use crate::physics::source::SourceStanding;
use crate::quantity::{Dimension, Quantity};

/// The name of the one fact that is a rule set. It stands in a formula where a rule set does, and nowhere else: what a fact says by its place
/// in a list is no number.
pub const SAFETY_RULES: &str = "safety_rules";

/// The rule set of a word, as the fact [`SAFETY_RULES`] has it; nothing for a word that none has.
#[must_use]
pub fn rule_set(word: &str) -> Option<Quantity> {
    RULE_SETS.iter().position(|rules| rules.word == word).map(in_list)
}

/// The words of all rule sets, for a question.
#[must_use]
pub fn offered() -> String {
    let word = |rules: &RuleSet| match rules.withdrawn_for {
        Some(_) => format!("{} (withdrawn)", rules.word),
        None => rules.word.to_owned(),
    };
    let words: Vec<_> = RULE_SETS.iter().map(word).collect();
    format!("one of {}", words.join(", "))
}

/// In square metres.
const SQUARE_MILLIMETRE: f64 = 1e-6;

/// The words for the classes of protection.
const CLASSES: [(&str, Class); 4] = [
    ("class_1", Class::I),
    ("heater", Class::Heater),
    ("class_2", Class::II),
    ("class_3", Class::III),
];

const CLASS: WordList = WordList {
    kind: WordKind::Class,
    fact: None,
    list: || CLASSES.iter().map(|(word, _)| (*word, true)).collect(),
};

const WITH_EARTH: WordList = WordList {
    kind: WordKind::RuleSet,
    fact: Some(SAFETY_RULES),
    list: || {
        rule_sets(|rules| {
            rules.earth.is_some_and(|(_, standing)| standing != SourceStanding::FromMemory)
        })
    },
};

const WITH_INSULATION: WordList = WordList {
    kind: WordKind::RuleSet,
    fact: Some(SAFETY_RULES),
    list: || {
        let of_any = |(_, class): &(&str, Class), rules: &RuleSet| {
            is_published(rules.insulation_at_least(*class))
        };
        rule_sets(|rules| CLASSES.iter().any(|class| of_any(class, rules)))
    },
};

const WITH_CONDUCTOR_CURRENT: WordList = WordList {
    kind: WordKind::RuleSet,
    fact: Some(SAFETY_RULES),
    list: || rule_sets(|rules| is_published(rules.conductor_current_at_most(Class::I, 0.0))),
};

const WITH_TOUCH_CURRENT: WordList = WordList {
    kind: WordKind::RuleSet,
    fact: Some(SAFETY_RULES),
    list: || rule_sets(|rules| is_published(rules.touch_current)),
};

fn rule_sets(has: impl Fn(&RuleSet) -> bool) -> Vec<(&'static str, bool)> {
    RULE_SETS.iter().map(|rules| (rules.word, has(rules))).collect()
}

fn is_published(figure: Option<PublishedFigure>) -> bool {
    figure.is_some_and(|figure| figure.standing != SourceStanding::FromMemory)
}

/// The figure that a rule set has for what is asked.
fn limit(
    rules: &Quantity,
    figure: impl Fn(&RuleSet) -> Option<PublishedFigure>,
    dimension: Dimension,
) -> Result<Quantity, Problem> {
    let rules = chosen(&RULE_SETS, rules)?;
    let word = || rules.word.to_owned();
    match figure(rules) {
        Some(figure) if is_published(Some(figure)) => number_of(figure.value, dimension),
        Some(_) => Err(Problem::FromMemory { rules: word() }),
        None => Err(Problem::NoFigure { rules: word() }),
    }
}

fn insulation(rules: &Quantity, class: &Quantity) -> Result<Quantity, Problem> {
    let (_, class) = chosen(&CLASSES, class)?;
    limit(rules, |rules| rules.insulation_at_least(*class), Dimension::RESISTANCE)
}

pub(super) const CONDUCTOR_CURRENT_LIMIT: Function = physics!(
    conductor_current_limit[rules: WITH_CONDUCTOR_CURRENT]() -> CURRENT =
        limit(rules, |rules| rules.conductor_current_at_most(Class::I, 0.0), Dimension::CURRENT)
);

pub(super) const EARTH_LIMIT: Function = physics!(
    earth_limit[rules: WITH_EARTH](length: LENGTH, section: AREA) -> RESISTANCE = {
        let section = section.to_f64() / SQUARE_MILLIMETRE;
        let lead = Lead { length: length.to_f64(), section };
        limit(rules, |rules| rules.earth_at_most(&lead), Dimension::RESISTANCE)
    }
);

pub(super) const HEATER_CURRENT_LIMIT: Function = physics!(
    heater_current_limit[rules: WITH_CONDUCTOR_CURRENT](power: POWER) -> CURRENT = {
        let watts = power.to_f64();
        let of = |rules: &RuleSet| rules.conductor_current_at_most(Class::Heater, watts);
        limit(rules, of, Dimension::CURRENT)
    }
);

pub(super) const INSULATION_LIMIT: Function = physics!(
    insulation_limit[rules: WITH_INSULATION, class: CLASS]() -> RESISTANCE =
        insulation(rules, class)
);

pub(super) const TOUCH_CURRENT_LIMIT: Function = physics!(
    touch_current_limit[rules: WITH_TOUCH_CURRENT]() -> CURRENT =
        limit(rules, |rules| rules.touch_current, Dimension::CURRENT)
);

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::{RULE_SETS, SAFETY_RULES, offered, rule_set};
    use crate::formula::{Formula, FormulaError};
    use crate::quantity::{Dimension, Quantity};

    fn value(formula: &str) -> Result<Quantity, FormulaError> {
        Formula::parse(formula)?.evaluate(&|name: &str| {
            (name == "lead").then(|| vec![Quantity::parse("10 m").unwrap()])
        })
    }

    /// The published figures, with their sources in `physics::safety_limits`: VDE 0701-0702:2008 and EN 50678:2020 in
    /// makers' manuals, the IET's and the Australian in sellers' pages, US service manuals and IEC 62353:2014 as read.
    #[test]
    fn limits_are_as_published() {
        for (formula, limit) in [
            ("earth_limit(vde_0701_0702_2008, 2 m, 0.75 mm2)", "0.3 ohm"),
            ("earth_limit(vde_0701_0702_2008, section = 1.5 mm2, length = 20 m)", "0.5 ohm"),
            ("earth_limit(rules = en_50678_2020, length = 3 m, section = 1.5 mm2)", "0.3 ohm"),
            ("earth_limit(en_50678_2020, 3 m, 2.5 mm2)", "0.1 ohm"),
            ("earth_limit(iet_code_of_practice_5th_edition, 2 m, 0.75 mm2)", "0.152 ohm"),
            ("earth_limit(as_nzs_3760_and_5762, 2 m, 0.75 mm2)", "1 ohm"),
            ("earth_limit(iec_62353_2014, 2 m, 0.75 mm2)", "0.3 ohm"),
            ("earth_limit(iet_code_of_practice_5th_edition, lead, 0.75 mm2)", "0.36 ohm"),
            ("insulation_limit(vde_0701_0702_2008, class_1)", "1 Mohm"),
            ("insulation_limit(vde_0701_0702_2008, heater)", "0.3 Mohm"),
            ("insulation_limit(en_50678_2020, class_2)", "2 Mohm"),
            ("touch_current_limit(en_50678_2020)", "0.5 mA"),
            ("insulation_limit(vde_0701_0702_2008, class_2)", "2 Mohm"),
            ("insulation_limit(class = class_3, rules = vde_0701_0702_2008)", "0.25 Mohm"),
            ("insulation_limit(iec_62353_2014, class_2)", "7 Mohm"),
            ("conductor_current_limit(vde_0701_0702_2008)", "3.5 mA"),
            ("conductor_current_limit(iet_code_of_practice_5th_edition)", "5 mA"),
            ("heater_current_limit(vde_0701_0702_2008, 2 kW)", "3.5 mA"),
            ("heater_current_limit(vde_0701_0702_2008, 6 kW)", "6 mA"),
            ("heater_current_limit(vde_0701_0702_2008, 12 kW)", "10 mA"),
            ("touch_current_limit(vde_0701_0702_2008)", "0.5 mA"),
            ("touch_current_limit(us_service_manuals)", "0.5 mA"),
            ("2 * touch_current_limit(us_service_manuals)", "1 mA"),
            ("conductor_current_limit(us_service_manuals)", "0.5 mA"),
            ("insulation_limit(us_service_manuals, class_2)", "5.2 Mohm"),
        ] {
            let (found, limit) = (value(formula).unwrap(), Quantity::parse(limit).unwrap());
            assert_eq!(found.dimension, limit.dimension, "{formula}");
            let ratio = found.to_f64() / limit.to_f64();
            assert!((ratio - 1.0).abs() < 1e-9, "{formula} gives {found}, not {limit}");
        }
    }

    #[test]
    fn the_fact_that_is_a_rule_set_stands_where_one_does_and_nowhere_else() {
        let of = |word: &str| {
            let rules = rule_set(word).unwrap();
            Formula::parse("earth_limit(safety_rules, 2 m, 0.75 mm2)").and_then(|formula| {
                formula.evaluate(&|name: &str| (name == SAFETY_RULES).then(|| vec![rules]))
            })
        };
        assert_eq!(of("en_50678_2020"), Ok(Quantity::parse("0.3 ohm").unwrap()));
        assert_eq!(of("as_nzs_3760_and_5762"), Ok(Quantity::parse("1 ohm").unwrap()));
        assert_eq!(of("us_service_manuals"), Ok(Quantity::parse("0.1 ohm").unwrap()));
        assert_eq!(rule_set("en_50678"), None);
        assert!(offered().contains("en_50678_2020, vde_0701_0702_2008 (withdrawn)"));
        for formula in
            ["safety_rules", "2 * safety_rules", "insulation_limit(en_50678_2020, safety_rules)"]
        {
            let error = Formula::parse(formula).unwrap_err();
            assert_eq!(formula.get(error.at.clone()), Some(SAFETY_RULES), "{formula}: {error}");
        }
    }

    #[test]
    fn the_page_of_the_format_lists_every_rule_set() {
        let page = include_str!("../../docs/procedure-format.md");
        for rules in &RULE_SETS {
            let row = format!("| `{}` | {}", rules.word, rules.name);
            assert!(page.contains(&row), "{row}");
        }
    }

    #[test]
    fn a_wrong_word_is_pointed_at_and_the_known_ones_are_listed() {
        for (formula, pointed, message, help) in [
            (
                "touch_current_limit(vde_0701)",
                "vde_0701",
                "no rule set `vde_0701`",
                "us_service_manuals",
            ),
            (
                "touch_current_limit(us_service_manual)",
                "us_service_manual",
                "no rule set",
                "did you mean",
            ),
            (
                "insulation_limit(iec_62353_2014, class_4)",
                "class_4",
                "no class `class_4`",
                "class_3",
            ),
            (
                "touch_current_limit(230 V)",
                "230 V",
                "name of a rule set belongs here",
                "vde_0701_0702_2008",
            ),
            ("touch_current_limit(rules = (1))", "(", "name of a rule set", "vde_0701_0702_2008"),
            (
                "touch_current_limit(iec_62353_2014 + 1)",
                "iec_62353_2014",
                "no published figure",
                "write one of",
            ),
            ("touch_current_limit(us_service_manuals + 1)", "+", "an operator or `)`", ""),
            ("touch_current_limit()", "touch_current_limit()", "without its `rules`", ""),
            (
                "insulation_limit(as_nzs_3760_and_5762, class_1)",
                "as_nzs_3760_and_5762",
                "no published figure",
                "en_50678",
            ),
        ] {
            let error = Formula::parse(formula).unwrap_err();
            assert_eq!(formula.get(error.at.clone()), Some(pointed), "{formula}: {error}");
            assert!(error.to_string().contains(message), "{formula}: {error}");
            assert!(error.help().unwrap_or_default().contains(help), "{formula}: {error:?}");
        }
    }

    #[test]
    fn a_figure_that_is_missing_or_only_remembered_shows_as_soon_as_nothing_is_open() {
        for (formula, message) in [
            ("earth_limit(en_50678_2020, 10 m, 1.5 mm2)", "EN 50678:2020 has no figure"),
            ("insulation_limit(iet_code_of_practice_5th_edition, class_3)", "has no figure"),
            ("insulation_limit(iet_code_of_practice_5th_edition, class_2)", "from memory"),
        ] {
            let error = Formula::parse(formula).unwrap_err();
            assert!(error.to_string().contains(message), "{formula}: {error}");
        }
        let open = "earth_limit(en_50678_2020, lead, 1.5 mm2)";
        assert!(value(open).unwrap_err().to_string().contains("EN 50678:2020 has no figure"));
    }

    #[test]
    fn dimensions_are_checked_and_a_word_is_no_name() {
        let formula = Formula::parse("earth_limit(vde_0701_0702_2008, lead, lead)").unwrap();
        assert_eq!(formula.names().len(), 2, "{:?}", formula.names());
        let length = |_: &str| Some(Dimension::LENGTH);
        let error = formula.dimension(&length).unwrap_err();
        assert!(error.to_string().starts_with("`section` is area; length"), "{error}");
        let literal = Formula::parse("earth_limit(vde_0701_0702_2008, 2 V, 1 mm2)").unwrap();
        assert!(
            literal.dimension(&length).unwrap_err().to_string().starts_with("`length` is length")
        );
    }
}
