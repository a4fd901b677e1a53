//! `work-out damping`: the output resistance of an amplifier, from one reading without and one with its load.

use super::answer::{Answer, Remark};
use super::option::above_zero;
use super::topic::Topic;
use crate::physics::damping;
use crate::shell::fault::Fault;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Output without the load
    #[arg(long, value_name = "V", value_parser = above_zero("V"))]
    open: f64,
    /// The same output with the load
    #[arg(long, value_name = "V", value_parser = above_zero("V"))]
    loaded: f64,
    /// Load
    #[arg(long, value_name = "OHM", value_parser = above_zero("ohm"))]
    load: f64,
    /// One count of the meter's last digit
    #[arg(long, value_name = "V", value_parser = above_zero("V"))]
    count: Option<f64>,
}

impl Topic for Arguments {
    fn work_out(&self) -> Result<Answer, Fault> {
        if self.loaded > self.open {
            return Err(Fault::usage("the output is higher with its load than without")
                .help("check that --open and --loaded are not swapped, and that both were read at one input"));
        }
        let mut answer = Answer::default();
        let resistance = damping::output_resistance(self.open, self.loaded, self.load);
        if resistance > 0.0 {
            answer.estimate("damping factor", damping::damping_factor(self.load, resistance), "");
            answer.estimate("output resistance", resistance, "ohm");
            let loss = damping::loading_loss_db(self.load, resistance);
            answer.estimate("level lost in the output", loss, "dB");
        } else {
            answer.words("damping factor", "the readings are alike: more than this meter can tell");
        }
        match self.count {
            Some(count) => self.by_a_count(count, &mut answer)?,
            None => answer.remark(Remark::Note, "give --count to see how well this meter can tell"),
        }
        let text = "one frequency, well below clipping, at the amplifier's own terminals; the cable takes from it";
        answer.remark(Remark::Note, text);
        Ok(answer)
    }
}

impl Arguments {
    /// What becomes of it if each reading is a count out.
    fn by_a_count(&self, count: f64, answer: &mut Answer) -> Result<(), Fault> {
        if count >= self.loaded {
            return Err(
                Fault::usage("one count is as large as the reading").help("check the prefixes")
            );
        }
        let resistance =
            |open, loaded| damping::output_resistance(open, loaded, self.load).max(0.0);
        let most = resistance(self.open + count, self.loaded - count);
        let least = resistance(self.open - count, self.loaded + count);
        answer.estimate("damping factor at least", damping::damping_factor(self.load, most), "");
        answer.estimate("output resistance at most", most, "ohm");
        if least <= 0.0 {
            let text =
                "the difference is within what two counts make: the damping may be any higher";
            answer.remark(Remark::Warning, text);
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::Remark;
    use crate::cli::verb::work_out::tests::{near, refusal, work_out};

    /// 8 ohm on 0.05 ohm (recomputed): 10.0625 V fall to 10 V, a factor of 160 and 0.0541 dB.
    #[test]
    fn two_readings_give_the_damping() {
        let answer = work_out("damping --open 10.0625V --loaded 10V --load 8ohm");
        near(answer.number_of("output resistance"), 0.05, 1e-9);
        near(answer.number_of("damping factor"), 160.0, 1e-9);
        near(answer.number_of("level lost in the output"), 0.0541, 1e-3);
    }

    /// With a count of 10 mV: 8 (10.07 / 9.99 - 1) is 64.1 mohm, and two readings alike are below 16.02 mohm (recomputed).
    #[test]
    fn a_count_bounds_what_can_be_told() {
        let told = work_out("damping --open 10.06V --loaded 10V --load 8ohm --count 10mV");
        near(told.number_of("output resistance at most"), 0.064_064, 1e-4);
        assert!(!told.remarks_on(Remark::Warning, "two counts"));
        let alike = work_out("damping --open 10V --loaded 10V --load 8ohm --count 10mV");
        assert!(alike.text_of("damping factor").contains("alike"));
        near(alike.number_of("output resistance at most"), 0.016_016, 1e-4);
        assert!(alike.remarks_on(Remark::Warning, "may be any higher"));
    }

    #[test]
    fn readings_that_do_not_fit_are_refused() {
        let swapped = refusal("damping --open 10V --loaded 10.1V --load 8ohm");
        assert!(swapped.contains("swapped"), "{swapped}");
        let coarse = refusal("damping --open 10V --loaded 9V --load 8ohm --count 10V");
        assert!(coarse.contains("one count"), "{coarse}");
    }
}
