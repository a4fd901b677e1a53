//! The sending end that a link and its cutters share.

use std::io;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::thread::sleep;
use std::time::{Duration, Instant};

use super::transport::Transport;
use super::{LinkError, Message};

/// Sends whole messages, one at a time and not too soon after each other.
pub(super) struct Wire {
    pub(super) transport: Box<dyn Transport>,
    terminator: &'static [u8],
    /// The least time between two messages.
    pause: Duration,
    /// How often it was cut into. It only counts up, so the one that remembers a number sees every cut since.
    cuts: AtomicU64,
    turn: Mutex<SendTurn>,
}

/// Whose turn it is to send.
struct SendTurn {
    /// When the next message may go; none where it may at once.
    from: Option<Instant>,
    /// The message with its terminator, kept for its memory.
    bytes: Vec<u8>,
}

impl SendTurn {
    /// How much too soon it is for the next message.
    fn early(&self) -> Duration {
        self.from.map(|from| from.saturating_duration_since(Instant::now())).unwrap_or_default()
    }
}

impl Wire {
    pub(super) fn new(
        transport: Box<dyn Transport>,
        terminator: &'static [u8],
        pause: Duration,
    ) -> Self {
        let turn = Mutex::new(SendTurn { from: None, bytes: Vec::new() });
        Self { transport, terminator, pause, cuts: AtomicU64::new(0), turn }
    }

    pub(super) fn cuts(&self) -> u64 {
        self.cuts.load(Ordering::SeqCst)
    }

    /// Waits until it is not too soon for the next message.
    pub(super) fn wait_for_turn(&self) {
        let early = self.turn().early();
        sleep(early);
    }

    /// Sends a message, unless the line was cut into since `cuts` was read. Cuts go first: nobody who waits here for the pause
    /// keeps a cut waiting.
    pub(super) fn send(&self, message: Message<'_>, cuts: u64) -> Result<(), LinkError> {
        loop {
            let mut turn = self.turn();
            if self.cuts() != cuts {
                return Err(LinkError::CutInto { message: message.text.to_owned() });
            }
            let early = turn.early();
            if early.is_zero() {
                return Ok(self.put(&mut turn, message, |bytes| self.transport.send(bytes))?);
            }
            drop(turn);
            sleep(early);
        }
    }

    /// Sends a message now, at most one pause after the one before.
    pub(super) fn cut(&self, message: Message<'_>) -> Result<(), LinkError> {
        // Counted before it waits, so that others that wait let it go first; and when it is sent, so that nobody who began in
        // between believes the line.
        self.cuts.fetch_add(1, Ordering::SeqCst);
        let mut turn = self.turn();
        let sent = self.put(&mut turn, message, |bytes| self.transport.cut(bytes));
        self.cuts.fetch_add(1, Ordering::SeqCst);
        Ok(sent?)
    }

    fn turn(&self) -> MutexGuard<'_, SendTurn> {
        self.turn.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn put(
        &self,
        turn: &mut SendTurn,
        message: Message<'_>,
        send: impl Fn(&[u8]) -> io::Result<()>,
    ) -> io::Result<()> {
        for line in message.lines() {
            sleep(turn.early());
            turn.bytes.clear();
            turn.bytes.extend_from_slice(line.as_bytes());
            turn.bytes.extend_from_slice(self.terminator);
            let sent = send(&turn.bytes);
            let gap = self.transport.airtime(turn.bytes.len()) + self.pause;
            turn.from = (!gap.is_zero()).then(|| Instant::now() + gap);
            sent?;
        }
        Ok(())
    }
}
