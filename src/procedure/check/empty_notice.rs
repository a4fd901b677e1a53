//! A notice whose words say nothing.

use super::words::{mentions, words};
use super::wrong_signal_word::notices;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{At, Harm, Hazard};

pub(super) const CHECK: Check =
    Check::new("HAZ022", "empty-notice", include_str!("empty_notice.md")).of_procedure(run);

/// Words that fill a place and say nothing.
const FILLERS: &str = "a above and apply as avoid be beware care careful carefully caution cautious danger dangerous hazard in it n \
    na none of risk safe safely see stay take tbd the todo unknown use usual warning work x";
/// What happens to a person.
const TO_A_PERSON: &str = "blind breath burn crush cut dead death die electrocut fatal harm heart hurt injur kill lethal maim scald shock wound";
/// What ends a life or a trade.
const DEADLY: &str = "death deadly electrocut fatal kill lethal maim";
/// What happens to a person and to nothing else.
const PERSONAL: &str = "blind eye eyes finger fingers injur skin wound";

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    notices(subject.procedure)
        .filter_map(|hazard| unsaid(hazard).or_else(|| contradicted(hazard)))
        .collect()
}

fn unsaid(hazard: &Hazard) -> Option<Finding> {
    let texts = [("risk", &hazard.risk), ("result", &hazard.result), ("avoid", &hazard.avoid)];
    if let Some((key, text)) = texts.into_iter().find(|(_, text)| is_filler(text)) {
        let found = CHECK.error(format!("`{key}` says nothing")).at(text.span);
        return Some(
            found.help(
                "say what the hazard is, what it does to a person, and what to do against it",
            ),
        );
    }
    let mut later = texts.into_iter().skip(1).zip(texts);
    let same = |one: &At<String>, other: &At<String>| one.trim().eq_ignore_ascii_case(other.trim());
    let ((key, text), _) = later.find(|((_, one), (_, other))| same(one, other))?;
    Some(CHECK.error(format!("`{key}` says what the line before it says")).at(text.span))
}

fn is_filler(text: &str) -> bool {
    words(text).iter().all(|word| {
        let mut pieces = word.low.split(|c: char| !c.is_alphanumeric());
        pieces.all(|piece| {
            super::words::among(FILLERS, piece) || piece.chars().all(|c| c.is_ascii_digit())
        })
    })
}

fn contradicted(hazard: &Hazard) -> Option<Finding> {
    let said = format!("{} {}", hazard.risk.value, hazard.result.value);
    let message = match hazard.harm.value {
        Harm::MinorInjury | Harm::Property if mentions(&said, DEADLY) => {
            "the words speak of death, and `harm` does not"
        }
        Harm::Property if mentions(&said, PERSONAL) => {
            "the words speak of a person, and `harm` of property"
        }
        Harm::Death | Harm::SeriousInjury if !mentions(&said, TO_A_PERSON) => {
            "`harm` is a person's, and the words do not say what happens to one"
        }
        _ => return None,
    };
    let found = CHECK.error(message).at(hazard.harm.span).related(hazard.result.span, "the result");
    Some(found.help("bring the words and `harm` together; the signal word follows from `harm`"))
}
