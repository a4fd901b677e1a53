//! What holds for every topic, and how its tests ask.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]

use clap::{FromArgMatches, Subcommand};

use super::answer::{Answer, Remark};
use super::explanation;
use super::option::Several;
use super::topic::Chosen;
use super::{TOPICS, option};
use crate::quantity::Unit;

/// Works out what a command line after `work-out` asks for.
pub(super) fn work_out(line: &str) -> Answer {
    try_work_out(line).unwrap()
}

/// Works it out, or says why not.
fn try_work_out(line: &str) -> Result<Answer, String> {
    let words = std::iter::once("work-out").chain(line.split_whitespace());
    let command = Chosen::augment_subcommands(clap::Command::new("work-out"));
    let matches = command.try_get_matches_from(words).map_err(|error| error.to_string())?;
    let chosen = Chosen::from_arg_matches(&matches).map_err(|error| error.to_string())?;
    chosen.topic.unwrap().work_out().map_err(|fault| format!("{fault:?}"))
}

/// Why it cannot be worked out.
pub(super) fn refusal(line: &str) -> String {
    try_work_out(line).unwrap_err()
}

/// Panics unless two numbers agree to a relative difference.
pub(super) fn near(got: f64, want: f64, relative: f64) {
    assert!((got - want).abs() <= relative * want.abs(), "got {got}, want {want}");
}

#[test]
fn every_page_has_its_four_sections_and_needs_no_more_than_ascii() {
    let wanted = ["formula", "assumptions", "range_of_validity", "source"];
    for entry in TOPICS {
        let page = explanation::json(entry.page);
        let sections = page.as_object().unwrap();
        assert_eq!(sections.len(), wanted.len(), "{}", entry.name);
        for heading in wanted {
            let items = sections.get(heading).and_then(|items| items.as_array());
            assert!(items.is_some_and(|items| !items.is_empty()), "{}: {heading}", entry.name);
        }
        assert!(entry.page.is_ascii(), "{}", entry.name);
    }
}

#[test]
fn topics_stand_in_the_order_of_names() {
    assert!(TOPICS.is_sorted_by_key(|entry| entry.name));
}

/// Every option of every topic, set up as on the command line.
fn options() -> impl Iterator<Item = (&'static str, clap::Arg)> {
    TOPICS.iter().flat_map(|entry| {
        let mut command = entry.command();
        // Lets the topic set its options up.
        command.build();
        let options: Vec<_> = command.get_opts().cloned().collect();
        options.into_iter().map(|option| (entry.name, option))
    })
}

/// What an option makes of a text, whatever else is missing.
fn parsed(topic: &'static str, option: &clap::Arg, text: &str) -> Option<f64> {
    let command = Chosen::augment_subcommands(clap::Command::new("work-out"));
    let long = format!("--{}", option.get_long().unwrap());
    let words = ["work-out", topic, &long, text];
    let matches = command.ignore_errors(true).try_get_matches_from(words).unwrap();
    let given = matches.subcommand_matches(topic)?;
    let id = option.get_id().as_str();
    match given.try_get_many::<f64>(id) {
        Ok(values) => values?.next().copied(),
        Err(_) => given.try_get_many::<Several>(id).ok()??.next()?.0.first().copied(),
    }
}

/// The unit that the help of an option shows; none for what is no value with one unit.
fn unit_shown(option: &clap::Arg) -> Option<Unit> {
    let symbols =
        ["V", "A", "ohm", "uF", "W", "VA", "Hz", "s", "m", "mm2", "degC", "K/W", "%", "dB"];
    let shown = option.get_value_names()?.first()?.as_str();
    let symbol = symbols.into_iter().find(|symbol| symbol.to_uppercase() == shown)?;
    Some(Unit::parse(symbol).unwrap())
}

/// The list comes from the commands themselves, so that no option of a later topic is left out.
#[test]
fn a_number_alone_is_in_the_unit_that_help_shows() {
    let without_one_unit =
        ["VALUE", "KIND", "COUNT", "COUNTS", "COLOURS", "MARK", "NAME", "W|OHM", "A|OHM"];
    let mut tried = 0;
    for (topic, option) in options() {
        let name = option.get_value_names().map(|names| names[0].to_string()).unwrap_or_default();
        let is_choice = !option.get_possible_values().is_empty();
        // A fuse's rating carries what its mark says beside the amps; see the test of that topic.
        let is_mark = (topic, option.get_id().as_str()) == ("fuse", "rating");
        let Some(unit) = unit_shown(&option).filter(|_| !is_mark) else {
            let is_listed = without_one_unit.contains(&name.as_str());
            assert!(is_listed || is_choice || is_mark, "{topic} {option:?}");
            continue;
        };
        let alone = parsed(topic, &option, "7").unwrap_or_else(|| panic!("{topic} {option}"));
        near(alone, 7.0 * unit.factor().to_f64(), 1e-12);
        let written = parsed(topic, &option, &format!("7 {}", unit.symbol())).unwrap();
        near(written, alone, 1e-12);
        tried += 1;
    }
    assert!(tried > 30, "only {tried} options were tried");
}

