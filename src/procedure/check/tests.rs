//! The catalogue of findings and its pages: every example on a page does what the page says.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]

use std::collections::BTreeSet;
use std::fs::read_to_string;
use std::path::Path;

use super::{
    CHECKS, Keys, Subject, all_pages, check_answers, check_bench, check_circuit, check_equipment,
    check_model, check_people, page, read_netlist,
};
use crate::diagnostic::Finding;
use crate::procedure::{
    FileKind, bundled, kind_of, read_answers, read_bench, read_circuit, read_equipment, read_model,
    read_people, read_procedure,
};

/// A sound procedure into which examples are put.
const BASE: &str = include_str!("base.yaml");

/// What is worked out of a fact for an example that is an equipment file: it has no value below 21 V, and is outside above 38 V.
const WORKED_OUT: &str = "- step: rail-above
  work_out: {what: Rail above 21 V, value: sqrt((rail - 21 V) / 17 V), unit: \"%\", window: {at_most: 100 %}}
  basis: shop rule
";

/// The bench of the examples.
const BENCH: &str = include_str!("base.bench.yaml");

/// The blocks of a page with this info string.
fn blocks(page: &str, info: &str) -> Vec<String> {
    let opening = format!("```{info}\n");
    let after = page.split(opening.as_str()).skip(1);
    after.map(|rest| rest.split("\n```").next().unwrap().to_owned() + "\n").collect()
}

/// Puts an example into [`BASE`]. An example that begins with steps goes to the end of the stage `cold`, one that
/// begins with stages goes after that stage, and any other replaces the keys of the procedure that it holds.
fn spliced(example: &str) -> String {
    if example.starts_with("- step:") {
        BASE.replace("      # steps\n", &indented(example, "      "))
    } else if example.starts_with("- stage:") {
        BASE.replace("  # stages\n", &indented(example, "  "))
    } else {
        let keys = example.lines().filter_map(top_key).collect::<BTreeSet<_>>();
        let mut kept = true;
        let rest = BASE.lines().filter(|line| {
            if let Some(key) = top_key(line) {
                kept = !keys.contains(key);
            }
            kept
        });
        rest.fold(String::new(), |text, line| text + line + "\n") + example
    }
}

fn top_key(line: &str) -> Option<&str> {
    let key = line.split_once(':')?.0;
    key.starts_with(|c: char| c.is_ascii_alphabetic()).then_some(key)
}

fn indented(example: &str, indent: &str) -> String {
    example.lines().fold(String::new(), |text, line| text + indent + line + "\n")
}

/// The findings of a procedure that is too short to use every fact it asks for.
fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let findings = super::check(subject).into_iter();
    findings.filter(|finding| finding.code != "QTY013").collect()
}

/// How an example begins that is a whole file of a kind that it tells itself, or of none.
const WHOLE_FILE: &str = "# a whole file\n";

/// The codes that an example gives, each once. An example that tells another kind than a procedure is a whole file of it.
fn codes(example: &str) -> Vec<&'static str> {
    let bench = read_bench(BENCH).unwrap();
    let kind = kind_of(example);
    let findings = match kind {
        Err(finding) if example.starts_with(WHOLE_FILE) => Err(finding),
        Ok(FileKind::Bench) => read_bench(example).map(|bench| check_bench(&bench)),
        Ok(FileKind::People) => {
            let of = |id: &str| keys(example, id);
            let is_there = |path: &str| example.contains(&format!("\n# files: {path}\n"));
            let keys = Keys { of: &of, is_there: &is_there };
            let is_signed = example.starts_with(SIGNERS);
            read_people(example).map(|people| check_people(&people, is_signed.then_some(keys)))
        }
        Ok(FileKind::Equipment) => {
            let procedure = read_procedure(&spliced(WORKED_OUT)).unwrap();
            read_equipment(example).map(|equipment| check_equipment(Some(&procedure), &equipment))
        }
        Ok(FileKind::Answers) => read_answers(example).map(|answers| check_answers(&answers)),
        Ok(FileKind::Model) => read_model(example).map(|model| check_model(&model)),
        Ok(FileKind::Circuit) => read_circuit(example).map(|file| {
            let netlist = read_netlist(&netlist(example));
            let findings = check_circuit(&file, netlist.as_ref().ok());
            findings.into_iter().chain(netlist.err()).collect()
        }),
        Ok(FileKind::Procedure) | Err(_) => {
            let procedure = read_procedure(&spliced(example));
            let counts_facts = example.starts_with("# every fact counts");
            let found = if counts_facts { super::check } else { check };
            procedure.map(|procedure| found(&Subject::new(&procedure, None, Some(&bench))))
        }
    };
    let findings = findings.unwrap_or_else(|finding| vec![finding]);
    let codes: BTreeSet<_> = findings.iter().map(|finding| finding.code).collect();
    codes.into_iter().collect()
}

