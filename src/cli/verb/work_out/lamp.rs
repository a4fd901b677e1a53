//! `work-out lamp`: a filament lamp in series with the equipment.

use super::answer::{Answer, Remark, rounded, shown};
use super::option::{Several, above_zero, either, several_above_zero};
use super::topic::Topic;
use super::transformer::TransformerOptions;
use crate::physics::lamp::{Lamp, OnTransformer, OperatingPoint, TradeLamp, smallest_fitting};
use crate::physics::rectifier::Rail;
use crate::shell::fault::Fault;

#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("way").required(true).args(["load", "switching", "short", "secondary"]))]
pub(super) struct Arguments {
    /// Rated power of the lamp; of several (`40W,60W`), the smallest that fits is chosen
    #[arg(long, value_name = "W", required = true, value_parser = several_above_zero("W"))]
    lamp: Vec<Several>,
    /// Mains, which is also what the lamp is rated for
    #[arg(long, value_name = "V", value_parser = above_zero("V"), default_value = "230V")]
    mains: f64,
    /// Equipment: its resistance in ohm, or the power it draws straight from the mains in W
    #[arg(long, value_name = "W|OHM", value_parser = load)]
    load: Option<LampLoad>,
    /// Equipment that takes this power at any voltage, as a switching supply does
    #[arg(long, value_name = "W", value_parser = above_zero("W"))]
    switching: Option<f64>,
    /// A short behind the lamp
    #[arg(long)]
    short: bool,
    #[command(flatten)]
    transformer: TransformerOptions,
    /// The most of the mains that a fitting lamp takes from sound equipment
    #[arg(long, value_name = "%", value_parser = above_zero("%"), default_value = "20%")]
    most: f64,
}

/// A lamp, where it settles, and the rail behind it when there is one.
struct Settled {
    lamp: Lamp,
    point: OperatingPoint,
    rail: Option<Rail>,
}

/// Equipment that behaves as a resistance.
#[derive(Clone, Copy, Debug)]
enum LampLoad {
    Ohm(f64),
    Watt(f64),
}

impl LampLoad {
    fn ohm(self, mains: f64) -> f64 {
        match self {
            Self::Ohm(ohm) => ohm,
            Self::Watt(watt) => mains * mains / watt,
        }
    }
}

impl Topic for Arguments {
    fn work_out(&self) -> Result<Answer, Fault> {
        let mut answer = Answer::default();
        let Settled { lamp, point, rail } = self.settle(&mut answer)?;
        if self.short {
            answer.estimate("current", point.current_a, "A");
        } else {
            answer.estimate("left to the equipment", point.equipment_v, "V");
            answer.estimate("current", point.current_a, "A");
        }
        answer.estimate("across the lamp", point.lamp_v, "V");
        if !self.short {
            self.by_either_exponent(&lamp, &point, &mut answer);
        }
        if let Some(rail) = &rail {
            TransformerOptions::values(rail, &mut answer);
        }
        answer.words("glow", point.glow.to_string());
        answer.estimate("filament", point.filament_k, "K");
        let short = lamp.with_resistance(self.mains, 0.0).map_err(Fault::usage)?;
        if !self.short {
            answer.estimate("current into a short", short.current_a, "A");
        }
        answer.estimate("peak at switching on at most", lamp.switch_on_peak_a(self.mains), "A");
        self.trade(&lamp, &mut answer);
        if !self.short && point.lamp_v > self.most * self.mains {
            let text = "not practical: sound equipment would look faulty behind this lamp; fit a larger one";
            answer.remark(Remark::Warning, text);
        }
        let text = "behind a dark lamp the equipment still has the whole mains voltage: it limits current, not shock";
        answer.remark(Remark::Hazard, text);
        if let Some(supply) = self.transformer.supply() {
            self.transformer.remarks(&supply, &mut answer);
        }
        Ok(answer)
    }
}

impl Arguments {
    fn settle(&self, answer: &mut Answer) -> Result<Settled, Fault> {
        let rated = self.lamp.iter().flat_map(|several| &several.0);
        let lamps: Vec<_> = rated.map(|watt| Lamp::general_service(*watt, self.mains)).collect();
        if let [lamp] = lamps.as_slice() {
            return self.settle_one(*lamp);
        }
        let Some(load) = self.load else {
            return Err(Fault::usage("a lamp is chosen for a --load only").help("give one --lamp"));
        };
        let draw_w = self.mains * self.mains / load.ohm(self.mains);
        let fitting =
            smallest_fitting(&lamps, self.mains, draw_w, self.most).map_err(Fault::usage)?;
        let Some((lamp, point)) = fitting else {
            return Err(self.none_fits(&lamps, load));
        };
        answer.exact("lamp to fit", lamp.rated_w, "W");
        Ok(Settled { lamp, point, rail: None })
    }

    /// Says what the largest lamp takes, and what was asked for.
    fn none_fits(&self, lamps: &[Lamp], load: LampLoad) -> Fault {
        let settled = |lamp: &Lamp| lamp.with_resistance(self.mains, load.ohm(self.mains)).ok();
        let taken = lamps.iter().filter_map(settled).map(|point| point.lamp_v / self.mains);
        let least = rounded(taken.fold(1.0, f64::min), "%");
        let most = shown(self.most, "%");
        Fault::usage(format!(
            "even the largest lamp takes {least} of the mains, more than the {most} of --most"
        ))
        .help("give a larger --lamp, or power the equipment in another way")
    }

