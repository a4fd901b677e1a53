#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]

use super::{FactQuestion, LineTaken, Questionnaire};
use crate::procedure::check::{Subject, check, check_equipment};
use crate::procedure::{Equipment, Procedure, bundled, read_equipment, read_procedure};

fn procedure(name: &str) -> Procedure {
    read_procedure(bundled::text(name).unwrap()).unwrap()
}

fn begun(name: &str) -> Questionnaire {
    let mut questions = Questionnaire::new(procedure(name));
    answer(&mut questions, "Heron 5 (invented)");
    answer(&mut questions, "H-1");
    questions
}

fn answer(questions: &mut Questionnaire, line: &str) {
    let taken = questions.take(line);
    assert!(matches!(taken, LineTaken::Answer(_)), "{line}: {taken:?}");
}

fn refused(questions: &mut Questionnaire, line: &str) -> String {
    let before = questions.question();
    let LineTaken::Refused(why) = questions.take(line) else { panic!("{line} is taken") };
    assert_eq!(questions.question(), before, "{line}");
    why
}

fn question(questions: &Questionnaire) -> FactQuestion {
    questions.question().unwrap()
}

/// The answers of the equipment that comes with a procedure, in the order of its questions.
fn bundled_answers(name: &str) -> Vec<String> {
    let equipment = read_equipment(bundled::equipment(name).unwrap()).unwrap();
    procedure(name).asks.iter().map(|(fact, _)| equipment.answer(fact).unwrap()).collect()
}

/// Asks on until this fact is asked for, with the answers of the bundled equipment.
fn until(name: &str, fact: &str) -> Questionnaire {
    let mut questions = begun(name);
    let asks: Vec<_> = procedure(name).asks.iter().map(|(name, _)| name.value.clone()).collect();
    let answers = bundled_answers(name);
    for (_, line) in asks.iter().zip(&answers).take_while(|(asked, _)| *asked != fact) {
        answer(&mut questions, line);
    }
    questions
}

fn codes(name: &str, text: &str) -> Vec<&'static str> {
    let (procedure, equipment) = (procedure(name), read_equipment(text).unwrap());
    let mut found = check(&Subject::new(&procedure, Some(&equipment), None));
    found.extend(check_equipment(Some(&procedure), &equipment));
    found.iter().map(|finding| finding.code).collect()
}

fn fact(text: &str, name: &str) -> Option<String> {
    let equipment: Equipment = read_equipment(text).unwrap();
    equipment.facts.get(name).map(|fact| fact.value.clone())
}

#[test]
fn the_answers_of_each_bundled_equipment_make_its_file_and_nothing_is_found_in_it() {
    for name in bundled::NAMES {
        let mut questions = begun(name);
        let answers = bundled_answers(name);
        for (n, line) in answers.iter().enumerate() {
            let asked = question(&questions);
            assert_eq!((asked.number, asked.of), (n + 3, answers.len() + 2), "{name}");
            assert!(asked.find.is_some() && asked.example.is_some(), "{name}: {asked:?}");
            assert!(asked.group.is_some(), "{name}: {asked:?}");
            let left = read_equipment(&questions.text()).unwrap();
            assert_eq!(check_equipment(None, &left)[0].code, "YML014", "{name}, left here");
            answer(&mut questions, line);
        }
        assert!(questions.is_complete() && questions.question().is_none());
        let text = questions.text();
        assert_eq!(codes(name, &text), Vec::<&str>::new(), "{name}\n{text}");
        let made = read_equipment(&text).unwrap();
        let bundled = read_equipment(bundled::equipment(name).unwrap()).unwrap();
        for (fact, value) in bundled.facts.iter() {
            assert_eq!(made.facts.get(fact).unwrap().value, value.value, "{name}: {}", fact.value);
        }
        for (list, parts) in bundled.parts.iter() {
            let names = |parts: &[crate::procedure::At<String>]| {
                parts.iter().map(|part| part.value.clone()).collect::<Vec<_>>()
            };
            assert_eq!(names(made.parts.get(list).unwrap()), names(parts), "{name}");
        }
    }
}

