//! Getting a person's signature: from an agent, or with the person's key file and its passphrase.

mod agent;
mod at_bench;
mod key_file;
mod outside;

use std::path::{Path, PathBuf};

use ssh_key::{LineEnding, SshSig};

use self::agent::{Agent, HASH};
use self::key_file::KeyFile;
use self::outside::{NoSignature, asked};
use super::beside::PromptEnd;
use super::front::Front;
use crate::procedure::Person;
use crate::record::Opening;
use crate::signature::{Authority, NAMESPACE};

/// How signatures are got in a run.
#[derive(Debug)]
pub(crate) struct Signing {
    authority: Authority,
    /// The folder that key files are looked for in.
    keys: PathBuf,
}

/// What signs.
enum SigningKey {
    Agent(Agent, Vec<u8>),
    Locked(Box<KeyFile>),
    File(Box<ssh_key::PrivateKey>),
}

impl Signing {
    /// Gets ready to sign in a run; nothing where nobody signs.
    pub(crate) fn of(opening: &Opening, keys: PathBuf) -> Result<Option<Self>, String> {
        let authority = Authority::of(opening)?;
        Ok(authority.map(|authority| Self { authority, keys }))
    }

    /// Finds a key of a person among the allowed ones, unlocked.
    fn unlocked(
        &self,
        person: &Person,
        allowed: Vec<Vec<u8>>,
        front: &mut dyn Front,
        ended: Option<&PromptEnd>,
    ) -> Result<SigningKey, NoSignature> {
        let id = person.id.as_str().to_owned();
        if allowed.is_empty() {
            let words = format!("the file of allowed signers has no key of {id} that is valid now");
            return Err(NoSignature::Told(words));
        }
        let path = person.key.as_ref().map(|path| self.keys.join(path.as_str()));
        let named = person.key.as_ref().map(|path| path.as_str().to_owned());
        let find = move || SigningKey::found(&id, &allowed, path.as_deref().zip(named.as_deref()));
        match asked("the ssh-agent", front, ended, find)? {
            SigningKey::Locked(file) => file.unlock(front, ended).map(SigningKey::File),
            key => Ok(key),
        }
    }
}

impl SigningKey {
    /// A key of this person in the agent, or in the file that the people file names.
    fn found(id: &str, allowed: &[Vec<u8>], file: Option<(&Path, &str)>) -> Result<Self, String> {
        if let Some((agent, key)) = Agent::holding(allowed) {
            return Ok(Self::Agent(agent, key));
        }
        let Some((path, named)) = file else {
            return Err(format!(
                "no key of {id} is in an ssh-agent, and the people file names no key file: \
                 `ssh-add` the key, then answer again"
            ));
        };
        let file = KeyFile::read(path)?;
        if !file.is_one_of(allowed) {
            return Err(format!("{named} is not a key of {id} in the file of allowed signers"));
        }
        Ok(Self::Locked(Box::new(file)))
    }

    /// Signs a text, and gives the signature in its armour.
    fn sign(
        self,
        text: String,
        front: &mut dyn Front,
        ended: Option<&PromptEnd>,
    ) -> Result<String, NoSignature> {
        let signed = move || match self {
            Self::Agent(agent, key) => agent.sign(&key, &text),
            Self::File(key) => key
                .sign(NAMESPACE, HASH, text.as_bytes())
                .map_err(|error| format!("the key can't sign: {error}")),
            Self::Locked(_) => Err("the key file is locked".to_owned()),
        };
        let signed = asked("the ssh-agent: confirm there if it asks", front, ended, signed)?;
        armoured(&signed).map_err(NoSignature::Told)
    }
}

fn armoured(signed: &SshSig) -> Result<String, String> {
    signed
        .to_pem(LineEnding::LF)
        .map_err(|error| format!("the signature can't be written: {error}"))
}
