//! `work-out meter`: what a meter's accuracy makes of a reading.

use super::answer::{Answer, Remark, shown};
use super::option::{above_zero, from_zero, value, value_above_zero, whole};
use super::topic::Topic;
use crate::quantity::{Decimal, Dimension, Estimate, Quantity, Unit};
use crate::shell::fault::Fault;
use crate::window::{Accuracy, Conditions, LOADING_LEFT, Uncertainty};

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// What the meter shows, with its unit
    #[arg(long, value_name = "VALUE", value_parser = value)]
    reading: Quantity,
    /// Further readings of the same thing with that meter, as `5.01V,5.03V`: their mean is judged, and their scatter counts
    #[arg(long, value_name = "VALUE", value_parser = value, value_delimiter = ',')]
    again: Vec<Quantity>,
    /// The range in use
    #[arg(long, value_name = "VALUE", value_parser = value_above_zero)]
    range: Quantity,
    /// One count of the last digit on that range
    #[arg(long, value_name = "VALUE", value_parser = value_above_zero)]
    count: Quantity,
    /// Accuracy: per cent of the reading
    #[arg(long, value_name = "%", value_parser = from_zero("%"), default_value = "0%")]
    of_reading: f64,
    /// Accuracy: counts of the last digit
    #[arg(long, value_name = "COUNTS", value_parser = whole(0..=u32::MAX), default_value = "0")]
    counts: u32,
    /// Accuracy: per cent of the range
    #[arg(long, value_name = "%", value_parser = from_zero("%"), default_value = "0%")]
    of_range: f64,
    /// Input resistance of a voltmeter, or burden of an ammeter (2 mV/mA is 2 ohm)
    #[arg(long, value_name = "OHM", value_parser = above_zero("ohm"), requires = "source")]
    input: Option<f64>,
    /// Resistance behind a voltage that is measured, or in the loop of a current
    #[arg(long, value_name = "OHM", value_parser = from_zero("ohm"), requires = "input")]
    source: Option<f64>,
    /// Resistance of the test leads in a resistance that is measured
    #[arg(long, value_name = "OHM", value_parser = from_zero("ohm"))]
    leads: Option<f64>,
}

impl Topic for Arguments {
    fn work_out(&self) -> Result<Answer, Fault> {
        self.has_an_accuracy()?;
        let accuracy = self.accuracy();
        let source_resistance = self.source.map(|ohms| computed(ohms, Dimension::RESISTANCE));
        let conditions = Conditions { ambient: None, source_resistance };
        let refused =
            |error| Fault::usage(error).help("write --reading, --range and --count in one unit");
        let averaged = self.averaged()?;
        let reading = averaged.as_ref().map_or(self.reading, |averaged| averaged.value);
        let half_width = accuracy.half_width(&reading, &conditions).map_err(refused)?;
        let by_meter = accuracy.estimate(reading, "reading", &conditions).map_err(refused)?;
        let both = [&by_meter].into_iter().chain(&averaged).map(|part| (1.0, part));
        let estimate = Estimate::linear(by_meter.value, both);
        let uncertainty = Uncertainty::of(&estimate, Uncertainty::LEVEL)
            .ok_or_else(|| Fault::usage("these parts give no finite uncertainty"))?;
        if self.readings().any(|reading| reading.value.abs() > self.range.value.abs()) {
            return Err(Fault::usage("the reading is beyond the range")
                .help("give the range that shows it: what a meter promises goes with that"));
        }
        if let Some(mistaken) = accuracy.mistaken_input() {
            return Err(Fault::usage(mistaken.replace("`input_resistance`", "--input"))
                .help("a voltmeter's input is megohms, an ammeter's burden a few ohms"));
        }
        if self.leads.is_some() && estimate.value.value <= Decimal::ZERO {
            return Err(Fault::usage("the leads are all of the reading")
                .help("short the probes for --leads, and read again on the lowest range"));
        }
        let (value, unit) = (estimate.value.to_f64(), Unit::base(reading.dimension));
        let symbol = unit.symbol();
        let loading = value - reading.to_f64();
        let scatter = self.scatter_about(reading.to_f64());
        let mut answer = Answer::default();
        answer.exact("deviates by at most, by the data sheet", half_width, symbol);
        if averaged.is_some() {
            answer.exact("mean of the readings", reading.to_f64(), symbol);
            answer.exact("furthest reading from it", scatter, symbol);
        }
        if loading != 0.0 {
            answer.exact(self.without_the_meter(), value, symbol);
        }
        let reach = half_width + LOADING_LEFT * loading.abs() + scatter;
        answer.exact("from", value - reach, symbol);
        answer.exact("to", value + reach, symbol);
        let level = shown(uncertainty.level, "%");
        answer.estimate("standard uncertainty", uncertainty.standard.to_f64(), symbol);
        answer.estimate(
            format!("expanded uncertainty, {level}"),
            uncertainty.expanded.to_f64(),
            symbol,
        );
        self.changed(loading / reading.to_f64(), &mut answer);
        if self.of_reading.max(self.of_range) > TESTER_MAX {
            let most = shown(TESTER_MAX, "%");
            let text = format!(
                "even a tester of insulation deviates by {most} at most (IEC 61557, from memory): check the per cent"
            );
            answer.remark(Remark::Warning, text);
        }
        Ok(answer)
    }
}