#[test]
fn what_is_shown_as_an_example_is_taken() {
    for name in bundled::NAMES {
        let mut questions = Questionnaire::new(procedure(name));
        while let Some(asked) = questions.question() {
            answer(&mut questions, &asked.example.unwrap());
        }
        assert!(questions.is_complete());
    }
}

#[test]
fn a_file_that_was_left_goes_on_where_it_was_left_with_all_that_was_answered() {
    for name in bundled::NAMES {
        let mut questions = Questionnaire::new(procedure(name));
        let first = ["Heron \"5\": # {x} (invented)".to_owned(), "no. 1\\2".to_owned()];
        for line in first.into_iter().chain(bundled_answers(name)) {
            answer(&mut questions, &line);
            let again = Questionnaire::taken_up(procedure(name), &questions.draft()).unwrap();
            assert_eq!(again.text(), questions.text());
            assert_eq!(again.question(), questions.question());
        }
        let whole = Questionnaire::taken_up(procedure(name), &questions.text());
        assert_eq!(
            whole.unwrap_err().to_string(),
            "it is a whole equipment file, with nothing left to ask"
        );
    }
}

#[test]
fn what_a_file_says_that_the_procedure_would_refuse_is_asked_for_again() {
    let mut questions = until("regulator-board", "reservoir");
    let text = questions.text().replace("dropout: ", "dropout: 70 ");
    questions = Questionnaire::taken_up(procedure("regulator-board"), &text).unwrap();
    assert_eq!(question(&questions).what, "Least voltage across the regulator, service data");
    let other = Questionnaire::taken_up(procedure("appliance-earthed"), &text).unwrap_err();
    assert_eq!(other.to_string(), "it was begun for the procedure `regulator-board`");
    for text in ["", "format: 1\n", "equipment: [\n", &"x".repeat(2_000_000)] {
        assert!(Questionnaire::taken_up(procedure("regulator-board"), text).is_err());
    }
}

#[test]
fn a_value_that_is_no_answer_is_refused_as_elsewhere_and_nothing_moves() {
    let mut questions = until("amplifier-class-ab", "secondary");
    for (line, why) in [
        ("31,5 V", "comma"),
        ("31 A", "is current"),
        ("31 parsec", "unknown unit"),
        ("-31 V", "not credible"),
        ("3100 V", "not credible"),
        ("1e9 V", "can't be"),
        ("0.031", "not credible"),
        ("OL", "over-range"),
        ("", "nothing was typed"),
        ("ok", "not a value"),
        ("31 V +/- 200 %", "no tolerance"),
        ("none", "not a value"),
    ] {
        let refused = refused(&mut questions, line);
        assert!(refused.contains(why), "{line}: {refused}");
    }
}

#[test]
fn a_number_without_its_unit_gets_it_in_the_file() {
    for (typed, written) in [
        ("31", "31 V"),
        ("31 V", "31 V"),
        ("31000 mV", "31000 mV"),
        ("31 +/- 2 %", "31 V +/- 2 %"),
        ("3.1e1", "3.1e1 V"),
    ] {
        let mut questions = until("amplifier-class-ab", "secondary");
        assert_eq!(questions.take(typed), LineTaken::Answer(written.to_owned()));
        assert_eq!(fact(&questions.text(), "secondary").as_deref(), Some(written));
    }
}

