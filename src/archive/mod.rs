//! What can be asked of years of records: which there are, how one reading went over many of them, what a bad meter
//! touched, and a window learned from good runs.
//!
//! May use: `quantity`, `window`, `record`, `journal`, `statistics`. Not pure: it reads journals and keeps an index of them.
//!
//! Always true:
//! - the journals are the records, the index is a cache of them: deleting it loses nothing, and a rebuilt one gives the same
//!   answers;
//! - what is answered is what the journals were at the last refresh, which sees every one that is new, gone or has grown, and,
//!   once every file is looked at again, every one that was changed in its place;
//! - a record that the register does not vouch for counts in no answer unless that is asked for, and is told of;
//! - a journal that is damaged is listed as damaged, never left out in silence;
//! - runs that are not real are left out unless they are asked for, and are marked then.

mod affected;
mod code;
mod digest;
mod error;
mod filter;
mod glance;
mod history;
mod index;
mod instruments;
mod look;
mod proposal;
mod records;
mod refresh;
mod stamp;
mod trend;
mod vouched;
mod words;

#[cfg(test)]
mod tests;

pub use affected::{Affected, Touched};
pub use filter::{Ended, Filter};
pub use history::{HistoryPoint, common_unit};
pub use index::{Archive, INDEX_NAME};
pub use look::Thoroughness;
pub use proposal::{Proposal, Sides};
pub use records::{Damaged, Listed};
pub use trend::{CONFIDENCE, COVERAGE, Trend};
pub use vouched::Vouched;
