//! What somebody adds to a record after a sitting, away from the bench, and what may follow it.

use crate::procedure::written_name;
use crate::record::{Entry, Event};

/// How far a record has come, as far as what is added afterwards is concerned.
#[derive(Debug, Default)]
pub(crate) struct Afterwards {
    is_void: bool,
    /// Whether what was hidden in a practice has been told.
    is_told: bool,
}

impl Afterwards {
    /// Takes the entry of a line. Gives whether the runner has no part in it.
    ///
    /// # Errors
    /// Why it may not stand there.
    pub(crate) fn takes(&mut self, line: usize, entry: &Entry) -> Result<bool, String> {
        let Some(fact) = entry.event.afterwards() else {
            if std::mem::replace(&mut self.is_told, matches!(entry.event, Event::Diagnosed(_))) {
                return Err(format!(
                    "line {line}: what was hidden has been told, so no practice goes on in it"
                ));
            }
            return if self.is_void {
                Err(format!("line {line}: the record was declared void, so no run goes on in it"))
            } else {
                Ok(false)
            };
        };
        if entry.facts != [fact] {
            return Err(format!("line {line}: what it concludes differs from what it says"));
        }
        self.may_follow(line, &entry.event, &entry.by)?;
        self.is_void |= matches!(entry.event, Event::Voided { .. });
        Ok(true)
    }

    /// Tells whether this may be added as that line.
    ///
    /// # Errors
    /// Why not.
    pub(crate) fn may_follow(&self, line: usize, event: &Event, by: &str) -> Result<(), String> {
        written_name(by).map_err(|_| {
            format!(
                "line {line}: it does not say who added it: `{}` is not a name (two letters or more, and no word such as `ok`)",
                by.trim()
            )
        })?;
        match event {
            Event::Amended { line: 0, .. } => Err("lines are numbered from 1".to_owned()),
            Event::Amended { line: amended, .. } if *amended >= line => {
                Err(format!("line {line}: there is no line {amended} before it to amend"))
            }
            Event::Amended { text: words, .. } | Event::Voided { why: words, .. }
                if words.trim().is_empty() =>
            {
                Err(format!("line {line}: it says nothing"))
            }
            Event::Voided { .. } if self.is_void => {
                Err(format!("line {line}: the record is void already"))
            }
            _ => Ok(()),
        }
    }
}
