//! `work-out rail`: a mains rectifier with its reservoir.

use super::answer::{Answer, Remark, rounded};
use super::diode;
use super::hazard;
use super::option::{above_zero, from_zero, mains_hertz};
use super::topic::Topic;
use super::topology::TopologyChoice;
use crate::physics::rectifier::{self, Fitted, Load, Rail, rules, secondary};
use crate::physics::stored_energy::ChargedCapacitor;
use crate::shell::fault::Fault;

/// No mains transformer on a bench has more (V; common practice, no source).
const SECONDARY_MAX_V: f64 = 10e3;

#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("behind").required(true).args(["winding", "rating"]))]
pub(super) struct Arguments {
    /// Secondary as printed, for rated load; one half of a centre-tapped one
    #[arg(long, value_name = "V", value_parser = above_zero("V"))]
    secondary: f64,
    /// Resistance behind the secondary, with the primary's share
    #[arg(long, value_name = "OHM", value_parser = above_zero("ohm"))]
    winding: Option<f64>,
    /// Or the rating of that winding, or half of it, from which the resistance follows with --rise
    #[arg(long, value_name = "VA", value_parser = above_zero("VA"), requires = "rise")]
    rating: Option<f64>,
    /// Reservoir on each rail
    #[arg(long, value_name = "UF", value_parser = above_zero("uF"))]
    reservoir: f64,
    /// Load of each rail
    #[arg(long, value_name = "A", value_parser = from_zero("A"))]
    load: f64,
    /// How the winding feeds the reservoir
    #[arg(long, value_enum, default_value_t)]
    topology: TopologyChoice,
    /// The rectifier: `small` (1 A), `standard` (3 A), the amps of a bridge, or what each diode drops, as `0.4V`; chosen by the load without it
    #[arg(long, value_name = "KIND", value_parser = diode::fitted)]
    diode: Option<Fitted>,
    /// Mains frequency
    #[arg(long, value_name = "HZ", value_parser = mains_hertz, default_value = "50Hz")]
    mains_hz: f64,
    /// How far the mains may deviate
    #[arg(long, value_name = "%", value_parser = from_zero("%"), default_value = "10%")]
    mains_tolerance: f64,
    /// How much higher the secondary is off load than printed
    #[arg(long, value_name = "%", value_parser = from_zero("%"))]
    rise: Option<f64>,
}

impl Topic for Arguments {
    fn work_out(&self) -> Result<Answer, Fault> {
        if self.secondary > SECONDARY_MAX_V {
            return Err(Fault::usage("no mains transformer has such a secondary")
                .help("check the prefix of --secondary"));
        }
        if self.mains_tolerance >= 1.0 {
            return Err(Fault::usage(
                "the mains cannot deviate by all of itself: give less than 100 %",
            ));
        }
        let nominal = self.steady(1.0)?;
        let low = self.steady(1.0 - self.mains_tolerance)?;
        let high = self.steady(1.0 + self.mains_tolerance)?;
        let mut answer = Answer::default();
        answer.estimate("rail", nominal.average_v, "V");
        answer.estimate("ripple, peak to peak", nominal.ripple_v(), "V");
        answer.estimate("highest of the ripple", nominal.peak_v, "V");
        answer.estimate("lowest of the ripple", nominal.valley_v, "V");
        answer.estimate("rail on low mains", low.average_v, "V");
        answer.estimate("rail on high mains", high.average_v, "V");
        let off_load = self.off_load_v(1.0 + self.mains_tolerance);
        answer.estimate("off load on high mains at most", off_load, "V");
        answer.estimate("winding current, rms", nominal.winding_rms_a, "A");
        answer.estimate("winding current, peak", nominal.winding_peak_a, "A");
        self.remarks(&nominal, &mut answer);
        diode::remark(self.diode, self.fitted(), &mut answer);
        let charged = ChargedCapacitor { capacitance: self.reservoir, voltage: off_load };
        hazard::remarks(&mut answer, charged);
        if self.topology == TopologyChoice::Split {
            let across = rounded(2.0 * off_load, "V");
            answer.remark(Remark::Hazard, format!("up to {across} from rail to rail"));
        }
        Ok(answer)
    }
}

impl Arguments {
    fn steady(&self, mains_ratio: f64) -> Result<Rail, Fault> {
        let supply = rectifier::RailSupply {
            topology: self.topology.rectifier(),
            secondary_v: self.sine_v(mains_ratio),
            winding_ohm: self.winding_ohm(),
            mains_hz: self.mains_hz,
            diode: self.fitted().diode(),
            reservoir_f: self.reservoir,
            load: Load::Current(self.load),
        };
        supply.steady().map_err(Fault::usage)
    }

