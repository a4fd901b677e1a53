//! `work-out bias`: an output stage at idle.

use super::answer::{Answer, Remark, shown};
use super::option::{above_zero, from_zero, read, whole};
use super::topic::Topic;
use crate::physics::output_stage::{self, HeatPath, JUNCTION_MAX_C};
use crate::shell::fault::Fault;

/// The most heat that an output device in one package gets rid of with its case at room temperature (W; common practice, no
/// source).
const DEVICE_MAX_W: f64 = 300.0;

#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("way").required(true).args(["drop", "between", "idle"]))]
pub(super) struct Arguments {
    /// Emitter or source resistor of each device
    #[arg(long, value_name = "OHM", value_parser = above_zero("ohm"))]
    resistor: f64,
    /// Drop across one resistor
    #[arg(long, value_name = "V", value_parser = from_zero("V"))]
    drop: Option<f64>,
    /// Voltage between the two emitters or sources of a pair
    #[arg(long, value_name = "V", value_parser = from_zero("V"))]
    between: Option<f64>,
    /// Idle current of each device, to be set
    #[arg(long, value_name = "A", value_parser = above_zero("A"))]
    idle: Option<f64>,
    /// Each rail, without its sign
    #[arg(long, value_name = "V", value_parser = above_zero("V"))]
    rail: f64,
    /// Output pairs in parallel
    #[arg(long, value_name = "COUNT", value_parser = whole(1..=255), default_value = "1")]
    pairs: u32,
    /// Load, for the heat while it plays
    #[arg(long, value_name = "OHM", value_parser = above_zero("ohm"))]
    load: Option<f64>,
    /// Temperature of the air
    #[arg(long, value_name = "DEGC", value_parser = |text: &str| read(text, "degC"), default_value = "25degC")]
    ambient: f64,
    /// Thermal resistance of the heatsink to the air
    #[arg(long, value_name = "K/W", value_parser = above_zero("K/W"), requires_all = ["case_to_sink", "junction_to_case"])]
    sink_to_air: Option<f64>,
    /// Thermal resistance of each case to the heatsink
    #[arg(long, value_name = "K/W", value_parser = from_zero("K/W"), requires = "sink_to_air")]
    case_to_sink: Option<f64>,
    /// Thermal resistance of each junction to its case
    #[arg(long, value_name = "K/W", value_parser = from_zero("K/W"), requires = "sink_to_air")]
    junction_to_case: Option<f64>,
}

impl Topic for Arguments {
    fn work_out(&self) -> Result<Answer, Fault> {
        let idle = self.idle_a();
        let drop = idle * self.resistor;
        if drop >= self.rail {
            return Err(Fault::usage("the drop is as large as the rail").help("check the prefixes"));
        }
        let mut answer = Answer::default();
        answer.estimate("idle current of each device", idle, "A");
        answer.estimate("drop across each resistor", drop, "V");
        answer.estimate("voltage between a pair", 2.0 * drop, "V");
        let pairs = f64::from(self.pairs);
        let stage_w = output_stage::stage_w(self.rail, self.rail, pairs * idle);
        let device_w = output_stage::device_w(self.rail, idle, self.resistor);
        answer.estimate("idle power of the stage", stage_w, "W");
        answer.estimate("heat of each device", device_w, "W");
        let resistor_w = output_stage::resistor_w(drop, self.resistor);
        answer.estimate("heat of each resistor", resistor_w, "W");
        if device_w > DEVICE_MAX_W {
            let most = shown(DEVICE_MAX_W, "W");
            let text = format!(
                "not practical: no output device takes more than {most} (common practice, no source); a number alone is in V or \
                 A: check the prefixes"
            );
            answer.remark(Remark::Warning, text);
        }
        if let Some(load) = self.load {
            let worst = output_stage::class_b_worst_w(self.rail, load);
            answer.estimate("most heat of the stage while it plays", worst, "W");
        }
        self.temperatures(device_w, stage_w, &mut answer);
        self.least_distortion(&mut answer);
        Ok(answer)
    }
}

impl Arguments {
    fn idle_a(&self) -> f64 {
        let by_drop = self.drop.map(|drop| output_stage::idle_a(drop, self.resistor));
        let between = || self.between.map(|v| output_stage::idle_between_a(v, self.resistor));
        by_drop.or_else(between).or(self.idle).unwrap_or_default()
    }

    fn temperatures(&self, device_w: f64, stage_w: f64, answer: &mut Answer) {
        let (Some(sink_to_air), Some(case_to_sink), Some(junction_to_case)) =
            (self.sink_to_air, self.case_to_sink, self.junction_to_case)
        else {
            return;
        };
        let path = HeatPath { junction_to_case, case_to_sink, sink_to_air };
        let settled = output_stage::temperatures(self.ambient, device_w, stage_w, &path);
        answer.estimate("heatsink when settled", settled.sink, "degC");
        answer.estimate("case when settled", settled.case, "degC");
        answer.estimate("junction when settled", settled.junction, "degC");
        let text = "temperatures are for this one stage alone on its heatsink, at idle";
        answer.remark(Remark::Note, text);
        if settled.junction > JUNCTION_MAX_C {
            let most = shown(JUNCTION_MAX_C, "degC");
            let text = format!(
                "not practical: no silicon stands this (makers' sheets say {most} or a little more, from memory); \
                 lower the idle current, or check --sink-to-air and the prefixes"
            );
            answer.remark(Remark::Warning, text);
        }
    }

