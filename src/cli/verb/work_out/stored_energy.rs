//! `work-out stored-energy`: what a charged capacitor can do to a person, by published thresholds.

use super::answer::{Answer, Remark, rounded, source};
use super::hazard;
use super::option::above_zero;
use super::topic::Topic;
use crate::physics::discharge;
use crate::physics::stored_energy::{ChargedCapacitor, PROFILES};
use crate::shell::fault::Fault;

/// Thresholds up to this many times the voltage are told of too: the mains, a fault or the next capacitor reaches them.
const FURTHER_UP: f64 = 2.0;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Capacitance as marked; the sum of those that lie in parallel
    #[arg(long, value_name = "UF", value_parser = above_zero("uF"))]
    capacitance: f64,
    /// Voltage across it
    #[arg(long, value_name = "V", value_parser = above_zero("V"))]
    voltage: f64,
}

impl Topic for Arguments {
    fn work_out(&self) -> Result<Answer, Fault> {
        let charged = ChargedCapacitor { capacitance: self.capacitance, voltage: self.voltage };
        let mut answer = Answer::default();
        answer.estimate("energy", discharge::energy_j(self.capacitance, self.voltage), "J");
        let thresholds = PROFILES.iter().flat_map(|profile| profile.thresholds);
        let lowest = thresholds
            .filter_map(|threshold| threshold.reached_from(self.capacitance))
            .reduce(f64::min);
        if let Some(lowest) = lowest {
            answer.estimate("no threshold below", lowest, "V");
        }
        for profile in &PROFILES {
            let reached: Vec<_> =
                profile.reached(charged).map(|threshold| threshold.name).collect();
            let text =
                if reached.is_empty() { "none reached".to_owned() } else { reached.join(", ") };
            answer.words(profile.name, text);
        }
        hazard::remarks(&mut answer, charged);
        self.further_up(charged, &mut answer);
        let text = "below every threshold is not dead: a large capacitor welds a ring at a few volts; discharge it and prove dead";
        answer.remark(Remark::Warning, text);
        Ok(answer)
    }
}

impl Arguments {
    /// The thresholds that this capacitor reaches at a slightly higher voltage.
    fn further_up(&self, charged: ChargedCapacitor, answer: &mut Answer) {
        for threshold in PROFILES.iter().flat_map(|profile| profile.thresholds) {
            let from = threshold
                .reached_from(self.capacitance)
                .filter(|from| *from <= FURTHER_UP * self.voltage);
            if let Some(from) = from.filter(|_| !threshold.is_reached(charged)) {
                let (from, source) = (rounded(from, "V"), source(&threshold.source));
                answer.remark(Remark::Note, format!("from {from}: {}: {source}", threshold.name));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Remark;
    use crate::cli::verb::work_out::tests::{near, work_out};

    /// LBNL Electrical Safety Manual, Table 2.2.13: 100 V and 10 J together; 17.6 J and 9.9 J in 220 uF (recomputed).
    #[test]
    fn each_published_threshold_says_whether_it_is_reached() {
        let charged = work_out("stored-energy --capacitance 220uF --voltage 400V");
        near(charged.number_of("energy"), 17.6, 1e-9);
        assert_eq!(charged.text_of("LBNL"), "shock");
        assert_eq!(charged.text_of("DOE reflex"), "none reached");
        assert!(charged.remarks_on(Remark::Hazard, "shock: LBNL"));
        assert!(charged.remarks_on(Remark::Note, "from 400 V: reflex"));
        let lower = work_out("stored-energy --capacitance 220uF --voltage 300V");
        assert_eq!(lower.text_of("LBNL"), "none reached");
        assert!(lower.remarks_on(Remark::Note, "from 302 V: shock"));
        assert!(!lower.remarks_on(Remark::Note, "arc blast"), "that is at 9.5 kV");
    }

    #[test]
    fn below_the_lowest_threshold_nothing_is_reached() {
        let answer = work_out("stored-energy --capacitance 10mF --voltage 42V");
        near(answer.number_of("no threshold below"), 42.4, 1e-9);
        assert!(!answer.remarks_on(Remark::Hazard, ""));
        assert!(answer.remarks_on(Remark::Warning, "not dead"));
    }
}
