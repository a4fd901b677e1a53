//! The end of a practice: the person says what is wrong, and is told what was hidden.

use super::clock::Clock;
use super::front::{Front, Reply};
use super::hiding;
use super::rehearsal;
use super::screen;
use crate::circuit::Circuit;
use crate::circuit::coverage::{self, Spoiled};
use crate::circuit::practice::{ToldOfHidden, tell};
use crate::diagnostic::clean_lines;
use crate::journal::{self, Disk, Journal};
use crate::netlist::PlacedFault;
use crate::practice::{Course, DrawnFault, judged};
use crate::procedure::{Equipment, Procedure, read_equipment};
use crate::record::{Diagnosed, Diagnosis, Entry, Event, Fact, Opening, Outcome, PracticeResult};

/// What a practice is judged by.
struct Practised<'a> {
    procedure: &'a Procedure,
    equipment: Equipment,
    circuit: Circuit,
    hidden: DrawnFault,
}

/// Where the parts' names begin in the list: nothing to say, and nothing wrong, stand before them.
const BEFORE_PARTS: [&str; 2] = ["don't know", "nothing is wrong"];
/// What stands before the faults of a part.
const BEFORE_FAULTS: [&str; 1] = ["don't know"];

/// The questions of a practice, by the names that an answers file has for them.
const PART: &str = "practice.part";
const FAULT: &str = "practice.fault";

/// How a practice ended.
#[derive(Debug)]
pub(super) enum PracticeEnd {
    /// The person said what is wrong and was told what was; it is in the record.
    Told(Box<Entry>),
    /// They did not say it yet.
    NotSaid {
        /// Whether nobody is there any more, or a signal came.
        is_cut_off: bool,
    },
    /// It can't be judged now.
    NotJudged,
    /// It could not be written down.
    NotWritten,
}

impl PracticeEnd {
    /// How the sitting ends with it.
    pub(super) fn ends(&self, outcome: Outcome) -> Outcome {
        match self {
            Self::Told(_) | Self::NotSaid { is_cut_off: false } => outcome,
            Self::NotSaid { is_cut_off: true } | Self::NotJudged => {
                outcome.max(Outcome::LeftUnfinished)
            }
            Self::NotWritten => Outcome::CouldNotRecord,
        }
    }
}

/// Asks what is wrong, tells what was, and writes both down.
pub(super) fn diagnose<D: Disk>(
    front: &mut dyn Front,
    journal: &mut Journal<D>,
    (procedure, opening): (&Procedure, &Opening),
    clock: &Clock,
    by: &str,
) -> PracticeEnd {
    let made = practised(procedure, opening).and_then(|practised| {
        let said = match asked(front, &practised.circuit) {
            Ok(said) => said,
            Err(reply) => return Ok(Err(reply)),
        };
        front.show("Working out what there was to be seen...\n");
        let contents = journal::read_file::<Entry>(journal.path());
        let entries = contents.map_err(|error| error.to_string())?.entries;
        practised.told(said, &entries).map(Ok)
    });
    let (told, result) = match made {
        Ok(Ok(made)) => made,
        Ok(Err(reply)) => {
            front.show("\nNot said: what was hidden stays hidden.\n");
            return PracticeEnd::NotSaid { is_cut_off: reply.is_cut_off() };
        }
        Err(why) => {
            front.show(&clean_lines(&format!("The practice can't be judged now: {why}\n")));
            return PracticeEnd::NotJudged;
        }
    };
    let shown = screen::practised(&result, front.style());
    let facts = vec![Fact::Practised(Box::new(result))];
    let event = Event::Diagnosed(Box::new(told));
    let entry = Entry { at: clock.now(), by: by.to_owned(), event, facts };
    if let Err(error) = journal.append(&entry) {
        front.show(&clean_lines(&format!("THE PRACTICE CAN'T BE WRITTEN DOWN: {error}\n")));
        return PracticeEnd::NotWritten;
    }
    front.show(&shown);
    PracticeEnd::Told(Box::new(entry))
}