    fn least_distortion(&self, answer: &mut Answer) {
        let idle =
            output_stage::oliver_idle_a(output_stage::thermal_voltage(self.ambient), self.resistor);
        answer.estimate("least-distortion idle, about", idle, "A");
        let text = "least distortion: for bipolar class AB (Oliver 1971), with the junctions at --ambient and no \
                    resistance inside; hotter ones raise it, resistance lowers it. For information; the maker's figure \
                    wins, and it is not for field-effect devices";
        answer.remark(Remark::Note, text);
    }
}

#[cfg(test)]
mod tests {
    use super::Remark;
    use crate::cli::verb::work_out::tests::{near, refusal, work_out};

    /// 1.005 kW on 1 K/W settle at 1030 degrees, which no transistor sees.
    #[test]
    fn a_heatsink_that_would_glow_is_not_practical() {
        let answer = work_out(
            "bias --resistor 0.1ohm --idle 10.05A --rail 50V --sink-to-air 1K/W --case-to-sink 0K/W \
             --junction-to-case 0K/W",
        );
        near(answer.number_of("heatsink when settled"), 1030.0, 1e-6);
        assert!(answer.remarks_on(Remark::Warning, "no silicon stands this"));
    }

    /// 45 A for 45 mA, and 10 V across a resistor for 10 mV.
    #[test]
    fn an_idle_current_that_no_device_stands_is_not_practical() {
        for line in ["--idle 45 --rail 50V", "--drop 10 --rail 50V", "--between 20 --rail 50V"] {
            let answer = work_out(&format!("bias --resistor 0.22ohm {line}"));
            assert!(answer.remarks_on(Remark::Warning, "no output device takes more"), "{line}");
        }
        let class_a = work_out("bias --resistor 0.22ohm --idle 2A --rail 60V");
        assert!(!class_a.remarks_on(Remark::Warning, "not practical"));
        let cold = work_out("bias --resistor 0.22ohm --drop 0mV --rail 50V");
        near(cold.number_of("idle current of each device"), 0.0, 0.0);
        for pairs in ["0", "2.5", "1e3", "256", "-1"] {
            let error =
                refusal(&format!("bias --resistor 1 --idle 0.1 --rail 50V --pairs {pairs}"));
            assert!(error.contains("a whole number from 1 to 255"), "{error}");
        }
    }

    /// A way of the heat is a ladder of resistances, with watts for amps and kelvins for volts (any thermal text). Worked by hand
    /// for 5 W from one junction and 15 W more on the heatsink, over 0.7, 0.5 and 0.6 K/W: the heatsink carries all 20 W,
    /// 20 x 0.6 = 12 K above the air; the case 5 x 0.5 = 2.5 K more, 14.5 K; the junction 5 x 0.7 = 3.5 K more, 18 K.
    #[test]
    fn the_way_of_the_heat_is_a_ladder_of_resistances() {
        let path = super::HeatPath { junction_to_case: 0.7, case_to_sink: 0.5, sink_to_air: 0.6 };
        let nodes = super::output_stage::temperatures(25.0, 5.0, 20.0, &path);
        near(nodes.sink, 25.0 + 12.0, 1e-12);
        near(nodes.case, 25.0 + 14.5, 1e-12);
        near(nodes.junction, 25.0 + 18.0, 1e-12);
    }

    /// Worked by hand: 10 mV across 0.22 ohm; (rail - I R) I.
    #[test]
    fn a_drop_gives_current_and_heat() {
        let answer = work_out("bias --resistor 0.22ohm --drop 10mV --rail 50V");
        near(answer.number_of("idle current of each device"), 45.4545e-3, 1e-5);
        near(answer.number_of("heat of each resistor"), 454.545e-6, 1e-5);
        near(answer.number_of("idle power of the stage"), 4.54545, 1e-5);
        near(answer.number_of("heat of each device"), 2.27227, 1e-5);
        let between = work_out("bias --resistor R22 --between 20mV --rail 50V");
        near(between.number_of("idle current of each device"), 45.4545e-3, 1e-5);
    }

    /// Oliver, HP Journal, February 1971 (formula in a summary that quotes it): 26 mV, which kT/q has at 28.57 degrees
    /// Celsius; answers recomputed.
    #[test]
    fn the_least_distortion_current_is_an_estimate() {
        for (emitter, idle) in
            [("0.10", 0.260), ("0.22", 0.118), ("0.33", 0.0788), ("0.47", 0.0553)]
        {
            let answer = work_out(&format!(
                "bias --resistor {emitter} --idle 50mA --rail 40V --ambient 28.57degC"
            ));
            near(answer.number_of("least-distortion idle, about"), idle, 2e-3);
        }
    }

    /// Worked by hand, with 2 V^2 / (pi^2 R) for the heat while it plays (any electronics text).
    #[test]
    fn heat_warms_the_way_to_the_air() {
        let answer = work_out(
            "bias --resistor 1ohm --idle 100mA --rail 50V --pairs 2 --load 8ohm --sink-to-air 0.6K/W \
             --case-to-sink 0.5K/W --junction-to-case 0.7K/W",
        );
        near(answer.number_of("heatsink when settled"), 37.0, 1e-9);
        near(answer.number_of("junction when settled"), 37.0 + 1.2 * 4.99, 1e-9);
        near(answer.number_of("most heat of the stage while it plays"), 63.3257, 1e-5);
        assert!(!answer.remarks_on(Remark::Warning, "not practical"));
        let alone = "bias --resistor 1 --idle 100mA --rail 50V --sink-to-air 0.6K/W";
        assert!(refusal(alone).contains("--case-to-sink"));
    }
}
