//! `work-out fuse`: how long a fuse must hold a current, and how soon it must open.

use super::answer::{self, Answer, Remark, shown, shown_time};
use super::choice::by_name;
use super::option::{above_zero, short_circuit};
use super::topic::Topic;
use crate::physics::fuse::{self, FUSE_TYPES, FuseOutcome, FuseType, Promise};
use crate::quantity::{Breaking, FuseMark};
use crate::shell::fault::Fault;

/// The largest short circuit that is asked about (A): behind a building's own transformer (common practice, no source).
const SHORT_MOST_A: f64 = 100e3;

/// Shown where the standard sets no time.
const NO_PROMISE: &str = "no promise";

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Rated current, or the fuse's whole mark, such as `T2A` or `T3.15AH250V`
    #[arg(long, value_name = "A", value_parser = rating)]
    rating: FuseRating,
    /// Current through it
    #[arg(long, value_name = "A", value_parser = short_circuit(SHORT_MOST_A))]
    current: f64,
    /// How long that current flows
    #[arg(long = "for", value_name = "S", value_parser = above_zero("s"))]
    flows: Option<f64>,
    /// Part of the name of its type, such as `sheet 3`, or the letter printed on it; every type without it
    #[arg(long = "type", value_name = "NAME", value_parser = fuse_types)]
    types: Option<Types>,
}

/// A rated current, and the types that the letter before it leaves.
#[derive(Clone, Debug)]
struct FuseRating {
    amps: f64,
    types: Option<Types>,
}

