//! Integration tests: the program as people and other programs meet it.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]

mod archive;
mod bench_verb;
mod bundled;
mod checking;
mod crash;
mod dependencies;
mod disk;
mod docs;
mod energised;
mod hostile;
mod house;
mod interrupted;
mod journal_script;
mod link;
mod menu;
mod ngspice;
mod paper;
mod people;
mod plan;
mod records;
mod register;
mod rehearsal;
mod rehearsed;
mod report;
mod screen;
mod second;
mod session;
mod signing;
mod simulators;
mod soak;
mod support;
mod unfit_bench;
mod usage;
mod watching;
mod work_out;