    fn settle_one(&self, lamp: Lamp) -> Result<Settled, Fault> {
        if let Some(supply) = self.transformer.supply() {
            let transformer = self.transformer.primary(self.mains);
            let settled = lamp.with_rectifier(self.mains, &transformer, &supply);
            let OnTransformer { lamp: point, rail } = settled.map_err(Fault::usage)?;
            return Ok(Settled { lamp, point, rail: Some(rail) });
        }
        let point = match (self.load, self.switching) {
            (Some(load), _) => lamp.with_resistance(self.mains, load.ohm(self.mains)),
            (None, Some(watt)) => lamp.with_power(self.mains, watt),
            (None, None) => lamp.with_resistance(self.mains, 0.0),
        };
        Ok(Settled { lamp, point: point.map_err(Fault::usage)?, rail: None })
    }

    /// Gives the range that both exponents of the heat loss give.
    fn by_either_exponent(&self, lamp: &Lamp, point: &OperatingPoint, answer: &mut Answer) {
        let Ok(other) = self.settle_one(lamp.as_measured()) else { return };
        let (low, high) =
            (point.lamp_v.min(other.point.lamp_v), point.lamp_v.max(other.point.lamp_v));
        let range = |low, high| format!("{} to {}", rounded(low, "V"), rounded(high, "V"));
        answer.words("across it, by either exponent", range(low, high));
        if let Some(rail) = &other.rail {
            let text =
                format!("with the other exponent the rail reads {}", rounded(rail.average_v, "V"));
            answer.remark(Remark::Note, text);
        }
        let text = "heat loss grows with the temperature to the power of 4 (measured) or 4.5 (tungsten's emissivity, from \
                    memory): give windows the width of both at least";
        answer.remark(Remark::Note, text);
    }

    /// What the trade's law says to the same load.
    fn trade(&self, lamp: &Lamp, answer: &mut Answer) {
        if let Some(load) = self.load {
            let trade = TradeLamp { rated_w: lamp.rated_w, rated_v: lamp.rated_v };
            let volts = rounded(trade.lamp_v(self.mains, load.ohm(self.mains)), "V");
            answer.remark(
                Remark::Rule,
                format!("by the trade's re-rating law the lamp takes {volts}"),
            );
        }
    }
}

fn load(text: &str) -> Result<LampLoad, String> {
    let (size, is_ohm) = either(text, ["W", "ohm"], "`30 W` or `500 ohm`")?;
    Ok(if is_ohm { LampLoad::Ohm(size) } else { LampLoad::Watt(size) })
}

#[cfg(test)]
mod tests {
    use super::Remark;
    use crate::cli::verb::work_out::tests::{near, refusal, work_out};

    /// Rows of `tests/data/lamp.csv`, made with an independent circuit simulator: 60 W and 40 W on 230 V.
    #[test]
    fn simulated_lamps_are_met() {
        let sixty = work_out("lamp --lamp 60W --load 30W");
        near(sixty.number_of("left to the equipment"), 197.86, 2e-3);
        near(sixty.number_of("current"), 0.11221, 2e-3);
        near(sixty.number_of("filament"), 1078.0, 5e-3);
        let short = work_out("lamp --lamp 40W --short");
        near(short.number_of("current"), 0.17391, 2e-3);
        assert!(short.text_of("glow").contains("full"));
    }

    /// The trade's law on 230 V with 60 W, recomputed: 1000 ohm leaves 82.0 V to the lamp.
    #[test]
    fn the_trade_s_law_stands_beside_it() {
        let answer = work_out("lamp --lamp 60W --load 1000ohm");
        assert!(answer.remarks_on(Remark::Rule, "82.0 V"));
        assert!(answer.remarks_on(Remark::Warning, "not practical"));
    }

    /// 32.14 V by an exponent of 4.5 and 29.15 V by 4 (both solved by bisection in another language).
    #[test]
    fn the_range_of_both_exponents_is_given() {
        let answer = work_out("lamp --lamp 60W --load 30W");
        assert_eq!(answer.text_of("across it, by either exponent"), "29.1 V to 32.1 V");
        assert!(answer.remarks_on(Remark::Note, "give windows the width of both"));
    }

    #[test]
    fn the_smallest_that_fits_is_chosen() {
        let answer = work_out("lamp --lamp 100W,25W,60W,40W --load 30W");
        near(answer.number_of("lamp to fit"), 60.0, 1e-12);
        let error = refusal("lamp --lamp 25W,40W --load 100W");
        assert!(error.contains("even the largest"), "{error}");
        let error = refusal("lamp --lamp 40W,100W --load 60W --most 0.2");
        assert!(error.contains("more than the 0.2 % of --most"), "{error}");
        let error = refusal("lamp --lamp 40W --switching 30W");
        assert!(error.contains("fit a larger lamp"), "{error}");
        assert!(refusal("lamp --lamp 40W --load 3V").contains("is neither"));
    }
}
