//! The run itself: events in, effects out.
//!
//! May use: `quantity`, `window`, `physics`, `formula`, `record`, `procedure`. Pure: no terminal, disk, clock or
//! instrument; time enters only beside an event.
//!
//! Always true: a stop's first effect is outputs off; nothing is asked or energised before the entry that allows it is
//! recorded; nothing energises without a valid proof of dead, or past a stage that did not hold.

mod age;
mod agreement;
mod answer;
mod approval;
mod at_hand;
mod authority;
mod batch;
mod concession;
mod confirmation;
mod covers;
mod crew;
mod effect;
mod energise;
mod era;
mod facts;
mod fitted;
mod found_live;
mod in_circuit;
mod instrument;
mod judge;
#[cfg(test)]
mod laws;
mod list;
mod machine;
pub mod plan;
mod power;
mod progress;
mod proof;
mod reaction;
mod release;
mod results;
mod scope;
mod separate;
mod sign_off;
mod slip;
mod stage;
mod stale;
mod step_at;
mod still_dead;
mod stop;
mod stopping;
mod task;
#[cfg(test)]
mod tests;
mod undecided;
mod upset;
mod verification;
mod watching;

pub use at_hand::{AtHand, MeterNeed, PeopleDuty, PeopleNeed, SourceUse};
pub use effect::{
    Advice, Effect, Expects, ListRow, Notice, Place, Presence, Question, Setting, StopView, Turn,
    WaitSpan,
};
pub use machine::Runner;
