//! The resistance a protective conductor may have, by the length and section of its lead.

/// Highest resistance of flexible copper at 20 degrees Celsius: square millimetres and ohms per
/// kilometre (IEC 60228, class 5, quoted by three cable makers that agree).
const FLEXIBLE_COPPER: [(f64, f64); 8] = [
    (0.5, 39.0),
    (0.75, 26.0),
    (1.0, 19.5),
    (1.5, 13.3),
    (2.5, 7.98),
    (4.0, 4.95),
    (6.0, 3.30),
    (10.0, 1.91),
];

/// A size that leads in the United Kingdom have and IEC 60228 has not (from memory; 1 mm2 by its section comes out
/// alike).
const ONE_AND_A_QUARTER: (f64, f64) = (1.25, 15.6);

/// A mains lead.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lead {
    /// Length in metres.
    pub length: f64,
    /// Section of the protective conductor in square millimetres; a size of the table.
    pub section: f64,
}

impl Lead {
    /// Highest resistance of one conductor at 20 degrees Celsius, in ohms; `None` for a section that is
    /// not a size of IEC 60228 class 5 up to 10 mm2, or 1.25 mm2.
    #[must_use]
    pub fn copper_ohm(&self) -> Option<f64> {
        let mut sizes = FLEXIBLE_COPPER.iter().chain([&ONE_AND_A_QUARTER]);
        let (_, per_kilometre) = sizes.find(|(size, _)| self.is_of(*size))?;
        Some(per_kilometre * self.length / 1000.0)
    }

    /// Whether the resistance of its copper is from memory.
    #[must_use]
    pub fn is_remembered(&self) -> bool {
        self.is_of(ONE_AND_A_QUARTER.0)
    }

    fn is_of(&self, size: f64) -> bool {
        (size / self.section - 1.0).abs() < 1e-6
    }
}

/// How a rule set limits the resistance of a protective conductor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum EarthRule {
    /// One limit, in ohms.
    Fixed(f64),
    /// A limit that grows with the length.
    Stepped(Steps),
    /// The lead's own resistance and this on top, in ohms.
    AboveLead(f64),
    /// A fixed limit for a short and thin lead; for a thicker one its copper, kept between two limits.
    ByCopper {
        /// The limit for a thin lead, in ohms.
        thin: f64,
        /// Up to this section a lead is thin, in square millimetres.
        thin_to: f64,
        /// Up to this length that limit holds, in metres.
        short_to: f64,
        /// The lowest limit for a thicker lead, in ohms.
        lowest: f64,
        /// The highest limit, in ohms.
        highest: f64,
    },
    /// Limits by how the lead belongs to the equipment, in ohms.
    ByParts {
        /// Equipment with its lead.
        with_lead: f64,
        /// Equipment alone, where the lead comes off.
        without_lead: f64,
        /// The lead alone.
        lead_alone: f64,
    },
}

/// A limit that grows with the length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Steps {
    /// The limit for a short lead, in ohms.
    pub first: f64,
    /// Up to this length, in metres.
    pub first_to: f64,
    /// Each further step adds this, in ohms.
    pub step: f64,
    /// Length of a step, in metres; one that is begun counts.
    pub step_length: f64,
    /// The highest limit, in ohms.
    pub highest: f64,
}

impl EarthRule {
    /// Highest resistance of the protective conductor of equipment measured together with its lead, in
    /// ohms; `None` where the rule gives no figure for such a lead.
    #[must_use]
    pub fn at_most(&self, lead: &Lead) -> Option<f64> {
        match *self {
            EarthRule::Fixed(limit) => Some(limit),
            EarthRule::Stepped(steps) => Some(steps.at_most(lead.length)),
            EarthRule::AboveLead(allowance) => Some(allowance + lead.copper_ohm()?),
            EarthRule::ByCopper { thin, thin_to, short_to, lowest, highest } => {
                if lead.section > thin_to {
                    Some(lead.copper_ohm()?.clamp(lowest, highest))
                } else {
                    (lead.length <= short_to).then_some(thin)
                }
            }
            EarthRule::ByParts { with_lead, .. } => Some(with_lead),
        }
    }
}

