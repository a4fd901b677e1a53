//! A document as one self-contained HTML file: no script, nothing fetched, readable on a phone and printed on A4.

mod markup;
mod page;
mod svg;

pub use page::html;
