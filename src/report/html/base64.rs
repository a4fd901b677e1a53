//! Base64 (RFC 4648 section 4), for photos and hashes inside a page.

const DIGITS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

pub(super) fn base64(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for three in bytes.chunks(3) {
        let byte = |n: usize| u32::from(three.get(n).copied().unwrap_or(0));
        let bits = byte(0) << 16 | byte(1) << 8 | byte(2);
        for n in 0..4 {
            let digit = DIGITS.get((bits >> (18 - 6 * n) & 63) as usize).copied();
            let is_used = n <= three.len();
            text.push(digit.filter(|_| is_used).map_or('=', char::from));
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::base64;

    #[test]
    fn the_vectors_of_the_standard_hold() {
        // RFC 4648 section 10.
        for (bytes, text) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(bytes.as_bytes()), text);
        }
    }
}