impl Steps {
    fn at_most(&self, length: f64) -> f64 {
        let further = (length - self.first_to).max(0.0);
        // A part in 1e9 of a step is noise of the division, and does not begin another one.
        let begun = (further / self.step_length - 1e-9).ceil().max(0.0);
        (self.first + self.step * begun).min(self.highest)
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use proptest::prelude::*;

    use super::super::near::assert_near;
    use super::*;

    const STEPPED: EarthRule = EarthRule::Stepped(Steps {
        first: 0.3,
        first_to: 5.0,
        step: 0.1,
        step_length: 7.5,
        highest: 1.0,
    });

    /// IEC 60228 class 5 (quoted).
    #[test]
    fn copper_is_as_published() {
        for (section, per_kilometre) in [
            (0.5, 39.0),
            (0.75, 26.0),
            (1.0, 19.5),
            (1.5, 13.3),
            (2.5, 7.98),
            (4.0, 4.95),
            (6.0, 3.30),
            (10.0, 1.91),
        ] {
            let lead = Lead { length: 1000.0, section };
            assert_near(lead.copper_ohm().unwrap(), per_kilometre, 1e-12);
        }
        let british = Lead { length: 1000.0, section: 1.25 };
        assert_near(british.copper_ohm().unwrap(), 19.5 / 1.25, 1e-12);
        assert!(british.is_remembered() && !Lead { section: 1.5, ..british }.is_remembered());
        assert_eq!(Lead { length: 2.0, section: 0.8 }.copper_ohm(), None);
        assert_eq!(Lead { length: 2.0, section: 0.0 }.copper_ohm(), None);
    }

    /// Lead steps of VDE 0701-0702:2008 if each begun step counts (recomputed).
    #[test]
    fn a_begun_step_counts() {
        for (length, limit) in [
            (2.0, 0.3),
            (5.0, 0.3),
            (5.01, 0.4),
            (12.5, 0.4),
            (20.0, 0.5),
            (50.0, 0.9),
            (60.0, 1.0),
        ] {
            let lead = Lead { length, section: 1.5 };
            assert_near(STEPPED.at_most(&lead).unwrap(), limit, 1e-12);
        }
    }

    /// 0.1 ohm and the lead, as in the United Kingdom (recomputed).
    #[test]
    fn the_lead_comes_on_top() {
        let rule = EarthRule::AboveLead(0.1);
        for (section, limit) in
            [(0.5, 0.178), (0.75, 0.152), (1.0, 0.139), (1.5, 0.127), (2.5, 0.116)]
        {
            assert_near(rule.at_most(&Lead { length: 2.0, section }).unwrap(), limit, 4e-3);
        }
        assert_near(rule.at_most(&Lead { length: 10.0, section: 0.75 }).unwrap(), 0.36, 1e-12);
        assert_eq!(rule.at_most(&Lead { length: 10.0, section: 0.7 }), None);
    }

    #[test]
    fn a_rule_without_a_figure_gives_none() {
        let rule = EarthRule::ByCopper {
            thin: 0.3,
            thin_to: 1.5,
            short_to: 5.0,
            lowest: 0.1,
            highest: 1.0,
        };
        let limit = |length, section| rule.at_most(&Lead { length, section });
        assert_eq!(limit(3.0, 1.5), Some(0.3));
        assert_eq!(limit(5.1, 1.5), None);
        assert_eq!(limit(3.0, 2.5), Some(0.1));
        assert_near(limit(25.0, 2.5).unwrap(), 0.1995, 1e-9);
        assert_eq!(limit(500.0, 2.5), Some(1.0));
    }

    proptest! {
        #[test]
        fn copper_follows_length_and_section(length in 0.1..100.0_f64, more in 1.001..5.0_f64) {
            let ohm = |length, section| Lead { length, section }.copper_ohm().unwrap();
            for (thin, thick) in FLEXIBLE_COPPER.iter().zip(FLEXIBLE_COPPER.iter().skip(1)) {
                prop_assert!(ohm(length, thick.0) < ohm(length, thin.0));
                prop_assert!(ohm(length * more, thin.0) > ohm(length, thin.0));
            }
        }

        #[test]
        fn a_longer_lead_is_never_held_to_less(one in 0.1..100.0_f64, two in 0.1..100.0_f64) {
            for rule in [STEPPED, EarthRule::AboveLead(0.1), EarthRule::Fixed(1.0)] {
                let limit = |length| rule.at_most(&Lead { length, section: 1.0 }).unwrap();
                prop_assert!(limit(one.min(two)) <= limit(one.max(two)));
            }
        }

        #[test]
        fn steps_stay_between_their_ends(length in 0.0..1e4_f64) {
            let limit = STEPPED.at_most(&Lead { length, section: 1.0 }).unwrap();
            prop_assert!((0.3..=1.0).contains(&limit));
        }
    }
}
