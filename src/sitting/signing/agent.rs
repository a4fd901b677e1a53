//! The ssh-agent: two of its messages (draft-ietf-sshm-ssh-agent, "List keys" and "Sign").

use std::io::{self, Read as _, Write as _};
use std::os::unix::net::UnixStream;
use std::time::Instant;

use ssh_key::{HashAlg, PublicKey, Signature, SshSig};

use super::outside::PATIENCE;
use crate::signature::NAMESPACE;

/// The hash over a statement; `ssh-keygen -Y sign` takes the same.
pub(super) const HASH: HashAlg = HashAlg::Sha512;

const REQUEST_IDENTITIES: u8 = 11;
const IDENTITIES_ANSWER: u8 = 12;
const SIGN_REQUEST: u8 = 13;
const SIGN_RESPONSE: u8 = 14;

/// The longest answer that is read (bytes); OpenSSH's own agent sends no longer one.
const ANSWER_MAX: usize = 256 * 1024;

/// A connection to the agent of the person who started the program.
pub(super) struct Agent {
    stream: UnixStream,
}

impl Agent {
    /// Finds the agent that holds one of these public keys, and that key. An agent that is not there or does not answer is
    /// as good as one without the key.
    pub(super) fn holding(allowed: &[Vec<u8>]) -> Option<(Self, Vec<u8>)> {
        let socket = std::env::var_os("SSH_AUTH_SOCK").filter(|path| !path.is_empty())?;
        let mut agent = Self { stream: UnixStream::connect(socket).ok()? };
        let held = agent.keys().ok()?;
        let key = allowed.iter().find(|key| held.contains(key))?.clone();
        Some((agent, key))
    }

    /// The public keys that it holds.
    fn keys(&mut self) -> io::Result<Vec<Vec<u8>>> {
        let answer = self.ask(&[REQUEST_IDENTITIES], IDENTITIES_ANSWER)?;
        let mut rest = answer.as_slice();
        let count = number(&mut rest).ok_or_else(garbled)?;
        let mut keys = Vec::new();
        for _ in 0..count {
            keys.push(string(&mut rest).ok_or_else(garbled)?.to_vec());
            // A comment, which is for people.
            string(&mut rest).ok_or_else(garbled)?;
        }
        Ok(keys)
    }

    /// Has a text signed with a key.
    pub(super) fn sign(mut self, key: &[u8], text: &str) -> Result<SshSig, String> {
        let cannot = |error: &dyn std::fmt::Display| format!("the ssh-agent did not sign: {error}");
        let data = SshSig::signed_data(NAMESPACE, HASH, text.as_bytes());
        let data = data.map_err(|error| cannot(&error))?;
        let mut request = vec![SIGN_REQUEST];
        put(&mut request, key);
        put(&mut request, &data);
        request.extend(0_u32.to_be_bytes());
        let answer = self.ask(&request, SIGN_RESPONSE).map_err(|error| cannot(&error))?;
        let blob = string(&mut answer.as_slice()).ok_or_else(|| cannot(&garbled()))?;
        let signature = Signature::try_from(blob).map_err(|error| cannot(&error))?;
        let key = PublicKey::from_bytes(key).map_err(|error| cannot(&error))?;
        let signed = SshSig::new(key.key_data().clone(), NAMESPACE, HASH, signature);
        signed.map_err(|error| cannot(&error))
    }

    /// Sends a message and gives what follows the kind of its answer, which has to be this.
    fn ask(&mut self, message: &[u8], kind: u8) -> io::Result<Vec<u8>> {
        let by = Instant::now() + PATIENCE;
        let mut framed = Vec::new();
        put(&mut framed, message);
        self.stream.set_write_timeout(Some(PATIENCE))?;
        self.stream.write_all(&framed)?;
        let mut length = [0; 4];
        self.fill(&mut length, by)?;
        let length = usize::try_from(u32::from_be_bytes(length)).map_err(|_| garbled())?;
        if length == 0 || length > ANSWER_MAX {
            return Err(garbled());
        }
        let mut answer = vec![0; length];
        self.fill(&mut answer, by)?;
        match answer.split_first() {
            Some((first, rest)) if *first == kind => Ok(rest.to_vec()),
            _ => Err(io::Error::other("it refused")),
        }
    }

