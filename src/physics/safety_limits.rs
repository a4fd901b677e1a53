//! Limits of the electrical safety check after a repair, by rule set.
//!
//! Rule sets are national: the name of the one in use belongs in the result, and they are never mixed.

use super::earth_conductor::{EarthRule, Lead, Steps};
use super::source::{FigureSource, SourceStanding};

/// How it is worked out, and how far that can be relied on.
pub const EXPLANATION: &str = include_str!("safety_limits.md");

/// How equipment protects from shock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(clippy::upper_case_acronyms, reason = "Roman numerals, as the plate has them")]
pub enum Class {
    /// Earthed metal.
    I,
    /// Earthed metal, with heating elements.
    Heater,
    /// Double or reinforced insulation; also metal of class I that is not earthed.
    II,
    /// Extra-low voltage.
    III,
}

/// A published figure, and how well it was checked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PublishedFigure {
    /// In SI base units.
    pub value: f64,
    /// How well it was checked.
    pub standing: SourceStanding,
}

/// The insulation test: its voltages and its limits.
#[derive(Clone, Copy, Debug)]
pub struct Insulation {
    /// Test voltage, in volts of direct current.
    pub volts: Option<PublishedFigure>,
    /// Test voltage where surge arresters or extra-low voltage forbid the full one.
    pub reduced_volts: Option<PublishedFigure>,
    /// Lowest resistance by class, in ohms.
    pub at_least: &'static [(Class, PublishedFigure)],
    /// Whether the standard only advises these limits.
    pub advisory: bool,
}

/// The current in the protective conductor.
#[derive(Clone, Copy, Debug)]
pub struct ConductorCurrent {
    /// The limit, in amperes.
    pub limit: PublishedFigure,
    /// More for large heaters, where the rules give it.
    pub heaters: Option<HeaterCurrent>,
}

/// More protective-conductor current for large heaters.
#[derive(Clone, Copy, Debug)]
pub struct HeaterCurrent {
    /// Above this power, in watts.
    pub above: f64,
    /// Amperes for each watt.
    pub per_watt: f64,
    /// Never more than this, in amperes.
    pub at_most: f64,
}

/// Touchable voltages of a source of extra-low voltage.
#[derive(Clone, Copy, Debug)]
pub struct ExtraLow {
    /// Volts of alternating current, rms.
    pub alternating: PublishedFigure,
    /// Volts of direct current.
    pub direct: PublishedFigure,
}

/// The limits of one edition of one country's rules. What a rule set has no figure for, or what was not
/// seen in it, is `None` or left out.
#[derive(Clone, Copy, Debug)]
pub struct RuleSet {
    /// The name it is chosen by, with the edition.
    pub name: &'static str,
    /// The same as one word, as a formula writes it.
    pub word: &'static str,
    /// Where it applies.
    pub country: &'static str,
    /// The word of the rule set that took its place, where it is withdrawn.
    pub withdrawn_for: Option<&'static str>,
    /// What to know before using it.
    pub note: &'static str,
    /// Where its figures come from.
    pub source: FigureSource,
    /// Protective conductor of class I.
    pub earth: Option<(EarthRule, SourceStanding)>,
    /// Insulation test.
    pub insulation: Option<Insulation>,
    /// Current in the protective conductor of class I.
    pub conductor_current: Option<ConductorCurrent>,
    /// Touch current of parts that are not earthed, in amperes.
    pub touch_current: Option<PublishedFigure>,
    /// Touchable extra-low voltage.
    pub extra_low: Option<ExtraLow>,
}

impl RuleSet {
    /// Highest resistance of the protective conductor of class I equipment with its lead, in ohms.
    #[must_use]
    pub fn earth_at_most(&self, lead: &Lead) -> Option<PublishedFigure> {
        let (rule, standing) = self.earth?;
        let value = rule.at_most(lead)?;
        let standing = match rule {
            EarthRule::ByCopper { thin_to, .. } if lead.section > thin_to => {
                SourceStanding::OwnRule
            }
            EarthRule::AboveLead(_) if lead.is_remembered() => SourceStanding::FromMemory,
            _ => standing,
        };
        Some(PublishedFigure { value, standing })
    }

