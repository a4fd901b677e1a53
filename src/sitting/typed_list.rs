//! Answers to several questions that were typed on one line, and go to their questions one by one.
//!
//! Always true: an answer is for the question it was typed for, right behind one that was taken and went on; as soon as anything else is
//! asked, the rest counts as never typed.

use std::collections::VecDeque;

use crate::quantity::{Reading, Unit};
use crate::record::Key;
use crate::runner::{Expects, ListRow, Question};

/// What was typed on one line and is still to be given.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct TypedList(VecDeque<TypedAnswer>);

/// A question of a list, and what was typed for it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct TypedAnswer {
    key: Key,
    /// What the question is about.
    pub(super) what: String,
    /// The answer, as it would be typed at the question itself.
    pub(super) answer: String,
    /// What stood for it on the line.
    typed: String,
}

/// What a line is at a question.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum ListLine {
    /// One answer.
    One(String),
    /// An answer for each of several questions, this one's first.
    Each(String, TypedList),
    /// Neither one answer nor one for each: why.
    Other(NoList),
}

/// Why a line of several answers is not taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum NoList {
    /// So many values, and another number of parts.
    Values(usize),
    /// Numbers of what was done that leave one out, or name what is not there.
    Tasks,
    /// Numbers that are not one answer of each look.
    Looks,
}

impl ListLine {
    /// Takes a line apart where the question is one of a list.
    pub(super) fn of(question: &Question, line: String) -> Self {
        if question.list.len() < 2 {
            return Self::One(line);
        }
        match &question.expects {
            Expects::Value { unit, .. } => values(question, line, unit),
            Expects::Done => tasks(question, line),
            Expects::Choice(_) => looks(question, line),
            Expects::Word(_)
            | Expects::Confirm
            | Expects::Name { .. }
            | Expects::TakesOver
            | Expects::SecondPerson
            | Expects::Witness { .. }
            | Expects::Fact
            | Expects::Text
            | Expects::File => Self::One(line),
        }
    }

    fn each(mut answers: VecDeque<TypedAnswer>) -> Self {
        match answers.pop_front() {
            Some(first) => Self::Each(first.answer, TypedList(answers)),
            None => Self::One(String::new()),
        }
    }
}

/// A value for each part, or one.
fn values(question: &Question, line: String, unit: &Unit) -> ListLine {
    let is_over_range = |word: &str| Reading::parse(word, unit) == Ok(Reading::OverRange);
    let values = values_of(&line, is_over_range);
    match values.len() {
        0 | 1 => ListLine::One(line),
        count if count == question.list.len() => {
            let answers = question.list.iter().zip(values);
            ListLine::each(answers.map(|(row, value)| row.answered(&value, &value)).collect())
        }
        count => ListLine::Other(NoList::Values(count)),
    }
}

/// The numbers of what is done, from the first on without a gap: `1 2 3` or `1-3`.
fn tasks(question: &Question, line: String) -> ListLine {
    let Some(numbers) = numbers_of(&line) else { return ListLine::One(line) };
    let are_in_turn = numbers.iter().enumerate().all(|(n, number)| *number == n + 1);
    if !are_in_turn || numbers.len() > question.list.len() {
        return ListLine::Other(NoList::Tasks);
    }
    let answers = question.list.iter().zip(numbers);
    ListLine::each(answers.map(|(row, n)| row.answered("done", &n.to_string())).collect())
}

/// One answer of each of the first looks, or the number of one. The numbers run on from look to look, so that none stands for two.
fn looks(question: &Question, line: String) -> ListLine {
    let Some(numbers) = numbers_of(&line) else { return ListLine::One(line) };
    let mut before = 0;
    let mut answers = VecDeque::new();
    for (number, row) in numbers.iter().zip(&question.list) {
        let choice = number.checked_sub(before + 1).and_then(|n| row.choices.get(n));
        let Some(choice) = choice else { return ListLine::Other(NoList::Looks) };
        answers.push_back(row.answered(&choice.say, &number.to_string()));
        before += row.choices.len();
    }
    match answers.len() == numbers.len() {
        true => ListLine::each(answers),
        false => ListLine::Other(NoList::Looks),
    }
}

/// The whole numbers on a line, with a gap or a comma between them, or the first and last with a dash: `1 2 3`, `1-3`.
fn numbers_of(line: &str) -> Option<Vec<usize>> {
    let number = |word: &str| word.parse::<usize>().ok();
    if let Some((first, last)) = line.split_once('-') {
        let (first, last) = (number(first.trim())?, number(last.trim())?);
        // No line of a procedure has more.
        return (first <= last && last < 100).then(|| (first..=last).collect());
    }
    let words = line.split(|c: char| c.is_whitespace() || c == ',').filter(|word| !word.is_empty());
    let numbers: Vec<_> = words.map(number).collect::<Option<_>>()?;
    (!numbers.is_empty()).then_some(numbers)
}

impl ListRow {
    fn answered(&self, answer: &str, typed: &str) -> TypedAnswer {
        TypedAnswer {
            key: self.key.clone(),
            what: self.what.clone(),
            answer: answer.to_owned(),
            typed: typed.to_owned(),
        }
    }
}

