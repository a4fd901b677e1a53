//! Serial lines.

use std::fs::{File, OpenOptions};
use std::io::{self, ErrorKind, Read, Write};
use std::os::unix::fs::OpenOptionsExt;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use rustix::event::PollFlags;
use rustix::fs::OFlags;
use rustix::termios::{
    ControlModes, InputModes, OptionalActions, SpecialCodeIndex, ioctl_tiocexcl, tcgetattr,
    tcsetattr,
};

use super::transport::{PROMPTLY, Transport, Waiting, drain, look, wait_for};

/// The line is silent when nothing came for so long. Adapters hold bytes back for up to 16 ms (common practice, no source).
const QUIET: Duration = Duration::from_millis(100);

/// The longest that the line is drained.
const DRAINING: Duration = Duration::from_secs(3);

/// Bits of a byte on the line: a start bit, eight of data, a stop bit.
const BITS: u32 = 10;

/// A serial line with eight bits of data, no parity and one stop bit, without flow control, for this program alone.
///
/// Opening it raises the lines DTR and RTS, no matter who opens it: Linux has no way round that. A relay or a supply that is keyed from one
/// of them switches on at that moment. Nothing on the bench may be wired like that.
pub(super) struct Serial {
    file: File,
    baud: u32,
    terminator: &'static [u8],
    /// Whether a message was left unfinished: the next one would be read as its end.
    is_torn: AtomicBool,
}

impl Serial {
    /// Opens a line and sets it up.
    pub(super) fn open(path: &str, baud: u32, terminator: &'static [u8]) -> io::Result<Self> {
        let flags = (OFlags::NONBLOCK | OFlags::NOCTTY).bits();
        let mut options = OpenOptions::new();
        let options = options.read(true).write(true).custom_flags(flags.cast_signed());
        let file = options.open(path)?;
        // The lock is for those that root runs: the exclusive mode of a terminal does not keep root out (ioctl_tty(2)).
        file.try_lock().map_err(|error| match error {
            std::fs::TryLockError::WouldBlock => io::Error::other("another program has it open"),
            std::fs::TryLockError::Error(error) => error,
        })?;
        ioctl_tiocexcl(&file)?;
        set_up(&file, baud)?;
        Ok(Self { file, baud, terminator, is_torn: AtomicBool::new(false) })
    }

    fn write(&self, mut bytes: &[u8]) -> io::Result<()> {
        let by = Instant::now() + PROMPTLY + self.airtime(bytes.len());
        while !bytes.is_empty() {
            match (&self.file).write(bytes) {
                Ok(0) => return Err(ErrorKind::WriteZero.into()),
                Ok(written) => bytes = bytes.get(written..).unwrap_or_default(),
                Err(error) if error.kind() == ErrorKind::Interrupted => {}
                Err(error) if error.kind() == ErrorKind::WouldBlock => {
                    let rest = by.saturating_duration_since(Instant::now());
                    if wait_for(&self.file, PollFlags::OUT, rest)?.is_empty() {
                        return Err(io::Error::other("the line takes no more: is it held up?"));
                    }
                }
                Err(error) => return Err(error),
            }
        }
        Ok(())
    }
}

impl Transport for Serial {
    fn send(&self, bytes: &[u8]) -> io::Result<()> {
        if self.is_torn.swap(true, Ordering::SeqCst) {
            self.write(self.terminator)?;
        }
        self.write(bytes)?;
        self.is_torn.store(false, Ordering::SeqCst);
        Ok(())
    }

    fn receive(&self, into: &mut [u8], within: Duration) -> io::Result<usize> {
        if wait_for(&self.file, PollFlags::IN, within)?.is_empty() {
            return Err(ErrorKind::TimedOut.into());
        }
        (&self.file).read(into)
    }

    fn waiting(&self) -> io::Result<Waiting> {
        look(&self.file)
    }

    fn reset(&self) -> io::Result<()> {
        drain(self, QUIET, DRAINING)
    }

    fn airtime(&self, bytes: usize) -> Duration {
        let bits = u32::try_from(bytes).unwrap_or(u32::MAX).saturating_mul(BITS);
        Duration::from_secs_f64(f64::from(bits) / f64::from(self.baud))
    }
}

fn set_up(file: &File, baud: u32) -> io::Result<()> {
    let mut modes = tcgetattr(file)?;
    modes.make_raw();
    modes.input_modes.remove(InputModes::IXOFF | InputModes::IXANY);
    modes.control_modes.remove(ControlModes::CSTOPB | ControlModes::CRTSCTS);
    modes.control_modes.insert(ControlModes::CLOCAL | ControlModes::CREAD);
    modes.special_codes[SpecialCodeIndex::VMIN] = 1;
    modes.special_codes[SpecialCodeIndex::VTIME] = 0;
    modes.set_speed(baud)?;
    tcsetattr(file, OptionalActions::Flush, &modes)?;
    // It succeeds when any of the changes could be made (tcsetattr(3)), and a wrong speed makes nonsense of every reply.
    match tcgetattr(file)?.output_speed() {
        speed if speed == baud => Ok(()),
        speed => Err(io::Error::other(format!("it runs at {speed} baud and not at {baud}"))),
    }
}
