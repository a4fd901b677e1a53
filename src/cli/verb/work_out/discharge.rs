//! `work-out discharge`: bringing a stored charge down.

use super::answer::{self, Answer, Remark, shown, shown_time};
use super::hazard;
use super::option::above_zero;
use super::topic::Topic;
use crate::physics::discharge::{self, Discharge, ResistorConnection};
use crate::physics::residual_voltage::RESIDUALS;
use crate::physics::stored_energy::ChargedCapacitor;
use crate::shell::fault::Fault;

/// The longest wait for stored charge (s): a day (common practice, no source).
const WAITED_MOST_S: f64 = 86_400.0;

#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("way").required(true).args(["resistor", "current", "within"]))]
pub(super) struct Arguments {
    /// Capacitance as marked
    #[arg(long, value_name = "UF", value_parser = above_zero("uF"))]
    capacitance: f64,
    /// Voltage at the start
    #[arg(long, value_name = "V", value_parser = above_zero("V"))]
    from: f64,
    /// Voltage to reach
    #[arg(long, value_name = "V", value_parser = above_zero("V"), default_value = "2V")]
    to: f64,
    /// Through a resistor of this value
    #[arg(long, value_name = "OHM", value_parser = above_zero("ohm"))]
    resistor: Option<f64>,
    /// By a constant current, such as the idle current of the circuit
    #[arg(long, value_name = "A", value_parser = above_zero("A"))]
    current: Option<f64>,
    /// Within this time: choose the resistor
    #[arg(long, value_name = "S", value_parser = above_zero("s"))]
    within: Option<f64>,
    /// The resistor stays across the capacitor in use, as a bleeder does
    #[arg(long, conflicts_with = "current")]
    fitted: bool,
    /// The largest resistor rating at hand
    #[arg(long, value_name = "W", value_parser = above_zero("W"), default_value = "25W")]
    at_hand: f64,
}

impl Topic for Arguments {
    fn work_out(&self) -> Result<Answer, Fault> {
        if self.to >= self.from {
            return Err(Fault::usage("the voltage to reach is not below the one at the start")
                .help("give a --to below --from"));
        }
        let mut answer = Answer::default();
        if let Some(resistance) = self.resistor {
            self.through(resistance, &mut answer);
        } else if let Some(current) = self.current {
            self.by_current(current, &mut answer);
        } else if let Some(within) = self.within {
            self.choose(within, &mut answer)?;
        }
        answer.estimate(
            "energy at the start",
            discharge::energy_j(self.capacitance, self.from),
            "J",
        );
        hazard::remarks(
            &mut answer,
            ChargedCapacitor { capacitance: self.capacitance, voltage: self.from },
        );
        answer.remark(
            Remark::Warning,
            "a time is a wait before measuring, never a proof: prove dead",
        );
        Ok(answer)
    }
}

impl Arguments {
    fn through(&self, resistance: f64, answer: &mut Answer) {
        let largest = self.largest();
        let resistance_most = resistance * discharge::RESISTANCE_MARGIN;
        let wait = discharge::time_s(largest, resistance_most, self.from, self.to);
        answer.time("wait", wait);
        is_too_long(wait, answer);
        let marked = discharge::time_s(self.capacitance, resistance, self.from, self.to);
        answer.time("time as marked", marked);
        let watts = discharge::first_instant_w(resistance, self.from);
        answer.estimate("power at the first instant", watts, "W");
        let rating = discharge::rating_w(watts, wait, self.connection());
        answer.estimate("rating to look for", rating, "W");
        self.not_practical(rating, answer);
        self.margins(answer);
        if self.fitted {
            self.rules(resistance_most, answer);
        }
    }

    fn by_current(&self, current: f64, answer: &mut Answer) {
        let time = |farads| discharge::constant_current_time_s(farads, current, self.from, self.to);
        let wait = time(self.largest());
        answer.time("wait", wait);
        is_too_long(wait, answer);
        answer.time("time as marked", time(self.capacitance));
        answer.remark(
            Remark::Note,
            "the last volts take longer, where the circuit no longer regulates",
        );
    }

    fn choose(&self, within: f64, answer: &mut Answer) -> Result<(), Fault> {
        let Arguments { capacitance, from, to, .. } = *self;
        let task = Discharge { capacitance, from, to, within };
        let chosen = discharge::choose_resistor(&task, self.connection())
            .ok_or_else(|| Fault::usage("no resistor does that").help("check the prefixes"))?;
        answer.exact("resistor", chosen.resistance, "ohm");
        answer.estimate("rating to look for", chosen.rating_w, "W");
        answer.estimate("largest that serves", chosen.largest, "ohm");
        answer.estimate("power at the first instant", chosen.first_instant_w, "W");
        answer.estimate("energy it takes in", chosen.energy_j, "J");
        self.not_practical(chosen.rating_w, answer);
        self.margins(answer);
        if self.fitted {
            self.rules(chosen.resistance * discharge::RESISTANCE_MARGIN, answer);
        }
        Ok(())
    }

    fn connection(&self) -> ResistorConnection {
        if self.fitted { ResistorConnection::Fitted } else { ResistorConnection::Momentary }
    }

