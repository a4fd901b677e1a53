//! A fact that is worked out from other values: what is asked for it, and what comes out.

use std::collections::BTreeMap;

use super::fact_question::FactQuestion;
use crate::procedure::{Ask, FactOffer, NONE};
use crate::quantity::Quantity;

/// The digits of what was worked out: as many as anybody measures it with (common practice, no source).
const DIGITS: u32 = 3;

/// A fact that is being worked out.
#[derive(Clone, Debug)]
pub(super) struct WorkingOut {
    /// The fact's own question.
    pub(super) ask: Ask,
    offer: FactOffer,
    /// How many of its questions are answered.
    answered: usize,
    /// The facts above it, and what was answered.
    values: BTreeMap<String, Quantity>,
}

/// What comes of it.
#[derive(Clone, Debug)]
pub(super) struct WorkedFact {
    /// The answer.
    pub(super) text: String,
    /// How it came about, in one line.
    pub(super) how: String,
}

impl WorkingOut {
    pub(super) fn begin(ask: &Ask, values: BTreeMap<String, Quantity>) -> Option<Self> {
        let offer = ask.offer.clone()?;
        Some(Self { ask: ask.clone(), offer, answered: 0, values })
    }

    /// What is asked next for it; none when all is known.
    fn input(&self) -> Option<(String, Ask)> {
        let (name, input) = self.offer.from.iter().nth(self.answered)?;
        Some((name.value.clone(), input.clone()))
    }

    /// Takes an answer for it.
    pub(super) fn take(&mut self, line: &str) -> Result<(), String> {
        let Some((name, input)) = self.input() else { return Ok(()) };
        let given = input.take(line, &|name: &str| self.named(name));
        let given = given.map_err(|refusal| refusal.to_string())?;
        let Some(value) = given.value() else { return Ok(()) };
        self.answered += 1;
        self.values.insert(name, value);
        Ok(())
    }

    /// Takes the last answer back; false where there is none.
    pub(super) fn back(&mut self) -> bool {
        let Some(answered) = self.answered.checked_sub(1) else { return false };
        self.answered = answered;
        if let Some((name, _)) = self.input() {
            self.values.remove(&name);
        }
        true
    }

    /// What comes out; nothing while something is still to be asked.
    pub(super) fn worked(&self) -> Option<Result<WorkedFact, String>> {
        self.input().is_none().then(|| self.work_out())
    }

    fn work_out(&self) -> Result<WorkedFact, String> {
        let found = self.offer.value.evaluate(&|name: &str| self.named(name));
        let unit = self.ask.unit();
        let text = found.map_err(|error| error.to_string())?.engineering(DIGITS, Some(&unit));
        let given = self.ask.take(&text, &|name: &str| self.named(name));
        given.map_err(|refusal| refusal.to_string())?;
        let formula = self.offer.value.formula().map_err(ToString::to_string)?;
        let mut names: Vec<_> = formula.names().into_iter().map(|(name, _)| name).collect();
        names.dedup();
        let inputs = names.into_iter().filter_map(|name| {
            let unit = self.offer.from.get(name).map(Ask::unit);
            Some(format!("{name} = {}", self.values.get(name)?.engineering_exact(unit.as_ref())))
        });
        let inputs = inputs.collect::<Vec<_>>().join(", ");
        let how = format!("{}, with {inputs}", self.offer.value.text.value);
        Ok(WorkedFact { text, how })
    }

    fn named(&self, name: &str) -> Option<Vec<Quantity>> {
        self.values.get(name).map(|value| vec![*value])
    }

    /// The question at hand: what is still needed, or whether to take what came out.
    pub(super) fn question(&self, whole: FactQuestion) -> FactQuestion {
        let of = self.offer.from.iter().count();
        if let Some((_, input)) = self.input() {
            let group = format!("to work it out, {} of {of}", self.answered + 1);
            return FactQuestion {
                group: Some(group),
                what: input.ask.value.clone(),
                find: input.find.as_ref().map(|find| find.value.clone()),
                example: input.example.as_ref().map(|example| example.value.clone()),
                range: range(&input, &|name: &str| self.named(name)),
                prompt: prompt(&input),
                number: whole.number,
                of: whole.of,
                ..FactQuestion::default()
            };
        }
        let found = match self.work_out() {
            Ok(WorkedFact { text, how }) => format!("{text} = {how}"),
            Err(why) => format!("{}: {why}", self.offer.value.text.value),
        };
        FactQuestion {
            group: Some("worked out".to_owned()),
            what: found,
            basis: Some(self.offer.basis.value.clone()),
            prompt: "take it, `yes` or `no`".to_owned(),
            number: whole.number,
            of: whole.of,
            ..FactQuestion::default()
        }
    }
}

/// The credible range in words.
pub(super) fn range(ask: &Ask, values: &dyn Fn(&str) -> Option<Vec<Quantity>>) -> Option<String> {
    ask.between.as_ref()?;
    let bounds = ask.acceptance().bounds(values).ok()?;
    let none = if ask.none_ok { format!(", or `{NONE}`") } else { String::new() };
    Some(format!("{}{none}", bounds.describe(Some(&ask.unit()))))
}

/// The few words right before the cursor.
pub(super) fn prompt(ask: &Ask) -> String {
    match &ask.unit {
        Some(unit) if !unit.symbol().is_empty() => unit.symbol().to_owned(),
        _ if ask.parts => "names, with commas between".to_owned(),
        _ => "number".to_owned(),
    }
}
