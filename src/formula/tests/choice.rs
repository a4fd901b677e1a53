//! Choices between two values.

use super::*;

#[test]
fn a_choice_takes_one_of_two_values() {
    for (text, expected) in [
        ("if 1 < 2 then 3 V else 4 V", "3 V"),
        ("if 2 < 1 then 3 V else 4 V", "4 V"),
        ("if 2 <= 2 then 1 else 0", "1"),
        ("if 2 < 2 then 1 else 0", "0"),
        ("if 2 >= 2 then 1 else 0", "1"),
        ("if 2 > 2 then 1 else 0", "0"),
        ("if rail > 60 V then 2 * rail else rail", "126 V"),
        ("if sink > 50 degC then 1 else 0", "1"),
        ("1 + (if 1 < 2 then 3 else 4) * 2", "7"),
        ("if 1 < 2 then 3 else 4 + 10", "3"),
        ("if 2 < 1 then 1 else if 3 < 4 then 2 else 3", "2"),
        ("if 1 < 2 then if 2 < 1 then 5 else 6 else 7", "6"),
        ("if (if 1 < 2 then 5 else 6) < 5.5 then 1 else 0", "1"),
        ("max(if 1 < 2 then 3 else 4, 2)", "3"),
        ("if max(drop) - min(drop) < 2 mV then 1 else 0", "1"),
        // In binary 0.1 + 0.2 is above 0.3.
        ("if 0.1 + 0.2 <= 0.3 then 1 else 0", "1"),
        ("if exact > 1.2345678901234566 V then 1 else 0", "1"),
        ("if 1 < 2 then exact else rail", "1.2345678901234567 V"),
    ] {
        assert_eq!(evaluate(text).unwrap(), quantity(expected), "{text}");
    }
}

#[test]
fn what_is_not_chosen_is_not_worked_out() {
    for (text, expected) in [
        ("if ratio > 0 then 1 / ratio else 1 / 0", "0.5"),
        ("if ratio < 0 then sqrt(-ratio) else 5", "5"),
        ("if rail > 1 V then rail else pending", "63 V"),
    ] {
        assert_eq!(evaluate(text).unwrap(), quantity(expected), "{text}");
    }
    assert!(evaluate("if ratio > 5 then 1 else 1 / 0").is_err());
    assert!(evaluate("if pending > 1 V then 1 else 2").is_err());
}

#[test]
fn both_sides_fit_before_the_run() {
    for (text, pointed, message) in [
        ("if rail < 1 A then 1 else 2", "<", "voltage and current can't be compared"),
        ("if rail < 5 then 1 else 2", "<", "voltage and plain number can't be compared"),
        ("if sink < 50 K then 1 else 2", "<", "can't be compared"),
        ("if 1 < 2 then 1 V else 2", "2", "this is plain number, but after `then` stands voltage"),
        ("if 1 < 2 then 1 V else rael", "rael", "nothing is called `rael`"),
        ("if 1 < 2 then 1 V else 1 V + 1 A", "+", "can't be added"),
    ] {
        let error = Formula::parse(text).unwrap().dimension(&measures).unwrap_err();
        let (found, said, _) = complaint(text, &error);
        assert_eq!(found, pointed, "{text}: {said}");
        assert!(said.contains(message), "{text}: {said}");
    }
    let error = evaluate("if rail < 1 A then 1 else 2").unwrap_err();
    assert!(error.to_string().contains("can't be compared"), "{error}");
}

#[test]
fn a_broken_choice_is_refused_where_it_breaks() {
    for (text, at, message) in [
        ("if 1 then 2 else 3", 5..9, "`then` stands where `<`"),
        ("if 1 < 2", 0..2, "lacks its `then`"),
        ("if 1 < 2 then 3", 0..2, "lacks its `else`"),
        ("if 1 < 2 else 3", 9..13, "`else` stands where an operator or `then`"),
        ("if 1 < 2 < 3 then 1 else 2", 9..10, "`<` stands where an operator or `then`"),
        ("if (1 < 2) then 1 else 2", 6..7, "`<` stands where"),
        ("1 < 2", 2..3, "`<` stands where an operator or the end"),
        ("1 + if 1 < 2 then 3 else 4", 4..6, "needs parentheses"),
        ("-if 1 < 2 then 3 else 4", 1..3, "needs parentheses"),
        ("then", 0..4, "`then` stands where a number"),
        ("2 * else", 4..8, "`else` stands where a number"),
        ("if(2)", 5..5, "is missing here"),
    ] {
        let error = Formula::parse(text).unwrap_err();
        assert_eq!(error.at, at, "{text}: {error}");
        assert!(error.to_string().contains(message), "{text}: {error}");
    }
    let compared = Formula::parse("1 < 2").unwrap_err().help().unwrap();
    assert!(compared.contains("after an `if`"), "{compared}");
}

/// Choices in conditions of choices cost no more than their length, and no stack.
#[test]
fn the_deepest_formulas_are_worked_out() {
    let in_conditions = format!("{}1{}", "if ".repeat(50), "<2 then 1 else 1".repeat(50));
    assert_eq!(evaluate(&in_conditions).unwrap(), quantity("1"));
    let in_calls = format!("{}1{}", "max(".repeat(63), ")".repeat(63));
    assert_eq!(evaluate(&in_calls).unwrap(), quantity("1"));
    let chain = format!("{}2", "if 2<1 then 1 else ".repeat(51));
    assert_eq!(evaluate(&chain).unwrap(), quantity("2"));
}
