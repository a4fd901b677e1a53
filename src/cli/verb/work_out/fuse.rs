//! `work-out fuse`: how long a fuse must hold a current, and how soon it must open.

use super::answer::{self, Answer, Remark, shown, shown_time};
use super::choice::by_name;
use super::option::above_nought;
use super::topic::Topic;
use crate::cli::fault::Fault;
use crate::physics::fuse::{self, FUSE_TYPES, FuseType, Outcome, Promise};

/// Shown where the standard sets no time.
const NO_PROMISE: &str = "no promise";

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Rated current
    #[arg(long, value_name = "A", value_parser = above_nought("A"))]
    rating: f64,
    /// Current through it
    #[arg(long, value_name = "A", value_parser = above_nought("A"))]
    current: f64,
    /// How long that current flows
    #[arg(long = "for", value_name = "TIME", value_parser = above_nought("s"))]
    flows: Option<f64>,
    /// Part of the name of its type, such as `sheet 3`; every type without it
    #[arg(long = "type", value_name = "NAME", value_parser = fuse_type)]
    fuse: Option<&'static FuseType>,
}

impl Topic for Arguments {
    fn work_out(&self) -> Result<Answer, Fault> {
        let mut answer = Answer::default();
        let wanted = |fuse: &&FuseType| self.fuse.is_none_or(|only| only.name == fuse.name);
        for fuse in FUSE_TYPES.iter().filter(wanted) {
            match fuse.promise(self.rating, self.current) {
                Some(promise) => self.promised(fuse, promise, &mut answer),
                None => answer.words(fuse.name, "no figure for this rating"),
            }
        }
        answer.exact("times its rating", self.current / self.rating, "");
        if !fuse::RATINGS.iter().any(|rating| (rating / self.rating - 1.0).abs() < 1e-9) {
            answer.remark(Remark::Note, "not a rating of IEC 60127-2");
        }
        self.clashes(&mut answer);
        let breaking = shown(fuse::low_breaking_capacity_a(self.rating), "A");
        let text = format!(
            "an IEC fuse of low breaking capacity interrupts {breaking} at most; more can burst it"
        );
        answer.remark(Remark::Hazard, text);
        Ok(answer)
    }
}

impl Arguments {
    fn promised(&self, fuse: &FuseType, promise: Promise, answer: &mut Answer) {
        if let Some(outcome) =
            self.flows.and_then(|time| fuse.stands(self.rating, self.current, time))
        {
            let words = match outcome {
                Outcome::Holds => "must hold",
                Outcome::Opens => "must have opened",
                Outcome::Either => "may do either",
            };
            answer.words(format!("{}, in that time", fuse.name), words);
        }
        let (holds, opens) =
            (format!("{} holds for", fuse.name), format!("{} opens within", fuse.name));
        match promise.holds {
            none if none <= 0.0 => answer.words(holds, NO_PROMISE),
            always if always.is_infinite() => answer.words(holds, "any time"),
            seconds => answer.time(holds, seconds),
        }
        match promise.opens {
            never if never.is_infinite() => answer.words(opens, NO_PROMISE),
            seconds => answer.time(opens, seconds),
        }
        let source = answer::source(&fuse.source);
        answer.remark(
            Remark::Note,
            format!("{}: {}; {source} ({})", fuse.name, fuse.character, fuse.country),
        );
    }

    /// Contradictions between the types, at this rating.
    fn clashes(&self, answer: &mut Answer) {
        for (place, one) in FUSE_TYPES.iter().enumerate() {
            for other in FUSE_TYPES.iter().skip(place + 1) {
                for clash in fuse::clashes(one, other, self.rating) {
                    if self
                        .fuse
                        .is_some_and(|only| ![clash.holding, clash.opening].contains(&only.name))
                    {
                        continue;
                    }
                    let (current, holds) = (shown(clash.current, "A"), shown_time(clash.holds));
                    let opens = shown_time(clash.opens);
                    let text = format!(
                        "never swap like for like: at {current} {} holds for {holds}, {} opens within {opens}",
                        clash.holding, clash.opening
                    );
                    answer.remark(Remark::Warning, text);
                }
            }
        }
    }
}

fn fuse_type(name: &str) -> Result<&'static FuseType, String> {
    by_name(name, &FUSE_TYPES, |fuse| fuse.name)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::{Remark, fuse_type};
    use crate::cli::verb::work_out::tests::{near, refusal, work_out};

    /// IEC 60127-2 in a maker's data sheets, and UL/CSA/NMX 248-14 in a maker's guide: a 2 A time-lag fuse holds 3 A for
    /// an hour, where a 2 A one of the other standard opens at 2.7 A within an hour.
    #[test]
    fn two_standards_contradict() {
        let answer = work_out("fuse --rating 2A --current 3A --for 30min");
        near(answer.number_of("IEC 60127-2 sheet 3 holds for"), 3600.0, 1e-12);
        assert_eq!(answer.text_of("IEC 60127-2 sheet 3 opens within"), "no promise");
        assert_eq!(answer.text_of("IEC 60127-2 sheet 3, in that time"), "must hold");
        assert_eq!(answer.text_of("UL/CSA/NMX 248-14 holds for"), "no promise");
        near(answer.number_of("UL/CSA/NMX 248-14 opens within"), 3600.0, 1e-12);
        assert_eq!(answer.text_of("UL/CSA/NMX 248-14, in that time"), "may do either");
        assert!(answer.remarks_on(Remark::Warning, "never swap like for like"));
    }

    /// The same sheet: 2.75 times the rating.
    #[test]
    fn one_type_is_chosen_by_a_part_of_its_name() {
        let chosen = fuse_type("Sheet 2").unwrap();
        assert_eq!(chosen.name, "IEC 60127-2 sheet 2");
        let answer = work_out("fuse --rating 1A --current 2.75A");
        near(answer.number_of("IEC 60127-2 sheet 2 opens within"), 2.0, 1e-12);
        near(answer.number_of("IEC 60127-2 sheet 2 holds for"), 0.05, 1e-12);
    }

    #[test]
    fn an_unknown_type_names_those_there_are() {
        let error = refusal("fuse --rating 1A --current 2A --type quick");
        assert!(error.contains("IEC 60127-2 sheet 5"), "{error}");
        let answer = work_out("fuse --rating 100A --current 200A --type 248");
        assert_eq!(answer.text_of("UL/CSA/NMX 248-14"), "no figure for this rating");
    }
}