impl TypedList {
    /// The answer to this question, if it is the next of the list.
    ///
    /// # Errors
    /// What was typed that nothing will be made of: something else is asked.
    pub(super) fn next_for(
        &mut self,
        question: &Question,
    ) -> Result<Option<TypedAnswer>, Vec<String>> {
        let Some(next) = self.0.front() else { return Ok(None) };
        let is_next = question.list.first().is_some_and(|row| row.key == next.key);
        if is_next {
            return Ok(self.0.pop_front());
        }
        Err(self.0.drain(..).map(|left| left.typed).collect())
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
    use crate::procedure::act::Choice;
    use crate::quantity::Dimension;
    use crate::window::Bounds;

    fn row(name: &str) -> ListRow {
        ListRow { key: Key::step("gate", name), what: name.to_owned(), choices: Vec::new() }
    }

    fn about(list: Vec<ListRow>, expects: Expects) -> Question {
        let key = list.first().unwrap().key.clone();
        Question { list, ..Question::of_a_test(&key, expects) }
    }

    fn question(list: &[&str]) -> Question {
        let unit = Unit::base(Dimension::RESISTANCE);
        let expects = Expects::Value { unit, bounds: Box::new(Bounds::record_only()), by: None };
        about(list.iter().map(|part| row(part)).collect(), expects)
    }

    fn tasks(list: &[&str]) -> Question {
        Question { expects: Expects::Done, ..question(list) }
    }

    /// Two looks: one of two answers, one of three.
    fn looks() -> Question {
        let look = |name: &str, answers: &[&str]| {
            let choices = answers.iter().map(|say| Choice::explained(say, "")).collect();
            ListRow { choices, ..row(name) }
        };
        let rows = vec![look("lid", &["shut", "open"]), look("lamp", &["dark", "dim", "bright"])];
        let choices = rows.first().unwrap().choices.clone();
        about(rows, Expects::Choice(choices))
    }

    fn each(question: &Question, line: &str) -> (String, TypedList) {
        match ListLine::of(question, line.to_owned()) {
            ListLine::Each(first, rest) => (first, rest),
            other => panic!("{other:?}"),
        }
    }

    /// All answers of a line, in the order of their questions.
    fn answers(question: &Question, line: &str) -> Vec<String> {
        let (first, rest) = each(question, line);
        std::iter::once(first).chain(rest.0.into_iter().map(|typed| typed.answer)).collect()
    }

    #[test]
    fn each_value_goes_to_its_part_in_turn() {
        let (first, mut rest) =
            each(&question(&["q1", "q2", "q3", "q4"]), " 21.4 kohm  OL 2k2 -0.3 ");
        assert_eq!(first, "21.4 kohm");
        for (list, value) in
            [(&["q2", "q3", "q4"][..], "OL"), (&["q3", "q4"], "2k2"), (&["q4"], "-0.3")]
        {
            let next = rest.next_for(&question(list)).unwrap().unwrap();
            assert_eq!((next.what.as_str(), next.answer.as_str()), (*list.first().unwrap(), value));
        }
        assert_eq!(rest.next_for(&question(&["q5"])), Ok(None), "nothing is left to lose");
    }

    #[test]
    fn with_anything_else_asked_the_rest_was_never_typed() {
        let list = ["q1", "q2", "q3"];
        let asked_again = question(&list);
        let mut other_step = question(&["q2", "q3"]);
        other_step.list.first_mut().unwrap().key = Key::step("base", "q2");
        let not_of_a_list = Question { list: Vec::new(), ..question(&["q2", "q3"]) };
        let one_later = question(&["q3"]);
        for asked in [asked_again, other_step, not_of_a_list, one_later] {
            let (_, mut rest) = each(&question(&list), "1 2 3");
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
        let three = of(&parts, "1 2 3");
        assert_eq!(three, ListLine::Other(NoList::Values(3)), "one slip must not shift the others");
        assert_eq!(of(&["q1", "q2", "q3"], "1 2"), ListLine::Other(NoList::Values(2)));
        assert_eq!(of(&["q2"], "1 2"), ListLine::One("1 2".to_owned()), "no list of one");
    }

    #[test]
    fn what_is_done_is_told_by_its_numbers_without_a_gap() {
        let all = tasks(&["clip", "probe", "lid"]);
        for (line, count) in [("1", 1), ("1 2", 2), ("1-3", 3), ("1, 2,3", 3), ("1 - 2", 2)] {
            assert_eq!(answers(&all, line), vec!["done"; count], "{line}");
        }
        for line in ["2", "1 3", "2 1", "1 1", "1-4", "1 2 3 4", "0", "2-3"] {
            let of = ListLine::of(&all, line.to_owned());
            assert_eq!(of, ListLine::Other(NoList::Tasks), "{line}");
        }
        for line in ["", "done", "3-1", "1-", "-1", "1-100", "1.5", "99999999999999999999999"] {
            assert_eq!(ListLine::of(&all, line.to_owned()), ListLine::One(line.to_owned()));
        }
    }

    #[test]
    fn the_answers_of_looks_are_numbered_through() {
        let of = |line: &str| ListLine::of(&looks(), line.to_owned());
        assert_eq!(answers(&looks(), "1 3"), ["shut", "dark"]);
        assert_eq!(answers(&looks(), "2, 5"), ["open", "bright"]);
        assert_eq!(answers(&looks(), "2"), ["open"], "the second look is asked then");
        for line in ["1 1", "1 2", "3", "3 1", "1 6", "1 3 3", "0 3", "1-3"] {
            assert_eq!(of(line), ListLine::Other(NoList::Looks), "{line}");
        }
        assert_eq!(of("shut"), ListLine::One("shut".to_owned()));
    }

    #[test]
    fn a_look_that_was_answered_badly_ends_its_line() {
        let (_, mut rest) = each(&looks(), "2 4");
        let stopped = Question::of_a_test(&Key::switch_off(), Expects::Word("off"));
        assert_eq!(rest.next_for(&stopped), Err(vec!["4".to_owned()]));
    }
}
