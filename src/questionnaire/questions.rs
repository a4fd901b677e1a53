//! The questions about one piece of equipment, and where in them a person is.

use std::collections::BTreeMap;

use super::fact_question::FactQuestion;
use super::identity::IdentityPart;
use super::left_out::why_not;
use super::offered::{WorkedFact, WorkingOut, prompt, range};
use crate::physics::safety_limits::{RULE_SETS, RuleSet};
use crate::procedure::{Ask, Given, Procedure, split_tolerance};
use crate::quantity::{Quantity, Reading, Unit};

/// The answer to a question, with what has to stand beside it in the file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct FactAnswer {
    pub(super) text: String,
    /// How it came about, where nobody read it anywhere: worked out, or a stand-in.
    pub(super) note: Option<String>,
}

/// What became of a typed line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LineTaken {
    /// It is an answer, and this is what was understood.
    Answer(String),
    /// Another question stands there, and nothing was answered.
    Moved,
    /// It is not taken, and why.
    Refused(String),
}

/// The questions about one piece of equipment, and what was answered so far.
#[derive(Clone, Debug)]
pub struct Questionnaire {
    pub(super) procedure: Procedure,
    pub(super) identity: [Option<String>; 2],
    pub(super) remarks: Option<String>,
    /// The answers to the questions of the procedure, in their order.
    pub(super) facts: Vec<Option<FactAnswer>>,
    /// The question at hand; behind the last one when there is none.
    pub(super) at: usize,
    working_out: Option<WorkingOut>,
}

/// The questions that come before those of the procedure.
const FIRST: usize = IdentityPart::BOTH.len();

impl Questionnaire {
    /// Begins at the first question.
    #[must_use]
    pub fn new(procedure: Procedure) -> Self {
        let facts = vec![None; procedure.asks.iter().count()];
        Self { procedure, identity: [None, None], remarks: None, facts, at: 0, working_out: None }
    }

    /// What the equipment is called, once that was answered.
    #[must_use]
    pub fn name(&self) -> Option<&str> {
        self.identity.first()?.as_deref()
    }

    /// The questions that are answered, and all of them.
    #[must_use]
    pub fn counts(&self) -> [usize; 2] {
        let all = FIRST + self.facts.len();
        [(0..all).filter(|at| self.is_answered(*at)).count(), all]
    }

    /// Tells whether every question is answered.
    #[must_use]
    pub fn is_complete(&self) -> bool {
        let [answered, all] = self.counts();
        answered == all
    }

    pub(super) fn is_answered(&self, at: usize) -> bool {
        self.answered(at).is_some()
    }

    /// What was answered to a question.
    fn answered(&self, at: usize) -> Option<&str> {
        match at.checked_sub(FIRST) {
            None => self.identity.get(at)?.as_deref(),
            Some(n) => Some(self.facts.get(n)?.as_ref()?.text.as_str()),
        }
    }

    /// The question of the procedure at a place, with its name.
    fn asked(&self, at: usize) -> Option<(&str, &Ask)> {
        let (name, ask) = self.procedure.asks.iter().nth(at.checked_sub(FIRST)?)?;
        Some((name.value.as_str(), ask))
    }

    /// The facts that are answered before a place, as formulas see them.
    fn values_before(&self, at: usize) -> BTreeMap<String, Quantity> {
        let mut values = BTreeMap::new();
        let before = self.procedure.asks.iter().zip(&self.facts).take(at.saturating_sub(FIRST));
        for ((name, ask), answer) in before {
            let Some(answer) = answer else { continue };
            let given = ask.take(&answer.text, &lookup(&values));
            if let Some(value) = given.ok().as_ref().and_then(Given::value) {
                values.insert(name.value.clone(), value);
            }
        }
        values
    }

    /// Goes to the first question that is open; behind the last one where none is.
    pub(super) fn go_on(&mut self) {
        let all = FIRST + self.facts.len();
        self.at = (0..all).find(|at| !self.is_answered(*at)).unwrap_or(all);
    }

    /// Puts an answer of a file into its place, unless the procedure would refuse it.
    pub(super) fn restore(&mut self, n: usize, answer: FactAnswer) {
        let values = self.values_before(n + FIRST);
        let asked = self.asked(n + FIRST);
        let is_taken =
            asked.is_some_and(|(_, ask)| ask.take(&answer.text, &lookup(&values)).is_ok());
        if let Some(fact) = self.facts.get_mut(n).filter(|_| is_taken) {
            *fact = Some(answer);
        }
    }

    /// Goes to the question of this number.
    ///
    /// # Errors
    /// There is none.
    pub fn go_to(&mut self, number: usize) -> Result<(), String> {
        let [_, all] = self.counts();
        if (1..=all).contains(&number) {
            self.at = number - 1;
            self.working_out = None;
            return Ok(());
        }
        Err(format!("there is no question {number}: they go from 1 to {all}"))
    }

