#![expect(clippy::unwrap_used, reason = "a test fails loudly")]

use chrono::{DateTime, FixedOffset};
use ssh_key::private::Ed25519Keypair;
use ssh_key::{HashAlg, LineEnding, PrivateKey};

use super::flaw::Flaw;
use super::verify::holds;
use super::*;
use crate::record::{Meaning, Signature};

const ROBIN: &str = "robin@quillmere.example";

/// A key made from one byte.
fn key(seed: u8) -> PrivateKey {
    PrivateKey::from(Ed25519Keypair::from_seed(&[seed; 32]))
}

fn public(key: &PrivateKey) -> String {
    key.public_key().to_openssh().unwrap()
}

fn noon() -> DateTime<FixedOffset> {
    "2026-03-02T12:00:00+01:00".parse().unwrap()
}

/// Robin's release of a hold point, not signed yet.
fn unsigned() -> Signature {
    Signature {
        principal: ROBIN.to_owned(),
        name: "Robin Second-Pair".to_owned(),
        meaning: Meaning::Released,
        at: noon(),
        armored: String::new(),
    }
}

fn statement(signature: &Signature) -> Statement<'_> {
    Statement {
        run: "R-1",
        line: 7,
        after: "c0ffee",
        question: "cold.hold",
        answer: "Robin Second-Pair",
        signature,
    }
}

fn armored(key: &PrivateKey, namespace: &str, text: &str) -> String {
    let signed = key.sign(namespace, HashAlg::Sha512, text.as_bytes()).unwrap();
    signed.to_pem(LineEnding::LF).unwrap()
}

/// Robin's release, signed with a key.
fn signed(key: &PrivateKey) -> Signature {
    let signature = unsigned();
    let armored = armored(key, NAMESPACE, &statement(&signature).to_string());
    Signature { armored, ..signature }
}

/// What becomes of Robin's release, signed with key 1, under this file.
fn under(file: &str) -> Result<String, Flaw> {
    let signature = signed(&key(1));
    holds(&statement(&signature), &Signers::parse(file).unwrap())
}

fn robins() -> Signers {
    Signers::parse(&format!("{ROBIN} {}", public(&key(1)))).unwrap()
}

#[test]
fn the_statement_is_a_text_of_one_item_a_line() {
    let text = statement(&unsigned()).to_string();
    let expected = "wattstep statement 1\nrun: R-1\nline: 7\nline before: c0ffee\nquestion: cold.hold\n\
                    answer: Robin Second-Pair\nname: Robin Second-Pair\nprincipal: robin@quillmere.example\n\
                    meaning: released\ntime: 2026-03-02T12:00:00+01:00\n";
    assert_eq!(text, expected);
}

#[test]
fn no_answer_can_pass_for_another_line_or_another_answer() {
    let signature = unsigned();
    let answers = ["a\nname: Lo", r"a\nname: Lo", r"a\u{a}name: Lo", "a\u{2028}name: Lo", "a"];
    let texts = answers.map(|answer| Statement { answer, ..statement(&signature) }.to_string());
    for (n, text) in texts.iter().enumerate() {
        assert_eq!(text.lines().count(), 10, "{text}");
        assert_eq!(texts.iter().position(|other| other == text), Some(n), "{text}");
    }
}

#[test]
fn a_signature_holds_with_a_key_that_the_file_names_for_its_person() {
    let public = public(&key(1));
    let fingerprint = under(&format!("{ROBIN} {public}")).unwrap();
    assert!(fingerprint.starts_with("SHA256:"), "{fingerprint}");
    assert_eq!(super::fingerprint(&signed(&key(1)).armored), Some(fingerprint));
    for file in [
        format!("# the shop (invented)\n\n*@quillmere.example {public} a comment\n"),
        format!("lo@a.example,{ROBIN} namespaces=\"git,record@*\" {public}"),
        format!("{ROBIN} VALID-AFTER=\"20260302\",valid-before=\"20260302120000\" {public}"),
        format!("{ROBIN} valid-after=\"202603021100Z\",valid-before=\"202603021100Z\" {public}"),
        format!("{ROBIN} valid-before=\"2025\u{30}101\" {public}\n{ROBIN} {public}"),
        format!("\"{ROBIN}\" {public}"),
        format!("ca@a.example cert-authority {public}\n{ROBIN} {public}"),
    ] {
        assert!(under(&file).is_ok(), "{file}");
    }
}

#[test]
fn it_holds_for_nothing_that_differs_in_one_item() {
    let signature = signed(&key(1));
    let other = |change: fn(&mut Signature)| {
        let mut other = signature.clone();
        change(&mut other);
        other
    };
    let signatures = [
        other(|signature| signature.name = "Kim Bench-Test".to_owned()),
        other(|signature| signature.principal = "lo@quillmere.example".to_owned()),
        other(|signature| signature.meaning = Meaning::Accepted),
        other(|signature| signature.at += chrono::Duration::nanoseconds(1)),
    ];
    let signed = statement(&signature);
    let moved = [
        Statement { run: "R-2", ..signed },
        Statement { line: 8, ..signed },
        Statement { after: "decaff", ..signed },
        Statement { question: "warm.hold", ..signed },
        Statement { answer: "robin second-pair", ..signed },
    ];
    let all = Signers::parse(&format!("* {}", public(&key(1)))).unwrap();
    assert!(holds(&signed, &all).is_ok());
    for statement in moved.into_iter().chain(signatures.iter().map(statement)) {
        assert_eq!(holds(&statement, &all), Err(Flaw::Altered), "{statement}");
    }
}