    /// Lowest insulation resistance of a class, in ohms.
    #[must_use]
    pub fn insulation_at_least(&self, class: Class) -> Option<PublishedFigure> {
        let rows = self.insulation?.at_least;
        rows.iter().find(|(listed, _)| *listed == class).map(|(_, figure)| *figure)
    }

    /// Highest protective-conductor current of equipment of a class and a rated power, in amperes (W);
    /// `None` also for classes that have no protective conductor.
    #[must_use]
    pub fn conductor_current_at_most(&self, class: Class, power: f64) -> Option<PublishedFigure> {
        let rule = self.conductor_current?;
        match class {
            Class::I => Some(rule.limit),
            Class::Heater => Some(rule.heater_limit(power)),
            Class::II | Class::III => None,
        }
    }
}

impl ConductorCurrent {
    fn heater_limit(&self, power: f64) -> PublishedFigure {
        match self.heaters {
            Some(more) if power > more.above => {
                PublishedFigure { value: (power * more.per_watt).min(more.at_most), ..self.limit }
            }
            _ => self.limit,
        }
    }
}

const fn seen(value: f64) -> PublishedFigure {
    PublishedFigure { value, standing: SourceStanding::Seen }
}

const fn quoted(value: f64) -> PublishedFigure {
    PublishedFigure { value, standing: SourceStanding::Quoted }
}

const fn carried_over(value: f64) -> PublishedFigure {
    PublishedFigure { value, standing: SourceStanding::CarriedOver }
}

const fn own_rule(value: f64) -> PublishedFigure {
    PublishedFigure { value, standing: SourceStanding::OwnRule }
}

const fn recalled(value: f64) -> PublishedFigure {
    PublishedFigure { value, standing: SourceStanding::FromMemory }
}

/// 3.5 mA, and for heaters above 3.5 kW 1 mA/kW up to 10 mA.
const fn german_current(limit: PublishedFigure) -> Option<ConductorCurrent> {
    let heaters = Some(HeaterCurrent { above: 3500.0, per_watt: 1e-6, at_most: 10e-3 });
    Some(ConductorCurrent { limit, heaters })
}

/// Every rule set there is.
pub static RULE_SETS: [RuleSet; 6] =
    [EN_50678, VDE_0701_0702, IET_5TH, AS_NZS, US_SERVICE, IEC_62353];

/// Several makers' manuals agree. That a begun step of the lead's length counts is assumed.
const VDE_0701_0702: RuleSet = RuleSet {
    name: "VDE 0701-0702:2008",
    word: "vde_0701_0702_2008",
    country: "Germany",
    withdrawn_for: Some("en_50678_2020"),
    note: "withdrawn; earth limits are for rated currents up to 16 A",
    source: FigureSource::quoted("makers' manuals of testers for VDE 0701-0702:2008"),
    earth: Some((
        EarthRule::Stepped(Steps {
            first: 0.3,
            first_to: 5.0,
            step: 0.1,
            step_length: 7.5,
            highest: 1.0,
        }),
        SourceStanding::Quoted,
    )),
    insulation: Some(Insulation {
        volts: Some(quoted(500.0)),
        reduced_volts: Some(quoted(250.0)),
        at_least: &[
            (Class::I, quoted(1.0e6)),
            (Class::Heater, quoted(0.3e6)),
            (Class::II, quoted(2.0e6)),
            (Class::III, quoted(0.25e6)),
        ],
        advisory: false,
    }),
    conductor_current: german_current(quoted(3.5e-3)),
    touch_current: Some(quoted(0.5e-3)),
    extra_low: Some(ExtraLow { alternating: quoted(25.0), direct: quoted(60.0) }),
};

