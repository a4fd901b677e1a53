//! Which records are meant.

use chrono::{Datelike, NaiveDate};
use rusqlite::types::Value;

use super::code::Coded;
use crate::record::{Mode, Outcome};

/// How a run has to have ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ended {
    /// With this outcome.
    With(Outcome),
    /// It isn't closed.
    NotClosed,
}

/// Which records are meant; what is not set doesn't matter.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Filter {
    /// Part of the equipment's name.
    pub equipment: Option<String>,
    /// The equipment's whole serial number.
    pub serial: Option<String>,
    /// The procedure's whole name.
    pub procedure: Option<String>,
    /// How the run ended.
    pub ended: Option<Ended>,
    /// Part of the name of a person who was at the bench, released, witnessed, verified or accepted something.
    pub person: Option<String>,
    /// Part of what an instrument is called that was used, with its serial number.
    pub instrument: Option<String>,
    /// The first day, as on the wall where the run was started.
    pub from: Option<NaiveDate>,
    /// The last day.
    pub to: Option<NaiveDate>,
    /// Whether rehearsals and scripted runs are meant too.
    pub with_rehearsals: bool,
    /// Whether records are meant too that the register does not vouch for.
    pub with_unregistered: bool,
}

/// A condition on rows of `record`, with its values in order.
pub(super) struct SqlCondition {
    pub(super) sql: String,
    pub(super) values: Vec<Value>,
}

impl SqlCondition {
    fn and(&mut self, sql: &str, value: Value) {
        self.sql.push_str(" AND ");
        self.sql.push_str(sql);
        self.values.push(value);
    }
}

/// The names of equipment, each once: from one to the next in the index, so that not every record is looked at.
const NAMES: &str = "WITH RECURSIVE name (text) AS (SELECT min(equipment) FROM record UNION ALL SELECT (SELECT min(equipment) FROM \
                     record WHERE equipment > text) FROM name WHERE text IS NOT NULL)";

impl Filter {
    /// Whether it means the records of few pieces of equipment, which an index leads to.
    pub(super) fn is_of_equipment(&self) -> bool {
        self.equipment.is_some() || self.serial.is_some()
    }

    /// Whether an index of equipment or days leads to fewer records than who or what was there does.
    fn is_narrowed(&self) -> bool {
        self.is_of_equipment() || self.from.is_some() || self.to.is_some()
    }

    /// The condition for sound records.
    pub(super) fn condition(&self) -> SqlCondition {
        let mut condition = SqlCondition { sql: "damage IS NULL".to_owned(), values: Vec::new() };
        let has = |column: &str| format!("instr(lower({column}), lower(?)) > 0");
        let text = |text: &String| Value::Text(text.clone());
        let day = |date: &NaiveDate| Value::Integer(date.num_days_from_ce().into());
        if !self.with_unregistered {
            condition.sql.push_str(" AND fault IS NULL");
        }
        if !self.with_rehearsals {
            condition.and("mode = ?", Mode::Real.code().into());
        }
        if let Some(equipment) = &self.equipment {
            let names =
                format!("equipment IN ({NAMES} SELECT text FROM name WHERE {})", has("text"));
            condition.and(&names, text(equipment));
        }
        if let Some(serial) = &self.serial {
            condition.and("serial = ?", text(serial));
        }
        if let Some(procedure) = &self.procedure {
            condition.and("procedure = ?", text(procedure));
        }
        match self.ended {
            Some(Ended::With(outcome)) => condition.and("outcome = ?", outcome.code().into()),
            Some(Ended::NotClosed) => condition.sql.push_str(" AND outcome IS NULL"),
            None => {}
        }
        // A plus keeps SQLite from going through all records of a person to find those of a month.
        let id = if self.is_narrowed() { "+record.id" } else { "record.id" };
        for (part, table, column) in
            [(&self.person, "person", "word"), (&self.instrument, "used", "instrument")]
        {
            if let Some(part) = part {
                let inner = format!(
                    "{id} IN (SELECT record FROM {table} WHERE {column} IN (SELECT id FROM word WHERE {}))",
                    has("text")
                );
                condition.and(&inner, text(part));
            }
        }
        if let Some(from) = &self.from {
            condition.and("record.day >= ?", day(from));
        }
        if let Some(to) = &self.to {
            condition.and("record.day <= ?", day(to));
        }
        condition
    }
}
