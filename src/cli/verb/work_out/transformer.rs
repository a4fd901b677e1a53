//! A transformer, a rectifier and its reservoir behind a lamp, as they are given on the command line.

use super::answer::{Answer, Remark, rounded};
use super::diode;
use super::hazard;
use super::option::{above_zero, either, from_zero, mains_hertz};
use super::topology::TopologyChoice;
use crate::physics::lamp;
use crate::physics::rectifier::{Fitted, Load, Rail, RailSupply, rules};
use crate::physics::stored_energy::ChargedCapacitor;

/// Equipment with a transformer: the options beside `--secondary`.
#[derive(Debug, clap::Args)]
pub(super) struct TransformerOptions {
    /// Equipment with a transformer: its secondary off load, at --mains; one half of a centre-tapped one
    #[arg(long, value_name = "V", value_parser = above_zero("V"),
        requires_all = ["primary", "winding", "reservoir", "rail_load"])]
    secondary: Option<f64>,
    /// Resistance of its primary
    #[arg(long, value_name = "OHM", value_parser = from_zero("ohm"), requires = "secondary")]
    primary: Option<f64>,
    /// Resistance of that secondary, without the primary's share
    #[arg(long, value_name = "OHM", value_parser = from_zero("ohm"), requires = "secondary")]
    winding: Option<f64>,
    /// Reservoir on each rail
    #[arg(long, value_name = "UF", value_parser = above_zero("uF"), requires = "secondary")]
    reservoir: Option<f64>,
    /// Load of each rail: a steady current in A, or a resistance in ohm
    #[arg(long, value_name = "A|OHM", value_parser = load, requires = "secondary")]
    rail_load: Option<Load>,
    /// How the winding feeds the reservoir
    #[arg(long, value_enum, default_value_t, requires = "secondary")]
    topology: TopologyChoice,
    /// The rectifier: `small` (1 A), `standard` (3 A), or the amps of a bridge; chosen by the load without it
    #[arg(long, value_name = "KIND", value_parser = diode::fitted, requires = "secondary")]
    diode: Option<Fitted>,
    /// Magnetising current of the transformer
    #[arg(long, value_name = "A", value_parser = from_zero("A"), requires = "secondary")]
    magnetising: Option<f64>,
    /// Mains frequency
    #[arg(long, value_name = "HZ", value_parser = mains_hertz, default_value = "50Hz",
        requires = "secondary")]
    mains_hz: f64,
}

impl TransformerOptions {
    /// What is behind the lamp, when that is a transformer.
    pub(super) fn supply(&self) -> Option<RailSupply> {
        Some(RailSupply {
            topology: self.topology.rectifier(),
            secondary_v: self.secondary?,
            winding_ohm: self.winding?,
            mains_hz: self.mains_hz,
            diode: self.fitted()?.diode(),
            reservoir_f: self.reservoir?,
            load: self.rail_load?,
        })
    }

    /// The rectifier that was given, or goes with what the load takes off load volts.
    fn fitted(&self) -> Option<Fitted> {
        let ampere = match self.rail_load? {
            Load::Current(ampere) => ampere,
            Load::Resistance(ohm) => std::f64::consts::SQRT_2 * self.secondary? / ohm,
        };
        Some(self.diode.unwrap_or_else(|| Fitted::for_load(ampere)))
    }

    /// The transformer as its primary shows it on this mains.
    pub(super) fn primary(&self, mains: f64) -> lamp::Transformer {
        lamp::Transformer {
            primary_v: mains,
            primary_ohm: self.primary.unwrap_or_default(),
            magnetising_a: self.magnetising.unwrap_or_default(),
        }
    }

    /// Adds what a rail reads behind the lamp.
    pub(super) fn values(rail: &Rail, answer: &mut Answer) {
        answer.estimate("rail behind the lamp", rail.average_v, "V");
        answer.estimate("its ripple, peak to peak", rail.ripple_v(), "V");
    }

    /// Adds what a person has to know of it.
    pub(super) fn remarks(&self, supply: &RailSupply, answer: &mut Answer) {
        if let Some(counted) = self.fitted() {
            diode::remark(self.diode, counted, answer);
        }
        if self.magnetising.is_none() {
            let text = "magnetising current is taken as zero: give --magnetising if it is known";
            answer.remark(Remark::Note, text);
        }
        let text =
            "the lamp flashes while the reservoirs charge: judge it when the rails stand still";
        answer.remark(Remark::Note, text);
        // With next to nothing drawn the lamp takes nothing, and the reservoir charges to the crest.
        let voltage = rules::off_load_peak_v(supply.secondary_v, supply.topology, 0.0);
        hazard::remarks(answer, ChargedCapacitor { capacitance: supply.reservoir_f, voltage });
        if self.topology == TopologyChoice::Split {
            let across = rounded(2.0 * voltage, "V");
            answer.remark(Remark::Hazard, format!("up to {across} from rail to rail"));
        }
    }
}

