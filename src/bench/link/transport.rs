//! What carries bytes to an instrument and back.

use std::io;
use std::os::fd::AsFd;
use std::time::{Duration, Instant};

use rustix::event::{PollFd, PollFlags, Timespec, poll};
use rustix::io::Errno;

/// The longest that a write may take, or a connection that is made again: it is the longest that a cut waits for either.
pub(super) const PROMPTLY: Duration = Duration::from_millis(500);

/// What there is to read before a question is sent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Waiting {
    /// Nothing, as it should be.
    Nothing,
    /// Something that nobody asked for.
    Bytes,
    /// The other end has closed.
    Closed,
}

/// Carries bytes to an instrument and back. Sending never waits for one who receives.
pub(super) trait Transport: Send + Sync {
    /// Sends these bytes whole, or fails promptly.
    fn send(&self, bytes: &[u8]) -> io::Result<()>;

    /// Sends these bytes even if the connection has to be made again for it, once.
    fn cut(&self, bytes: &[u8]) -> io::Result<()> {
        self.send(bytes)
    }

    /// Waits for the next bytes: how many came, 0 when the other end has closed. `TimedOut` when nothing came.
    fn receive(&self, into: &mut [u8], within: Duration) -> io::Result<usize>;

    /// Looks whether something can be read already.
    fn waiting(&self) -> io::Result<Waiting>;

    /// Gets rid of everything that is still under way from the instrument, as well as this transport can.
    fn reset(&self) -> io::Result<()>;

    /// How long this many bytes take on the line after they were sent.
    fn airtime(&self, _bytes: usize) -> Duration {
        Duration::ZERO
    }
}

/// Waits until one of these things is true of a file; empty when none became true.
pub(super) fn wait_for(
    file: impl AsFd,
    flags: PollFlags,
    within: Duration,
) -> io::Result<PollFlags> {
    let by = Instant::now() + within;
    loop {
        let rest = by.saturating_duration_since(Instant::now());
        let rest = Timespec::try_from(rest).map_err(|_| io::ErrorKind::InvalidInput)?;
        let mut files = [PollFd::new(&file, flags)];
        match poll(&mut files, Some(&rest)) {
            Err(Errno::INTR) => {}
            Err(error) => return Err(error.into()),
            Ok(_) => {
                let [file] = files;
                return Ok(file.revents());
            }
        }
    }
}

/// What there is to read on a file, without waiting.
pub(super) fn look(file: impl AsFd) -> io::Result<Waiting> {
    let mut files = [PollFd::new(&file, PollFlags::IN | PollFlags::RDHUP)];
    // It does not wait, so no signal interrupts it.
    poll(&mut files, Some(&Timespec::default()))?;
    let [file] = files;
    let found = file.revents();
    let closed = PollFlags::RDHUP | PollFlags::HUP | PollFlags::ERR;
    Ok(if found.intersects(closed) {
        Waiting::Closed
    } else if found.contains(PollFlags::IN) {
        Waiting::Bytes
    } else {
        Waiting::Nothing
    })
}

/// Takes everything that comes until nothing has come for the time `quiet`.
pub(super) fn drain(
    transport: &(impl Transport + ?Sized),
    quiet: Duration,
    at_most: Duration,
) -> io::Result<()> {
    let by = Instant::now() + at_most;
    let mut thrown_away = [0; 256];
    while Instant::now() < by {
        match transport.receive(&mut thrown_away, quiet) {
            Ok(0) => return Err(io::ErrorKind::UnexpectedEof.into()),
            Ok(_) => {}
            Err(error) if error.kind() == io::ErrorKind::TimedOut => return Ok(()),
            Err(error) => return Err(error),
        }
    }
    Err(io::Error::other("it never falls silent"))
}