#[test]
fn a_number_alone_is_refused_where_two_units_are_possible() {
    let error = refusal("lamp --lamp 60W --load 30");
    assert!(error.contains("`30` may be W or ohm: type it like `30 W` or `500 ohm`"), "{error}");
}

/// `-10 degC` and `-10 dB` are values, and what may not be below zero is refused as such.
#[test]
fn a_value_with_a_minus_is_no_option() {
    let mut tried = 0;
    for (topic, option) in options() {
        let Some(unit) = unit_shown(&option) else { continue };
        let long = option.get_long().unwrap();
        let line = format!("{topic} --{long} -10{}", unit.symbol());
        let error = try_work_out(&line).err().unwrap_or_default();
        assert!(!error.contains("unexpected argument"), "{line}: {error}");
        tried += 1;
    }
    assert!(tried > 30, "only {tried} options were tried");
    let cold = work_out("bias --resistor 0.22 --drop 10mV --rail 50V --ambient -10degC");
    assert!(cold.number_of("idle current of each device") > 0.0);
    let error = refusal("discharge --capacitance 10mF --from -63V --resistor 100");
    assert!(error.contains("above zero"), "{error}");
}

/// A comma stands before decimals in half of the world: nothing with one is taken apart in silence.
#[test]
fn a_decimal_comma_is_not_taken_for_two_values() {
    for line in [
        "resistor --value 1k --beside 4,7k",
        "resistor --value 1k --beside 4,7",
        "resistor --value 1k --beside 0,22ohm",
        "resistor --value 1k --beside 10k,22",
        "lamp --short --lamp 7,5W",
        "lamp --load 30W --lamp 40,60",
    ] {
        let error = refusal(line);
        assert!(error.contains("may be one value or several"), "{line}: {error}");
    }
    let error = refusal("meter --reading 5V --range 6V --count 1mV --counts 2 --again 5,01V");
    assert!(error.contains("not of one kind"), "{error}");
    for line in ["--beside 4k7,10kohm", "--beside 4.7k,10k", "--beside 4k7 --beside 10000"] {
        let answer = work_out(&format!("resistor --value 1k {line}"));
        near(answer.number_of("expected in circuit"), 761.75, 1e-4);
    }
}

/// A dead short, a dead outlet and a cold output stage read 0: what is most alarming is no wrong usage.
#[test]
fn a_reading_of_zero_is_a_reading() {
    let cold = work_out("leakage --cold 0");
    assert!(cold.remarks_on(Remark::Hazard, "don't plug it in"));
    let short = work_out("resistor --value 4k7 --reading 0");
    assert!(short.remarks_on(Remark::Warning, "that is a short"));
    let dead = work_out("mains --supply 230V --reading 0V");
    assert!(dead.remarks_on(Remark::Warning, "0 V is NOT what this supply may be"));
}

#[test]
fn values_are_read_as_at_a_bench() {
    for (text, symbol, base) in [
        ("36", "V", 36.0),
        ("4k7", "ohm", 4700.0),
        ("10m", "uF", 0.01),
        ("470", "uF", 470e-6),
        ("8 %", "%", 0.08),
        ("10", "%", 0.1),
        ("1e3", "uF", 1e-3),
        ("47e-6 F", "uF", 47e-6),
        ("5e-2", "%", 5e-4),
    ] {
        near(option::read(text, symbol).unwrap(), base, 1e-12);
    }
    for (text, symbol, message) in [
        ("36A", "V", "`36A` is current, but this is voltage: write it in V"),
        ("OL", "ohm", "over range is not a number"),
        ("47e-6", "uF", "`47e-6` may be in F or in uF: write its unit"),
        ("4.7E\u{2212}5", "uF", "may be in F or in uF"),
        ("1/2A", "A", "unknown unit `/2A`"),
        ("230VAC", "V", "did you mean `V`?"),
        ("1,5", "V", "comma"),
        ("1e40", "V", "check its prefix"),
        ("-300", "degC", "absolute zero is -273.15 degC"),
    ] {
        let error = option::read(text, symbol).unwrap_err();
        assert!(error.contains(message), "{error}");
    }
}

