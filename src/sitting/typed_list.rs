//! Readings of many parts that were typed on one line, and go to their parts one by one.
//!
//! Always true: a value is the answer for the part it was typed for, right behind one that was taken and went on; as soon as anything
//! else is asked, the rest counts as never typed.

use std::collections::VecDeque;

use crate::quantity::Reading;
use crate::runner::{Expects, Question};

/// What was typed on one line and is still to be given.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct TypedList {
    step: String,
    /// Each part with its value.
    values: VecDeque<PartValue>,
}

/// A part and what was typed for it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct PartValue {
    pub(super) part: String,
    pub(super) value: String,
}

/// What a line is at a question.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum ListLine {
    /// One answer.
    One(String),
    /// A value for each part, this one's first.
    Each(String, TypedList),
    /// So many values, which is neither one nor one for each part.
    Other(usize),
}

impl ListLine {
    /// Takes a line apart where the question is one of a list.
    pub(super) fn of(question: &Question, line: String) -> Self {
        let Expects::Value { unit, .. } = &question.expects else { return Self::One(line) };
        let is_over_range = |word: &str| Reading::parse(word, unit) == Ok(Reading::OverRange);
        let values = values_of(&line, is_over_range);
        if question.list.len() < 2 || values.len() < 2 {
            return Self::One(line);
        }
        if values.len() != question.list.len() {
            return Self::Other(values.len());
        }
        let parts = question.list.iter().cloned().zip(values);
        let mut values: VecDeque<_> =
            parts.map(|(part, value)| PartValue { part, value }).collect();
        match values.pop_front() {
            Some(first) => {
                let step = question.key.owner().to_owned();
                Self::Each(first.value, TypedList { step, values })
            }
            None => Self::One(line),
        }
    }
}

impl TypedList {
    /// The value for this question, if it is the next of the list.
    ///
    /// # Errors
    /// The values that nothing will be made of: something else is asked.
    pub(super) fn next_for(
        &mut self,
        question: &Question,
    ) -> Result<Option<PartValue>, Vec<String>> {
        let Some(next) = self.values.front() else { return Ok(None) };
        let is_next = question.key.owner() == self.step
            && question.list.first() == Some(&next.part)
            && matches!(question.expects, Expects::Value { .. });
        if is_next {
            return Ok(self.values.pop_front());
        }
        Err(self.values.drain(..).map(|left| left.value).collect())
    }
}

/// The values on a line: each begins with a number, or with a word for more than the meter shows. A unit may stand apart from its
/// number. What may be one number with a gap for thousands is one.
fn values_of(line: &str, is_over_range: impl Fn(&str) -> bool) -> Vec<String> {
    let words: Vec<_> = line.split_whitespace().collect();
    let is_grouped = words.windows(2).any(|pair| matches!(pair, [a, b] if may_be_one(a, b)));
    let begins = |word: &str| {
        word.starts_with(|c: char| c.is_ascii_digit() || "+-.".contains(c)) || is_over_range(word)
    };
    if is_grouped || !words.first().is_some_and(|word| begins(word)) {
        return vec![line.to_owned()];
    }
    let mut values: Vec<String> = Vec::new();
    for word in words {
        match values.last_mut().filter(|_| !begins(word)) {
            Some(value) => {
                value.push(' ');
                value.push_str(word);
            }
            None => values.push(word.to_owned()),
        }
    }
    values
}

/// Whether two words may be one number: `1 000`.
fn may_be_one(before: &str, behind: &str) -> bool {
    let are_digits = |word: &str| word.chars().all(|c| c.is_ascii_digit());
    let digits = before.trim_start_matches(['+', '-']);
    behind.len() == 3 && are_digits(behind) && (1..=3).contains(&digits.len()) && are_digits(digits)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::*;
    use crate::quantity::{Dimension, Unit};
    use crate::record::Key;
    use crate::window::Bounds;

    fn question(list: &[&str]) -> Question {
        let unit = Unit::base(Dimension::RESISTANCE);
        let expects = Expects::Value { unit, bounds: Box::new(Bounds::record_only()), by: None };
        let key = Key::step("gate", list.first().unwrap());
        let list = list.iter().map(|part| (*part).to_owned()).collect();
        Question { list, ..Question::of_a_test(&key, expects) }
    }

    fn each(list: &[&str], line: &str) -> (String, TypedList) {
        match ListLine::of(&question(list), line.to_owned()) {
            ListLine::Each(first, rest) => (first, rest),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn each_value_goes_to_its_part_in_turn() {
        let (first, mut rest) = each(&["q1", "q2", "q3", "q4"], " 21.4 kohm  OL 2k2 -0.3 ");
        assert_eq!(first, "21.4 kohm");
        for (list, value) in
            [(&["q2", "q3", "q4"][..], "OL"), (&["q3", "q4"], "2k2"), (&["q4"], "-0.3")]
        {
            let next = rest.next_for(&question(list)).unwrap().unwrap();
            assert_eq!((next.part.as_str(), next.value.as_str()), (*list.first().unwrap(), value));
        }
        assert_eq!(rest.next_for(&question(&["q5"])), Ok(None), "nothing is left to lose");
    }

    #[test]
    fn with_anything_else_asked_the_rest_was_never_typed() {
        let list = ["q1", "q2", "q3"];
        let asked_again = question(&list);
        let mut other_step = question(&["q2", "q3"]);
        other_step.key = Key::step("base", "q2");
        let other_kind = Question { expects: Expects::Done, ..question(&["q2", "q3"]) };
        let one_later = question(&["q3"]);
        for asked in [asked_again, other_step, other_kind, one_later] {
            let (_, mut rest) = each(&list, "1 2 3");
            assert_eq!(rest.next_for(&asked), Err(vec!["2".to_owned(), "3".to_owned()]));
            assert_eq!(rest.next_for(&question(&["q2", "q3"])), Ok(None), "not later either");
        }
    }

    #[test]
    fn only_a_value_for_each_part_is_a_list() {
        let of = |list: &[&str], line: &str| ListLine::of(&question(list), line.to_owned());
        let parts = ["q1", "q2"];
        for one in ["4.7", "4.7 kohm", "", "stuck", "q1 4.7 q2 4.8", "1 000", "-1 000", "1 000 ohm"]
        {
            assert_eq!(of(&parts, one), ListLine::One(one.to_owned()));
        }
        assert_eq!(of(&parts, "1 2 3"), ListLine::Other(3), "one slip must not shift the others");
        assert_eq!(of(&["q1", "q2", "q3"], "1 2"), ListLine::Other(2));
        assert_eq!(of(&["q2"], "1 2"), ListLine::One("1 2".to_owned()), "no list of one");
    }
}