#[test]
fn a_key_that_may_not_sign_for_this_person_now_is_refused_with_the_reason() {
    let public = public(&key(1));
    let fingerprint = super::fingerprint(&signed(&key(1)).armored).unwrap();
    let principal = ROBIN.to_owned();
    let stranger = self::public(&key(2));
    for (file, flaw) in [
        (String::new(), Flaw::UnknownKey { fingerprint: fingerprint.clone() }),
        (format!("{ROBIN} {stranger}"), Flaw::UnknownKey { fingerprint: fingerprint.clone() }),
        (
            format!("{ROBIN} cert-authority {public}"),
            Flaw::UnknownKey { fingerprint: fingerprint.clone() },
        ),
        (
            format!("lo@quillmere.example {public}"),
            Flaw::Principal { fingerprint: fingerprint.clone(), principal: principal.clone() },
        ),
        (
            format!("*@quillmere.example,!{ROBIN} {public}"),
            Flaw::Principal { fingerprint: fingerprint.clone(), principal },
        ),
        (
            format!("{ROBIN} namespaces=\"file\" {public}"),
            Flaw::NotForRecords { fingerprint: fingerprint.clone(), namespace: NAMESPACE },
        ),
        (
            format!("{ROBIN} valid-after=\"20260303\" {public}"),
            Flaw::NotYet { fingerprint: fingerprint.clone() },
        ),
        (
            format!("{ROBIN} valid-before=\"20260302\" {public}\nlo@a.example {public}"),
            Flaw::Expired { fingerprint },
        ),
    ] {
        assert_eq!(under(&file), Err(flaw), "{file}");
    }
}

#[test]
fn what_was_signed_for_another_end_or_is_no_signature_is_none() {
    let text = statement(&unsigned()).to_string();
    let elsewhere = armored(&key(1), "file", &text);
    let cut = signed(&key(1)).armored.replacen("U1NI", "", 1);
    for (armored, flaw) in [
        (elsewhere, Flaw::Namespace { found: "file".to_owned() }),
        (String::new(), Flaw::Unreadable),
        (cut, Flaw::Unreadable),
    ] {
        let signature = Signature { armored, ..unsigned() };
        assert_eq!(holds(&statement(&signature), &robins()), Err(flaw));
    }
}

#[test]
fn a_signature_whose_text_names_another_key_does_not_hold() {
    // Signed with key 2, then said to be of key 1.
    let signed_by_two = ssh_key::SshSig::from_pem(signed(&key(2)).armored).unwrap();
    let key = key(1).public_key().key_data().clone();
    let forged = ssh_key::SshSig::new(
        key,
        NAMESPACE,
        signed_by_two.hash_alg(),
        signed_by_two.signature().clone(),
    );
    let armored = forged.unwrap().to_pem(LineEnding::LF).unwrap();
    let signature = Signature { armored, ..unsigned() };
    assert_eq!(holds(&statement(&signature), &robins()), Err(Flaw::Altered));
}

#[test]
fn a_line_that_ssh_keygen_would_not_take_is_named() {
    let public = public(&key(1));
    for (line, why) in [
        (ROBIN.to_owned(), "it ends before the key"),
        (format!("{ROBIN} valid-before=20260101 {public}"), "double quotes"),
        (format!("{ROBIN} valid-before=\"soon\" {public}"), "`soon` is not a date"),
        (format!("{ROBIN} namespaces=\"a\",namespaces=\"b\" {public}"), "given twice"),
        (format!("{ROBIN} trusted {public}"), "`trusted` is not an option"),
        (format!("{ROBIN} namespaces=\"a {public}"), "not closed"),
        (format!("{ROBIN} ssh-ed25519 AAAA"), "the key"),
        (format!("{ROBIN} namespaces=\"a\" ssh-{public}"), "not a known kind of key"),
    ] {
        let error = Signers::parse(&format!("# invented\n{line}")).unwrap_err();
        assert_eq!(error.line, 2, "{line}");
        assert!(error.why.contains(why), "{line}: {error}");
    }
}

#[test]
fn the_keys_of_a_person_are_those_valid_for_records_at_that_time() {
    let (one, two) = (public(&key(1)), public(&key(2)));
    let file = format!("{ROBIN} valid-before=\"20250101\" {one}\n*@quillmere.example {two}\n");
    let signers = Signers::parse(&file).unwrap();
    assert_eq!(signers.keys(ROBIN, noon()), [key(2).public_key().to_bytes().unwrap()]);
    assert_eq!(signers.keys("lo@a.example", noon()), Vec::<Vec<u8>>::new());
}