/// Earth from a tester maker's support page. How the copper of a thicker lead enters is not spelled out there: its bare
/// resistance is taken, the strict side, as a rule of our own. The rest is that of the 2008 text, as it is quoted; that the 2020 text keeps it is
/// from memory.
const EN_50678: RuleSet = RuleSet {
    name: "EN 50678:2020",
    word: "en_50678_2020",
    country: "CENELEC countries",
    withdrawn_for: None,
    note: "not for medical equipment and arc welders",
    source: FigureSource::quoted("a tester maker's support page for EN 50678:2020"),
    earth: Some((
        EarthRule::ByCopper { thin: 0.3, thin_to: 1.5, short_to: 5.0, lowest: 0.1, highest: 1.0 },
        SourceStanding::Quoted,
    )),
    insulation: Some(Insulation {
        volts: Some(carried_over(500.0)),
        reduced_volts: Some(carried_over(250.0)),
        at_least: &[
            (Class::I, carried_over(1.0e6)),
            (Class::Heater, carried_over(0.3e6)),
            (Class::II, carried_over(2.0e6)),
            (Class::III, carried_over(0.25e6)),
        ],
        advisory: false,
    }),
    conductor_current: german_current(carried_over(3.5e-3)),
    touch_current: Some(carried_over(0.5e-3)),
    extra_low: None,
};

/// The leakage row read says 5 mA for all and not whether touch current is meant, so that has no figure.
const IET_5TH: RuleSet = RuleSet {
    name: "IET Code of Practice, 5th edition",
    word: "iet_code_of_practice_5th_edition",
    country: "United Kingdom",
    withdrawn_for: None,
    note: "the current is that of a table on a trainer's page, 5 mA for class I and class II alike; it doesn't say whether \
           touch current is meant, so none is given for class II",
    source: FigureSource::quoted(
        "tester sellers' and a trainer's pages for the IET Code of Practice (2020)",
    ),
    earth: Some((EarthRule::AboveLead(0.1), SourceStanding::Quoted)),
    insulation: Some(Insulation {
        volts: Some(quoted(500.0)),
        reduced_volts: Some(quoted(250.0)),
        at_least: &[(Class::I, quoted(1.0e6)), (Class::II, recalled(2.0e6))],
        advisory: false,
    }),
    conductor_current: Some(ConductorCurrent { limit: quoted(5e-3), heaters: None }),
    touch_current: None,
    extra_low: None,
};

const AS_NZS: RuleSet = RuleSet {
    name: "AS/NZS 3760 and 5762",
    word: "as_nzs_3760_and_5762",
    country: "Australia, New Zealand",
    withdrawn_for: None,
    note: "only the earth limit was seen",
    source: FigureSource::quoted("a tester's page for AS/NZS 3760 and 5762"),
    earth: Some((EarthRule::Fixed(1.0), SourceStanding::Quoted)),
    insulation: None,
    conductor_current: None,
    touch_current: None,
    extra_low: None,
};

/// The touch current is measured through [`super::leakage_network::HOT_CHECK`]. Service manuals have no figures for earthed equipment. Those for earth and
/// its current are the ones that equipment of the kind is listed by: UL 859 (0.1 ohm up to the grounding blade of the plug), UL 482 and UL 1711 (0.5 mA
/// with the grounding conductor open). The cold check has an ohmmeter on metal with a path to the chassis, 1 to 5.2 Mohm; metal without one reads open,
/// so it is held to the upper end. That both are asked of a tester at 500 V, and that heaters have no less, are rules of our own.
const US_SERVICE: RuleSet = RuleSet {
    name: "US service manuals",
    word: "us_service_manuals",
    country: "US",
    withdrawn_for: None,
    note: "hot check straight on the mains, both ways of the plug, no isolating transformer; earth and its current are what equipment is listed by, as \
           no service manual seen has them; insulation from the cold check, taken at 500 V",
    source: FigureSource::seen(
        "service manuals, US (four); UL 859, 57.1 in a published test report; UL 482-2020, 21.1 and UL 1711:2006, 39.1 in published excerpts",
    ),
    earth: Some((EarthRule::Fixed(0.1), SourceStanding::Quoted)),
    insulation: Some(Insulation {
        volts: Some(own_rule(500.0)),
        reduced_volts: None,
        at_least: &[
            (Class::I, seen(1.0e6)),
            (Class::Heater, own_rule(1.0e6)),
            (Class::II, own_rule(5.2e6)),
        ],
        advisory: false,
    }),
    conductor_current: Some(ConductorCurrent { limit: quoted(0.5e-3), heaters: None }),
    touch_current: Some(seen(0.5e-3)),
    extra_low: None,
};

