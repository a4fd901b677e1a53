//! A look whose answers leave no choice.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::step::{Look, Step};

pub(super) const CHECK: Check =
    Check::new("YML009", "look-without-both-answers", include_str!("look_without_both_answers.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let steps = subject.procedure.steps();
    steps.filter_map(|(_, step)| finding(step, step.look.as_ref()?)).collect()
}

fn finding(step: &Step, look: &Look) -> Option<Finding> {
    for (answers, what) in [(look.good.len(), "good"), (look.bad.len(), "bad")] {
        if answers == 0 {
            return Some(
                CHECK
                    .error(format!("the look `{}` has no {what} answer", step.step.value))
                    .at(look.at.span)
                    .help("state what a person may see, both sound and unsound"),
            );
        }
    }
    let answers: Vec<_> = look.good.iter().chain(look.bad.iter().map(|bad| &bad.say)).collect();
    let same = |a: &str, b: &str| a.trim().eq_ignore_ascii_case(b.trim());
    answers.iter().enumerate().find_map(|(n, answer)| {
        let earlier = answers.iter().take(n).find(|earlier| same(earlier, answer))?;
        Some(
            CHECK
                .error(format!("the answer `{}` stands twice", answer.value))
                .at(answer.span)
                .related(earlier.span, "the first one"),
        )
    })
}
