//! The runner by subject: what the laws' walks do not show closely. Procedures, people and readings are invented.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]

mod age;
mod at_hand;
mod authority;
mod calibration;
mod ceilings;
mod compare;
mod covers;
mod drawn;
mod facts;
mod fitted;
mod found_live;
mod instrument;
mod lists;
mod notices;
mod people;
mod proof;
mod readings;
mod reentry;
mod second;
mod signing;
mod sitting;
mod slips;
mod stale;
mod still_dead;
mod stops;
mod undecided;
mod upset;
mod waits;
