//! `work-out residual-current`: whether a residual-current device trips at a leakage current, and how soon.

use super::answer::{Answer, Remark, shown, shown_time, source};
use super::choice::by_name;
use super::option::{above_zero, from_zero};
use super::topic::Topic;
use crate::physics::residual_current::{DEVICES, ResidualCurrentDevice, TripCertainty};
use crate::shell::fault::Fault;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Part of the name of the device: `30mA`, or `class-A` (US)
    #[arg(long, value_name = "NAME", value_parser = device)]
    device: &'static ResidualCurrentDevice,
    /// Leakage behind it, of everything plugged in together, or the current of a tester
    #[arg(long, value_name = "A", value_parser = from_zero("A"))]
    current: f64,
    /// The time a tester measured at that current
    #[arg(long, value_name = "S", value_parser = above_zero("s"))]
    took: Option<f64>,
}

fn device(text: &str) -> Result<&'static ResidualCurrentDevice, String> {
    by_name(text, &DEVICES, |device| device.name)
}

impl Topic for Arguments {
    fn work_out(&self) -> Result<Answer, Fault> {
        let device = self.device;
        let mut answer = Answer::default();
        answer.words(
            "at this current",
            match device.at(self.current) {
                TripCertainty::No => "must not trip",
                TripCertainty::May => "may trip",
                TripCertainty::Must => "must trip",
            },
        );
        match device.time_at(self.current) {
            Some(time) => answer.exact("within", time.at_most, "s"),
            None if device.at(self.current) == TripCertainty::Must => {
                answer.words("within", "no figure was seen")
            }
            None => {}
        }
        answer.exact("must not trip up to", device.holds_to, "A");
        answer.exact("must trip from", device.trips_from, "A");
        let (name, place, origin) = (device.name, device.country, source(&device.source));
        answer.remark(Remark::Rule, format!("{name} ({place}): {origin}"));
        for time in device.times {
            let (from, most) = (shown(time.from, "A"), shown_time(time.at_most));
            let source = source(&time.source);
            answer.remark(Remark::Rule, format!("from {from} within {most}: {source}"));
        }
        self.judge(&mut answer);
        let text =
            "it doesn't protect behind an isolating transformer, nor between two live conductors";
        answer.remark(Remark::Hazard, text);
        Ok(answer)
    }
}

impl Arguments {
    /// Judges what a tester measured.
    fn judge(&self, answer: &mut Answer) {
        let Some(took) = self.took else { return };
        let measured = shown_time(took);
        let (kind, text) = match (self.device.at(self.current), self.device.time_at(self.current)) {
            (TripCertainty::No, _) => {
                (Remark::Warning, format!("it tripped after {measured} where it must not"))
            }
            (_, Some(time)) if took > time.at_most => (
                Remark::Hazard,
                format!("{measured} is too slow: don't rely on it, have it replaced"),
            ),
            (_, Some(_)) => (Remark::Rule, format!("{measured} is soon enough")),
            (_, None) => (Remark::Note, format!("there is no figure to judge {measured} by")),
        };
        answer.remark(kind, text);
    }
}

#[cfg(test)]
mod tests {
    use super::Remark;
    use crate::cli::verb::work_out::tests::{near, refusal, work_out};

    /// IEC 61008 and 61009 (quoted): up to 15 mA it holds, from 30 mA it breaks within 300 ms, from 150 mA within 40 ms.
    #[test]
    fn a_device_trips_where_and_when_it_is_published() {
        for (current, says) in [
            ("15mA", "must not trip"),
            ("16mA", "may trip"),
            ("29mA", "may trip"),
            ("30mA", "must trip"),
        ] {
            let answer = work_out(&format!("residual-current --device 30 --current {current}"));
            assert_eq!(answer.text_of("at this current"), says, "{current}");
        }
        let given = "residual-current --device 30 --current";
        near(work_out(&format!("{given} 30mA")).number_of("within"), 0.300, 1e-12);
        near(work_out(&format!("{given} 150mA")).number_of("within"), 0.040, 1e-12);
        let american = work_out("residual-current --device class --current 6mA");
        assert_eq!(american.text_of("within"), "no figure was seen");
    }

    #[test]
    fn a_measured_time_is_judged() {
        let at = |rest: &str| work_out(&format!("residual-current --device 30 --current {rest}"));
        assert!(at("30mA --took 300ms").remarks_on(Remark::Rule, "300 ms is soon enough"));
        assert!(at("30mA --took 301ms").remarks_on(Remark::Hazard, "too slow"));
        assert!(at("150mA --took 60ms").remarks_on(Remark::Hazard, "too slow"));
        assert!(at("15mA --took 20ms").remarks_on(Remark::Warning, "where it must not"));
        assert!(at("20mA --took 2s").remarks_on(Remark::Note, "no figure"));
        let error = refusal("residual-current --device F --current 30mA");
        assert!(error.contains("30mA; class-A"), "{error}");
    }
}
