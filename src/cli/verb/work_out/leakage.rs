//! `work-out leakage`: the hot and the cold check of touchable metal, as service manuals have them.

use super::answer::{Answer, Remark, shown, source};
use super::option::{from_zero, mains_hertz, open_or_from_zero};
use super::topic::Topic;
use crate::physics::leakage_network::{COLD_SOURCE, COLD_WITH_RETURN, HOT_CHECK, HOT_LIMITS};
use crate::shell::fault::Fault;

#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("way").required(true).args(["hot", "cold"]))]
pub(super) struct Arguments {
    /// Hot check: volts RMS across the network, 1.5 kohm with 0.15 uF beside it, from the metal to a good earth
    #[arg(long, value_name = "V", value_parser = from_zero("V"))]
    hot: Option<f64>,
    /// Cold check, unplugged: resistance from the joined plug pins to the metal, or `open`
    #[arg(long, value_name = "OHM", value_parser = open_or_from_zero("ohm"))]
    cold: Option<f64>,
    /// The metal has no return to the chassis, so the cold check has to read open
    #[arg(long, requires = "cold")]
    isolated: bool,
    /// Mains frequency
    #[arg(long, value_name = "HZ", value_parser = mains_hertz, default_value = "50Hz")]
    mains_hz: f64,
}

impl Topic for Arguments {
    fn work_out(&self) -> Result<Answer, Fault> {
        let mut answer = Answer::default();
        if let Some(volts) = self.hot {
            self.hot(volts, &mut answer);
        } else if let Some(ohms) = self.cold {
            self.cold(ohms, &mut answer);
        }
        Ok(answer)
    }
}

impl Arguments {
    fn hot(&self, volts: f64, answer: &mut Answer) {
        answer.estimate("leakage current", HOT_CHECK.current_a(volts, self.mains_hz), "A");
        answer.estimate("network", HOT_CHECK.impedance(self.mains_hz), "ohm");
        for limit in &HOT_LIMITS {
            let (most, source) = (shown(limit.volts, "V"), source(&limit.source));
            let met = if volts <= limit.volts { "met" } else { "NOT met" };
            answer.remark(Remark::Rule, format!("{most} at most, {met}: {source}"));
        }
        let [usual, ..] = HOT_LIMITS;
        if volts > usual.volts {
            let text = "the metal is live: unplug it, touch nothing, and find the path before it is plugged in again";
            answer.remark(Remark::Hazard, text);
        }
        let text = "it is done straight on the mains, with each way of the plug and without an isolating transformer: one hand, \
                    someone in reach, and connect the network before the plug";
        answer.remark(Remark::Hazard, text);
        answer.remark(Remark::Note, "the limit in the maker's manual wins");
    }

    fn cold(&self, ohms: f64, answer: &mut Answer) {
        let (low, high) = COLD_WITH_RETURN;
        let is_met = if self.isolated { ohms.is_infinite() } else { (low..=high).contains(&ohms) };
        answer.words("cold check", if is_met { "met" } else { "NOT met" });
        let wanted = match self.isolated {
            true => "open".to_owned(),
            false => format!("{} to {}", shown(low, "ohm"), shown(high, "ohm")),
        };
        answer.words("it has to read", wanted);
        answer.remark(Remark::Rule, source(&COLD_SOURCE));
        if ohms < low {
            let text = "the metal is too close to the mains: don't plug it in";
            answer.remark(Remark::Hazard, text);
        } else if !is_met && !self.isolated {
            let text = "the path to the chassis is open or the wrong part is fitted: find it, or give --isolated for metal \
                        without one";
            answer.remark(Remark::Warning, text);
        }
        answer.remark(Remark::Note, "a cold check that passes doesn't replace the hot one");
    }
}

#[cfg(test)]
mod tests {
    use super::Remark;
    use crate::cli::verb::work_out::tests::{near, refusal, work_out};

    /// Service manuals: 0.75 V is 0.5 mA; 0.5012 mA at 50 Hz and 0.5018 mA at 60 Hz (recomputed).
    #[test]
    fn the_usual_limit_is_half_a_milliampere() {
        let usual = work_out("leakage --hot 0.75V");
        near(usual.number_of("leakage current"), 0.5012e-3, 1e-4);
        assert!(usual.remarks_on(Remark::Rule, "750 mV at most, met"));
        assert!(usual.remarks_on(Remark::Rule, "350 mV at most, NOT met"));
        assert!(!usual.remarks_on(Remark::Hazard, "live"));
        let american = work_out("leakage --hot 0.76V --mains-hz 60Hz");
        near(american.number_of("leakage current"), 0.5018e-3 * 0.76 / 0.75, 1e-4);
        assert!(american.remarks_on(Remark::Hazard, "the metal is live"));
    }

    #[test]
    fn a_cold_check_depends_on_the_chassis() {
        for (line, met) in [
            ("--cold 1Mohm", "met"),
            ("--cold 5.2M", "met"),
            ("--cold 5.3Mohm", "NOT met"),
            ("--cold 990k", "NOT met"),
            ("--cold open", "NOT met"),
            ("--cold OL --isolated", "met"),
            ("--cold 5Mohm --isolated", "NOT met"),
        ] {
            assert_eq!(work_out(&format!("leakage {line}")).text_of("cold check"), met, "{line}");
        }
        assert!(work_out("leakage --cold 990k").remarks_on(Remark::Hazard, "don't plug it in"));
        let closed = work_out("leakage --cold 5M --isolated").remarks_on(Remark::Hazard, "");
        assert!(!closed);
        assert!(refusal("leakage --hot 0.5V --cold 1M").contains("cannot be used with"));
    }
}
