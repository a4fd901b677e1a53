//! The file of allowed signers (ALLOWED SIGNERS in ssh-keygen(1)).

use chrono::{DateTime, FixedOffset};
use ssh_key::{Algorithm, HashAlg, PublicKey};
use thiserror::Error;

use super::flaw::Flaw;
use super::moment::ValidityTime;
use super::pattern::matches_list;
use super::statement::NAMESPACE;

/// A line of a file of allowed signers that can't be read.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("line {line}: {why}")]
pub struct UnreadableSigners {
    /// The line, from 1.
    pub line: usize,
    /// What is wrong with it.
    pub why: String,
}

/// Who may sign with which keys, and when.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Signers {
    lines: Vec<Signer>,
}

/// One line of the file.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Signer {
    /// A list of patterns.
    principals: String,
    options: Options,
    key: PublicKey,
}

#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Options {
    namespaces: Option<String>,
    valid_after: Option<ValidityTime>,
    valid_before: Option<ValidityTime>,
}

impl Signers {
    /// Reads a file of allowed signers. Keys that can't sign a record (of another kind than ssh-ed25519, or a
    /// certificate authority) are passed over: the file may serve other ends too.
    ///
    /// # Errors
    /// The first line that ssh-keygen would not take either.
    pub fn parse(text: &str) -> Result<Self, UnreadableSigners> {
        let mut lines = Vec::new();
        for (line, written) in written(text) {
            lines.extend(signer(written).map_err(|why| UnreadableSigners { line, why })?);
        }
        Ok(Self { lines })
    }

    /// Tells whether a key may sign a record for this person at this time.
    pub(super) fn admit(
        &self,
        key: &PublicKey,
        principal: &str,
        at: DateTime<FixedOffset>,
    ) -> Result<(), Flaw> {
        let lines = self.lines.iter().filter(|line| line.key.key_data() == key.key_data());
        let mut flaw = Flaw::UnknownKey { fingerprint: of(key) };
        for line in lines {
            match line.admit(principal, at) {
                Ok(()) => return Ok(()),
                // A line about this person says more than one about others.
                Err(other) if !matches!(flaw, Flaw::NotYet { .. } | Flaw::Expired { .. }) => {
                    flaw = other;
                }
                Err(_) => {}
            }
        }
        Err(flaw)
    }

    /// The public keys with which this person may sign a record at this time, as OpenSSH encodes them.
    #[must_use]
    pub fn keys(&self, principal: &str, at: DateTime<FixedOffset>) -> Vec<Vec<u8>> {
        let lines = self.lines.iter().filter(|line| line.admit(principal, at).is_ok());
        lines.filter_map(|line| line.key.to_bytes().ok()).collect()
    }
}

impl Signer {
    fn admit(&self, principal: &str, at: DateTime<FixedOffset>) -> Result<(), Flaw> {
        let fingerprint = of(&self.key);
        let Options { namespaces, valid_after, valid_before } = &self.options;
        if !matches_list(principal, &self.principals) {
            return Err(Flaw::Principal { fingerprint, principal: principal.to_owned() });
        }
        if namespaces.as_ref().is_some_and(|list| !matches_list(NAMESPACE, list)) {
            return Err(Flaw::NotForRecords { fingerprint, namespace: NAMESPACE });
        }
        if valid_after.is_some_and(|moment| moment.is_after(at)) {
            return Err(Flaw::NotYet { fingerprint });
        }
        if valid_before.is_some_and(|moment| moment.is_before(at)) {
            return Err(Flaw::Expired { fingerprint });
        }
        Ok(())
    }
}

/// A key's fingerprint, as `ssh-keygen -l` shows it.
fn of(key: &PublicKey) -> String {
    key.fingerprint(HashAlg::Sha256).to_string()
}

/// The lines of a file of keys that say something, with their numbers.
pub(super) fn written(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let lines = (1..).zip(text.lines().map(str::trim));
    lines.filter(|(_, line)| !line.is_empty() && !line.starts_with('#'))
}

/// Reads one line; nothing for a key that can't sign a record.
fn signer(line: &str) -> Result<Option<Signer>, String> {
    let (principals, rest) = field(line)?;
    let (first, after) = field(rest)?;
    // What names no kind of key has to be the options.
    let is_key = first.parse::<Algorithm>().is_ok_and(|kind| !matches!(kind, Algorithm::Other(_)));
    let (options, is_authority, key) = match (is_key, after.is_empty()) {
        (true, _) => (Options::default(), false, rest),
        (false, true) => return Err("it ends before the key".to_owned()),
        (false, false) => {
            let (options, is_authority) = options(first)?;
            (options, is_authority, after)
        }
    };
    let kind = key.split_whitespace().next().unwrap_or_default();
    if is_authority || kind != Algorithm::Ed25519.as_str() {
        let is_known = kind.parse::<Algorithm>().is_ok();
        return if is_known {
            Ok(None)
        } else {
            Err(format!("`{kind}` is not a known kind of key"))
        };
    }
    let key = PublicKey::from_openssh(key).map_err(|error| format!("the key: {error}"))?;
    Ok(Some(Signer { principals: principals.replace('"', ""), options, key }))
}

/// Splits off what stands before the next blank outside double quotes.
fn field(text: &str) -> Result<(&str, &str), String> {
    let mut is_quoted = false;
    let end = text.find(|c: char| {
        is_quoted ^= c == '"';
        !is_quoted && c.is_whitespace()
    });
    if is_quoted {
        return Err("a double quote is not closed".to_owned());
    }
    let (first, rest) = text.split_at(end.unwrap_or(text.len()));
    Ok((first, rest.trim_start()))
}

/// Reads the options; also tells whether the key is a certificate authority's.
fn options(text: &str) -> Result<(Options, bool), String> {
    let mut read = Options::default();
    let mut is_authority = false;
    for option in split_options(text) {
        let (word, value) = option.split_once('=').unwrap_or((option, ""));
        let is_new = match word.to_ascii_lowercase().as_str() {
            "cert-authority" if value.is_empty() => {
                is_authority = true;
                true
            }
            "namespaces" => read.namespaces.replace(quoted(word, value)?.to_owned()).is_none(),
            "valid-after" => read.valid_after.replace(moment(word, value)?).is_none(),
            "valid-before" => read.valid_before.replace(moment(word, value)?).is_none(),
            _ => return Err(format!("`{option}` is not an option")),
        };
        if !is_new {
            return Err(format!("`{word}` is given twice"));
        }
    }
    Ok((read, is_authority))
}

/// The options, at the commas outside double quotes.
fn split_options(text: &str) -> impl Iterator<Item = &str> {
    let mut is_quoted = false;
    text.split(move |c: char| {
        is_quoted ^= c == '"';
        !is_quoted && c == ','
    })
}

fn moment(word: &str, value: &str) -> Result<ValidityTime, String> {
    let value = quoted(word, value)?;
    ValidityTime::parse(value).ok_or_else(|| {
        format!("{word}: `{value}` is not a date: write YYYYMMDD or YYYYMMDDHHMM, with Z for UTC")
    })
}

/// What stands between double quotes: ssh-keygen insists on them.
fn quoted<'a>(word: &str, value: &'a str) -> Result<&'a str, String> {
    let inner = value.strip_prefix('"').and_then(|value| value.strip_suffix('"'));
    inner.ok_or_else(|| format!("{word} wants its value in double quotes"))
}
