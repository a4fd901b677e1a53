//! Whether the end of a practice holds: what it tells was what it hid, and what came of it follows.

use crate::practice::{Course, is_this, judged};
use crate::procedure::Procedure;
use crate::record::{Diagnosed, Entry, Event, Fact, Mode, Run};

/// Sees that an entry may end the practice that stands before it.
///
/// # Errors
/// Why not.
pub(super) fn holds(
    procedure: &Procedure,
    before: &[Entry],
    entry: &Entry,
    told: &Diagnosed,
) -> Result<(), String> {
    let run = Run::fold(before).filter(Run::awaits_diagnosis);
    let run = run.ok_or("nothing is to be said here: it is no practice, or it is not over")?;
    let hidden = run.opening.hidden().ok_or("nothing was hidden")?;
    if !is_this(hidden, told.fault.as_deref()) {
        return Err("what is told is not what was hidden".to_owned());
    }
    let result = judged(&Course::of(procedure, before), told);
    if entry.facts != [Fact::Practised(Box::new(result))] {
        return Err("what came of the practice does not follow from what happened".to_owned());
    }
    Ok(())
}

/// Sees that a practice is marked as a rehearsal.
///
/// # Errors
/// It is not.
pub(super) fn is_marked(first: &Entry) -> Result<(), String> {
    match &first.event {
        Event::Started(opening)
            if opening.hidden().is_some() && opening.mode != Mode::Rehearsal =>
        {
            Err("line 1: a fault is hidden in it, and it is not marked as a rehearsal".to_owned())
        }
        _ => Ok(()),
    }
}
