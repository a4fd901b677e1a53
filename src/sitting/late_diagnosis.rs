//! A practice that is over, taken up again: the person had not said what is wrong.

use super::diagnosing::diagnose;
use super::known::KnownAtStart;
use super::opening::Answering;
use super::registering;
use crate::diagnostic::clean_lines;
use crate::journal::{FileDisk, Journal};
use crate::procedure::{Procedure, read_people};
use crate::record::{Outcome, Run};
use crate::runner::Runner;
use crate::shell::fault::Fault;
use crate::shell::terminal;

/// Asks the person what is wrong; nothing is switched on any more.
pub(crate) fn take_up(
    journal: Journal<FileDisk>,
    (runner, procedure): (&Runner, &Procedure),
    mut answering: Answering,
    run: &Run,
) -> Result<Outcome, Fault> {
    let _restore = terminal::Restore::later();
    let newest = run.items.last().map(|item| item.at);
    let known = KnownAtStart::at(registering::folder(journal.path()), newest, &answering);
    let known = known.map_err(registering::refused)?;
    let people = run.opening.people.as_ref().and_then(|file| read_people(&file.text).ok());
    let by = answering.admitted(runner, people.as_ref(), &known)?;
    let (mut journal, _) = registering::taken_up(journal, &by)?;
    let ended = run.closing.map_or(Outcome::LeftUnfinished, |closing| closing.outcome);
    let Answering { front, clock, .. } = &mut answering;
    let files = (procedure, &run.opening);
    let diagnosed = diagnose(front.as_mut(), &mut journal, files, clock, &by);
    let (outcome, unregistered) = registering::ended(&journal, diagnosed.ends(ended));
    let record = journal.path().display();
    let last = format!("{}Record: {record}\n", unregistered.unwrap_or_default());
    front.show(&clean_lines(&last));
    Ok(outcome)
}
