//! `work-out level`: volts, decibels and watts of a signal.

use super::answer::{Answer, Remark};
use super::option::{above_zero, read};
use super::topic::Topic;
use crate::physics::{level, mains};
use crate::shell::fault::Fault;

#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("way").required(true).args(["rms", "dbu", "dbv", "power"]))]
pub(super) struct Arguments {
    /// Volts RMS
    #[arg(long, value_name = "V", value_parser = above_zero("V"))]
    rms: Option<f64>,
    /// Level over 0.7746 V
    #[arg(long, value_name = "DB", value_parser = decibels)]
    dbu: Option<f64>,
    /// Level over 1 V
    #[arg(long, value_name = "DB", value_parser = decibels)]
    dbv: Option<f64>,
    /// Power in the load
    #[arg(long, value_name = "W", value_parser = above_zero("W"), requires = "load")]
    power: Option<f64>,
    /// Load
    #[arg(long, value_name = "OHM", value_parser = above_zero("ohm"))]
    load: Option<f64>,
}

/// No level on a bench is further from a volt than this (dB).
const LEVEL_MAX_DB: f64 = 200.0;

fn decibels(text: &str) -> Result<f64, String> {
    match read(text, "dB")? {
        level if level.abs() <= LEVEL_MAX_DB => Ok(level),
        _ => Err("no bench has such a level".to_owned()),
    }
}

impl Topic for Arguments {
    fn work_out(&self) -> Result<Answer, Fault> {
        let rms = self.rms();
        let mut answer = Answer::default();
        answer.estimate("volts, RMS", rms, "V");
        if let Some(load) = self.load {
            answer.estimate("power in the load", level::power_w(rms, load), "W");
        }
        answer.estimate("level in dBu", level::dbu(rms), "dB");
        answer.estimate("level in dBV", level::dbv(rms), "dB");
        answer.estimate("crest of a sine", mains::peak(rms), "V");
        let text = "a meter without true RMS is right for a sine alone, and many read low above some hundred hertz";
        answer.remark(Remark::Note, text);
        Ok(answer)
    }
}

impl Arguments {
    fn rms(&self) -> f64 {
        let by_level = self.dbu.map(level::rms_of_dbu).or(self.dbv.map(level::rms_of_dbv));
        let by_power = || Some(level::rms_for_power(self.power?, self.load?));
        self.rms.or(by_level).or_else(by_power).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use crate::cli::verb::work_out::tests::{near, refusal, work_out};

    /// By definition (recomputed): +4 dBu is 1.2277 V, -10 dBV 0.31623 V; 100 W into 8 ohm are 28.28 V.
    #[test]
    fn volts_decibels_and_watts_are_one_level() {
        let of = |line: &str, name: &str| work_out(&format!("level {line}")).number_of(name);
        near(of("--dbu 4", "volts, RMS"), 1.227_653, 1e-6);
        near(of("--dbv -10dB", "volts, RMS"), 0.316_228, 2e-6);
        near(of("--dbv -10dB", "level in dBu"), -7.781_513, 1e-6);
        near(of("--power 100W --load 8ohm", "volts, RMS"), 28.2843, 2e-6);
        near(of("--power 100W --load 8ohm", "crest of a sine"), 40.0, 1e-9);
        near(of("--rms 10V --load 8ohm", "power in the load"), 12.5, 1e-9);
    }

    #[test]
    fn what_is_missing_or_absurd_is_refused() {
        assert!(refusal("level --power 100W").contains("--load"));
        assert!(refusal("level --dbu 1e5").contains("no bench has such a"));
        assert!(refusal("level --dbu 4V").contains("voltage"));
    }
}
