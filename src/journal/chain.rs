//! SHA-256 as the journal writes it: 64 lower-case hexadecimal digits.

use sha2::{Digest, Sha256};

/// What the first line carries as the hash of the line before it.
pub const GENESIS: &str = "0000000000000000000000000000000000000000000000000000000000000000";

/// Gives the SHA-256 (FIPS 180-4) of some bytes in lower-case hexadecimal.
pub fn sha256_hex(bytes: &[u8]) -> String {
    let mut running = Running::default();
    running.add(bytes);
    running.hex()
}

/// A hash over bytes that arrive in pieces, and how many there were.
#[derive(Clone, Default)]
pub(super) struct Running {
    hasher: Sha256,
    bytes: u64,
}

impl Running {
    pub(super) fn add(&mut self, piece: &[u8]) {
        self.hasher.update(piece);
        self.bytes += piece.len() as u64;
    }

    pub(super) fn bytes(&self) -> u64 {
        self.bytes
    }

    /// The hash of everything added so far; more may be added afterwards.
    pub(super) fn hex(&self) -> String {
        const DIGITS: [char; 16] =
            ['0', '1', '2', '3', '4', '5', '6', '7', '8', '9', 'a', 'b', 'c', 'd', 'e', 'f'];
        let digit = |half: u8| DIGITS.get(usize::from(half)).copied().unwrap_or('0');
        let digest = self.hasher.clone().finalize();
        digest.iter().flat_map(|byte| [digit(byte >> 4), digit(byte & 15)]).collect()
    }
}

/// Tells whether a text has the shape of a hash as the journal writes it.
pub(super) fn is_hash(text: &str) -> bool {
    text.len() == GENESIS.len() && text.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'))
}

#[cfg(test)]
mod tests {
    use super::*;

    // FIPS 180-4 messages; the digests were computed again with another implementation.
    const VECTORS: [(&str, &str); 4] = [
        ("", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"),
        ("abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
        (
            "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
        ),
        (
            "abcdefghbcdefghicdefghijdefghijkefghijklfghijklmghijklmn\
             hijklmnoijklmnopjklmnopqklmnopqrlmnopqrsmnopqrstnopqrstu",
            "cf5b16a778af8380036ce59e7b0492370b249b11e8f07a51afac45037afee9d1",
        ),
    ];

    #[test]
    fn published_vectors() {
        for (message, digest) in VECTORS {
            assert_eq!(sha256_hex(message.as_bytes()), digest, "{message:?}");
        }
    }

    #[test]
    fn a_million_letters_in_uneven_pieces() {
        let letters = vec![b'a'; 1_000_000];
        let mut running = Running::default();
        letters.chunks(997).for_each(|piece| running.add(piece));
        assert_eq!(running.bytes(), 1_000_000);
        assert_eq!(
            running.hex(),
            "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0"
        );
    }

    #[test]
    fn only_64_lower_case_digits_are_a_hash() {
        assert!(is_hash(GENESIS));
        assert!(is_hash(&sha256_hex(b"")));
        assert!(!is_hash(&sha256_hex(b"").to_uppercase()));
        assert!(!is_hash(&GENESIS.replacen('0', "", 1)));
        assert!(!is_hash(&GENESIS.replacen('0', "/", 1)));
    }
}
