//! `work-out safety-limits`: the limits of the electrical safety check after a repair, by rule set.

use super::answer::{self, Answer, Remark, shown};
use super::choice::by_name;
use super::option::above_zero;
use super::topic::Topic;
use crate::physics::earth_conductor::Lead;
use crate::physics::safety_limits::{Class, PublishedFigure, RULE_SETS, RuleSet};
use crate::physics::source::SourceStanding;
use crate::shell::fault::Fault;

/// In square metres.
const SQUARE_MILLIMETRE: f64 = 1e-6;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Part of the name of the rule set, such as `50678`
    #[arg(long, value_name = "NAME", value_parser = rule_set)]
    rules: &'static RuleSet,
    /// How the equipment protects from shock
    #[arg(long, value_enum)]
    class: ShockProtection,
    /// Length of the mains lead
    #[arg(long, value_name = "M", value_parser = above_zero("m"), default_value = "2m")]
    lead_length: f64,
    /// Section of its protective conductor
    #[arg(long, value_name = "MM2", value_parser = above_zero("mm2"), default_value = "0.75mm2")]
    lead_section: f64,
    /// Rated power of a heater
    #[arg(long, value_name = "W", value_parser = above_zero("W"), required_if_eq("class", "heater"))]
    power: Option<f64>,
}

/// How equipment protects from shock.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum ShockProtection {
    /// Class I: earthed metal
    #[value(name = "1", alias = "I")]
    One,
    /// Class I with heating elements
    Heater,
    /// Class II: double or reinforced insulation
    #[value(name = "2", alias = "II")]
    Two,
    /// Class III: extra-low voltage
    #[value(name = "3", alias = "III")]
    Three,
}

impl Topic for Arguments {
    fn work_out(&self) -> Result<Answer, Fault> {
        let (rules, class) = (self.rules, self.class.class());
        let mut answer = Answer::default();
        if matches!(class, Class::I | Class::Heater) {
            self.earth(&mut answer);
        }
        figure(&mut answer, "insulation at least", rules.insulation_at_least(class), "ohm");
        let insulation = rules.insulation;
        figure(&mut answer, "insulation test", insulation.and_then(|test| test.volts), "V");
        let reduced = insulation.and_then(|test| test.reduced_volts);
        figure(&mut answer, "insulation test, reduced", reduced, "V");
        if matches!(class, Class::I | Class::Heater) {
            let current = rules.conductor_current_at_most(class, self.power.unwrap_or_default());
            figure(&mut answer, "protective-conductor current at most", current, "A");
        }
        figure(&mut answer, "touch current at most", rules.touch_current, "A");
        if class == Class::III {
            let extra_low = rules.extra_low;
            figure(
                &mut answer,
                "touchable ac at most",
                extra_low.map(|extra_low| extra_low.alternating),
                "V",
            );
            figure(
                &mut answer,
                "touchable dc at most",
                extra_low.map(|extra_low| extra_low.direct),
                "V",
            );
        }
        answer.remark(Remark::Rule, format!("{} ({}): {}", rules.name, rules.country, rules.note));
        if insulation.is_some_and(|test| test.advisory) {
            answer.remark(Remark::Rule, "the insulation limits are advice");
        }
        answer.remark(Remark::Note, format!("source: {}", answer::source(&rules.source)));
        let text = "name the rule set in the record, and never mix two; the text of the standard in force wins";
        answer.remark(Remark::Warning, text);
        Ok(answer)
    }
}

impl Arguments {
    fn earth(&self, answer: &mut Answer) {
        let lead =
            Lead { length: self.lead_length, section: self.lead_section / SQUARE_MILLIMETRE };
        figure(answer, "protective conductor at most", self.rules.earth_at_most(&lead), "ohm");
        let length = shown(self.lead_length, "m");
        let section = shown(self.lead_section, "mm2");
        answer.remark(
            Remark::Note,
            format!("protective conductor: with a lead of {length}, {section}"),
        );
    }
}

impl ShockProtection {
    fn class(self) -> Class {
        match self {
            Self::One => Class::I,
            Self::Heater => Class::Heater,
            Self::Two => Class::II,
            Self::Three => Class::III,
        }
    }
}

/// Adds a figure, and how well it was checked where that is not at the source itself.
fn figure(answer: &mut Answer, name: &str, figure: Option<PublishedFigure>, symbol: &str) {
    let Some(figure) = figure else {
        return answer.words(name, "no figure in this rule set");
    };
    answer.exact(name, figure.value, symbol);
    match figure.standing {
        SourceStanding::Seen => {}
        SourceStanding::Quoted => answer.qualify("as quoted"),
        SourceStanding::CarriedOver => {
            answer.qualify("as quoted of the edition before; that this one keeps it is from memory")
        }
        SourceStanding::FromMemory => answer.qualify("from memory: look it up"),
        SourceStanding::OwnRule => answer.qualify("our own rule, strict: look it up"),
    }
}

fn rule_set(name: &str) -> Result<&'static RuleSet, String> {
    by_name(name, &RULE_SETS, |rules| rules.name)
}

#[cfg(test)]
mod tests {
    use crate::cli::verb::work_out::tests::{near, refusal, work_out};

    /// VDE 0701-0702:2008 in makers' manuals of testers.
    #[test]
    fn a_class_one_lead_has_its_limit() {
        let given = "safety-limits --rules 0701 --class 1";
        near(work_out(given).number_of("protective conductor at most"), 0.3, 1e-12);
        let long = work_out(&format!("{given} --lead-length 20m --lead-section 1.5mm2"));
        near(long.number_of("protective conductor at most"), 0.5, 1e-12);
        near(long.number_of("insulation at least"), 1e6, 1e-12);
        near(long.number_of("protective-conductor current at most"), 3.5e-3, 1e-12);
        near(long.number_of("touch current at most"), 0.5e-3, 1e-12);
    }

    /// The same manuals: 1 mA/kW for heaters above 3.5 kW.
    #[test]
    fn a_heater_needs_its_power() {
        let given = "safety-limits --rules 0701 --class heater";
        assert!(refusal(given).contains("--power"));
        let answer = work_out(&format!("{given} --power 6kW"));
        near(answer.number_of("protective-conductor current at most"), 6e-3, 1e-12);
    }

    /// IET Code of Practice, 5th edition, in sellers' pages: 0.1 ohm and the lead, 26 ohm/km at 0.75 mm2 by IEC 60228.
    #[test]
    fn figures_that_were_not_read_say_so() {
        let answer = work_out("safety-limits --rules IET --class 1 --lead-length 10m");
        near(answer.number_of("protective conductor at most"), 0.36, 1e-9);
        let two = work_out("safety-limits --rules IET --class II");
        assert_eq!(two.text_of("insulation at least"), "2 Mohm (from memory: look it up)");
        assert_eq!(two.text_of("touch current at most"), "no figure in this rule set");
    }

    #[test]
    fn an_unclear_rule_set_names_those_there_are() {
        let error = refusal("safety-limits --rules standard --class 1");
        assert!(error.contains("EN 50678:2020"), "{error}");
    }
}
