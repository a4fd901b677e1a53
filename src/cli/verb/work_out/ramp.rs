//! `work-out ramp`: bringing a bench supply up on a circuit with reservoir capacitors.

use super::answer::{Answer, Remark, shown};
use super::option::{above_zero, from_zero};
use super::topic::Topic;
use crate::physics::{discharge, ramp};
use crate::shell::fault::Fault;

/// The shortest ramp that a person can watch and stop (s; common practice, no source).
const WATCHED_LEAST_S: f64 = 1.0;

/// The lowest current limit that bench supplies hold (A; common practice, no source).
const LIMIT_LEAST_A: f64 = 1e-4;

#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("way").required(true).args(["over", "limit"]))]
pub(super) struct Arguments {
    /// Capacitance on the rail as marked
    #[arg(long, value_name = "UF", value_parser = above_zero("uF"))]
    capacitance: f64,
    /// Voltage to reach
    #[arg(long, value_name = "V", value_parser = above_zero("V"))]
    to: f64,
    /// Voltage at the start
    #[arg(long, value_name = "V", value_parser = from_zero("V"), default_value = "0V")]
    from: f64,
    /// Idle current at the highest voltage
    #[arg(long, value_name = "A", value_parser = from_zero("A"), default_value = "0A")]
    idle: f64,
    /// In this time: give the limit to set
    #[arg(long, value_name = "S", value_parser = above_zero("s"))]
    over: Option<f64>,
    /// With this current limit: give the time
    #[arg(long, value_name = "A", value_parser = above_zero("A"))]
    limit: Option<f64>,
    /// Room above the current that is needed
    #[arg(long, value_name = "%", value_parser = from_zero("%"), default_value = "20%")]
    headroom: f64,
}

impl Topic for Arguments {
    fn work_out(&self) -> Result<Answer, Fault> {
        if self.to <= self.from {
            return Err(Fault::usage("the voltage to reach is not above the one at the start")
                .help("give a --to above --from"));
        }
        let mut answer = Answer::default();
        if let Some(over) = self.over {
            self.limit_for((self.to - self.from) / over, &mut answer);
        } else if let Some(limit) = self.limit {
            self.time_at(limit, &mut answer)?;
        }
        self.not_practical(&mut answer);
        let more = shown(discharge::CAPACITANCE_MARGIN - 1.0, "%");
        answer.remark(Remark::Note, format!("allows for {more} more capacitance than marked"));
        Ok(answer)
    }
}

impl Arguments {
    /// The capacitance to allow for.
    fn largest(&self) -> f64 {
        self.capacitance * discharge::CAPACITANCE_MARGIN
    }

    /// Warns of a ramp that nobody can watch, and of a limit that no supply holds.
    fn not_practical(&self, answer: &mut Answer) {
        let takes = self.limit.and_then(|limit| {
            ramp::charge_time_s(self.largest(), self.from, self.to, limit, self.idle)
        });
        if takes.or(self.over).is_some_and(|seconds| seconds < WATCHED_LEAST_S) {
            let text = "not practical: in less than a second nobody sees a fault on the way up; take more time or a lower limit (a \
                        number alone is in A)";
            answer.remark(Remark::Warning, text);
        }
        let limit = self.over.map(|over| {
            let room = 1.0 + self.headroom;
            ramp::current_limit_a(self.idle, self.largest(), (self.to - self.from) / over, room)
        });
        if limit.or(self.limit).is_some_and(|amps| amps < LIMIT_LEAST_A) {
            let least = shown(LIMIT_LEAST_A, "A");
            let text = format!(
                "not practical: no bench supply holds a limit below {least} (common practice, no source)"
            );
            answer.remark(Remark::Warning, text);
        }
    }

    fn limit_for(&self, volts_per_second: f64, answer: &mut Answer) {
        let headroom = 1.0 + self.headroom;
        let limit = ramp::current_limit_a(self.idle, self.largest(), volts_per_second, headroom);
        answer.estimate("current limit to set", limit, "A");
        let marked = ramp::charging_current_a(self.capacitance, volts_per_second);
        answer.estimate("charging current as marked", marked, "A");
        answer.estimate("ramp", volts_per_second, "V/s");
        let room = shown(self.headroom, "%");
        answer.remark(Remark::Note, format!("the limit has {room} of headroom above that current"));
    }

