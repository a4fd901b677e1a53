//! A sitting at the bench: who answers, the questions and their screens, the clock, signals, signing, and the run that is
//! carried out with all of them.
//!
//! May use: every room but `cli`. Not pure: the bench, the clock, the terminal and signals are met here.
//!
//! Always true: the record is written before anything is shown, a prompt takes no key that was typed ahead of it (but a line of
//! answers goes to the questions it was typed for), no signal handler ends the program, and every way out restores the terminal.

pub(crate) mod answers;
mod asking;
mod beside;
mod chance;
pub(crate) mod clock;
mod diagnosing;
mod equipment_file;
pub(crate) mod equipment_questions;
mod fault_signal;
mod front;
pub(crate) mod hiding;
pub(crate) mod known;
pub(crate) mod late_diagnosis;
mod line;
mod live;
mod off;
pub(crate) mod opening;
#[cfg(test)]
mod panicking;
pub(crate) mod person;
mod practice;
pub(crate) mod registering;
pub(crate) mod rehearsal;
pub(crate) mod screen;
mod script;
mod session;
pub(crate) mod signal;
pub(crate) mod signing;
#[cfg(test)]
mod sleeping;
pub(crate) mod sources;
pub(crate) mod staff;
mod supervision;
mod typed_list;
mod vigil;
