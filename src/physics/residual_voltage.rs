//! How far a stored charge has to be down after the supply is off, by published rules.

use super::source::Source;

/// A rule for the voltage left after switching off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Residual {
    /// The name it is chosen by.
    pub name: &'static str,
    /// Where it applies, and to what.
    pub applies: &'static str,
    /// Highest voltage left.
    pub voltage: f64,
    /// Seconds after switching off or unplugging.
    pub within: f64,
    /// Where it comes from.
    pub source: Source,
}

/// Every rule there is.
pub static RESIDUALS: [Residual; 4] = [
    Residual {
        name: "California T8 2893(a)",
        applies: "US, California: power capacitors of the class over 600 V",
        voltage: 50.0,
        within: 300.0,
        source: Source::seen("California Title 8, section 2893(a)"),
    },
    Residual {
        name: "NEC 460.6(A)",
        applies: "US: capacitors up to 600 V nominal",
        voltage: 50.0,
        within: 60.0,
        source: Source::from_memory("NEC 460.6(A)"),
    },
    Residual {
        name: "NEC 460.28",
        applies: "US: capacitors over 600 V nominal",
        voltage: 50.0,
        within: 300.0,
        source: Source::from_memory("NEC 460.28"),
    },
    Residual {
        name: "IEC 62368-1 5.5.2.2",
        applies: "international: X capacitors at the mains plug of 300 nF or more",
        voltage: 60.0,
        within: 2.0,
        source: Source::quoted("IEC 62368-1, 5.5.2.2 with Table 4"),
    },
];

impl Residual {
    /// Finds a rule by its name.
    #[must_use]
    pub fn named(name: &str) -> Option<&'static Residual> {
        RESIDUALS.iter().find(|rule| rule.name == name)
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::super::discharge::{largest_resistance, voltage_after};
    use super::super::near::assert_near;
    use super::*;

    /// California Title 8 (seen), NEC (from memory), IEC 62368-1 (quoted).
    #[test]
    fn rules_are_as_published() {
        for (name, voltage, within) in [
            ("California T8 2893(a)", 50.0, 300.0),
            ("NEC 460.6(A)", 50.0, 60.0),
            ("NEC 460.28", 50.0, 300.0),
            ("IEC 62368-1 5.5.2.2", 60.0, 2.0),
        ] {
            let rule = Residual::named(name).unwrap();
            assert_near(rule.voltage, voltage, 1e-15);
            assert_near(rule.within, within, 1e-15);
        }
        assert_eq!(Residual::named("NEC"), None);
    }

    /// 0.47 uF and 1 Mohm from 325 V (recomputed).
    #[test]
    fn an_x_capacitor_with_its_bleeder_keeps_the_plug_rule() {
        let rule = Residual::named("IEC 62368-1 5.5.2.2").unwrap();
        assert!(voltage_after(0.47e-6, 1e6, 325.0, rule.within) < rule.voltage);
        let largest = largest_resistance(0.47e-6, 325.27, rule.voltage, rule.within).unwrap();
        assert_near(largest, 2.517e6, 5e-4);
    }
}