fn load(text: &str) -> Result<Load, String> {
    let (size, is_ohm) = either(text, ["A", "ohm"], "`0.1 A` or `500 ohm`")?;
    Ok(if is_ohm { Load::Resistance(size) } else { Load::Current(size) })
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::Remark;
    use crate::cli::verb::work_out::tests::{near, refusal, work_out};

    /// Rows of sound transformers on a lamp, made with an independent circuit simulator: 200 VA, 2 x 35 V, 8 %
    /// regulation, 26 mA of magnetising current at 230 V.
    #[test]
    fn simulated_transformers_behind_a_lamp_are_met() {
        let table = include_str!("../../../../tests/data/lamp.csv");
        let names: Vec<_> = table.lines().next().unwrap().split(',').collect();
        let mut rows = 0;
        for line in table.lines().filter(|line| line.starts_with("transformer,")) {
            let text = |name: &str| {
                let column = names.iter().position(|head| *head == name).unwrap();
                line.split(',').nth(column).unwrap()
            };
            if text("fault") != "none" {
                continue;
            }
            rows += 1;
            let number = |name: &str| text(name).parse::<f64>().unwrap();
            let mains = number("mains_v");
            let answer = work_out(&format!(
                "lamp --lamp {} --mains {mains}V --mains-hz {} --secondary 35V --winding 0.49ohm --primary {}ohm \
                 --magnetising {}A --reservoir 10mF --rail-load {}ohm --topology split",
                text("lamp_w"),
                text("f_hz"),
                0.04 * mains * mains / 200.0,
                0.02608 * 230.0 / mains,
                text("load_ohm"),
            ));
            near(answer.number_of("rail behind the lamp"), number("rail_p"), 0.02);
            near(answer.number_of("left to the equipment"), number("unit_v_rms"), 0.02);
            near(answer.number_of("current"), number("lamp_i_rms"), 0.02);
        }
        assert_eq!(rows, 12, "sound transformer rows");
    }

    const GIVEN: &str =
        "lamp --lamp 60W --secondary 31V --primary 8.5ohm --winding 0.22ohm --reservoir 10mF";

    #[test]
    fn a_heavier_load_brightens_the_lamp_and_lowers_the_rail() {
        let idle = work_out(&format!("{GIVEN} --rail-load 25mA --topology split"));
        let loaded = work_out(&format!("{GIVEN} --rail-load 0.5A --topology split"));
        assert_eq!(idle.text_of("glow"), "dark");
        assert!(loaded.number_of("filament") > idle.number_of("filament"));
        let rails = [&idle, &loaded].map(|answer| answer.number_of("rail behind the lamp"));
        assert!(rails[0] > rails[1], "{rails:?}");
        assert!(loaded.remarks_on(Remark::Warning, "not practical"));
        assert!(idle.remarks_on(Remark::Hazard, "from rail to rail"));
        assert!(idle.remarks_on(Remark::Note, "--magnetising"));
        let single = work_out(&format!("{GIVEN} --rail-load 25mA --magnetising 10mA"));
        assert!(!single.remarks_on(Remark::Hazard, "from rail to rail"));
        assert!(!single.remarks_on(Remark::Note, "--magnetising"));
    }

    #[test]
    fn what_is_missing_or_does_not_go_together_is_refused() {
        assert!(refusal(GIVEN).contains("--rail-load"));
        assert!(refusal(&format!("{GIVEN} --rail-load 3V")).contains("is neither"));
        assert!(refusal(&format!("{GIVEN} --rail-load 1A --load 30W")).contains("--load"));
        for stray in ["--reservoir 10mF", "--topology split", "--mains-hz 60Hz"] {
            let error = refusal(&format!("lamp --lamp 60W --load 30W {stray}"));
            assert!(error.contains("--secondary"), "{stray}: {error}");
        }
        let half = format!("{GIVEN} --rail-load 25mA --topology half-wave");
        assert!(refusal(&half).contains("half-wave rectifier magnetises"));
    }
}
