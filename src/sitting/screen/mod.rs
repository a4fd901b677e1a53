//! The screens, as text: each is a function of what it shows, so that it can be tested and looked at.

mod at_hand;
mod fact;
mod finish;
mod notice;
mod overview;
mod plan;
mod plan_words;
mod practice;
mod question;
mod result;

pub(super) use at_hand::{before, values};
pub(super) use fact::{fact, fact_told, facts_answered};
pub(super) use finish::finish;
pub(super) use notice::{advice, notice};
pub(super) use overview::overview;
pub(crate) use plan::plan;
pub(crate) use plan_words::duration;
pub(super) use practice::{numbered, practice_begins, practice_help, practised};
pub(super) use question::{
    help, is_making_safe, listed, no_list, not_taken, prompt, question, why,
};
pub(super) use result::{result, result_at_start, still_there};