    /// The rectifier that was given, or goes with the load.
    fn fitted(&self) -> Fitted {
        self.diode.unwrap_or_else(|| Fitted::for_load(self.load))
    }

    fn sine_v(&self, mains_ratio: f64) -> f64 {
        secondary::sine_v(self.secondary, mains_ratio, self.rise.unwrap_or_default())
    }

    fn winding_ohm(&self) -> f64 {
        let rise = self.rise.unwrap_or_default();
        let rated = self.rating.map(|rating| secondary::winding_ohm(self.secondary, rating, rise));
        self.winding.or(rated).unwrap_or_default()
    }

    /// The crest, with no diode to take of it.
    fn off_load_v(&self, mains_ratio: f64) -> f64 {
        rules::off_load_peak_v(self.sine_v(mains_ratio), self.topology.rectifier(), 0.0)
    }

    fn remarks(&self, nominal: &Rail, answer: &mut Answer) {
        let topology = self.topology.rectifier();
        let crest = self.off_load_v(1.0);
        let ripple = rules::ripple_v(self.load, self.mains_hz, self.reservoir, topology);
        // Between two crests the load would take more out of the reservoir than there is in it.
        let is_emptied = ripple >= crest;
        if nominal.load_a < 0.99 * self.load {
            let takes_all = self.load * self.winding_ohm() >= crest;
            let cause = match is_emptied && !takes_all {
                true => "the reservoir cannot hold this load from one crest to the next",
                false => "the winding cannot give this load",
            };
            answer.remark(Remark::Warning, format!("not practical: {cause}"));
        }
        let mut by_hand = format!("by hand: rail below {}", rounded(crest, "V"));
        if !is_emptied {
            by_hand = format!("{by_hand}, ripple below {}", rounded(ripple, "V"));
        }
        answer.remark(Remark::Rule, by_hand);
        if matches!(self.topology, TopologyChoice::Single | TopologyChoice::Split)
            && self.load > 0.0
        {
            self.winding_rule(nominal, answer);
        }
        if self.rise.is_none() {
            let text = "taken as an off-load secondary: give --rise for a printed one";
            answer.remark(Remark::Note, text);
        }
    }

    /// The makers' rule of thumb beside what the winding really carries.
    fn winding_rule(&self, nominal: &Rail, answer: &mut Answer) {
        let counted = rules::makers_secondary_a(self.load);
        let carried = rounded(nominal.winding_rms_a, "A");
        let (kind, judged) = if nominal.winding_rms_a > counted {
            (Remark::Warning, "rate the winding for the latter")
        } else {
            (Remark::Rule, "a winding rated so carries it")
        };
        let counted = rounded(counted, "A");
        let text = format!(
            "toroid makers count {counted} of winding current for this load, and {carried} flow: {judged}"
        );
        answer.remark(kind, text);
    }
}

#[cfg(test)]
mod tests {
    use super::Remark;
    use crate::cli::verb::work_out::tests::{near, refusal, work_out};

    /// Rows of `tests/data/rails.csv`, made with an independent circuit simulator.
    #[test]
    fn simulated_rails_are_met() {
        let answer = work_out(
            "rail --topology split --secondary 12V --winding 0.3ohm --reservoir 4700uF --load 0.1A",
        );
        near(answer.number_of("rail"), 15.6871, 0.01);
        near(answer.number_of("ripple, peak to peak"), 0.17959, 0.03);
        near(answer.number_of("winding current, rms"), 0.2865, 0.03);
        near(answer.number_of("winding current, peak"), 1.0407, 0.03);
    }

    #[test]
    fn the_rectifier_goes_with_the_load_and_is_told() {
        let given = "rail --secondary 12V --winding 0.05ohm --reservoir 47mF --load 8A";
        let chosen = work_out(given);
        assert!(chosen.remarks_on(Remark::Note, "a bridge of 25 A, chosen by the load"));
        let small = work_out(&format!("{given} --diode small"));
        assert!(small.remarks_on(Remark::Note, "rectifier: small diodes of 1 A"));
        assert!(small.number_of("rail") < 0.95 * chosen.number_of("rail"));
        let bridge = work_out(&format!("{given} --diode 25A"));
        near(bridge.number_of("rail"), chosen.number_of("rail"), 1e-12);
        let schottky = work_out(&format!("{given} --diode 0.4V"));
        assert!(schottky.remarks_on(Remark::Note, "diodes that drop 0.4 V each"));
        assert!(schottky.number_of("rail") > chosen.number_of("rail"));
        assert!(refusal(&format!("{given} --diode big")).contains("`small`, `standard`"));
    }