/// What no bench has is refused whatever the option, and so is what is no value; nothing of it becomes a number.
#[test]
fn no_option_takes_a_value_that_no_bench_has() {
    let mut tried = 0;
    for (topic, option) in options() {
        let Some(unit) = unit_shown(&option) else { continue };
        let symbol = unit.symbol();
        for size in ["1e30", "-1e30", "1e19", "1e-30", "1e400"] {
            let text = format!("{size}{symbol}");
            assert_eq!(parsed(topic, &option, &text), None, "{topic} {option} {text}");
        }
        let other = if symbol == "A" { "5V" } else { "5A" };
        // A meter on ohms shows open where nothing conducts.
        let is_open = |text: &str| option.get_id() == "cold" && text.ends_with("inf");
        let texts = ["", "NaN", "nan", "inf", "-inf", "1e400", "5kg", other];
        for text in texts.into_iter().filter(|text| !is_open(text)) {
            assert_eq!(parsed(topic, &option, text), None, "{topic} {option} {text}");
        }
        tried += 1;
    }
    assert!(tried > 30, "only {tried} options were tried");
}

/// Each value may be one of a bench and what comes of them none: that gets a word.
#[test]
fn a_result_that_nothing_at_a_bench_has_gets_a_word() {
    assert!(refusal("stored-energy --capacitance 40kF --voltage 10V").contains("check its prefix"));
    for (line, name) in [
        ("stored-energy --capacitance 9kF --voltage 60V", "energy"),
        ("discharge --capacitance 100F --from 400V --resistor 1kohm", "energy at the start"),
        ("bias --resistor 1nohm --drop 11mV --rail 40V", "idle current of each device"),
        ("bias --resistor 1mohm --drop 4V --rail 400V", "idle power of the stage"),
        ("ramp --capacitance 10mF --to 40V --over 1us", "current limit to set"),
        ("level --dbv 200", "volts, RMS"),
        ("leakage --hot 50kV", ""),
    ] {
        let answer = work_out(line);
        let words = format!("{name}, ");
        let is_told = answer.remarks_on(Remark::Warning, "nothing at a bench has that");
        assert_eq!(
            is_told && answer.remarks_on(Remark::Warning, &words),
            !name.is_empty(),
            "{line}"
        );
    }
    let sound = work_out("stored-energy --capacitance 100mF --voltage 450V");
    assert!(!sound.remarks_on(Remark::Warning, "nothing at a bench"));
}

#[test]
fn a_meter_as_coarse_as_none_gets_a_word() {
    let of = |per_cent: &str| {
        work_out(&format!("meter --reading 5V --range 6V --count 1mV --of-reading {per_cent}"))
    };
    assert!(of("50%").remarks_on(Remark::Warning, "check the per cent"));
    assert!(!of("30%").remarks_on(Remark::Warning, ""));
}

#[test]
fn a_meter_or_a_mains_that_there_is_not_is_refused() {
    let meter = "meter --reading 5V --range 6V --count 1mV --counts 2";
    for (line, words) in [
        ("leakage --hot 0.3V --mains-hz 1GHz", "no mains has such a frequency"),
        (
            "rail --secondary 28V --winding 1ohm --reservoir 1mF --load 1A --mains-hz 1Hz",
            "no mains",
        ),
        (&format!("{meter} --of-reading 1000%"), "no meter errs by more than all of it"),
        ("meter --reading 5V --range 6V --count 0V --counts 2", "above zero"),
        ("meter --reading 5V --range -6V --count 1mV --counts 2", "above zero"),
        ("meter --reading 5V --range 6V --count 1kV --counts 2", "one count is more than"),
        ("meter --reading 1e30V --range 6V --count 1mV --counts 2", "check its prefix"),
        (&format!("{meter} --again 1e-30V"), "check its prefix"),
        ("meter --reading OL --range 6V --count 1mV --counts 2", "over range is not a number"),
        ("meter --reading 5V --range 6V --count 1mV --counts 2.5", "a whole number"),
    ] {
        let error = refusal(line);
        assert!(error.contains(words), "{line}: {error}");
    }
}