/// The most that a tester of insulation or of an earth may deviate in use (IEC 61557-2 and -3, from memory); meters are better.
const TESTER_MAX: f64 = 0.3;

/// A meter that changes its circuit by more than this measures another circuit (common practice, no source).
const CHANGED_MAX: f64 = 0.2;

impl Arguments {
    /// Refuses to promise for a meter of which nothing is known, or nothing that can be.
    fn has_an_accuracy(&self) -> Result<(), Fault> {
        if self.of_reading > 1.0 || self.of_range > 1.0 {
            return Err(Fault::usage("no meter errs by more than all of it")
                .help("check the per cent: 0.5 % is half of one"));
        }
        if self.count.dimension == self.range.dimension && self.count.value > self.range.value {
            return Err(Fault::usage("one count is more than the whole range")
                .help("check the prefixes of --count and --range"));
        }
        if self.of_reading > 0.0 || self.of_range > 0.0 || self.counts > 0 {
            return Ok(());
        }
        let help = "give --of-reading, --of-range or --counts from the data sheet";
        Err(Fault::usage("nothing is said about how exact the meter is").help(help))
    }

    /// Every reading that was given.
    fn readings(&self) -> impl Iterator<Item = &Quantity> {
        [&self.reading].into_iter().chain(&self.again)
    }

    /// The mean of several readings, with what their scatter makes uncertain; none for a single one.
    ///
    /// The mean keeps a hundredth of a count: what is beyond is noise of the arithmetic.
    fn averaged(&self) -> Result<Option<Estimate>, Fault> {
        if self.again.is_empty() {
            return Ok(None);
        }
        let readings: Vec<_> = self.readings().copied().collect();
        let scattered = Estimate::average("scatter", &readings).ok_or_else(|| {
            Fault::usage("the readings are not of one kind").help("write them all in one unit")
        })?;
        let places = 2_i32.saturating_sub(self.count.to_f64().log10().floor() as i32);
        let scale = 10_f64.powi(places);
        let rounded = (scattered.value.to_f64() * scale).round() / scale;
        let value = Quantity::from_f64(rounded, scattered.value.dimension);
        Ok(Some(Estimate { value: value.unwrap_or(scattered.value), ..scattered }))
    }

    /// How far the furthest reading is from their mean.
    fn scatter_about(&self, mean: f64) -> f64 {
        self.readings().map(|reading| (reading.to_f64() - mean).abs()).fold(0.0, f64::max)
    }

