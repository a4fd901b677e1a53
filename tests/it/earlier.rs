//! Records of earlier versions of the program stay readable: each verifies, shows and reports as it did.

use std::fs;
use std::path::{Path, PathBuf};

use crate::register::{entry, forged};
use crate::support::WATTSTEP;
use crate::support::call::Call;

/// The folders of records, one for each earlier version of which records are kept.
fn versions() -> Vec<PathBuf> {
    let records = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/records");
    let folders = fs::read_dir(records).unwrap().map(|entry| entry.unwrap().path());
    let mut folders: Vec<PathBuf> = folders.filter(|path| path.is_dir()).collect();
    folders.sort();
    assert!(!folders.is_empty());
    folders
}

/// A copy of a folder of records, so that nothing of the test reaches the records themselves.
fn copied(version: &Path) -> (tempfile::TempDir, Vec<String>) {
    let folder = tempfile::tempdir().unwrap();
    let mut names = Vec::new();
    for entry in fs::read_dir(version).unwrap() {
        let path = entry.unwrap().path();
        fs::copy(&path, folder.path().join(path.file_name().unwrap())).unwrap();
        let name = path.file_stem().unwrap().to_str().unwrap();
        if name != "register" {
            names.push(name.to_owned());
        }
    }
    names.sort();
    (folder, names)
}

fn wattstep(folder: &Path, arguments: &[&str]) -> Call {
    assert!(Path::new(WATTSTEP).exists());
    Call::new(folder, arguments).env("WATTSTEP_RECORDS", folder.to_str().unwrap())
}

#[test]
fn records_of_earlier_versions_verify_with_all_they_conclude() {
    for version in versions() {
        let (folder, names) = copied(&version);
        let all = wattstep(folder.path(), &["verify", "--all", "--conclusions"]);
        let said = all.any_out().exit(0).out;
        assert_eq!(said.matches("verified  ").count(), names.len(), "{said}");
    }
}

