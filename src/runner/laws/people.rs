//! Rules 4 and 5: attempts that only ever rise, and holds that nobody who worked here releases.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use super::monitor::{Coverage, Scene, holds};
use crate::record::{Event, Fact, WitnessOutcome};
use crate::runner::Expects;

#[derive(Clone, Debug, Default)]
pub(super) struct PeopleLaw {
    worked: Rc<BTreeSet<String>>,
    attempts: Rc<BTreeMap<String, u32>>,
}

impl PeopleLaw {
    pub(super) fn see(&mut self, scene: &Scene<'_>, coverage: &mut Coverage) -> Result<(), String> {
        let came = match scene.event {
            Event::Started(opening) => Some(&opening.operator),
            Event::Resumed { by, .. } => Some(by),
            _ => None,
        };
        if let Some(name) = came {
            Rc::make_mut(&mut self.worked).insert(letters(name));
        }
        for fact in scene.facts {
            match fact {
                Fact::TookOver { to, .. } => {
                    coverage.reach("handed over");
                    Rc::make_mut(&mut self.worked).insert(letters(to));
                }
                Fact::Released { by, .. } => {
                    coverage.reach("hold released");
                    let has_worked = self.worked.contains(&letters(by));
                    holds!(!has_worked, "rule 5: {by} worked at the bench and released a hold");
                }
                Fact::Witnessed { outcome, .. } => {
                    let waived = *outcome == WitnessOutcome::Waived;
                    holds!(!waived, "rule 5: somebody waived being in reach");
                }
                Fact::WorksAlone { .. } => coverage.reach("works alone"),
                Fact::Judged { key, attempt, .. } | Fact::Seen { key, attempt, .. } => {
                    let tries =
                        Rc::make_mut(&mut self.attempts).entry(key.to_string()).or_default();
                    *tries += 1;
                    holds!(
                        attempt == tries,
                        "rule 4: attempt {attempt} of {key} stands for {tries}"
                    );
                    if *tries > 1 {
                        coverage.reach("taken again");
                    }
                }
                _ => {}
            }
        }
        let is_hold = scene.asked().is_some_and(|q| matches!(q.expects, Expects::Name { .. }));
        if let Event::Entered { text, .. } = scene.event
            && is_hold
            && scene.is_refused()
            && self.worked.contains(&letters(text))
        {
            coverage.reach("own hold refused");
        }
        Ok(())
    }
}

fn letters(name: &str) -> String {
    name.replace('\u{435}', "e")
        .chars()
        .filter(|c| c.is_alphanumeric())
        .flat_map(char::to_lowercase)
        .collect()
}