    /// The question at hand; none when all are answered.
    #[must_use]
    pub fn question(&self) -> Option<FactQuestion> {
        let [_, all] = self.counts();
        let whole = FactQuestion {
            number: self.at + 1,
            of: all,
            now: self.answered(self.at).map(str::to_owned),
            ..FactQuestion::default()
        };
        if let Some(working_out) = &self.working_out {
            return Some(working_out.question(whole));
        }
        if let Some(part) = IdentityPart::BOTH.get(self.at) {
            return Some(FactQuestion {
                group: Some("Which set is this?".to_owned()),
                what: part.ask().to_owned(),
                find: Some(part.find().to_owned()),
                example: Some(part.example().to_owned()),
                prompt: "text".to_owned(),
                ..whole
            });
        }
        let (_, ask) = self.asked(self.at)?;
        let values = self.values_before(self.at);
        let text = |text: &crate::procedure::At<String>| text.value.clone();
        Some(FactQuestion {
            group: self.group(),
            what: text(&ask.ask),
            find: ask.find.as_ref().map(text),
            example: ask.example.as_ref().map(text),
            range: range(ask, &lookup(&values)),
            choices: if ask.rule_set { RULE_SETS.iter().map(told).collect() } else { Vec::new() },
            offer: ask.offer.as_ref().map(|offer| {
                let inputs = offer.from.iter().map(|(_, input)| input.ask.value.clone());
                inputs.collect::<Vec<_>>().join("; ")
            }),
            unknown: ask.unknown.as_ref().map(|of| format!("`{}`: {}", *of.take, *of.then)),
            prompt: prompt(ask),
            ..whole
        })
    }

    /// What the question at hand and its neighbours are about.
    fn group(&self) -> Option<String> {
        let so_far = self.procedure.asks.iter().take((self.at + 1).saturating_sub(FIRST));
        let group = so_far.filter_map(|(_, ask)| ask.group.as_ref()).last()?;
        Some(group.value.clone())
    }

    /// Takes what was typed at the question at hand.
    pub fn take(&mut self, line: &str) -> LineTaken {
        let word = line.trim().to_lowercase();
        if word == "back" {
            return self.back();
        }
        if self.working_out.is_some() {
            return self.take_for_offer(line);
        }
        if word.is_empty() && self.is_answered(self.at) {
            let kept = self.answered(self.at).unwrap_or_default().to_owned();
            self.go_on();
            return LineTaken::Answer(kept);
        }
        if let Some(part) = IdentityPart::BOTH.get(self.at) {
            return match part.take(line) {
                Ok(text) => self.keep(FactAnswer { text, note: None }),
                Err(why) => LineTaken::Refused(why),
            };
        }
        match word.as_str() {
            "unknown" => self.stand_in(),
            "work out" => self.begin_working_out(),
            _ => self.take_fact(line),
        }
    }

    fn back(&mut self) -> LineTaken {
        if let Some(working_out) = &mut self.working_out {
            if !working_out.back() {
                self.working_out = None;
            }
            return LineTaken::Moved;
        }
        if self.at == 0 {
            return LineTaken::Refused("this is the first question".to_owned());
        }
        self.at -= 1;
        LineTaken::Moved
    }

    fn stand_in(&mut self) -> LineTaken {
        let Some((name, ask)) = self.asked(self.at) else {
            return LineTaken::Refused("all is answered".to_owned());
        };
        let Some(unknown) = &ask.unknown else {
            return LineTaken::Refused(why_not(&self.procedure, name));
        };
        let answer = FactAnswer {
            text: unknown.take.value.clone(),
            note: Some(format!("not known: {}", unknown.then.value)),
        };
        self.keep(answer)
    }

    fn begin_working_out(&mut self) -> LineTaken {
        let values = self.values_before(self.at);
        let begun = self.asked(self.at).and_then(|(_, ask)| WorkingOut::begin(ask, values));
        if begun.is_none() {
            let why = "the procedure knows no way to work this out from something else";
            return LineTaken::Refused(why.to_owned());
        }
        self.working_out = begun;
        LineTaken::Moved
    }

    fn take_for_offer(&mut self, line: &str) -> LineTaken {
        let Some(working_out) = &mut self.working_out else { return LineTaken::Moved };
        let Some(worked) = working_out.worked() else {
            return match working_out.take(line) {
                Ok(()) => LineTaken::Moved,
                Err(why) => LineTaken::Refused(why),
            };
        };
        match (line.trim().to_lowercase().as_str(), worked) {
            ("yes", Ok(WorkedFact { text, how })) => {
                self.working_out = None;
                self.keep(FactAnswer { text, note: Some(format!("{WORKED_OUT}{how}")) })
            }
            ("yes", Err(why)) => LineTaken::Refused(format!("this can't be taken: {why}")),
            ("no", _) => {
                self.working_out = None;
                LineTaken::Moved
            }
            _ => LineTaken::Refused("type `yes` to take it, or `no`".to_owned()),
        }
    }

