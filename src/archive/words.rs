//! Texts that recur, kept once each.

use std::collections::HashMap;
use std::sync::Arc;

use rusqlite::{Connection, OptionalExtension, Statement};

/// Gives each text its number while the index is written.
pub(super) struct Numbering<'a> {
    known: HashMap<String, i64>,
    find: Statement<'a>,
    add: Statement<'a>,
}

impl<'a> Numbering<'a> {
    pub(super) fn of_words(connection: &'a Connection) -> rusqlite::Result<Self> {
        Ok(Self {
            known: HashMap::new(),
            find: connection.prepare("SELECT id FROM word WHERE text = ?1")?,
            add: connection.prepare("INSERT INTO word (text) VALUES (?1) RETURNING id")?,
        })
    }

    pub(super) fn of_keys(connection: &'a Connection) -> rusqlite::Result<Self> {
        Ok(Self {
            known: HashMap::new(),
            find: connection.prepare("SELECT id FROM key WHERE text = ?1")?,
            add: connection.prepare("INSERT INTO key (text) VALUES (?1) RETURNING id")?,
        })
    }

    pub(super) fn number(&mut self, text: &str) -> rusqlite::Result<i64> {
        if let Some(number) = self.known.get(text) {
            return Ok(*number);
        }
        let found = self.find.query_row([text], |row| row.get(0)).optional()?;
        let number = match found {
            Some(number) => number,
            None => self.add.query_row([text], |row| row.get(0))?,
        };
        self.known.insert(text.to_owned(), number);
        Ok(number)
    }
}

/// The texts of numbers that are met while the index is read.
pub(super) struct Texts<'a> {
    known: HashMap<i64, Arc<str>>,
    find: Statement<'a>,
}

impl<'a> Texts<'a> {
    pub(super) fn new(connection: &'a Connection) -> rusqlite::Result<Self> {
        let find = connection.prepare("SELECT text FROM word WHERE id = ?1")?;
        Ok(Self { known: HashMap::new(), find })
    }

    pub(super) fn text(&mut self, number: i64) -> rusqlite::Result<Arc<str>> {
        if let Some(text) = self.known.get(&number) {
            return Ok(Arc::clone(text));
        }
        let text: Arc<str> = self.find.query_row([number], |row| row.get::<_, String>(0))?.into();
        self.known.insert(number, Arc::clone(&text));
        Ok(text)
    }
}
