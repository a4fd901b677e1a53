//! `work-out resistor`: what its marking says, and what a reading in circuit says about it.

use super::answer::{Answer, Remark, shown};
use super::option::{Several, above_zero, from_zero, several_above_zero};
use super::topic::Topic;
use crate::diagnostic::nearest;
use crate::physics::colour_code::{self, Colour, Marked};
use crate::physics::preferred_value::Series;
use crate::physics::{letter_code, resistor};
use crate::shell::fault::Fault;

/// Tolerance where neither the marking nor the person gives one.
const TOLERANCE: f64 = 0.05;

/// What test leads and their contacts add to a reading, at most, in ohms (common practice, no source).
const LEADS_MAX: f64 = 0.5;

#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("way").required(true).args(["bands", "mark", "value"]))]
pub(super) struct Arguments {
    /// Colours of the bands, from either end: `brown,black,orange,gold`
    #[arg(long, value_name = "COLOURS", value_delimiter = ',', num_args = 1.., value_parser = colour)]
    bands: Vec<Colour>,
    /// Printed mark: `4K7J`
    #[arg(long, value_name = "MARK")]
    mark: Option<String>,
    /// Value
    #[arg(long, value_name = "OHM", value_parser = above_zero("ohm"))]
    value: Option<f64>,
    /// Tolerance, where the marking gives none
    #[arg(long, value_name = "%", value_parser = above_zero("%"))]
    tolerance: Option<f64>,
    /// What the meter reads across it in the dead circuit, with its test leads zeroed or given as --leads
    #[arg(long, value_name = "OHM", value_parser = from_zero("ohm"))]
    reading: Option<f64>,
    /// Resistance of the test leads that is in the reading
    #[arg(long, value_name = "OHM", value_parser = from_zero("ohm"), requires = "reading")]
    leads: Option<f64>,
    /// Resistors known to lie beside it, as `10kohm,22kohm`
    #[arg(long, value_name = "OHM", value_parser = several_above_zero("ohm"))]
    beside: Vec<Several>,
}

/// A resistor as it is worked with.
struct Resistor {
    nominal: f64,
    tolerance: Option<f64>,
}

impl Topic for Arguments {
    fn work_out(&self) -> Result<Answer, Fault> {
        let mut answer = Answer::default();
        let part = self.part(&mut answer)?;
        let tolerance = part.tolerance.or(self.tolerance).unwrap_or(TOLERANCE);
        if tolerance >= 1.0 {
            let tolerance = shown(tolerance, "%");
            return Err(Fault::usage(format!("a tolerance of {tolerance} leaves no lowest value"))
                .help("give what is printed on the part, such as `5%`"));
        }
        let limits = resistor::limits(part.nominal, tolerance);
        answer.exact("resistance", part.nominal, "ohm");
        answer.exact("tolerance", tolerance, "%");
        if part.tolerance.or(self.tolerance).is_none() {
            answer.qualify("assumed");
        }
        answer.exact("lowest", limits.low, "ohm");
        answer.exact("highest", limits.high, "ohm");
        preferred(part.nominal, &mut answer);
        let beside = self.beside.iter().flat_map(|several| &several.0).copied();
        let paths: Vec<f64> = beside.chain([part.nominal]).collect();
        let expected = resistor::parallel(&paths);
        if !self.beside.is_empty() {
            answer.estimate("expected in circuit", expected, "ohm");
        }
        if let Some(reading) = self.reading {
            let reading = reading - self.leads.unwrap_or_default();
            if self.leads.is_some() {
                answer.exact("reading without the leads", reading, "ohm");
            }
            if reading <= 0.0 && self.leads.is_some() {
                return Err(Fault::usage("the leads are all of the reading")
                    .help("short the probes for --leads, and read again on the lowest range"));
            }
            let is_zeroed = self.leads.is_some();
            judge(expected, tolerance, reading, is_zeroed, &mut answer);
        }
        Ok(answer)
    }
}

impl Arguments {
    fn part(&self, answer: &mut Answer) -> Result<Resistor, Fault> {
        if let Some(mark) = &self.mark {
            let read = letter_code::read(mark).map_err(Fault::usage)?;
            return Ok(Resistor { nominal: read.resistance, tolerance: read.tolerance });
        }
        if let Some(nominal) = self.value {
            return Ok(Resistor { nominal, tolerance: None });
        }
        let read = colour_code::read(&self.bands).map_err(Fault::usage)?;
        let (first, others) =
            read.split_first().ok_or_else(|| Fault::usage(colour_code::BandError::NoSense))?;
        if first.reversed {
            answer.remark(Remark::Note, "the bands were read from the other end");
        }
        if let Some(drift) = first.drift_ppm {
            let drift = shown(drift * 1e-6, "ppm");
            answer.remark(Remark::Note, format!("temperature coefficient {drift}/K"));
        }
        for other in others {
            let text = format!("from the other end the bands read {}", described(other));
            answer.remark(Remark::Warning, text);
        }
        Ok(Resistor { nominal: first.resistance, tolerance: Some(first.tolerance) })
    }
}

fn described(marked: &Marked) -> String {
    let series = if marked.series.is_none() { ", which is in no E series" } else { "" };
    format!("{} within {}{series}", shown(marked.resistance, "ohm"), shown(marked.tolerance, "%"))
}