    fn take_fact(&mut self, line: &str) -> LineTaken {
        let Some((_, ask)) = self.asked(self.at) else {
            return LineTaken::Refused("all is answered".to_owned());
        };
        let values = self.values_before(self.at);
        let text = as_answer(ask, line);
        match ask.take(&text, &lookup(&values)) {
            Ok(given) => {
                let text = written(ask, &text, &given, &values);
                self.keep(FactAnswer { text, note: None })
            }
            Err(refusal) => LineTaken::Refused(refusal.to_string()),
        }
    }

    fn keep(&mut self, answer: FactAnswer) -> LineTaken {
        let mut taken = answer.text.clone();
        let is_changed = self.answered(self.at).is_some_and(|before| before != answer.text);
        let again = if is_changed { self.ask_again() } else { Vec::new() };
        if !again.is_empty() {
            taken = format!("{taken}. Worked out from it, and asked again: {}", again.join(", "));
        }
        match self.at.checked_sub(FIRST) {
            None => {
                if let Some(part) = self.identity.get_mut(self.at) {
                    *part = Some(answer.text);
                }
            }
            Some(n) => {
                if let Some(fact) = self.facts.get_mut(n) {
                    *fact = Some(answer);
                }
            }
        }
        self.go_on();
        LineTaken::Answer(taken)
    }

    /// Opens the questions that were worked out from the one at hand, and names them.
    fn ask_again(&mut self) -> Vec<String> {
        let Some((name, _)) = self.asked(self.at) else { return Vec::new() };
        let input = format!(" {name} = ");
        let mut opened = Vec::new();
        for ((name, _), fact) in self.procedure.asks.iter().zip(&mut self.facts) {
            let note = fact.as_ref().and_then(|fact| fact.note.as_ref());
            if note.is_some_and(|note| note.starts_with(WORKED_OUT) && note.contains(&input)) {
                *fact = None;
                opened.push(name.value.clone());
            }
        }
        opened
    }

    /// The answers so far, each with its number: those that nobody read anywhere, or all.
    #[must_use]
    pub fn answers(&self, all: bool) -> Vec<String> {
        let of_identity = IdentityPart::BOTH.iter().zip(&self.identity).filter(|_| all);
        let mut lines: Vec<_> = of_identity
            .enumerate()
            .filter_map(|(n, (part, text))| {
                Some(format!("{}  {}: {}", n + 1, part.ask(), text.as_ref()?))
            })
            .collect();
        for (n, ((name, _), fact)) in self.procedure.asks.iter().zip(&self.facts).enumerate() {
            let Some(fact) = fact.as_ref().filter(|fact| all || fact.note.is_some()) else {
                continue;
            };
            let note = fact.note.as_ref().map_or_else(String::new, |note| format!(" ({note})"));
            lines.push(format!("{}  {}: {}{note}", FIRST + n + 1, name.value, fact.text));
        }
        lines
    }
}

/// How the note of a fact begins that was worked out from others.
const WORKED_OUT: &str = "worked out: ";

/// Looks a value up as formulas do.
fn lookup(values: &BTreeMap<String, Quantity>) -> impl Fn(&str) -> Option<Vec<Quantity>> + '_ {
    |name| values.get(name).map(|value| vec![*value])
}

/// A line of the list of rule sets.
fn told(rules: &RuleSet) -> String {
    let withdrawn = if rules.withdrawn_for.is_some() { ", withdrawn" } else { "" };
    format!("{}: {} ({}{withdrawn})", rules.word, rules.name, rules.country)
}

/// What is meant by a line: at a rule set its number in the list, too.
fn as_answer(ask: &Ask, line: &str) -> String {
    let number = || line.trim().parse::<usize>().ok()?.checked_sub(1);
    let rules = if ask.rule_set { number().and_then(|n| RULE_SETS.get(n)) } else { None };
    rules.map_or_else(|| line.trim().to_owned(), |rules| rules.word.to_owned())
}

/// An answer as it goes into the file: a number that was typed without its unit has it there.
fn written(ask: &Ask, text: &str, given: &Given, values: &BTreeMap<String, Quantity>) -> String {
    if let Given::Parts(parts) = given {
        return parts.join(", ");
    }
    let unit = ask.unit();
    let (value, tolerance) = split_tolerance(text);
    let tolerance = tolerance.map_or_else(String::new, |of| format!(" +/- {}", of.trim()));
    let whole = format!("{} {}{tolerance}", value.trim(), unit.symbol());
    let is_bare = is_number(value) && !unit.symbol().is_empty();
    let is_the_same = || ask.take(&whole, &lookup(values)).as_ref() == Ok(given);
    if is_bare && is_the_same() { whole } else { text.to_owned() }
}

fn is_number(text: &str) -> bool {
    let plain = Unit::base(crate::quantity::Dimension::NONE);
    matches!(Reading::parse(text, &plain), Ok(Reading::Number(_))) && !text.contains('%')
}