#[test]
fn records_of_earlier_versions_show_and_report_how_they_ended() {
    for version in versions() {
        let (folder, names) = copied(&version);
        for name in names {
            let text = fs::read_to_string(folder.path().join(format!("{name}.jsonl"))).unwrap();
            let outcome = text.split(r#""closed":{"outcome":""#).nth(1).unwrap();
            let ending = match outcome.split('"').next().unwrap() {
                "stopped_on_reading" => "stopped on a reading",
                "could_not_work_out" => "a value could not be worked out",
                _ => "every stage held",
            };
            for arguments in [&["show", &name][..], &["report", &name, "--format", "text"]] {
                let said = wattstep(folder.path(), arguments).any_out().exit(0).out;
                let said = said.to_lowercase();
                assert!(said.contains(ending), "{name} {arguments:?}: {said}");
            }
        }
    }
}

/// Conclusions and what somebody might put in their place.
const FORGERIES: [(&str, &str); 5] = [
    (r#"{"could_not_work_out":{"error":"#, r#"{"halted":{"reason":"#),
    (r#""verdict":"inside""#, r#""verdict":{"outside":"above"}"#),
    (r#"{"energy":{"state":"proved_dead"}}"#, r#"{"energy":{"state":"isolated"}}"#),
    (r#""closed":{"outcome":"finished""#, r#""closed":{"outcome":"left_unfinished""#),
    (r#""role":"supervisor"}"#, r#""role":"owner"}"#),
];

#[test]
fn a_conclusion_that_was_changed_in_an_earlier_record_is_found_with_all_hashes_made_again() {
    let mut tried = 0;
    for version in versions() {
        let (folder, names) = copied(&version);
        for name in names {
            let path = folder.path().join(format!("{name}.jsonl"));
            let text = fs::read_to_string(&path).unwrap();
            for (honest, other) in FORGERIES {
                // The first entry holds whole files; what is changed is a fact.
                let Some(at) = text.find(honest) else { continue };
                let changed = format!("{}{other}{}", &text[..at], &text[at + honest.len()..]);
                fs::write(&path, forged(changed.lines().map(entry))).unwrap();
                let said = wattstep(folder.path(), &["verify", "--alone", &name]).any_out().exit(7);
                let found = ["does not follow from what happened", "SIGNATURE DOES NOT HOLD"];
                assert!(found.iter().any(|words| said.out.contains(words)), "{}", said.out);
                tried += 1;
            }
            fs::write(&path, text).unwrap();
        }
    }
    assert!(tried > 12, "only {tried} were tried");
}

#[test]
fn other_words_in_an_earlier_record_are_told_for_what_they_are() {
    for version in versions() {
        let (folder, names) = copied(&version);
        let mut tried = 0;
        for name in names {
            let path = folder.path().join(format!("{name}.jsonl"));
            let text = fs::read_to_string(&path).unwrap();
            if text.contains("SSH SIGNATURE") {
                continue;
            }
            let facts = r#"},"facts":[{"done":{"key":"#;
            let Some(at) = text.find(facts) else { continue };
            let rest = text[at..].replacen(r#""what":""#, r#""what":"Please: "#, 1);
            let changed = format!("{}{rest}", &text[..at]);
            fs::write(&path, forged(changed.lines().map(entry))).unwrap();
            let said = wattstep(folder.path(), &["verify", "--alone", &name]).any_out().any_err();
            let said = said.exit(0).out;
            assert!(said.contains("none in what it concludes"), "{said}");
            tried += 1;
        }
        assert!(tried > 0);
    }
}

/// Answers to what the records of `0.3.0-sentences` were asked.
const ANSWERS: &str = r#"
format: 1
operator: Wren Adair-Test (invented)
answers:
  ask.rail: ["OL", "5000 V", "24 V"]
  ask.outputs: ["q1, q1", "q1, q2"]
  plug: off
  lamp-off: done
  dead: {before: 9.12 V, plus: 0.01 V, after: 9.12 V}
  gate: {q1: 2 Mohm, q2: 2 Mohm}
  kept-plus: 12 mV
  kept-minus: 0 mV
"#;

/// A record of today of the procedure that stands in one of `0.3.0-sentences`, and what `show` tells of the stops of both.
fn taken_again() -> (tempfile::TempDir, PathBuf, [String; 2]) {
    let (folder, _) =
        copied(&versions().into_iter().find(|path| path.ends_with("0.3.0-sentences")).unwrap());
    let former = folder.path().join("20261130-182441-vydmd.jsonl");
    let first = fs::read_to_string(&former).unwrap().lines().next().unwrap().to_owned();
    let first: serde_json::Value = serde_json::from_str(&first).unwrap();
    let procedure = first["entry"]["event"]["started"]["procedure"]["text"].as_str().unwrap();
    let today = tempfile::tempdir().unwrap();
    fs::write(today.path().join("rails.yaml"), procedure).unwrap();
    fs::write(today.path().join("answers.yaml"), ANSWERS).unwrap();
    let run = ["run", "rails.yaml", "--answers", "answers.yaml", "--records", "records"];
    wattstep(today.path(), &run).any_out().exit(1);
    let records = fs::read_dir(today.path().join("records")).unwrap();
    let mut records = records.map(|entry| entry.unwrap().path());
    let record = records.find(|path| !path.ends_with("register.jsonl")).unwrap();
    let stops = [&former, &record].map(|path| {
        let shown = wattstep(today.path(), &["show", path.to_str().unwrap()]).any_out().exit(0).out;
        let at = shown.find("STOPPED.").unwrap();
        shown[at..].split_whitespace().take(24).collect::<Vec<_>>().join(" ")
    });
    (today, record, stops)
}

#[test]
fn a_reason_is_a_code_today_and_reads_as_the_sentence_did() {
    let (_today, record, [former, now]) = taken_again();
    assert_eq!(former, now);
    let text = fs::read_to_string(record).unwrap();
    let codes = [
        r#""reason":"over_range""#,
        r#""reason":{"incredible":{"text":"5000 V","#,
        r#""reason":{"parts":{"twice":{"name":"q1"}}}"#,
        r#"{"could_not_work_out":{"what":"kept-ratio","error":{"formula":{"at":{"start":12,"end":22},"problem":"divides_by_zero"}}}}"#,
    ];
    for code in codes {
        assert!(text.contains(code), "{code} in {text}");
    }
}

#[test]
fn a_changed_code_or_value_of_a_reason_is_found_with_all_hashes_made_again() {
    let (today, record, _) = taken_again();
    let text = fs::read_to_string(&record).unwrap();
    for (honest, other) in [
        (r#""problem":"divides_by_zero""#, r#""problem":"not_finite""#),
        (r#""what":"kept-ratio""#, r#""what":"decay""#),
        (r#""start":12"#, r#""start":1"#),
        (r#""reason":"over_range""#, r#""reason":"blank""#),
        (r#"{"twice":{"name":"q1"}}"#, r#"{"twice":{"name":"q2"}}"#),
    ] {
        assert!(text.contains(honest), "{honest}");
        let changed = text.replacen(honest, other, 1);
        fs::write(&record, forged(changed.lines().map(entry))).unwrap();
        let arguments = ["verify", "--alone", record.to_str().unwrap()];
        let said = wattstep(today.path(), &arguments).any_out().exit(7).out;
        let differs =
            said.contains("does not follow from what happened") && said.contains("recorded");
        assert!(differs, "{honest}: {said}");
    }
}
