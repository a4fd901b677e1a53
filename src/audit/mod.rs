//! Whether a record holds: its events played again, what was signed, what was added to it afterwards.
//!
//! May use: `diagnostic`, `record`, `procedure`, `practice`, `signature`, `journal`, `runner`, `report`. It is handed entries and lines, and opens
//! no file.
//!
//! Always true: what a record concludes is believed only where its own events lead to it.

pub(crate) mod afterwards;
mod differing;
mod practice;
pub(crate) mod replay;
pub(crate) mod signatures;
