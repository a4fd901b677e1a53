//! Getting a person's signature: from an agent, or with the person's key file and its passphrase.

mod agent;
mod at_bench;
mod key_file;
mod shop;
mod walk;

use std::path::PathBuf;

use ssh_key::{HashAlg, LineEnding, SshSig};

use self::agent::Agent;
use self::key_file::KeyFile;
pub(super) use self::shop::shop;
pub(super) use self::walk::Walk;
use super::front::{Front, Reply};
use crate::procedure::Person;
use crate::record::Opening;
use crate::signature::{Authority, NAMESPACE};

/// The hash over a statement; `ssh-keygen -Y sign` takes the same.
const HASH: HashAlg = HashAlg::Sha512;

/// How often a passphrase is asked for.
const TRIES: usize = 3;

/// How signatures are got in a run.
#[derive(Debug)]
pub(super) struct Signing {
    authority: Authority,
    /// The folder that key files are looked for in.
    keys: PathBuf,
}

/// Why there is no signature.
#[derive(Debug)]
enum NoSignature {
    /// It could not be had, in words for the person.
    Told(String),
    /// Something came in between.
    Reply(Reply),
}

/// What signs.
enum Key {
    Agent(Agent, Vec<u8>),
    File(Box<ssh_key::PrivateKey>),
}

impl Signing {
    /// Gets ready to sign in a run; nothing where names are typed, not signed.
    pub(super) fn of(opening: &Opening, keys: PathBuf) -> Result<Option<Self>, String> {
        let authority = Authority::of(opening)?;
        Ok(authority.map(|authority| Self { authority, keys }))
    }

    /// Finds a key of a person among the allowed ones, unlocked.
    fn unlocked(
        &self,
        person: &Person,
        allowed: &[Vec<u8>],
        front: &mut dyn Front,
    ) -> Result<Key, NoSignature> {
        let told = |words: String| Err(NoSignature::Told(words));
        let id = person.id.as_str();
        if allowed.is_empty() {
            return told(format!(
                "the file of allowed signers has no key of {id} that is valid now"
            ));
        }
        if let Some((agent, key)) = Agent::holding(allowed) {
            return Ok(Key::Agent(agent, key));
        }
        let Some(path) = &person.key else {
            return told(format!(
                "no key of {id} is in an ssh-agent, and the people file names no key file: \
                 `ssh-add` the key, then answer again"
            ));
        };
        let file = KeyFile::read(&self.keys.join(path.as_str())).map_err(NoSignature::Told)?;
        if !file.is_one_of(allowed) {
            let path = path.as_str();
            return told(format!("{path} is no key of {id} in the file of allowed signers"));
        }
        file.unlock(front).map(|key| Key::File(Box::new(key)))
    }
}

impl Key {
    /// Signs a text, and gives the signature in its armour.
    fn sign(self, text: &str) -> Result<String, String> {
        let signed = match self {
            Self::Agent(agent, key) => agent.sign(&key, text)?,
            Self::File(key) => key
                .sign(NAMESPACE, HASH, text.as_bytes())
                .map_err(|error| format!("the key can't sign: {error}"))?,
        };
        armoured(&signed)
    }
}

fn armoured(signed: &SshSig) -> Result<String, String> {
    signed
        .to_pem(LineEnding::LF)
        .map_err(|error| format!("the signature can't be written: {error}"))
}