    /// The low and the high rail are the rail of a winding that much lower or higher: mains times 0.9 and 1.1 is winding times
    /// 0.9 and 1.1. So each is met by a row of its own of the independent circuit simulator, at 12 V.
    #[test]
    fn low_and_high_mains_are_rails_of_their_own() {
        let at = |volts: f64, name: &str| {
            let answer = work_out(&format!(
                "rail --topology split --secondary {volts}V --winding 0.3ohm --reservoir 4700uF --load 0.1A"
            ));
            answer.number_of(name)
        };
        near(at(12.0 / 0.9, "rail on low mains"), 15.6871, 0.01);
        near(at(12.0 / 1.1, "rail on high mains"), 15.6871, 0.01);
    }

    /// A transformer maker's rule for a bridge ahead of a regulator: 1.03 Vdc + 4.13 V of secondary at 117 V leave the regulator its 3 V
    /// on a low line of 98 V, with a ripple of a tenth of Vdc. So the rail is then Vdc, 3 V and half the ripple; the rule counts
    /// the winding in with a tenth of the crest, so it is met to a twentieth.
    #[test]
    fn a_published_rule_leaves_the_regulator_its_volts_on_low_mains() {
        for (regulated, winding, reservoir) in
            [(12.0, "0.3ohm", "5.6mF"), (24.0, "0.6ohm", "2.8mF")]
        {
            let secondary = 1.03 * regulated + 4.13;
            let answer = work_out(&format!(
                "rail --secondary {secondary}V --winding {winding} --reservoir {reservoir} --load 1A --mains-hz 60Hz \
                 --mains-tolerance 16.24%"
            ));
            near(answer.number_of("ripple, peak to peak"), 0.1 * regulated, 0.1);
            near(answer.number_of("rail on low mains"), 1.05 * regulated + 3.0, 0.05);
        }
    }

    #[test]
    fn mains_and_rise_move_the_rail() {
        let answer = work_out(
            "rail --secondary 36V --rating 300VA --rise 8% --reservoir 10mF --load 0.3A --mains-tolerance 6%",
        );
        near(
            answer.number_of("off load on high mains at most"),
            36.0 * 1.08 * 1.06 * 2_f64.sqrt(),
            1e-9,
        );
        assert!(answer.number_of("rail on low mains") < answer.number_of("rail"));
        assert!(answer.number_of("rail") < answer.number_of("rail on high mains"));
        assert!(answer.remarks_on(Remark::Hazard, "guard live parts"));
        assert!(!answer.remarks_on(Remark::Note, "--rise"));
    }

    #[test]
    fn a_load_beyond_the_winding_is_not_practical() {
        let answer = work_out("rail --secondary 12V --winding 10ohm --reservoir 1mF --load 5A");
        assert!(answer.remarks_on(Remark::Warning, "the winding cannot give this load"));
        let error = refusal("rail --secondary 12V --rating 50VA --reservoir 1mF --load 1A");
        assert!(error.contains("--rise"));
    }

    #[test]
    fn a_reservoir_that_is_emptied_is_the_cause_and_has_no_ripple_by_hand() {
        let answer = work_out("rail --secondary 24V --winding 0.5ohm --reservoir 1nF --load 1A");
        assert!(answer.remarks_on(Remark::Warning, "the reservoir cannot hold this load"));
        assert!(!answer.remarks_on(Remark::Warning, "the winding cannot give"));
        assert!(!answer.remarks_on(Remark::Rule, "ripple below"));
    }

    #[test]
    fn the_makers_rule_says_on_which_side_the_winding_is() {
        let stiff = work_out(
            "rail --secondary 36V --winding 0.5ohm --rise 8% --reservoir 10mF --load 0.3A --topology split",
        );
        assert!(stiff.remarks_on(Remark::Warning, "rate the winding for the latter"));
        let soft = work_out("rail --secondary 12V --winding 3ohm --reservoir 1mF --load 0.5A");
        assert!(soft.remarks_on(Remark::Rule, "a winding rated so carries it"));
        let error = refusal("rail --secondary 40kV --winding 1ohm --reservoir 1mF --load 1A");
        assert!(error.contains("no mains transformer"), "{error}");
        let error = refusal("rail --secondary -12V --winding 1ohm --reservoir 1mF --load 1A");
        assert!(error.contains("it has to be above zero"), "{error}");
    }
}
