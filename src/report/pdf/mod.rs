//! A document as PDF, laid out here: A4, with the marks, the name of the report and "page x of y" on every page.
//!
//! Every text is put down as glyphs of the two fonts that are inside the program, so none of it can be an instruction to a
//! reader. What the fonts have no sign for is written as its number, such as `[U+4E00]`.

mod file;
mod font;
mod layout;
mod pages;
mod photo;
mod text;

pub use file::pdf;