/// The netlist of an example: the lines that stand for it, or the one of the examples.
fn netlist(example: &str) -> String {
    let lines = example.lines().filter_map(|line| line.strip_prefix("# | "));
    let lines = lines.fold(String::new(), |text, line| text + line + "\n");
    if lines.is_empty() { include_str!("base.cir").to_owned() } else { lines }
}

/// How the line of an example begins that stands for the file of signers.
const SIGNERS: &str = "# signers: ";

/// The keys of an identity by the first line of an example.
fn keys(example: &str, id: &str) -> Vec<Vec<u8>> {
    let line = example.lines().next().and_then(|line| line.strip_prefix(SIGNERS)).unwrap();
    let pairs = line.split(", ").filter_map(|pair| pair.split_once(' '));
    pairs.filter(|(name, _)| *name == id).map(|(_, key)| key.as_bytes().to_vec()).collect()
}

/// What the findings of an example point at, in the text it was put into.
fn places(example: &str) -> Vec<(&'static str, String)> {
    let text = spliced(example);
    let procedure = read_procedure(&text).unwrap();
    let findings = check(&Subject::new(&procedure, None, None));
    let at = |finding: &Finding| finding.span.map(|span| text.get(span.start..span.end).unwrap());
    findings.iter().map(|finding| (finding.code, at(finding).unwrap().to_owned())).collect()
}

#[test]
fn a_finding_in_a_formula_points_at_the_word_however_the_text_is_quoted() {
    for (formula, code, place) in [
        ("0.5 * rial", "QTY002", "rial"),
        ("\"0.5 * rial\"", "QTY002", "rial"),
        ("'0.5 * rial'", "QTY002", "rial"),
        ("\"0.5\\x20* rial\"", "QTY002", "\"0.5\\x20* rial\""),
        ("2 V + 3 A", "QTY001", "+"),
        ("2 V * (3 + ", "QTY003", "+"),
        ("'2 V $'", "QTY003", "$"),
        ("\"\"", "QTY003", "\""),
    ] {
        let found = places(&format!("work_out:\n  odd: {formula}\n"));
        assert_eq!(found, [(code, place.to_owned())], "{formula}");
    }
}

#[test]
fn findings_come_in_the_order_of_the_text() {
    let found = places("run_by: technician\nwork_out: {a: rial, b: 1 V + 1 A, c: rial}\n");
    let codes: Vec<_> = found.iter().map(|(code, _)| *code).collect();
    assert_eq!(codes, ["QTY002", "QTY001", "QTY002"]);
}

#[test]
fn the_base_is_sound() {
    assert!(codes("title: Changed\n").is_empty(), "{:?}", codes("title: Changed\n"));
}

/// Findings for what only a whole procedure has, such as the source that a step needs. An example is a piece of one, so they are passed over on other pages than
/// their own.
const WHOLE: [&str; 10] = [
    "ORD021", "ORD031", "ORD045", "ORD048", "ORD049", "SAF001", "SAF004", "SAF005", "SAF006",
    "SAF007",
];

/// Mistakes that are two at once: the example of the first shows the second too.
const TWICE: [(&str, &str); 12] = [
    ("WIN020", "WIN024"),
    ("WIN024", "WIN020"),
    ("ORD021", "WIN022"),
    ("ORD024", "QTY014"),
    ("HAZ023", "ORD006"),
    ("SAF002", "WIN022"),
    ("WIN023", "WIN025"),
    ("ORD022", "WIN023"),
    ("ORD030", "HAZ024"),
    ("HAZ024", "ORD030"),
    ("HAZ007", "HAZ008"),
    ("HAZ025", "HAZ008"),
];

