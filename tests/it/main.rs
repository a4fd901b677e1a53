//! Integration tests.

mod journal_script;
