//! The laws of the runner: what holds whatever happens, tested by walking through what can happen.
//!
//! [`bench`] drives a runner on each [`rig`] with [`moves`]; [`monitor`] looks on from outside and names the rule that breaks. The rules
//! are numbered as in `docs/design/`.

mod answers;
mod authority;
mod bench;
mod control;
mod ending;
mod energy;
mod every_order;
mod long_walks;
mod monitor;
mod moves;
mod order;
mod people;
mod procedure;
mod rig;
mod rungs;
mod second;
mod signing;

pub(super) use rig::BENCH;
