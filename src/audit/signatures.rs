//! The signatures of a record, checked as its lines pass.

use crate::journal::{GENESIS, Line};
use crate::record::{Entry, Event, Names, Opening};
use crate::report::Flawed;
use crate::signature::{self, Authority, CheckedSignature, Shop};

/// Checks what is signed in a record, and that nothing is missing that has to be.
#[derive(Debug)]
pub(crate) struct SignatureWalk {
    authority: Option<Authority>,
    names: Names,
    /// The shop's own keys, where they are at hand.
    shop: Option<Shop>,
    run: String,
    /// The hash of the line before.
    after: String,
    /// Every signature so far, with its line.
    pub(crate) signed: Vec<(usize, CheckedSignature)>,
    /// The first thing that is wrong with a line.
    wrong: Option<String>,
}

impl Default for SignatureWalk {
    fn default() -> Self {
        Self {
            authority: None,
            names: Names::Unchecked,
            shop: None,
            run: String::new(),
            after: GENESIS.to_owned(),
            signed: Vec::new(),
            wrong: None,
        }
    }
}

impl SignatureWalk {
    /// Has every signature hold by the shop's own keys as well.
    pub(crate) fn by(shop: Option<&Shop>) -> Self {
        Self { shop: shop.cloned(), ..Self::default() }
    }

    /// The first thing that is wrong with the signatures. Names that are typed show nothing by anybody's keys.
    pub(crate) fn wrong(&self) -> Option<String> {
        let is_unsigned = self.shop.is_some() && self.signed.is_empty();
        let unsigned =
            || "NOT SIGNED: it holds no signature to check by the shop's keys".to_owned();
        self.wrong.clone().or_else(|| is_unsigned.then(unsigned))
    }

    /// The signatures that do not hold.
    pub(crate) fn flawed(self) -> Vec<Flawed> {
        let flawed = self.signed.into_iter().filter_map(|(line, checked)| {
            let why = checked.flaw?.to_string();
            Some(Flawed { line, signature: checked.signature, why })
        });
        flawed.collect()
    }

    /// Takes the next line of the record.
    pub(crate) fn see(&mut self, line: Line<'_>) {
        // Without reading the opening: in most records nobody signs.
        let has = |file: &str| line.n == 1 && has_file(line.entry, file);
        let is_read = self.authority.is_some() || has("signers");
        if line.n == 1 {
            self.names = Names::by(has("people"), has("signers"));
        }
        if is_read {
            match serde_json::from_slice(line.entry) {
                Ok(entry) => self.entry(line.n, &entry),
                Err(error) => self.note(line.n, &format!("can't be read: {error}")),
            }
        }
        line.hash.clone_into(&mut self.after);
    }

    fn entry(&mut self, n: usize, entry: &Entry) {
        if let Event::Started(opening) = &entry.event {
            self.open(n, opening);
        }
        let Some(authority) = &self.authority else { return };
        let place = signature::SignerLine { run: &self.run, n, after: &self.after };
        let checked = authority.check(place, entry);
        let lacks = authority.lacks(entry);
        for CheckedSignature { signature, flaw, .. } in &checked {
            if let Some(flaw) = flaw {
                let (name, meaning) = (&signature.name, signature.meaning.words());
                self.note(n, &format!("SIGNATURE DOES NOT HOLD, {name} ({meaning}): {flaw}"));
            }
        }
        if let Some((meaning, name)) = lacks {
            let meaning = meaning.words();
            self.note(n, &format!("NOT SIGNED: it lacks the signature of {name} ({meaning})"));
        }
        self.signed.extend(checked.into_iter().map(|checked| (n, checked)));
    }

    fn open(&mut self, n: usize, opening: &Opening) {
        self.run.clone_from(&opening.run);
        match Authority::of(opening) {
            Ok(authority) => {
                let shop = self.shop.clone();
                self.authority = authority.map(|authority| authority.also_by(shop));
            }
            Err(error) => self.note(n, &error),
        }
    }

    /// What stands behind the names of the record.
    pub(crate) fn names(&self) -> Names {
        self.names
    }

    /// How many signatures there are; nothing where nobody signs.
    pub(crate) fn count(&self) -> Option<usize> {
        self.authority.as_ref().map(|_| self.signed.len())
    }

    fn note(&mut self, n: usize, wrong: &str) {
        self.wrong.get_or_insert_with(|| format!("line {n}: {wrong}"));
    }
}

/// Tells whether an opening may have a file by this name of a member, without reading it.
fn has_file(entry: &[u8], member: &str) -> bool {
    let member = format!(r#""{member}":{{"#);
    std::str::from_utf8(entry).is_ok_and(|text| text.contains(&member))
}