/// What a practice is judged by, from what its record begins with.
fn practised<'a>(procedure: &'a Procedure, opening: &Opening) -> Result<Practised<'a>, String> {
    let equipment = opening.equipment.as_ref().ok_or("its record has no equipment file")?;
    let equipment = read_equipment(&equipment.text).map_err(|finding| finding.message)?;
    let texts = opening.rehearsal.as_ref().and_then(|rehearsed| rehearsed.circuit.as_ref());
    let circuit = rehearsal::circuit(texts.ok_or("its record has no circuit")?)?;
    let hidden = opening.hidden().ok_or("nothing was hidden")?;
    let hidden = hiding::found(hidden, &circuit)?;
    Ok(Practised { procedure, equipment, circuit, hidden })
}

impl Practised<'_> {
    /// What came of it.
    fn told(
        &self,
        said: Diagnosis,
        entries: &[Entry],
    ) -> Result<(Diagnosed, PracticeResult), String> {
        let course = Course::of(self.procedure, entries);
        let files = (self.procedure, &self.equipment);
        let hidden: Spoiled = self.hidden.iter().cloned().collect();
        let guess = spoiled(&said);
        let told = tell(files, &self.circuit, &hidden, guess.as_ref(), &course.live());
        let ToldOfHidden { stop, signs, worst, is_alike } =
            told.map_err(|error| error.to_string())?;
        let fault = self.hidden.as_ref().map(ToString::to_string);
        let told = Diagnosed { said, fault, stop, signs, worst, is_alike };
        let result = judged(&course, &told);
        Ok((told, result))
    }
}

/// What was said, put into the circuit; nothing where no fault was said.
fn spoiled(said: &Diagnosis) -> Option<Spoiled> {
    match said {
        Diagnosis::NotKnown | Diagnosis::Part { fault: None, .. } => None,
        Diagnosis::Sound => Some(Spoiled::new()),
        Diagnosis::Part { name, fault: Some(fault) } => {
            let fault = fault.parse().ok()?;
            Some(vec![PlacedFault { part: name.clone(), fault }])
        }
    }
}

/// Asks for the part, then for its fault.
fn asked(front: &mut dyn Front, circuit: &Circuit) -> Result<Diagnosis, Reply> {
    let faults = coverage::every_fault(circuit);
    let parts = faults.chunk_by(|one, next| one.part == next.part);
    let parts: Vec<_> =
        parts.filter_map(|faults| Some((faults.first()?.part.clone(), faults))).collect();
    let names = BEFORE_PARTS.map(str::to_owned).into_iter();
    let names: Vec<_> = names.chain(parts.iter().map(|(name, _)| name.clone())).collect();
    loop {
        let part = match picked(front, PART, "What is wrong? Name the part by its number.", &names)?
        {
            0 => return Ok(Diagnosis::NotKnown),
            1 => return Ok(Diagnosis::Sound),
            number => parts.get(number - BEFORE_PARTS.len()),
        };
        let Some((name, faults)) = part else { continue };
        let said = faults.iter().map(|fault| fault.fault.to_string());
        let said: Vec<_> = BEFORE_FAULTS.map(str::to_owned).into_iter().chain(said).collect();
        let which = picked(front, FAULT, &format!("What is wrong with {name}?"), &said)?;
        let fault = said.get(which).filter(|_| which >= BEFORE_FAULTS.len()).cloned();
        return Ok(Diagnosis::Part { name: name.clone(), fault });
    }
}

/// Asks until one of a numbered list is named, by its number or as it is written.
fn picked(front: &mut dyn Front, key: &str, what: &str, items: &[String]) -> Result<usize, Reply> {
    let shown = screen::numbered(what, items, front.style());
    let mut shown = shown.as_str();
    loop {
        let line = match front.choose(key, shown) {
            Err(Reply::Cut) => continue,
            other => other?,
        };
        let line = line.trim();
        let number = line.parse::<usize>().ok().and_then(|number| number.checked_sub(1));
        let number = number.filter(|number| *number < items.len());
        let named = items.iter().position(|item| item.eq_ignore_ascii_case(line));
        if let Some(found) = number.or(named) {
            return Ok(found);
        }
        let words = format!("  not taken: type a number from 1 to {}\n", items.len());
        front.show(&words);
        // The list is still on the screen.
        shown = "";
    }
}
