//! Who had more than one part in the run, who worked alone, and that nobody checked who they are, or by which file.

use crate::procedure::is_alike;
use crate::record::{AT_BENCH, Fact, Names, Run};
use crate::report::Tone;
use crate::report::document::Block;

/// What the first page says of the people of a run, beside their names.
pub(super) fn blocks(run: &Run) -> Vec<Block> {
    let said = |words: String| Block::Text(Tone::Caution, words);
    let mut blocks: Vec<_> = several(run).into_iter().map(said).collect();
    for (line, by) in alone(run) {
        blocks.push(said(format!("{by} WORKED ALONE, with nobody in reach (line {line}).")));
    }
    blocks.extend(not_as_approved(run).into_iter().map(said));
    if run.opening.names() == Names::Unchecked {
        let words = "Without a people file, nobody checked who the named people are.";
        blocks.push(said(words.to_owned()));
    }
    blocks
}

fn facts(run: &Run) -> impl Iterator<Item = (usize, &Fact)> {
    run.items.iter().filter_map(|item| Some((item.line, item.fact()?)))
}

fn alone(run: &Run) -> impl Iterator<Item = (usize, &str)> {
    facts(run).filter_map(|(line, fact)| match fact {
        Fact::WorksAlone { by, .. } => Some((line, by.as_str())),
        _ => None,
    })
}

/// That the people file was not the one that was approved, once for each way in which it was not.
fn not_as_approved(run: &Run) -> Vec<String> {
    let mut told = Vec::new();
    for (line, fact) in facts(run) {
        let Fact::NotApproved(how) = fact else { continue };
        let words = how.words();
        if !told.iter().any(|(_, known)| *known == words) {
            told.push((line, words));
        }
    }
    told.into_iter().map(|(line, words)| format!("{words} (line {line}).")).collect()
}

/// A name with what its person did in the run, in the order of the record.
type PartsTaken<'a> = Vec<(&'a str, Vec<&'static str>)>;

/// The people who had more than one part, each with all of them.
fn several(run: &Run) -> Vec<String> {
    let mut parts: PartsTaken<'_> = Vec::new();
    for item in run.at_bench() {
        note(&mut parts, &item.by, AT_BENCH);
    }
    for (part, by) in facts(run).filter_map(|(_, fact)| fact.part()) {
        note(&mut parts, by, part.words());
    }
    let several = parts.into_iter().filter(|(_, words)| words.len() > 1);
    several
        .map(|(name, words)| {
            format!("One person did more than one job: {name} {}.", words.join(", "))
        })
        .collect()
}

fn note<'a>(parts: &mut PartsTaken<'a>, name: &'a str, words: &'static str) {
    if name.is_empty() {
        return;
    }
    match parts.iter_mut().find(|(known, _)| is_alike(known, name)) {
        Some((_, told)) if told.contains(&words) => {}
        Some((_, told)) => told.push(words),
        None => parts.push((name, vec![words])),
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use chrono::DateTime;

    use super::{alone, several};
    use crate::record::{Duty, Entry, Event, Fact, Key, Mode, Moment, Opening, Run};

    fn run(facts: Vec<Fact>) -> Run {
        let at = Moment { wall: DateTime::UNIX_EPOCH.fixed_offset(), elapsed_ms: 0 };
        let event = Event::Started(Box::new(Opening::of_a_test(Mode::Real, "Kim Bench-Test")));
        let by = "Kim Bench-Test".to_owned();
        Run::fold(&[Entry { at, by, event, facts }]).unwrap()
    }

    #[test]
    fn one_person_in_several_parts_is_told_with_all_of_them() {
        let (by, key) = ("Sam Second-Test".to_owned(), Key::step("k", ""));
        let supervised = |by: &str| Fact::Supervised {
            key: key.clone(),
            by: by.to_owned(),
            duty: Duty::Energise,
        };
        let released = Fact::Released { key: key.clone(), by, role: "supervisor".to_owned() };
        let alike = run(vec![supervised("S\u{430}m  second-test"), released]);
        let told = "supervised, released a hold.";
        let words = several(&alike);
        assert!(words.len() == 1 && words.iter().all(|part| part.ends_with(told)), "{words:?}");
        let one = run(vec![supervised("Sam Second-Test"), supervised("Sam Second-Test")]);
        assert!(several(&one).is_empty(), "one part, twice");
    }

    #[test]
    fn who_works_alone_is_told_with_the_line() {
        let by = "Kim Bench-Test".to_owned();
        let run = run(vec![Fact::WorksAlone { key: "in-reach".into(), by }]);
        assert_eq!(alone(&run).collect::<Vec<_>>(), [(1, "Kim Bench-Test")]);
    }
}
