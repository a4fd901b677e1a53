//! What the program is built of: agreed packages, from one registry, under licences that `deny.toml` allows.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]

use std::collections::BTreeSet;
use std::process::Command;

use serde_json::Value;

/// The packages that are used directly. A new one is a line here and a reason in its commit.
const AGREED: [&str; 34] = [
    "annotate-snippets",
    "base64ct",
    "chacha20",
    "chrono",
    "clap",
    "clap_complete",
    "clap_mangen",
    "console",
    "dialoguer",
    "indicatif",
    "libc",
    "miniz_oxide",
    "pdf-writer",
    "portable-pty",
    "proptest",
    "qrcode",
    "rusqlite",
    "rustix",
    "schemars",
    "serde",
    "serde-saphyr",
    "serde_json",
    "sha2",
    "signal-hook",
    "ssh-key",
    "statrs",
    "strsim",
    "subsetter",
    "tempfile",
    "textwrap",
    "thiserror",
    "ttf-parser",
    "unicode-normalization",
    "vt100",
];

fn cargo(arguments: &[&str]) -> String {
    let cargo = Command::new(env!("CARGO"))
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    assert!(cargo.status.success(), "{}", String::from_utf8_lossy(&cargo.stderr));
    String::from_utf8(cargo.stdout).unwrap()
}

/// Every package of the build on this platform, this one too. What cargo has fetched for the build is enough.
fn packages() -> Vec<Value> {
    let version = cargo(&["-vV"]);
    let host = version.lines().find_map(|line| line.strip_prefix("host: ")).unwrap();
    let arguments =
        ["metadata", "--format-version=1", "--locked", "--offline", "--filter-platform", host];
    let metadata: Value = serde_json::from_str(&cargo(&arguments)).unwrap();
    metadata["packages"].as_array().unwrap().clone()
}

fn is_ours(package: &Value) -> bool {
    package["source"].is_null()
}

/// The texts in quotes of the line `allow = [...]`.
fn allowed() -> BTreeSet<&'static str> {
    let line = include_str!("../../deny.toml").lines().find(|line| line.starts_with("allow ="));
    line.unwrap().split('"').skip(1).step_by(2).collect()
}

/// Tells whether an SPDX expression (with `/` for "or", as in old packages) can be met by these licences.
///
/// Every part between ANDs has to be met, wherever parentheses stand: that may ask for more than is due, never for less.
fn is_met(expression: &str, allowed: &BTreeSet<&str>) -> bool {
    expression.split(" AND ").all(|part| {
        let part = part.replace(['(', ')'], "").replace('/', " OR ");
        part.split(" OR ").any(|licence| allowed.contains(licence.trim()))
    })
}

#[test]
fn every_licence_is_allowed() {
    let allowed = allowed();
    for package in packages() {
        let licence = package["license"].as_str().unwrap_or("no licence");
        assert!(is_met(licence, &allowed), "{} is under {licence}", package["name"]);
    }
}

#[test]
fn an_expression_is_met_by_one_of_each_choice() {
    let allowed = BTreeSet::from(["MIT", "Zlib"]);
    for expression in ["MIT", "Apache-2.0/MIT", "GPL-3.0 OR MIT", "(MIT OR GPL-3.0) AND Zlib"] {
        assert!(is_met(expression, &allowed), "{expression}");
    }
    for expression in ["GPL-3.0", "MIT AND GPL-3.0", "no licence", "MIT WITH something", ""] {
        assert!(!is_met(expression, &allowed), "{expression}");
    }
}

#[test]
fn every_package_comes_from_the_one_registry() {
    let packages = packages();
    let sources = packages.iter().filter(|package| !is_ours(package));
    let sources: BTreeSet<_> = sources.map(|package| package["source"].as_str().unwrap()).collect();
    assert_eq!(sources.len(), 1, "{sources:?}");
    assert!(sources.iter().all(|source| source.starts_with("registry+")), "{sources:?}");
    assert_eq!(packages.iter().filter(|package| is_ours(package)).count(), 1);
}

#[test]
fn the_packages_used_directly_are_the_agreed_ones() {
    let packages = packages();
    let ours = packages.iter().find(|package| is_ours(package)).unwrap();
    let used = ours["dependencies"].as_array().unwrap().iter();
    let used: BTreeSet<_> = used.map(|used| used["name"].as_str().unwrap()).collect();
    assert_eq!(used, BTreeSet::from(AGREED));
}