    fn without_the_meter(&self) -> &'static str {
        match self.reading.dimension {
            Dimension::RESISTANCE => "without the leads",
            _ => "before the meter loads it",
        }
    }

    /// Says what was corrected for, and how well that is known.
    fn changed(&self, part: f64, answer: &mut Answer) {
        let part = part.abs();
        // A reading of 0 has nothing taken away.
        if part.is_nan() || part == 0.0 {
            return;
        }
        let (share, left) = (shown(part, "%"), shown(LOADING_LEFT, "%"));
        let cause = match self.reading.dimension {
            Dimension::RESISTANCE => format!("the leads are in the reading: {share} is taken off"),
            Dimension::CURRENT => {
                format!("the meter's burden lowers the current: {share} is added to the reading")
            }
            _ => format!("the meter loads its source: {share} is added to the reading"),
        };
        answer.remark(Remark::Note, format!("{cause}, and {left} of that counts as not known"));
        if part > CHANGED_MAX {
            let text = "the meter changes what it measures by much: zero the leads, or take another meter or way";
            answer.remark(Remark::Warning, text);
        }
    }

    fn accuracy(&self) -> Accuracy {
        Accuracy {
            range: self.range,
            count: self.count,
            of_reading: computed(self.of_reading, Dimension::NONE),
            counts: self.counts,
            of_range: computed(self.of_range, Dimension::NONE),
            outside_span: None,
            input_resistance: self.input.map(|ohms| computed(ohms, Dimension::RESISTANCE)),
            leads: self.leads.map(|ohms| computed(ohms, Dimension::RESISTANCE)),
        }
    }
}

/// A quantity of a number that an option read, which is finite.
fn computed(value: f64, dimension: Dimension) -> Quantity {
    Quantity::from_f64(value, dimension).unwrap_or(Quantity::new(Decimal::ZERO, dimension))
}

#[cfg(test)]
mod tests {
    use super::Remark;
    use crate::cli::verb::work_out::tests::{near, refusal, work_out};

    /// Rows: a distributor's page on a 5000-count meter, an exam page, two made up and recomputed.
    #[test]
    fn accuracy_strings_become_numbers() {
        for (line, half_width, standard) in [
            (
                "--reading 2.000V --range 5V --count 1mV --of-reading 0.08% --counts 2",
                0.0036,
                0.002078,
            ),
            (
                "--reading 100V --range 200V --count 0.01V --of-reading 0.2% --counts 10",
                0.3,
                0.1732,
            ),
            (
                "--reading 35.02V --range 60V --count 0.01V --of-reading 0.5% --counts 3",
                0.2051,
                0.118_415,
            ),
            (
                "--reading -230.4V --range 600V --count 0.1V --of-reading 1% --counts 4",
                2.704,
                1.561_155,
            ),
        ] {
            let answer = work_out(&format!("meter {line}"));
            near(answer.number_of("deviates by at most, by the data sheet"), half_width, 1e-9);
            near(answer.number_of("standard uncertainty"), standard, 1e-3);
            // One rectangular term alone: 95 % of its half-width.
            near(answer.number_of("expanded uncertainty, 95 %"), 0.95 * half_width, 1e-3);
        }
    }

    #[test]
    fn parts_that_do_not_fit_are_refused() {
        let error = refusal("meter --reading 2V --range 5A --count 1mV --counts 2");
        assert!(error.contains("`range` of the accuracy is current"), "{error}");
        let beyond = refusal("meter --reading 7V --range 6V --count 1mV --counts 2");
        assert!(beyond.contains("beyond the range"), "{beyond}");
        let unknown = refusal("meter --reading 5V --range 6V --count 1mV");
        assert!(unknown.contains("how exact the meter is"), "{unknown}");
    }