    fn time_at(&self, limit: f64, answer: &mut Answer) -> Result<(), Fault> {
        let time = |farads| ramp::charge_time_s(farads, self.from, self.to, limit, self.idle);
        let none = || {
            Fault::usage("the idle current alone takes the whole limit, so nothing charges")
                .help("give a --limit above --idle")
        };
        answer.time("time to charge", time(self.largest()).ok_or_else(none)?);
        answer.time("time as marked", time(self.capacitance).ok_or_else(none)?);
        // A limit that this ramp would be given.
        let room = 1.0 + self.headroom;
        match ramp::fastest_ramp(limit / room, self.idle, self.largest()) {
            Some(rate) => answer.estimate("fastest ramp below the limit", rate, "V/s"),
            None => answer.words("fastest ramp below the limit", "none: the headroom takes it"),
        }
        let room = shown(self.headroom, "%");
        let text = format!(
            "the ramp leaves {room} of headroom below the limit; the times are those at the limit itself"
        );
        answer.remark(Remark::Note, text);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::Remark;
    use crate::cli::verb::work_out::tests::{near, refusal, work_out};

    /// i = C dV/dt by hand: 10 mF at 2 V/s draws 20 mA.
    #[test]
    fn a_limit_lets_the_ramp_through() {
        let answer = work_out("ramp --capacitance 10mF --to 36V --over 18s --idle 30mA");
        near(answer.number_of("charging current as marked"), 20e-3, 1e-9);
        near(answer.number_of("current limit to set"), 1.2 * (30e-3 + 24e-3), 1e-9);
        near(answer.number_of("ramp"), 2.0, 1e-9);
        assert!(answer.remarks_on(Remark::Note, "20 % of headroom"));
    }

    /// The ramp that a limit was worked out for is the fastest below that limit.
    #[test]
    fn the_headroom_counts_both_ways() {
        let line = "ramp --capacitance 10mF --to 36V --idle 30mA";
        let limit = work_out(&format!("{line} --over 18s")).number_of("current limit to set");
        let back = work_out(&format!("{line} --limit {limit}A"));
        near(back.number_of("fastest ramp below the limit"), 2.0, 1e-9);
        assert!(back.remarks_on(Remark::Note, "20 % of headroom"));
        let none = work_out("ramp --capacitance 10mF --to 36V --idle 30mA --limit 33mA");
        assert!(none.text_of("fastest ramp below the limit").contains("none"));
    }

    /// t = C V / (I - I idle) by hand: 10 mF to 30 V with 20 mA to spare takes 15 s.
    #[test]
    fn a_limit_takes_its_time() {
        let answer = work_out("ramp --capacitance 10mF --to 30V --limit 50mA --idle 30mA");
        near(answer.number_of("time as marked"), 15.0, 1e-9);
        near(answer.number_of("time to charge"), 18.0, 1e-9);
    }

    /// 100 A and 30 A for 100 mA and 30 mA.
    #[test]
    fn a_ramp_that_nobody_watches_or_no_supply_holds_is_not_practical() {
        let of = |given: &str| work_out(&format!("ramp --capacitance 10mF --to 36V {given}"));
        for given in ["--limit 100 --idle 30", "--over 0.9s"] {
            assert!(of(given).remarks_on(Remark::Warning, "nobody sees a fault"), "{given}");
        }
        for given in ["--over 9e5s", "--limit 90uA"] {
            assert!(of(given).remarks_on(Remark::Warning, "no bench supply holds"), "{given}");
        }
        for given in ["--limit 100mA --idle 30mA", "--over 18s"] {
            assert!(!of(given).remarks_on(Remark::Warning, "not practical"), "{given}");
        }
    }

    #[test]
    fn values_that_contradict_are_refused() {
        let error = refusal("ramp --capacitance 10mF --to 30V --limit 20mA --idle 30mA");
        assert!(error.contains("nothing charges"));
        let error = refusal("ramp --capacitance 10mF --to 30V --from 31V --limit 20mA");
        assert!(error.contains("not above the one at the start"));
    }
}