fn without_what_a_whole_has(found: Vec<&'static str>, wanted: &str) -> Vec<&'static str> {
    let is_beside = |code: &str| WHOLE.contains(&code) || TWICE.contains(&(wanted, code));
    found.into_iter().filter(|code| *code == wanted || !is_beside(code)).collect()
}

#[test]
fn every_example_does_what_its_page_says() {
    let mut wrong = Vec::new();
    for (code, _, page) in all_pages() {
        let (bad, good) = (blocks(page, "yaml bad"), blocks(page, "yaml good"));
        assert!(!bad.is_empty() && !good.is_empty(), "{code} lacks a bad or a good example");
        let examples = bad
            .iter()
            .map(|example| (example, vec![code]))
            .chain(good.iter().map(|example| (example, vec![])));
        wrong.extend(examples.filter_map(|(example, due)| {
            let found = without_what_a_whole_has(codes(example), code);
            (found != due).then(|| format!("{code}: {found:?}, not {due:?}:\n{example}"))
        }));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn codes_and_names_are_unique_and_in_order() {
    let codes: Vec<_> = all_pages().map(|(code, ..)| code).collect();
    let names: BTreeSet<_> = all_pages().map(|(_, name, _)| name).collect();
    let families: Vec<_> = codes.chunk_by(|one, other| one.get(..3) == other.get(..3)).collect();
    assert!(families.iter().all(|family| family.is_sorted_by(|one, other| one < other)));
    assert_eq!(codes.iter().collect::<BTreeSet<_>>().len(), codes.len());
    assert_eq!(names.len(), codes.len());
}

#[test]
fn every_page_begins_with_its_code_and_name() {
    for (code, name, text) in all_pages() {
        assert!(text.starts_with(&format!("# {code} {name}\n\n")), "{code} {name}");
        assert_eq!(page(code), Some(text));
    }
    assert_eq!(page("XYZ999"), None);
}

#[test]
fn every_page_in_the_folder_is_in_the_table_and_every_check_has_one() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/procedure/check");
    let names_of = |kind: &str| -> BTreeSet<String> {
        let entries = folder.read_dir().unwrap().map(|entry| entry.unwrap().path());
        let entries =
            entries.filter(|path| path.extension().is_some_and(|extension| extension == kind));
        entries.map(|path| path.file_stem().unwrap().to_str().unwrap().to_owned()).collect()
    };
    let listed: BTreeSet<_> = all_pages().map(|(_, name, _)| name.replace('-', "_")).collect();
    assert_eq!(names_of("md"), listed);
    let checks: BTreeSet<_> = CHECKS.iter().map(|check| check.name.replace('-', "_")).collect();
    let shared = [
        "checking",
        "clause",
        "commands",
        "dangerous",
        "definition",
        "energised",
        "energising",
        "families",
        "inside",
        "mistakes",
        "mod",
        "names",
        "outputs",
        "parts",
        "passive_test",
        "shorts",
        "subject",
        "tests",
        "texts",
        "trial",
        "used",
        "words",
    ]
    .map(str::to_owned);
    let files: BTreeSet<_> = checks.into_iter().chain(shared).collect();
    assert_eq!(names_of("rs"), files);
}

/// Stages on a bench supply whose ceiling follows a fact.
const CLIMB: &str = "- stage: gentle
  title: On the bench supply
  source: bench-supply
  ceiling: {voltage: 10 V, current: 0.1 A}
  hazard: {signal: caution, harm: minor-injury, risk: Hot parts, result: Burns, avoid: Keep off}
  steps:
    - step: gentle-on
      set: {what: Switch on at its lowest, power: on}
    - step: gentle-seen
      read: {what: Output, unit: V, window: {at_most: 5 V}}
      basis: shop rule
- stage: harder
  title: On the bench supply
  source: bench-supply
  ceiling: {voltage: rail, current: 0.3 A}
  hazard: {signal: caution, harm: minor-injury, risk: Hot parts, result: Burns, avoid: Keep off}
  steps:
    - step: harder-up
      set: {what: Bring the source up, to: rail}
    - step: harder-seen
      read: {what: Output, unit: V, window: {at_most: 5 V}}
      basis: shop rule
    - step: harder-off
      set: {what: Switch off, power: off}
";

#[test]
fn a_step_that_opens_a_cover_does_the_rest_of_it_too() {
    let plug = "  plug: {at: Pins of the plug, below: 2 V, behind: lid}\n";
    let text = spliced(CLIMB).replacen("charge_points:\n", &format!("charge_points:\n{plug}"), 1);
    let off = "set: {what: Switch off, power: off}\n";
    let opens = text.replacen(off, &format!("{off}        opens: lid\n"), 1);
    assert!(text != opens);
    // What is still on at the end of its stage would be told here.
    let (before, now) = (codes(&text), codes(&opens));
    assert!(before.contains(&"HAZ032"), "nothing opens the lid: {before:?}");
    let due: Vec<_> = before.into_iter().filter(|code| *code != "HAZ032").collect();
    assert_eq!(now, due);
}

#[test]
fn ceilings_are_tried_with_the_facts_or_with_the_whole_credible_range() {
    let text = spliced(CLIMB);
    // 10 times 1 W is 33 V at 0.3 A: beyond the middle of the range, below its high end.
    for (range, fact, found) in [
        ("between: [20 V, 40 V]", None, vec!["ORD004"]),
        ("between: [20 V, 30 V]", None, vec![]),
        ("between: [1 V, 3 V]", None, vec!["ORD021", "ORD003", "WIN023"]),
        ("between: [3 V, 30 V]", None, vec!["ORD003"]),
        ("between: [20 V, 40 V]", Some("30 V"), vec![]),
        ("between: [20 V, 40 V]", Some("39 V"), vec!["ORD004"]),
        ("parts: false", None, vec!["QTY014", "ORD024"]),
    ] {
        let procedure = read_procedure(&text.replace("between: [20 V, 40 V]", range)).unwrap();
        let facts = fact.map(|fact| format!("{EQUIPMENT}facts: {{rail: {fact}}}\n"));
        let equipment = facts.map(|facts| read_equipment(&facts).unwrap());
        let findings = check(&Subject::new(&procedure, equipment.as_ref(), None));
        let codes: Vec<_> = findings.iter().map(|finding| finding.code).collect();
        assert_eq!(codes, found, "{range} {fact:?}");
    }
}

const EQUIPMENT: &str = "format: 1\nequipment: Small amplifier (invented)\nserial: A1\n";

#[test]
fn parts_of_a_list_are_known_when_the_equipment_is() {
    let steps = "- step: short
  read: {what: Drain to source, unit: ohm, window: {at_least: 10 kohm, open_ok: true}}
  basis: shop rule
  for_each: [devices]
- step: compared
  read: {what: The same again, unit: ohm, window: {near: short.q9, within: 5 %}}
  basis: shop rule
";
    let procedure = read_procedure(&spliced(steps)).unwrap();
    let listed = format!("{EQUIPMENT}parts: {{devices: [q1, q2]}}\n");
    let equipment = read_equipment(&listed).unwrap();
    let codes = |equipment| -> Vec<_> {
        let findings = check(&Subject::new(&procedure, equipment, None));
        findings.iter().map(|finding| finding.code).collect()
    };
    assert_eq!(codes(None), Vec::<&str>::new());
    assert_eq!(codes(Some(&equipment)), ["QTY002"]);
}

#[test]
fn help_offers_the_word_that_was_meant() {
    let procedure = read_procedure(&spliced("work_out: {half: 0.5 * rial}\n")).unwrap();
    let findings = check(&Subject::new(&procedure, None, None));
    let equipment = read_equipment(&format!("{EQUIPMENT}facts: {{rial: 30 V}}\n")).unwrap();
    let facts = check_equipment(Some(&procedure), &equipment);
    for finding in findings.iter().chain(&facts) {
        assert_eq!(finding.help.as_deref(), Some("did you mean `rail`?"), "{}", finding.code);
    }
    assert_eq!((findings.len(), facts.len()), (1, 1));
}

#[test]
fn help_tells_a_dash_in_a_name_and_a_comma_in_a_number() {
    let steps = "- step: output-ohms
  read: {what: Output, unit: ohm, window: {at_least: 100 ohm}}
  basis: shop rule
- step: half
  work_out: {what: Half, value: output-ohms / 2, unit: ohm, window: {at_least: 3 ohm}}
  basis: shop rule
";
    let procedure = read_procedure(&spliced(steps)).unwrap();
    let findings = check(&Subject::new(&procedure, None, None));
    let help = findings[0].help.as_deref().unwrap();
    assert!(help.contains("write `output_ohms`"), "{help}");
    let comma = steps.replace("output-ohms / 2", "output_ohms / 2").replace("3 ohm}", "3,3 ohm}");
    let found = read_procedure(&spliced(&comma)).unwrap_err();
    assert!(found.help.as_deref().unwrap().contains("comma"), "{found:?}");
}

#[test]
fn work_before_the_proof_is_told_from_isolating_and_from_live_work() {
    let off = "    - step: gentle-off
      set: {what: Switch off, power: off}
";
    let (live, _) = CLIMB.split_once("- stage: harder").unwrap();
    let cold = "- stage: inside\n  title: Nothing connected\n  source: none\n  steps:\n";
    let lead = "    - {step: lead, do: Take the red lead off}\n";
    let proof = "    - {step: gone, prove_dead: Before hands go in}\n";
    let ohms = "    - step: ohms
      read: {what: Across the fuse, unit: ohm, window: {at_most: 1 ohm}}
      basis: shop rule
";
    for (stages, found) in [
        (format!("{live}{ohms}{off}"), vec!["ORD028"]),
        (format!("{live}{off}{lead}{proof}{ohms}"), vec!["ORD019"]),
        (format!("{live}{off}{ohms}"), vec!["ORD006", "ORD019"]),
        (format!("{live}{off}{cold}{lead}{proof}{ohms}"), vec![]),
        (format!("{live}{off}{cold}{lead}{ohms}{proof}"), vec!["ORD006"]),
        (format!("{live}{off}{cold}{lead}"), vec!["ORD006"]),
        (format!("{live}{proof}{off}{cold}{ohms}"), vec!["ORD006", "ORD020"]),
    ] {
        assert_eq!(codes(&stages), found, "{stages}");
    }
}

#[test]
fn bundled_procedures_are_sound_with_and_without_their_equipment() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("procedures");
    for name in bundled::NAMES {
        let procedure = read_procedure(bundled::text(name).unwrap()).unwrap();
        let text = read_to_string(folder.join(name).join("equipment.yaml")).unwrap();
        let equipment = read_equipment(&text).unwrap();
        for known in [None, Some(&equipment)] {
            let findings = super::check(&Subject::new(&procedure, known, None));
            assert_eq!(findings, [], "{name}");
        }
        assert_eq!(check_equipment(Some(&procedure), &equipment), [], "{name}");
    }
}

#[test]
fn the_amplifier_with_high_rails_is_warned_of_a_shock_between_them() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("procedures/amplifier-class-ab");
    let facts = read_to_string(folder.join("equipment.yaml")).unwrap();
    let high = |volts: &str| facts.replace("secondary: 31 V", &format!("secondary: {volts}"));
    let equipment = read_equipment(&high("58 V")).unwrap();
    let text = bundled::text("amplifier-class-ab").unwrap();
    let found = |text: &str| -> Vec<_> {
        let procedure = read_procedure(text).unwrap();
        let findings = check(&Subject::new(&procedure, Some(&equipment), None));
        findings.iter().map(|finding| finding.code).collect()
    };
    assert_eq!(found(text), Vec::<&str>::new());
    // A secondary that is not credible is found by itself, and by nothing that follows from it.
    let incredible = read_equipment(&high("95 V")).unwrap();
    let procedure = read_procedure(text).unwrap();
    assert_eq!(check(&Subject::new(&procedure, Some(&incredible), None)), []);
    let [finding] = &check_equipment(Some(&procedure), &incredible)[..] else {
        panic!("one finding")
    };
    assert_eq!(finding.code, "QTY006");
    let surprised = found(&text.replace("shock", "surprise"));
    assert_eq!(surprised.iter().filter(|code| **code == "HAZ004").count(), 2, "{surprised:?}");
}

