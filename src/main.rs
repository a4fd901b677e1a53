//! Hands over to the library.
fn main() {}