    #[test]
    fn a_meter_that_would_short_or_block_what_it_measures_is_refused() {
        let burden = "meter --reading 35.02mA --range 60mA --count 10uA --of-reading 1%";
        let error = refusal(&format!("{burden} --input 10Mohm --source 1kohm"));
        assert!(
            error.contains("an --input of 10 Mohm would be in the way of any current"),
            "{error}"
        );
        let voltage = "meter --reading 5V --range 60V --count 10mV --of-reading 1%";
        let error = refusal(&format!("{voltage} --input 2ohm --source 1kohm"));
        assert!(error.contains("would short what it measures"), "{error}");
        let leads = "meter --reading 1.5ohm --range 60ohm --count 10mohm --of-reading 0.5% --leads";
        for all in ["2ohm", "1.5ohm"] {
            let error = refusal(&format!("{leads} {all}"));
            assert!(error.contains("the leads are all of the reading"), "{error}");
        }
        near(work_out(&format!("{leads} 0.2ohm")).number_of("without the leads"), 1.3, 1e-9);
    }

    /// Five readings about 10 V with a mean of 10.02 V and s = 15.811 mV: 7.0711 mV of scatter on the mean, with 4 degrees
    /// of freedom (GUM 4.2.3, recomputed); the meter's 20 mV is 11.547 mV of its own.
    #[test]
    fn readings_that_scatter_are_less_well_known() {
        let line = "meter --reading 10.00V --range 20V --count 1mV --counts 20";
        let several = work_out(&format!("{line} --again 10.01V,10.02V,10.03V,10.04V"));
        near(several.number_of("mean of the readings"), 10.02, 1e-12);
        near(several.number_of("furthest reading from it"), 0.02, 1e-9);
        near(several.number_of("standard uncertainty"), 0.013_540, 1e-4);
        near(several.number_of("from"), 10.02 - 0.02 - 0.02, 1e-9);
        let one = work_out(line);
        let expanded = "expanded uncertainty, 95 %";
        assert!(several.number_of(expanded) > one.number_of(expanded));
        let mixed = refusal(&format!("{line} --again 10mA"));
        assert!(mixed.contains("not of one kind"), "{mixed}");
        let beyond = refusal(&format!("{line} --again 21V"));
        assert!(beyond.contains("beyond the range"), "{beyond}");
    }

    /// 10/11 of 38.522 V are shown behind 1 Mohm by a meter of 10 Mohm.
    #[test]
    fn what_a_meter_takes_away_is_added_back() {
        let line = "--reading 35.02V --range 60V --count 0.01V --of-reading 0.5% --counts 3";
        let loaded = work_out(&format!("meter {line} --input 10Mohm --source 1Mohm"));
        near(loaded.number_of("before the meter loads it"), 38.522, 1e-9);
        near(loaded.number_of("from"), 38.522 - 0.2051 - 0.3502, 1e-9);
        near(loaded.number_of("to"), 38.522 + 0.2051 + 0.3502, 1e-9);
        assert!(loaded.remarks_on(Remark::Note, "10 % is added to the reading"));
    }

    /// 38.522 mA are 35.02 mA with 10 % more in the way; 0.22 ohm are 0.4 ohm with 0.18 ohm of leads.
    #[test]
    fn a_burden_lies_in_series_and_leads_are_taken_off() {
        let line =
            "meter --reading 35.02mA --range 60mA --count 0.01mA --of-reading 0.5% --counts 3";
        let burdened = work_out(&format!("{line} --input 100ohm --source 1kohm"));
        near(burdened.number_of("before the meter loads it"), 38.522e-3, 1e-9);
        assert!(burdened.remarks_on(Remark::Note, "burden lowers the current: 10 % is added"));
        let line = "meter --reading 0.4ohm --range 600ohm --count 0.01ohm --counts 2";
        let led = work_out(&format!("{line} --leads 0.18ohm"));
        near(led.number_of("without the leads"), 0.22, 1e-9);
        assert!(led.remarks_on(Remark::Warning, "zero the leads"));
        assert!(
            refusal(&format!("{line} --input 10Mohm --source 1ohm")).contains("does not go with")
        );
    }
}