#[test]
fn a_window_in_circuit_may_reach_as_far_as_a_sound_part_and_its_meter() {
    let asks = "asks:
  rail: {ask: \"Rail voltage\", unit: V, between: [20 V, 40 V]}
  devices: {ask: \"Output devices\", parts: true}
  stopper: {ask: \"Gate resistor\", unit: ohm, between: [1 ohm, 1 kohm], tolerance: 5 %}
";
    let warned = |asks: &str, window: &str| {
        let steps = format!(
            "- step: gate
  read: {{what: Gate resistor, unit: ohm, in_circuit: true, window: {window}}}
  basis: shop rule
"
        );
        let (head, tail) =
            spliced(&steps).split_once("asks:").map(|(a, b)| (a.to_owned(), b.to_owned())).unwrap();
        let rest = tail.split_once("charge_points:").unwrap().1;
        let text = format!("{head}{asks}charge_points:{rest}");
        let findings = check(&Subject::new(&read_procedure(&text).unwrap(), None, None));
        findings.iter().map(|finding| finding.code).collect::<Vec<_>>()
    };
    for window in [
        "{near: stopper, within: 10 %}",
        "{at_most: 1.1 * stopper + 0.5 ohm, expected: stopper}",
        "{between: [0.5 * stopper, 3 kohm]}",
    ] {
        assert_eq!(warned(asks, window), Vec::<&str>::new(), "{window}");
    }
    for window in [
        "{near: stopper, within: 11 %}",
        "{at_most: 1.1 * stopper + 0.6 ohm, expected: stopper}",
        "{between: [0.5 * stopper, 3 kohm], expected: stopper}",
        "{record_only: true}",
    ] {
        assert_eq!(warned(asks, window), ["WIN010"], "{window}");
    }
    let unknown = asks.replace(", tolerance: 5 %", "");
    assert_eq!(warned(&unknown, "{near: stopper, within: 50 %}"), Vec::<&str>::new());
}
