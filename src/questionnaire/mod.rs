//! The facts about one piece of equipment, asked for one after another: which question comes next, what an answer is, and the
//! equipment file that comes of it.
//!
//! May use: `quantity`, `diagnostic`, `physics`, `procedure`. Pure: a typed line goes in, the next question and the
//! text of the file come out.
//!
//! Always true: no fact is guessed, an answer that the procedure would refuse is not taken, and a file with a question left open is
//! marked as incomplete.

mod equipment_text;
mod fact_question;
mod identity;
mod left_out;
mod offered;
mod questions;
mod taken_up;
#[cfg(test)]
mod tests;

pub use fact_question::FactQuestion;
pub use questions::{LineTaken, Questionnaire};
