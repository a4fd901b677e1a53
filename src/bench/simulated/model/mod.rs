//! A model of equipment, ready to be asked: its facts known, its fault chosen, every formula tried once.

mod facts;
mod load;
mod snapshot;

use std::collections::BTreeMap;

pub(super) use facts::{Values, facts};
pub(super) use load::LoadNow;
pub(super) use snapshot::Snapshot;

use crate::diagnostic::{Finding, nearest};
use crate::formula::FormulaError;
use crate::procedure::{At, Expression, ModelControl, ModelFault, ModelFile, ModelLoad, Ordered};
use crate::record::Key;

/// A model with its facts and at most one fault.
#[derive(Debug)]
pub(super) struct Model {
    /// The facts, and the quantities that follow from them alone.
    constants: Values,
    /// The quantities that follow the bench's state, in order.
    moving: Vec<(String, Expression)>,
    controls: Vec<(String, ModelControl)>,
    loads: Vec<(String, ModelLoad)>,
    points: BTreeMap<String, Expression>,
    again: BTreeMap<String, Expression>,
    looks: BTreeMap<String, String>,
}

impl Model {
    /// Makes a model; `states` names what the bench itself tells of its state.
    ///
    /// # Errors
    /// A formula that uses a name it cannot see, or a name that stands twice.
    pub(super) fn new(
        file: &ModelFile,
        fault: Option<&ModelFault>,
        facts: Values,
        states: &[String],
    ) -> Result<Self, Finding> {
        let mut model = Self {
            constants: facts,
            moving: Vec::new(),
            controls: pairs(&file.controls),
            loads: pairs(&file.loads),
            points: pairs(&file.points).into_iter().collect(),
            again: pairs(&file.again).into_iter().collect(),
            looks: words(&file.looks),
        };
        if let Some(fault) = fault {
            model.spoil(fault);
        }
        model.check_names(file, fault)?;
        model.sort_quantities(file, fault, states)?;
        Ok(model)
    }

    /// Puts the readings and sights of a fault in the place of the sound ones.
    fn spoil(&mut self, fault: &ModelFault) {
        for (key, point) in pairs(&fault.points) {
            self.again.remove(&key);
            self.points.insert(key, point);
        }
        self.again.extend(pairs(&fault.again));
        self.looks.extend(words(&fault.looks));
    }

    fn check_names(&self, file: &ModelFile, fault: Option<&ModelFault>) -> Result<(), Finding> {
        let quantities: Vec<_> = file.quantities.iter().map(|(name, _)| name).collect();
        let controls = file.controls.iter().map(|(name, _)| name);
        for name in quantities.iter().copied().chain(controls) {
            let is_both = file.quantities.get(name).is_some() && file.controls.get(name).is_some();
            if is_both || self.constants.contains_key(&name.value) {
                let message = format!("`{}` has a value already", name.value);
                return Err(Finding::error("QTY004", "doubled-name", message).at(name.span));
            }
        }
        for (name, _) in fault.iter().flat_map(|fault| fault.quantities.iter()) {
            if file.quantities.get(name).is_none() {
                let known = quantities.iter().map(|name| name.value.as_str());
                return Err(unknown(&name.value, known).at(name.span));
            }
        }
        Ok(())
    }

    /// Works out what follows from the facts alone, and keeps the rest for the time of asking.
    fn sort_quantities(
        &mut self,
        file: &ModelFile,
        fault: Option<&ModelFault>,
        states: &[String],
    ) -> Result<(), Finding> {
        for (name, sound) in file.quantities.iter() {
            let expression = fault.and_then(|fault| fault.quantities.get(name)).unwrap_or(sound);
            let names = expression.formula().map_err(|error| misread(expression, error))?.names();
            let is_moving = |name: &str| {
                states.iter().any(|state| state == name)
                    || self.moving.iter().any(|(moving, _)| moving == name)
            };
            let strange = |name: &str| !self.constants.contains_key(name) && !is_moving(name);
            if let Some((name, at)) = names.iter().find(|(name, _)| strange(name)) {
                let known = self.constants.keys().chain(states).map(String::as_str);
                return Err(unknown(name, known).at(expression.place(at)));
            }
            if names.iter().any(|(name, _)| is_moving(name)) {
                self.moving.push((name.value.clone(), expression.clone()));
            } else {
                let value = self.at(&Values::new()).evaluate(expression)?;
                self.constants.insert(name.value.clone(), value);
            }
        }
        Ok(())
    }

    /// The model in a state of the bench.
    pub(super) fn at<'a>(&'a self, states: &'a Values) -> Snapshot<'a> {
        Snapshot::new(self, states)
    }

    /// Tries every formula once.
    ///
    /// # Errors
    /// The first that gives no value, or one of a kind that does not belong there.
    pub(super) fn try_out(&self, states: &Values) -> Result<(), Finding> {
        let now = self.at(states);
        let moving = self.moving.iter().map(|(_, expression)| expression);
        let set = self.controls.iter().flat_map(|(_, control)| control.set.iter());
        let points = self.points.values().chain(self.again.values());
        for expression in moving.chain(set.map(|(_, expression)| expression)).chain(points) {
            now.evaluate(expression)?;
        }
        for (_, load) in &self.loads {
            now.load(load)?;
        }
        Ok(())
    }

    pub(super) fn controls(&self) -> impl Iterator<Item = (&str, &ModelControl)> {
        self.controls.iter().map(|(name, control)| (name.as_str(), control))
    }

    pub(super) fn load(&self, output: &str) -> Option<&ModelLoad> {
        self.loads.iter().find(|(name, _)| name == output).map(|(_, load)| load)
    }

    /// What is read at a question, the first time or later.
    pub(super) fn point(&self, key: &Key, is_again: bool) -> Option<&Expression> {
        let first = || longest(key, |key| self.points.get(key));
        if is_again { longest(key, |key| self.again.get(key)).or_else(first) } else { first() }
    }

    pub(super) fn look(&self, key: &Key) -> Option<&str> {
        longest(key, |key| self.looks.get(key)).map(String::as_str)
    }
}

/// Finds what is said of a key: of the whole key first, then of less and less of its beginning.
pub(super) fn longest<'a, V: ?Sized>(
    key: &Key,
    find: impl Fn(&str) -> Option<&'a V>,
) -> Option<&'a V> {
    key.widening().find_map(find)
}

fn pairs<V: Clone>(named: &Ordered<V>) -> Vec<(String, V)> {
    named.iter().map(|(name, value)| (name.value.clone(), value.clone())).collect()
}

fn words(named: &Ordered<At<String>>) -> BTreeMap<String, String> {
    named.iter().map(|(name, words)| (name.value.clone(), words.value.clone())).collect()
}

fn unknown<'a>(name: &str, known: impl Iterator<Item = &'a str>) -> Finding {
    let found = Finding::error("QTY002", "unknown-name", format!("nothing is called `{name}`"));
    match nearest(name, known) {
        Some(meant) => found.help(format!("did you mean `{meant}`?")),
        None => {
            found.help("a formula may use the facts, the bench's state and what stands above it")
        }
    }
}

fn misread(expression: &Expression, error: &FormulaError) -> Finding {
    let found = Finding::error("QTY003", "not-a-formula", error.to_string());
    found.at(expression.place(&error.at)).help_if(error.help())
}