#[test]
fn back_goes_to_the_question_before_and_enter_keeps_what_was_answered() {
    let mut questions = until("regulator-board", "board_current");
    assert_eq!(questions.take("back"), LineTaken::Moved);
    let asked = question(&questions);
    assert_eq!((asked.number, asked.now.as_deref()), (4, Some("1.5 V")), "{asked:?}");
    answer(&mut questions, "");
    assert_eq!(question(&questions).number, 5);
    assert_eq!(questions.take("BACK "), LineTaken::Moved);
    answer(&mut questions, "2 V");
    assert_eq!((question(&questions).number, question(&questions).now), (5, None));
    assert_eq!(fact(&questions.text(), "dropout").as_deref(), Some("2 V"));
    for _ in 0..4 {
        assert_eq!(questions.take("back"), LineTaken::Moved);
    }
    assert!(refused(&mut questions, "back").contains("first question"));
    assert!(questions.go_to(0).is_err() && questions.go_to(99).is_err());
    questions.go_to(4).unwrap();
    assert_eq!(question(&questions).number, 4);
}

#[test]
fn what_nobody_knows_is_never_guessed() {
    let mut questions = until("amplifier-class-ab", "primary");
    let why = refused(&mut questions, "unknown");
    assert!(why.starts_with("`primary` can't be left out, and nothing stands in for it."), "{why}");
    assert!(why.contains("values (source, rail, lamp_rail, ...)"), "{why}");
    assert!(why.contains("ceilings of stages (bench-low"), "{why}");
    assert!(why.contains("primary-on"), "{why}");
    let mut questions = until("amplifier-class-ab", "earthed_parts");
    assert!(refused(&mut questions, "unknown").contains("earth"));
    let mut questions = until("amplifier-class-ab", "bleeder");
    assert!(question(&questions).unknown.unwrap().starts_with("`none`: no wait is offered"));
    answer(&mut questions, "unknown");
    assert!(questions.text().contains("\n  bleeder: none  # not known: no wait is offered"));
    assert_eq!(fact(&questions.text(), "bleeder").as_deref(), Some("none"));
}

#[test]
fn every_stand_in_of_a_bundled_procedure_can_be_run_with() {
    for name in bundled::NAMES {
        let mut questions = begun(name);
        for line in bundled_answers(name) {
            let line = if question(&questions).unknown.is_some() { "unknown" } else { &line };
            answer(&mut questions, line);
        }
        let text = questions.text();
        assert!(codes(name, &text).is_empty(), "{name}: {:?}\n{text}", codes(name, &text));
    }
}

#[test]
fn a_fact_is_worked_out_from_others_shown_and_taken_only_on_a_word() {
    for (fact_name, inputs, found, how) in [
        (
            "winding",
            vec!["28.7", "120 VA", "8"],
            "0.240 ohm",
            "with nominal = 28.7 V, rating = 120 VA, rise = 8 %",
        ),
        (
            "pair_idle",
            vec!["9.9 mV"],
            "45.0 mA",
            "drop_due / emitter_resistor, with drop_due = 9.9 mV",
        ),
        ("gain", vec!["0.78 V"], "28.1", "sqrt(rated_power * load) / sensitivity"),
    ] {
        let mut questions = until("amplifier-class-ab", fact_name);
        assert!(question(&questions).offer.is_some());
        let at = question(&questions).number;
        assert_eq!(questions.take("work out"), LineTaken::Moved);
        for line in &inputs {
            refused(&mut questions, "5 parsec");
            assert_eq!(questions.take(line), LineTaken::Moved, "{fact_name}: {line}");
        }
        let shown = question(&questions);
        assert!(shown.what.starts_with(&format!("{found} = ")), "{shown:?}");
        assert!(shown.what.contains(how) && shown.basis.is_some(), "{shown:?}");
        assert!(refused(&mut questions, "").contains("`yes`"));
        assert_eq!(fact(&questions.text(), fact_name), None);
        assert_eq!(questions.take("back"), LineTaken::Moved);
        assert_eq!(questions.take(inputs.last().unwrap()), LineTaken::Moved);
        assert_eq!(questions.take("yes"), LineTaken::Answer(found.to_owned()));
        assert_eq!(fact(&questions.text(), fact_name).as_deref(), Some(found));
        assert!(questions.text().contains(&format!("{found}  # worked out: ")));
        assert_eq!(question(&questions).number, at + 1);
    }
}

