//! What is wrong in a text a person wrote, and where: coded findings, and how they are shown.
//!
//! May use no other room. Nothing here reads a file, asks the terminal or prints: a finding goes
//! in, a string or a JSON value comes out.
//!
//! Always true: no offset and no text makes a renderer panic, and nothing it returns holds a
//! character that a terminal would obey or a reader could not see, other than the colours that were
//! asked for. [`clean()`] is the one place that sees to the second.

mod clean;
mod finding;
mod json;
mod nearest;
mod place;
mod render;

pub use clean::{clean, clean_ascii, clean_json, clean_lines, cut, runs_from_the_right};
pub use finding::{Finding, Severity};
pub use json::to_json;
pub use nearest::nearest;
pub use place::{NamedText, Span, place};
pub use render::{Style, render};
