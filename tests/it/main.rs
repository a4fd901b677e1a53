//! Integration tests: the program as people and other programs meet it.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]

mod bundled;
mod checking;
mod crash;
mod dependencies;
mod disk;
mod docs;
mod hostile;
mod house;
mod interrupted;
mod journal_script;
mod menu;
mod ngspice;
mod records;
mod register;
mod rehearsal;
mod screen;
mod session;
mod support;
mod usage;
mod work_out;