const IEC_62353: RuleSet = RuleSet {
    name: "IEC 62353:2014",
    word: "iec_62353_2014",
    country: "international",
    withdrawn_for: None,
    note: "medical equipment; its table of leakage currents was not seen",
    source: FigureSource::seen(
        "IEC 62353:2014, excerpt of 5.3.2.2; insulation quoted by a tester maker",
    ),
    earth: Some((
        EarthRule::ByParts { with_lead: 0.3, without_lead: 0.2, lead_alone: 0.1 },
        SourceStanding::Seen,
    )),
    insulation: Some(Insulation {
        volts: Some(quoted(500.0)),
        reduced_volts: None,
        at_least: &[(Class::I, quoted(2e6)), (Class::II, quoted(7e6))],
        advisory: true,
    }),
    conductor_current: None,
    touch_current: None,
    extra_low: None,
};

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use proptest::prelude::*;

    use super::super::leakage_network::{HOT_CHECK, HOT_LIMITS};
    use super::super::near::assert_near;
    use super::*;

    const LEAD: Lead = Lead { length: 2.0, section: 0.75 };

    fn rules(name: &str) -> &'static RuleSet {
        RULE_SETS.iter().find(|rules| rules.name == name).unwrap()
    }

    fn value(figure: Option<PublishedFigure>) -> f64 {
        figure.unwrap().value
    }

    /// VDE 0701-0702:2008 in makers' manuals (quoted).
    #[test]
    fn vde_0701_0702() {
        let rules = rules("VDE 0701-0702:2008");
        assert_near(value(rules.earth_at_most(&LEAD)), 0.3, 1e-12);
        assert_near(value(rules.earth_at_most(&Lead { length: 20.0, section: 1.5 })), 0.5, 1e-12);
        for (class, ohms) in
            [(Class::I, 1e6), (Class::II, 2e6), (Class::III, 0.25e6), (Class::Heater, 0.3e6)]
        {
            assert_near(value(rules.insulation_at_least(class)), ohms, 1e-12);
        }
        let insulation = rules.insulation.unwrap();
        assert_near(value(insulation.volts), 500.0, 1e-12);
        assert_near(value(insulation.reduced_volts), 250.0, 1e-12);
        assert_near(value(rules.conductor_current_at_most(Class::I, 5e3)), 3.5e-3, 1e-12);
        for (watts, limit) in [(2e3, 3.5e-3), (3.5e3, 3.5e-3), (6e3, 6e-3), (12e3, 10e-3)] {
            let got = value(rules.conductor_current_at_most(Class::Heater, watts));
            assert_near(got, limit, 1e-12);
        }
        assert_near(value(rules.touch_current), 0.5e-3, 1e-12);
        let extra_low = rules.extra_low.unwrap();
        assert_near(extra_low.alternating.value, 25.0, 1e-12);
        assert_near(extra_low.direct.value, 60.0, 1e-12);
    }

    /// EN 50678:2020 in a maker's support page (quoted); the carried-over limits from memory.
    #[test]
    fn en_50678() {
        let rules = rules("EN 50678:2020");
        let earth = |length, section| rules.earth_at_most(&Lead { length, section });
        assert_near(value(earth(3.0, 1.5)), 0.3, 1e-12);
        assert_near(value(earth(3.0, 2.5)), 0.1, 1e-12);
        let standing = |section| earth(3.0, section).map(|figure| figure.standing);
        assert_eq!(standing(1.5), Some(SourceStanding::Quoted));
        assert_eq!(standing(2.5), Some(SourceStanding::OwnRule), "the page has no rule for it");
        let british = self::rules("IET Code of Practice, 5th edition");
        let of_memory = british.earth_at_most(&Lead { length: 2.0, section: 1.25 });
        assert_eq!(of_memory.map(|figure| figure.standing), Some(SourceStanding::FromMemory));
        assert_near(value(earth(1000.0, 2.5)), 1.0, 1e-12);
        assert_eq!(earth(10.0, 1.5), None, "no figure seen");
        let insulation = rules.insulation_at_least(Class::II).unwrap();
        assert_eq!(
            insulation,
            PublishedFigure { value: 2e6, standing: SourceStanding::CarriedOver }
        );
    }

    /// IET Code of Practice, 5th edition (quoted, class II insulation from memory).
    #[test]
    fn iet_code_of_practice() {
        let rules = rules("IET Code of Practice, 5th edition");
        assert_near(value(rules.earth_at_most(&LEAD)), 0.152, 1e-9);
        assert_near(value(rules.insulation_at_least(Class::I)), 1e6, 1e-12);
        assert_eq!(rules.insulation_at_least(Class::III), None);
        assert_near(value(rules.conductor_current_at_most(Class::Heater, 9e3)), 5e-3, 1e-12);
        assert_eq!(rules.touch_current, None);
    }

    /// AS/NZS 3760 and 5762 (quoted).
    #[test]
    fn australia_and_new_zealand() {
        let rules = rules("AS/NZS 3760 and 5762");
        assert_near(value(rules.earth_at_most(&LEAD)), 1.0, 1e-12);
        assert_eq!(rules.insulation_at_least(Class::I), None);
        assert_eq!(rules.conductor_current_at_most(Class::I, 100.0), None);
    }

    /// Service manuals (seen): 0.75 V through the network is the limit of 0.5 mA, and a path to the chassis has 1 to 5.2 Mohm. UL 859, 57.1:
    /// 0.1 ohm; UL 482, 21.1 and UL 1711, 39.1: 0.5 mA (all quoted).
    #[test]
    fn united_states_service_manuals() {
        let rules = rules("US service manuals");
        let limit = value(rules.touch_current);
        let [usual, ..] = HOT_LIMITS;
        assert_near(HOT_CHECK.current_a(usual.volts, 60.0), limit, 5e-3);
        assert_eq!(rules.earth_at_most(&LEAD), Some(quoted(0.1)));
        assert_eq!(rules.conductor_current_at_most(Class::Heater, 9e3), Some(quoted(0.5e-3)));
        assert_eq!(rules.insulation_at_least(Class::I), Some(seen(1e6)));
        let insulation = |class| rules.insulation_at_least(class);
        assert_eq!(
            [insulation(Class::Heater), insulation(Class::II)],
            [Some(own_rule(1e6)), Some(own_rule(5.2e6))]
        );
        assert_eq!(insulation(Class::III), None);
    }

    /// IEC 62353:2014 5.3.2.2 (seen), advisory insulation (quoted).
    #[test]
    fn medical_equipment() {
        let rules = rules("IEC 62353:2014");
        let earth = rules.earth_at_most(&LEAD).unwrap();
        assert_eq!(earth, PublishedFigure { value: 0.3, standing: SourceStanding::Seen });
        let parts = EarthRule::ByParts { with_lead: 0.3, without_lead: 0.2, lead_alone: 0.1 };
        assert_eq!(rules.earth, Some((parts, SourceStanding::Seen)));
        assert_near(value(rules.insulation_at_least(Class::I)), 2e6, 1e-12);
        assert_near(value(rules.insulation_at_least(Class::II)), 7e6, 1e-12);
        assert!(rules.insulation.unwrap().advisory);
        assert_eq!(rules.touch_current, None, "its table is from memory");
    }

    #[test]
    fn names_are_unique_and_say_where_they_apply() {
        for (index, rules) in RULE_SETS.iter().enumerate() {
            assert_eq!(RULE_SETS.iter().position(|it| it.name == rules.name), Some(index));
            let words = rules.name.to_lowercase();
            let words =
                words.split(|c: char| !c.is_ascii_alphanumeric()).filter(|it| !it.is_empty());
            assert_eq!(rules.word, words.collect::<Vec<_>>().join("_"));
            assert!(!rules.country.is_empty() && !rules.source.text.is_empty());
        }
    }

    proptest! {
        #[test]
        fn a_larger_heater_is_never_held_to_less(one in 0.0..2e4_f64, two in 0.0..2e4_f64) {
            let limit = |watts| {
                value(rules("VDE 0701-0702:2008").conductor_current_at_most(Class::Heater, watts))
            };
            prop_assert!(limit(one.min(two)) <= limit(one.max(two)));
            prop_assert!((3.5e-3..=10e-3).contains(&limit(one)));
        }
    }
}
