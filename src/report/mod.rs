//! Bytes from a run: what a person or a program reads afterwards. And from a procedure: the form to fill in by hand.
//!
//! May use: `quantity`, `window`, `record`, `procedure`, `formula`, `signature`, and `diagnostic` for clean text. Pure: a run goes in,
//! bytes come out, and the same run gives the same bytes.
//!
//! Always true: a run that is not real says so at the top and on every page; no text from a file reaches the terminal
//! unclean, or a document as markup; where a value came from stands beside it; nothing is left out because it was repeated
//! or accepted later.

mod afterwards;
mod bound;
mod code;
mod content;
mod decided;
pub mod document;
mod drawing;
mod entry_line;
mod form;
mod gauge;
pub mod history;
mod html;
mod json;
mod judged;
mod pdf;
pub mod photo;
mod plain;
mod plot;
mod practised;
mod readings;
mod sentence;
mod sheet;
mod signed;
mod subject;
mod text;
mod verification;

pub use code::code;
pub use content::{Audience, lacks, marks, report};
pub use decided::{plus_minus, unloaded};
pub use document::Document;
pub use drawing::{Drawing, Ink, Mark};
pub use form::{Blank, form};
pub use html::html;
pub use json::{json, whole};
pub use judged::{Judged, judged};
pub use pdf::pdf;
pub use plain::plain;
pub use practised::{practice_lines, probed};
pub use readings::{csv, json_lines, xlsx};
pub use sheet::{Sheet, Tone};
pub use subject::{Flawed, Issuer, ReportSubject, Seal};
pub use text::{fact_line, line, text};
