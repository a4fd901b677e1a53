//! Integration tests.

mod docs;
mod journal_script;