    /// Warns of a resistor that asks for a larger rating than is at hand: it burns, and may open before the charge is gone.
    fn not_practical(&self, rating: f64, answer: &mut Answer) {
        if rating > self.at_hand {
            let most = shown(self.at_hand, "W");
            let text = format!(
                "not practical: it asks for more than {most}; take a larger resistance and more time"
            );
            answer.remark(Remark::Warning, text);
        }
    }

    /// The capacitance a promise has to allow for.
    fn largest(&self) -> f64 {
        self.capacitance * discharge::CAPACITANCE_MARGIN
    }

    fn margins(&self, answer: &mut Answer) {
        let more = |margin: f64| shown(margin - 1.0, "%");
        let (capacitance, resistance) =
            (more(discharge::CAPACITANCE_MARGIN), more(discharge::RESISTANCE_MARGIN));
        answer.remark(
            Remark::Note,
            format!("allows for {capacitance} more capacitance and {resistance} more resistance than marked"),
        );
    }

    fn rules(&self, resistance: f64, answer: &mut Answer) {
        let (farads, volts) = (self.capacitance, self.from);
        for rule in RESIDUALS.iter().filter(|rule| rule.concerns(farads, volts)) {
            let left = discharge::voltage_after(self.largest(), resistance, self.from, rule.within);
            let met = if left <= rule.voltage { "met" } else { "NOT met" };
            let (volts, time) = (shown(rule.voltage, "V"), shown_time(rule.within));
            let source = answer::source(&rule.source);
            let text = format!("{volts} within {time}, {met}: {source} ({})", rule.applies);
            answer.remark(Remark::Rule, text);
        }
    }
}

/// Warns of a wait that nobody sits out.
fn is_too_long(seconds: f64, answer: &mut Answer) {
    if seconds > WAITED_MOST_S {
        let text =
            "not practical: that is more than a day; take a smaller resistance or more current";
        answer.remark(Remark::Warning, text);
    }
}

#[cfg(test)]
mod tests {
    use super::Remark;
    use crate::cli::verb::work_out::tests::work_out;

    /// t = RC ln(V0/V), recomputed with a numerical library; 20 % and 5 % on top.
    #[test]
    fn the_wait_carries_the_margins() {
        let answer = work_out("discharge --capacitance 10mF --from 63V --to 1V --resistor 100ohm");
        near(answer.number_of("time as marked"), 4.1431);
        near(answer.number_of("wait"), 4.1431 * 1.2 * 1.05);
        near(answer.number_of("power at the first instant"), 39.69);
        near(answer.number_of("energy at the start"), 19.845);
        assert!(!answer.remarks_on(Remark::Hazard, "shock"), "63 V is below the line for shock");
    }

    /// 220 uF from 450 V to 60 V in 2 s (recomputed): 4.512 kohm and 44.9 W as marked.
    #[test]
    fn an_impractical_bleeder_says_so() {
        let given = "discharge --capacitance 220uF --from 450V --to 60V --within 2s";
        let fitted = work_out(&format!("{given} --fitted"));
        near(fitted.number_of("largest that serves"), 4512.0 / 1.26);
        near(fitted.number_of("resistor"), 3300.0);
        assert!(fitted.remarks_on(Remark::Warning, "not practical"));
        assert!(fitted.remarks_on(Remark::Hazard, "shock"));
        assert!(!work_out(given).remarks_on(Remark::Warning, "not practical"));
    }

    /// 400 V on 250 ohm are 640 W.
    #[test]
    fn a_resistor_that_would_burn_is_not_practical() {
        let answer = work_out("discharge --capacitance 220uF --from 400V --resistor 250ohm");
        near(answer.number_of("power at the first instant"), 640.0);
        near(answer.number_of("rating to look for"), 128.0);
        assert!(answer.remarks_on(Remark::Warning, "not practical: it asks for more than 25 W"));
        let larger = work_out("discharge --capacitance 220uF --from 400V --resistor 2200ohm");
        assert!(!larger.remarks_on(Remark::Warning, "not practical"));
    }

    #[test]
    fn a_wait_of_more_than_a_day_is_not_practical() {
        for by in ["--resistor 1T", "--resistor 1Gohm", "--current 1nA"] {
            let answer = work_out(&format!("discharge --capacitance 220uF --from 450V {by}"));
            assert!(answer.remarks_on(Remark::Warning, "more than a day"), "{by}");
        }
        let answer = work_out("discharge --capacitance 220uF --from 450V --resistor 1Mohm");
        assert!(!answer.remarks_on(Remark::Warning, "more than a day"));
    }

    /// 4700 uF from 56 V to 10 V at 28 mA (recomputed).
    #[test]
    fn an_idle_current_discharges_too() {
        let answer = work_out("discharge --capacitance 4700uF --from 56V --to 10V --current 28mA");
        near(answer.number_of("time as marked"), 7.72);
        near(answer.number_of("wait"), 7.72 * 1.2);
    }

    fn near(got: f64, want: f64) {
        crate::cli::verb::work_out::tests::near(got, want, 1e-3);
    }
}
