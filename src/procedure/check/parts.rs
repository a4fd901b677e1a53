//! The parts that a step is repeated for.

use super::Subject;
use crate::procedure::step::Step;

/// The parts that a step is repeated for, as far as they are known before the run.
#[derive(Debug, Default)]
pub(super) struct RepeatedParts<'a> {
    /// Those that are known.
    pub(super) named: Vec<&'a str>,
    /// There are more in a list that is asked for at the bench.
    pub(super) open: bool,
}

/// The parts that a step is repeated for; none for a step that is done once. The name of an asked-for list stands for
/// the parts in it.
pub(super) fn parts_of<'a>(step: &'a Step, subject: &Subject<'a>) -> RepeatedParts<'a> {
    let mut parts = RepeatedParts::default();
    for name in step.for_each.iter().flatten() {
        let is_list = subject.procedure.asks.get(name).is_some_and(|ask| ask.parts);
        match subject.equipment.and_then(|equipment| equipment.parts.get(name)) {
            Some(list) if is_list => {
                parts.named.extend(list.iter().map(|part| part.value.as_str()))
            }
            None if is_list => parts.open = true,
            _ => parts.named.push(name),
        }
    }
    parts
}
