//! How far a stored charge has to be down after the supply is off, by published rules.

use super::source::FigureSource;

/// A rule for the voltage left after switching off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Residual {
    /// Where it applies, and to what.
    pub applies: &'static str,
    /// The voltages it is for: above the first, up to the second.
    pub volts: (f64, f64),
    /// The least capacitance it is for, in farads.
    pub farads: f64,
    /// Highest voltage left.
    pub voltage: f64,
    /// Seconds after switching off or unplugging.
    pub within: f64,
    /// Where it comes from.
    pub source: FigureSource,
}

/// Every rule there is.
pub static RESIDUALS: [Residual; 4] = [
    Residual {
        applies: "US, California: power capacitors of the class over 600 V",
        volts: (600.0, f64::INFINITY),
        farads: 0.0,
        voltage: 50.0,
        within: 300.0,
        source: FigureSource::seen("California Title 8, section 2893(a)"),
    },
    Residual {
        applies: "US: capacitors up to 1000 V nominal, 600 V in older editions",
        volts: (0.0, 1000.0),
        farads: 0.0,
        voltage: 50.0,
        within: 60.0,
        source: FigureSource::from_memory("NEC 460.6(A)"),
    },
    Residual {
        applies: "US: capacitors over 1000 V nominal, 600 V in older editions",
        volts: (1000.0, f64::INFINITY),
        farads: 0.0,
        voltage: 50.0,
        within: 300.0,
        source: FigureSource::from_memory("NEC 460.28"),
    },
    Residual {
        applies: "international: X capacitors at the mains plug of 300 nF or more",
        volts: (0.0, f64::INFINITY),
        farads: 300e-9,
        voltage: 60.0,
        within: 2.0,
        source: FigureSource::quoted("IEC 62368-1, 5.5.2.2 with Table 4"),
    },
];

impl Residual {
    /// Tells whether it asks anything of a capacitor (F) that is charged to a voltage.
    #[must_use]
    pub fn concerns(&self, farads: f64, volts: f64) -> bool {
        let (above, up_to) = self.volts;
        farads >= self.farads && volts > above.max(self.voltage) && volts <= up_to
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::super::discharge::{largest_resistance, voltage_after};
    use super::super::near::assert_near;
    use super::*;

    /// The rule whose source begins so.
    fn rule(begins: &str) -> &'static Residual {
        RESIDUALS.iter().find(|rule| rule.source.text.starts_with(begins)).unwrap()
    }

    /// California Title 8 (seen), NEC (from memory), IEC 62368-1 (quoted).
    #[test]
    fn rules_are_as_published() {
        for (name, voltage, within) in [
            ("California", 50.0, 300.0),
            ("NEC 460.6(A)", 50.0, 60.0),
            ("NEC 460.28", 50.0, 300.0),
            ("IEC 62368-1", 60.0, 2.0),
        ] {
            let rule = rule(name);
            assert_near(rule.voltage, voltage, 1e-15);
            assert_near(rule.within, within, 1e-15);
        }
    }

    #[test]
    fn a_rule_is_for_its_own_capacitors() {
        let concerned = |farads, volts| -> Vec<_> {
            RESIDUALS
                .iter()
                .filter(|residual| residual.concerns(farads, volts))
                .map(|residual| residual.source.text)
                .collect()
        };
        assert_eq!(concerned(100e-9, 325.0), ["NEC 460.6(A)"]);
        assert_eq!(concerned(470e-9, 325.0), ["NEC 460.6(A)", "IEC 62368-1, 5.5.2.2 with Table 4"]);
        assert_eq!(
            concerned(100e-9, 700.0),
            ["California Title 8, section 2893(a)", "NEC 460.6(A)"]
        );
        assert_eq!(
            concerned(100e-9, 1100.0),
            ["California Title 8, section 2893(a)", "NEC 460.28"]
        );
        assert!(
            concerned(10e-3, 45.0).is_empty(),
            "nothing is asked of what is low from the start"
        );
    }

    /// 0.47 uF and 1 Mohm from 325 V (recomputed).
    #[test]
    fn an_x_capacitor_with_its_bleeder_keeps_the_plug_rule() {
        let rule = rule("IEC 62368-1");
        assert!(voltage_after(0.47e-6, 1e6, 325.0, rule.within) < rule.voltage);
        let largest = largest_resistance(0.47e-6, 325.27, rule.voltage, rule.within).unwrap();
        assert_near(largest, 2.517e6, 5e-4);
    }
}