fn preferred(nominal: f64, answer: &mut Answer) {
    let is_nominal = |value: f64| (value / nominal - 1.0).abs() < 1e-9;
    let fitting =
        Series::ALL.into_iter().find(|series| series.nearest(nominal).is_some_and(is_nominal));
    match fitting {
        Some(series) => answer.words("lowest series that has it", format!("{series:?}")),
        None => {
            if let Some(nearest) = Series::E24.nearest(nominal) {
                answer.exact("nearest of E24", nearest, "ohm");
                answer.remark(Remark::Warning, "in no E series: look at the marking again");
            }
        }
    }
}

fn judge(expected: f64, tolerance: f64, reading: f64, is_zeroed: bool, answer: &mut Answer) {
    let highest = resistor::limits(expected, tolerance).high;
    let (kind, text) = match resistor::judge_in_circuit(expected, tolerance, reading) {
        resistor::InCircuit::Lower { .. } if reading <= 0.0 => {
            (Remark::Warning, "that is a short, of the part or of something beside it: lift one leg to tell which".to_owned())
        }
        resistor::InCircuit::Suspect if !is_zeroed && reading - highest <= LEADS_MAX => {
            (Remark::Warning, "the reading is too high by no more than test leads add: short the probes, and give what they read as --leads".to_owned())
        }
        resistor::InCircuit::Fits => {
            (Remark::Note, "the reading fits; no proof, as another path can stand in for an open part".to_owned())
        }
        resistor::InCircuit::Lower { other_path } => {
            answer.estimate("other path it would take", other_path, "ohm");
            (Remark::Note, "the reading is lower, as with another path beside it: lift one leg to judge the part".to_owned())
        }
        resistor::InCircuit::Suspect => {
            (Remark::Warning, "the reading is too high: the part is open or has drifted up, unless the circuit still holds a charge".to_owned())
        }
    };
    answer.remark(kind, text);
}

fn colour(name: &str) -> Result<Colour, String> {
    Colour::named(name).ok_or_else(|| {
        let guess = nearest(name, Colour::names());
        guess.map_or_else(
            || format!("a band is one of {}", Colour::names().collect::<Vec<_>>().join(", ")),
            |guess| format!("no such band; did you mean `{guess}`?"),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::Remark;
    use crate::cli::verb::work_out::tests::{near, refusal, work_out};

    /// IEC 60062 as a picture caption quotes it: red red blue brown brown is 2260 ohm within 1 %; the rest worked by hand.
    #[test]
    fn bands_are_read() {
        let answer = work_out("resistor --bands red,red,blue,brown,brown");
        near(answer.number_of("resistance"), 2260.0, 1e-12);
        near(answer.number_of("highest"), 2282.6, 1e-12);
        let answer = work_out("resistor --bands gold orange black brown");
        near(answer.number_of("resistance"), 10e3, 1e-12);
        assert!(answer.remarks_on(Remark::Note, "other end"));
        assert!(refusal("resistor --bands brwn,black,red").contains("`brown`"));
    }

    /// IEC 60062 letters, as texts quote them; the tolerance letter from memory.
    #[test]
    fn marks_and_values_are_read() {
        let answer = work_out("resistor --mark 4K7J");
        near(answer.number_of("lowest"), 4465.0, 1e-12);
        near(answer.number_of("highest"), 4935.0, 1e-12);
        assert_eq!(answer.text_of("lowest series that has it"), "E3");
        let odd = work_out("resistor --value 5k --tolerance 1%");
        near(odd.number_of("nearest of E24"), 5100.0, 1e-12);
        near(odd.number_of("tolerance"), 0.01, 1e-12);
        assert!(refusal("resistor --mark 4X7").contains("not a resistor mark"));
        let error = refusal("resistor --value 1k --tolerance 500%");
        assert!(error.contains("a tolerance of 500 % leaves no lowest value"), "{error}");
    }

    /// 0.22 ohm behind leads of 0.18 ohm reads 0.4 ohm.
    #[test]
    fn leads_that_were_not_zeroed_condemn_no_part() {
        let raw = work_out("resistor --value 0.22 --tolerance 5% --reading 0.4");
        assert!(raw.remarks_on(Remark::Warning, "no more than test leads add"));
        assert!(!raw.remarks_on(Remark::Warning, "open or has drifted"));
        let zeroed = work_out("resistor --value 0.22 --tolerance 5% --reading 0.4 --leads 0.18");
        near(zeroed.number_of("reading without the leads"), 0.22, 1e-9);
        assert!(zeroed.remarks_on(Remark::Note, "the reading fits"));
        let high = work_out("resistor --value 0.22 --tolerance 5% --reading 0.4 --leads 0.02");
        assert!(high.remarks_on(Remark::Warning, "open or has drifted"));
        assert!(
            refusal("resistor --value 0.22 --reading 0.2 --leads 0.3")
                .contains("all of the reading")
        );
    }

    /// The law of parallel resistances.
    #[test]
    fn a_reading_in_circuit_is_judged() {
        let low = work_out("resistor --value 10k --reading 5k");
        near(low.number_of("other path it would take"), 10e3, 1e-12);
        assert!(
            work_out("resistor --value 10k --reading 11k").remarks_on(Remark::Warning, "too high")
        );
        let beside = work_out("resistor --value 10k --beside 10k --reading 5k");
        near(beside.number_of("expected in circuit"), 5e3, 1e-12);
        assert!(beside.remarks_on(Remark::Note, "the reading fits"));
    }
}