/// Types of fuse to choose from.
#[derive(Clone, Debug)]
struct Types(Vec<&'static FuseType>);

impl Topic for Arguments {
    fn work_out(&self) -> Result<Answer, Fault> {
        if !FUSE_TYPES.iter().any(|fuse| self.is_wanted(fuse.name)) {
            return Err(Fault::usage(
                "no fuse is of the type that --type names and bears this mark",
            )
            .help("leave --type out, as the mark says the type, or look at the fuse again"));
        }
        let mut answer = Answer::default();
        let rating = self.rating.amps;
        for fuse in FUSE_TYPES.iter().filter(|fuse| self.is_wanted(fuse.name)) {
            match fuse.promise(rating, self.current) {
                Some(promise) => self.promised(fuse, promise, &mut answer),
                None if fuse.gates.is_empty() => answer.words(fuse.name, "its times were not seen"),
                None => answer.words(fuse.name, "no figure for this rating"),
            }
        }
        answer.exact("times its rating", self.current / rating, "");
        if !fuse::is_in_series(rating) {
            answer.remark(Remark::Note, "not a rating of IEC 60127-2");
        }
        self.clashes(&mut answer);
        self.bursts(&mut answer);
        Ok(answer)
    }
}

impl Arguments {
    /// Whether a type is asked for, by its name or by a letter.
    fn is_wanted(&self, name: &str) -> bool {
        let types = self.types.iter().chain(&self.rating.types);
        types.into_iter().all(|types| types.0.iter().any(|fuse_type| fuse_type.name == name))
    }

    fn promised(&self, fuse: &FuseType, promise: Promise, answer: &mut Answer) {
        if let Some(outcome) =
            self.flows.and_then(|time| fuse.stands(self.rating.amps, self.current, time))
        {
            let words = match outcome {
                FuseOutcome::Holds => "must hold",
                FuseOutcome::Opens => "must have opened",
                FuseOutcome::Either => "may do either",
                FuseOutcome::Bursts => "may burst: more than it interrupts",
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

    /// What each type interrupts at most.
    fn bursts(&self, answer: &mut Answer) {
        for fuse in FUSE_TYPES.iter().filter(|fuse| self.is_wanted(fuse.name)) {
            let (rating, current) = (self.rating.amps, self.current);
            let breaking = shown(fuse.breaking_capacity_a(rating), "A");
            let known = match fuse.breaking {
                Some(Breaking::Low) => "",
                Some(Breaking::High | Breaking::Enhanced) => " (from memory)",
                None => " (taken as low: none was seen)",
            };
            let text = match fuse.bursts(rating, current) {
                true => format!(
                    "{} interrupts {breaking} at most{known}: {} can burst it",
                    fuse.name,
                    shown(current, "A")
                ),
                false => {
                    format!("{} interrupts {breaking} at most{known}; more can burst it", fuse.name)
                }
            };
            answer.remark(Remark::Hazard, text);
        }
    }

    /// Contradictions between the types, at this rating.
    fn clashes(&self, answer: &mut Answer) {
        for (place, one) in FUSE_TYPES.iter().enumerate() {
            for other in FUSE_TYPES.iter().skip(place + 1) {
                for clash in fuse::clashes(one, other, self.rating.amps) {
                    if ![clash.holding, clash.opening].into_iter().any(|mark| self.is_wanted(mark))
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

/// Reads a rating, as the fuse's mark or without.
fn rating(text: &str) -> Result<FuseRating, String> {
    let Ok(mark) = FuseMark::parse(text) else {
        return Ok(FuseRating { amps: above_zero("A")(text)?, types: None });
    };
    let types = marked(mark.letters, mark.breaking);
    if types.0.is_empty() {
        let amps = mark.amps;
        return Err(format!(
            "no figure is known for a fuse marked `{text}`: give its rating alone, `{amps}`, and its --type"
        ));
    }
    Ok(FuseRating { amps: above_zero("A")(&mark.amps)?, types: Some(types) })
}

/// Reads the letter printed on a fuse, or a part of the name of its type.
fn fuse_types(name: &str) -> Result<Types, String> {
    let marked = marked(name, None);
    if marked.0.is_empty() {
        // `M` is a part of a type's name too, and no letter of it.
        if FuseMark::parse(&format!("{name}1A")).is_ok() {
            return Err(format!("no figure is known for a fuse marked `{name}`"));
        }
        return by_name(name, &FUSE_TYPES, |fuse| fuse.name).map(|fuse| Types(vec![fuse]));
    }
    Ok(marked)
}

/// The types that bear the letter of a characteristic, and that of a breaking capacity where one is given.
fn marked(letters: &str, breaking: Option<Breaking>) -> Types {
    let bears = |fuse: &&FuseType| {
        fuse.letter == Some(letters) && (breaking.is_none() || fuse.breaking == breaking)
    };
    Types(FUSE_TYPES.iter().filter(bears).collect())
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]
    use super::{Remark, fuse_types};
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
        let chosen = fuse_types("Sheet 2").unwrap();
        assert_eq!(chosen.0[0].name, "IEC 60127-2 sheet 2");
        let answer = work_out("fuse --rating 1A --current 2.75A");
        near(answer.number_of("IEC 60127-2 sheet 2 opens within"), 2.0, 1e-12);
        near(answer.number_of("IEC 60127-2 sheet 2 holds for"), 0.05, 1e-12);
    }

    /// The letter on a fuse is its characteristic, not a prefix: `T2A` is 2 A.
    #[test]
    fn a_fuse_is_asked_about_as_it_is_marked() {
        for asked in ["--rating T2A", "--rating 2A --type T"] {
            let answer = work_out(&format!("fuse {asked} --current 5.5A"));
            near(answer.number_of("times its rating"), 2.75, 1e-12);
            near(answer.number_of("IEC 60127-2 sheet 3 opens within"), 10.0, 1e-12);
            near(answer.number_of("IEC 60127-2 sheet 5 opens within"), 80.0, 1e-12);
            assert!(!answer.remarks_on(Remark::Note, "IEC 60127-2 sheet 2"), "{asked}");
        }
        let error = refusal("fuse --rating M2A --current 4A");
        assert!(error.contains("no figure is known for a fuse marked `M2A`"), "{error}");
    }

    /// Decimals behind the `A` or a comma count; 3 A through 1.6 A is 1.875 times its rating.
    #[test]
    fn no_decimal_of_a_mark_is_lost() {
        for (mark, amps) in [("T1A6", 1.6), ("T3,15A", 3.15), ("T3A15", 3.15), ("T2A5", 2.5)] {
            let answer = work_out(&format!("fuse --rating {mark} --current 3A"));
            near(answer.number_of("times its rating"), 3.0 / amps, 1e-9);
        }
        let error = refusal("fuse --rating T2AX --current 3A");
        assert!(error.contains("not all of it can be read"), "{error}");
    }

    #[test]
    fn the_letter_of_the_breaking_capacity_chooses_the_sheet() {
        let low = work_out("fuse --rating T2AL250V --current 2kA --for 1s");
        assert_eq!(low.text_of("IEC 60127-2 sheet 3 opens within"), "no promise");
        let burst = "may burst: more than it interrupts";
        assert_eq!(low.text_of("IEC 60127-2 sheet 3, in that time"), burst);
        assert!(low.remarks_on(Remark::Hazard, "interrupts 35 A at most: 2 kA can burst it"));
        assert!(!low.remarks_on(Remark::Hazard, "sheet 5"));
        let high = work_out("fuse --rating T2AH250V --current 1kA");
        near(high.number_of("IEC 60127-2 sheet 5 opens within"), 0.15, 1e-12);
        assert!(!high.remarks_on(Remark::Hazard, "sheet 3"));
        assert!(refusal("fuse --rating F2AH --current 4A").contains("no figure is known"));
    }

    #[test]
    fn enhanced_breaking_capacity_is_known_and_its_times_are_not() {
        let answer = work_out("fuse --rating T10AE250V --current 200A --for 1s");
        assert_eq!(answer.text_of("IEC 60127-2 sheet 6"), "its times were not seen");
        assert!(
            answer.remarks_on(Remark::Hazard, "150 A at most (from memory): 200 A can burst it")
        );
        assert!(!answer.remarks_on(Remark::Hazard, "sheet 5"));
    }

    #[test]
    fn a_mark_without_its_unit_is_asked_about_where_it_is_none_in_amperes() {
        let error = refusal("fuse --rating T500 --current 1A");
        assert!(error.contains("no miniature fuse has 500 A"), "{error}");
        assert!(error.contains("type `500 mA` if that is meant"), "{error}");
    }

    #[test]
    fn a_type_that_the_mark_contradicts_is_refused() {
        for line in ["--rating F2A --type T", "--rating T2AL --type 248", "--rating 2A --type M"] {
            let error = refusal(&format!("fuse --current 3A {line}"));
            let is_told = error.contains("bears this mark") || error.contains("no figure is known");
            assert!(is_told, "{line}: {error}");
        }
    }

    #[test]
    fn an_unknown_type_names_those_there_are() {
        let error = refusal("fuse --rating 1A --current 2A --type quick");
        assert!(error.contains("IEC 60127-2 sheet 5"), "{error}");
        let answer = work_out("fuse --rating 100A --current 200A --type 248");
        assert_eq!(answer.text_of("UL/CSA/NMX 248-14"), "no figure for this rating");
    }
}
