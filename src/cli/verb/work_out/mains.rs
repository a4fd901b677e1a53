//! `work-out mains`: what the mains may be, and what it does to equipment with another nameplate.

use super::answer::{Answer, Remark, shown, source};
use super::choice::by_name;
use super::option::{above_zero, from_zero};
use super::topic::Topic;
use crate::physics::mains::{self, Mains, SUPPLIES};
use crate::shell::fault::Fault;

/// How far above its nameplate mains equipment is taken to stand (common practice, no source).
const ABOVE_NAMEPLATE_MAX: f64 = 0.10;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The supply, such as `230V`, `120V-A` (range A) or `230V-before-2003`
    #[arg(long, value_name = "NAME", value_parser = supply)]
    supply: &'static Mains,
    /// What was read at the outlet
    #[arg(long, value_name = "V", value_parser = from_zero("V"))]
    reading: Option<f64>,
    /// What the equipment's nameplate says
    #[arg(long, value_name = "V", value_parser = above_zero("V"))]
    nameplate: Option<f64>,
}

/// Finds a supply by a part of its name; of two, the one that is just the voltage.
fn supply(text: &str) -> Result<&'static Mains, String> {
    let find = |words: &str| by_name(words, &SUPPLIES, |mains| mains.name);
    find(text).or_else(|error| find(&format!("{}V", text.trim())).map_err(|_| error))
}

impl Topic for Arguments {
    fn work_out(&self) -> Result<Answer, Fault> {
        let Mains { nominal, low, high, .. } = *self.supply;
        let mut answer = Answer::default();
        answer.estimate("highest", high, "V");
        answer.estimate("lowest", low, "V");
        answer.estimate("crest at the highest", mains::peak(high), "V");
        let text = format!("{}: {}", self.supply.name, source(&self.supply.source));
        answer.remark(Remark::Rule, text);
        if let Some(reading) = self.reading {
            answer.estimate("reading, from nominal", reading / nominal - 1.0, "%");
            self.judge(reading, &mut answer);
        }
        if let Some(nameplate) = self.nameplate {
            self.compare(nameplate, &mut answer);
        }
        Ok(answer)
    }
}

impl Arguments {
    fn judge(&self, reading: f64, answer: &mut Answer) {
        let shown = shown(reading, "V");
        if self.supply.allows(reading) {
            answer.remark(Remark::Rule, format!("{shown} is within what this supply may be"));
        } else {
            let text = format!(
                "{shown} is NOT what this supply may be: switch nothing on until you know why; a lost neutral, a tap or the \
                 wrong outlet look like this"
            );
            answer.remark(Remark::Warning, text);
        }
    }

    /// What the supply does to equipment made for another voltage.
    fn compare(&self, nameplate: f64, answer: &mut Answer) {
        let above = |volts: f64| volts / nameplate - 1.0;
        let highest = above(self.supply.high);
        answer.estimate("highest, from the nameplate", highest, "%");
        answer.estimate("lowest, from the nameplate", above(self.supply.low), "%");
        let text = "rails without a regulator follow by as much: check them against the ratings of their capacitors";
        answer.remark(Remark::Note, text);
        // A part in 1e9 is noise of the arithmetic.
        if highest > ABOVE_NAMEPLATE_MAX * (1.0 + 1e-9) {
            let most = shown(ABOVE_NAMEPLATE_MAX, "%");
            let text = format!(
                "the highest mains is more than {most} above the nameplate (common practice, no source): use the tap for this \
                 supply, or a transformer before it"
            );
            answer.remark(Remark::Warning, text);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Remark;
    use crate::cli::verb::work_out::tests::{near, refusal, work_out};

    /// IEC 60038 from 2003 (quoted): 207 V to 253 V; before it up to 243.8 V; ANSI C84.1 range A from memory.
    #[test]
    fn the_published_range_comes_out_and_judges_a_reading() {
        let present = work_out("mains --supply 230 --reading 244V");
        near(present.number_of("lowest"), 207.0, 1e-12);
        near(present.number_of("highest"), 253.0, 1e-12);
        near(present.number_of("crest at the highest"), 357.80, 3e-5);
        near(present.number_of("reading, from nominal"), 14.0 / 230.0, 1e-9);
        assert!(present.remarks_on(Remark::Rule, "244 V is within"));
        assert!(work_out("mains --supply 230V --reading 253V").remarks_on(Remark::Rule, "within"));
        for outside in ["253.1V", "206.9V", "400V"] {
            let answer = work_out(&format!("mains --supply 230V --reading {outside}"));
            assert!(answer.remarks_on(Remark::Warning, "lost neutral"), "{outside}");
        }
        let memory = work_out("mains --supply 120V-A").remarks_on(Remark::Rule, "from memory");
        assert!(memory);
    }

    /// 253 V on 220 V is 15 % more (recomputed).
    #[test]
    fn an_older_nameplate_has_its_rails_raised() {
        let older = work_out("mains --supply 230V --nameplate 220V");
        near(older.number_of("highest, from the nameplate"), 0.15, 1e-9);
        assert!(older.remarks_on(Remark::Warning, "use the tap"));
        let same = work_out("mains --supply 230V --nameplate 230V");
        assert!(!same.remarks_on(Remark::Warning, "use the tap"));
    }

    #[test]
    fn a_supply_that_is_not_clear_names_those_there_are() {
        let error = refusal("mains --supply 120");
        assert!(error.contains("120V-A; 120V-B"), "{error}");
    }
}