#[test]
fn what_comes_out_beyond_all_credence_is_not_taken() {
    let mut questions = until("amplifier-class-ab", "winding");
    questions.take("work out");
    for line in ["28.7", "2 kVA", "2 %"] {
        questions.take(line);
    }
    let shown = question(&questions).what;
    assert!(shown.contains("-0.301 ohm can't be"), "{shown}");
    assert!(refused(&mut questions, "yes").contains("can't be taken"));
    assert_eq!(questions.take("no"), LineTaken::Moved);
    assert_eq!(question(&questions).now, None);
    let mut questions = until("amplifier-class-ab", "secondary");
    assert!(refused(&mut questions, "work out").contains("no way"));
}

#[test]
fn a_fact_that_was_worked_out_from_another_is_asked_again_when_that_one_changes() {
    for is_taken_up in [false, true] {
        let mut questions = until("amplifier-class-ab", "pair_idle");
        for line in ["work out", "9.9 mV", "yes"] {
            questions.take(line);
        }
        if is_taken_up {
            let text = questions.text();
            questions = Questionnaire::taken_up(procedure("amplifier-class-ab"), &text).unwrap();
        }
        let at = question(&questions).number;
        let resistor = (0..9).find(|_| {
            questions.take("back");
            question(&questions).what == "Value of each emitter (source) resistor"
        });
        assert!(resistor.is_some());
        answer(&mut questions, "");
        assert_eq!(question(&questions).number, at, "what is kept changes nothing");
        questions.go_to(at - 3).unwrap();
        let LineTaken::Answer(told) = questions.take("0.33 ohm") else { panic!() };
        assert!(told.contains("asked again: pair_idle"), "{told}");
        assert_eq!(fact(&questions.text(), "pair_idle"), None);
    }
}

#[test]
fn a_set_has_a_name_and_a_number_that_tell_it_from_others() {
    let mut questions = Questionnaire::new(procedure("regulator-board"));
    let long = "x".repeat(121);
    for line in ["", " ", "-", "?", "ok", "Unknown", "n/a", "a\u{202e}b", "a\u{7}b", &long] {
        refused(&mut questions, line);
    }
    answer(&mut questions, "Heron 5");
    assert!(refused(&mut questions, "none").contains("mark of the shop's own"));
    answer(&mut questions, "shop 7");
    let equipment = read_equipment(&questions.text()).unwrap();
    assert_eq!((&*equipment.equipment.value, &*equipment.serial.value), ("Heron 5", "shop 7"));
}

#[test]
fn part_names_that_yaml_takes_for_something_else_stay_names() {
    let mut questions = until("appliance-earthed", "earthed_parts");
    for (line, why) in [("", "name"), ("q1, q1", "twice"), ("a b", "name"), ("second", "second")] {
        let refused = refused(&mut questions, line);
        assert!(refused.contains(why), "{line}: {refused}");
    }
    answer(&mut questions, "no, 1, true, -a, null,q1");
    let equipment = read_equipment(&questions.text()).unwrap();
    let parts = equipment.parts.get("earthed_parts").unwrap();
    let parts: Vec<_> = parts.iter().map(|part| part.value.as_str()).collect();
    assert_eq!(parts, ["no", "1", "true", "-a", "null", "q1"]);
}

#[test]
fn a_rule_set_is_chosen_by_its_number_or_its_word() {
    let mut questions = begun("appliance-earthed");
    assert!(question(&questions).choices[0].starts_with("en_50678_2020: EN 50678:2020"));
    for line in ["0", "99", "en"] {
        refused(&mut questions, line);
    }
    answer(&mut questions, "1");
    assert_eq!(fact(&questions.text(), "safety_rules").as_deref(), Some("en_50678_2020"));
}
