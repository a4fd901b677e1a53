//! What came from an instrument, cut into whole replies.

/// The longest reply (bytes): identities and error texts are well below, and waveforms are no replies to this program.
pub(super) const REPLY_MAX: usize = 4096;

/// Bytes that came, and have not been taken yet.
///
/// A reply ends with a line feed, a carriage return, or both in either order. The second of a pair may come in a later piece.
pub(super) struct Incoming {
    bytes: Box<[u8]>,
    held: usize,
    /// The byte that would complete the end of the reply before.
    partner: Option<u8>,
}

impl Incoming {
    pub(super) fn new() -> Self {
        // One more, so that the longest reply and its end fit in.
        Self { bytes: vec![0; REPLY_MAX + 1].into(), held: 0, partner: None }
    }

    /// Where the next bytes go; empty when the reply is too long.
    pub(super) fn room(&mut self) -> &mut [u8] {
        self.bytes.get_mut(self.held..).unwrap_or_default()
    }

    /// Takes note that this many bytes came into the room.
    pub(super) fn grow(&mut self, count: usize) {
        self.held = self.held.saturating_add(count).min(self.bytes.len());
        if self.held > 0
            && let Some(partner) = self.partner.take()
            && self.bytes.first() == Some(&partner)
        {
            self.drop_front(1);
        }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.held == 0
    }

    /// Takes the first whole reply, without its end.
    pub(super) fn take_line(&mut self) -> Option<Vec<u8>> {
        let held = self.bytes.get(..self.held)?;
        let length = held.iter().position(|byte| matches!(byte, b'\n' | b'\r'))?;
        let line = held.get(..length)?.to_vec();
        let end = held.get(length).copied();
        self.partner = Some(if end == Some(b'\n') { b'\r' } else { b'\n' });
        self.drop_front(length + 1);
        self.grow(0);
        Some(line)
    }

    /// Takes all there is as one reply, for an instrument that ends its replies with silence.
    pub(super) fn take_all(&mut self) -> Vec<u8> {
        let all = self.bytes.get(..self.held).unwrap_or_default().to_vec();
        self.forget();
        all
    }

    /// Throws away all there is.
    pub(super) fn forget(&mut self) {
        self.held = 0;
        self.partner = None;
    }

    fn drop_front(&mut self, count: usize) {
        self.bytes.copy_within(count..self.held, 0);
        self.held -= count;
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::indexing_slicing, reason = "a test fails loudly")]

    use proptest::prelude::*;

    use super::{Incoming, REPLY_MAX};

    fn feed(incoming: &mut Incoming, bytes: &[u8]) {
        incoming.room()[..bytes.len()].copy_from_slice(bytes);
        incoming.grow(bytes.len());
    }

    fn lines(pieces: &[&[u8]]) -> Vec<String> {
        let mut incoming = Incoming::new();
        let mut lines = Vec::new();
        for piece in pieces {
            feed(&mut incoming, piece);
            while let Some(line) = incoming.take_line() {
                lines.push(String::from_utf8_lossy(&line).into_owned());
            }
        }
        lines
    }

    #[test]
    fn a_reply_ends_with_any_end_in_one_piece_or_in_two() {
        let both = ["1.0", "2.0"];
        assert_eq!(lines(&[b"1.0\n2.0\n"]), both);
        assert_eq!(lines(&[b"1.0\r2.0\r"]), both);
        assert_eq!(lines(&[b"1.0\r\n2.0\r\n"]), both);
        assert_eq!(lines(&[b"1.0\n\r2.0\n\r"]), both);
        assert_eq!(lines(&[b"1.0\r", b"\n2.0\r", b"\n"]), both);
        assert_eq!(lines(&[b"1", b".0", b"\n", b"2.0\n"]), both);
    }

    #[test]
    fn an_empty_reply_is_a_reply() {
        assert_eq!(lines(&[b"\n\n"]), ["", ""]);
        assert_eq!(lines(&[b"\r\n\r\n"]), ["", ""]);
    }

    #[test]
    fn the_room_ends_behind_the_longest_reply() {
        let mut incoming = Incoming::new();
        feed(&mut incoming, &[b'1'; REPLY_MAX]);
        assert_eq!(incoming.room().len(), 1);
        feed(&mut incoming, b"1");
        assert_eq!((incoming.room().len(), incoming.take_line()), (0, None));
    }

    proptest! {
        /// However the bytes fall into pieces, what is taken is what stands between ends, in order, whole.
        #[test]
        fn only_whole_replies_are_taken(
            sent in prop::collection::vec((prop::collection::vec(any::<u8>(), 0..20), 0..4_usize), 0..20),
            cuts in prop::collection::vec(1..9_usize, 1..40),
        ) {
            let is_end = |byte: &u8| matches!(byte, b'\n' | b'\r');
            let ends: [&[u8]; 4] = [b"\n", b"\r\n", b"\n", b"\r\n"];
            let bodies: Vec<Vec<u8>> = sent.iter().map(|(body, _)| body.iter().filter(|byte| !is_end(byte)).copied().collect()).collect();
            let stream: Vec<u8> = bodies.iter().zip(&sent).flat_map(|(body, (_, end))| [body.as_slice(), ends[*end]].concat()).collect();
            let mut incoming = Incoming::new();
            let mut taken = Vec::new();
            let mut rest = stream.as_slice();
            for cut in cuts.iter().cycle() {
                let (piece, later) = rest.split_at((*cut).min(rest.len()));
                feed(&mut incoming, piece);
                while let Some(line) = incoming.take_line() {
                    taken.push(line);
                }
                rest = later;
                if rest.is_empty() {
                    break;
                }
            }
            prop_assert_eq!(taken, bodies);
            prop_assert!(incoming.is_empty());
        }
    }
}