    /// Reads until this is full: one time for the whole, however many pieces it comes in and whatever interrupts a read.
    fn fill(&mut self, mut rest: &mut [u8], by: Instant) -> io::Result<()> {
        while !rest.is_empty() {
            let left = by.saturating_duration_since(Instant::now());
            if left.is_zero() {
                return Err(io::ErrorKind::TimedOut.into());
            }
            self.stream.set_read_timeout(Some(left))?;
            match self.stream.read(rest) {
                Ok(0) => return Err(io::ErrorKind::UnexpectedEof.into()),
                Ok(count) => rest = rest.get_mut(count..).unwrap_or_default(),
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => return Err(error),
            }
        }
        Ok(())
    }
}

fn garbled() -> io::Error {
    io::Error::new(io::ErrorKind::InvalidData, "its answer can't be read")
}

/// Writes bytes with their length before them.
fn put(into: &mut Vec<u8>, bytes: &[u8]) {
    let length = u32::try_from(bytes.len()).unwrap_or(u32::MAX);
    into.extend(length.to_be_bytes());
    into.extend(bytes);
}

/// Takes a number off the front.
fn number(rest: &mut &[u8]) -> Option<u32> {
    let (number, after) = rest.split_first_chunk()?;
    *rest = after;
    Some(u32::from_be_bytes(*number))
}

/// Takes bytes with their length before them off the front.
fn string<'a>(rest: &mut &'a [u8]) -> Option<&'a [u8]> {
    let length = usize::try_from(number(rest)?).ok()?;
    let (bytes, after) = rest.split_at_checked(length)?;
    *rest = after;
    Some(bytes)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]

    use std::thread;
    use std::time::Duration;

    use super::*;

    /// What becomes of the list of keys when an agent answers with these bytes and hangs up.
    fn listed(answer: &[u8]) -> io::Result<Vec<Vec<u8>>> {
        let (stream, mut other) = UnixStream::pair().unwrap();
        let answer = answer.to_vec();
        let served = thread::spawn(move || {
            let mut request = [0; 5];
            other.read_exact(&mut request).unwrap();
            assert_eq!(request, [0, 0, 0, 1, REQUEST_IDENTITIES]);
            let _ = other.write_all(&answer);
        });
        let keys = Agent { stream }.keys();
        served.join().unwrap();
        keys
    }

    fn framed(body: &[u8]) -> Vec<u8> {
        let mut framed = Vec::new();
        put(&mut framed, body);
        framed
    }

    #[test]
    fn an_agent_lists_its_keys() {
        let mut body = vec![IDENTITIES_ANSWER, 0, 0, 0, 2];
        for part in ["one", "of mine", "two", ""] {
            put(&mut body, part.as_bytes());
        }
        assert_eq!(listed(&framed(&body)).unwrap(), [b"one".to_vec(), b"two".to_vec()]);
    }

    #[test]
    fn an_answer_that_comes_in_drops_has_one_time_for_the_whole() {
        let (stream, mut other) = UnixStream::pair().unwrap();
        let dripping = thread::spawn(move || {
            while other.write_all(&[0]).is_ok() {
                thread::sleep(Duration::from_millis(20));
            }
        });
        let begun = Instant::now();
        let error = Agent { stream }.fill(&mut [0; 1000], begun + Duration::from_millis(200));
        assert!(matches!(
            error.unwrap_err().kind(),
            io::ErrorKind::TimedOut | io::ErrorKind::WouldBlock
        ));
        assert!(begun.elapsed() < Duration::from_secs(5));
        dripping.join().unwrap();
    }

    #[test]
    fn what_an_agent_garbles_is_no_list() {
        let mut cut = vec![IDENTITIES_ANSWER, 0, 0, 0, 1];
        put(&mut cut, b"one");
        let mut long = framed(&[IDENTITIES_ANSWER]);
        long[0] = 0xff;
        for answer in [
            framed(&cut),
            framed(&[IDENTITIES_ANSWER, 0, 0, 0, 1, 0xff, 0xff, 0xff, 0xff]),
            framed(&[IDENTITIES_ANSWER, 0, 0]),
            // Failure, in the agent's protocol.
            framed(&[5]),
            framed(&[]),
            vec![0, 0],
            long,
        ] {
            assert!(listed(&answer).is_err(), "{answer:?}");
        }
    }
}
