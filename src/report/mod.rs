//! Bytes from a run: what a person or a program reads afterwards.
//!
//! May use: `quantity`, `window`, `record`, and `diagnostic` for clean text. Pure: a run goes in, a string comes out.
//!
//! Always true: a run that is not real says so at the top; no text from a file reaches the terminal unclean; where a
//! value came from stands beside it; nothing is left out because it was repeated or accepted later.

mod afterwards;
mod json;
mod sheet;
mod text;

pub use json::json;
pub use sheet::{Sheet, Tone};
pub use text::{fact_line, plus_minus, text};
