//! USB test and measurement devices, through the kernel's driver.

use std::fs::{File, OpenOptions};
use std::io::{self, ErrorKind, Read, Write};
use std::thread::sleep;
use std::time::{Duration, Instant};

use super::transport::{Transport, Waiting};
use super::usbtmc_control::{clear, set_timeout, status_byte};

/// The bit of the status byte that tells that a reply is ready (message available, IEEE 488.2).
const MESSAGE_AVAILABLE: u8 = 1 << 4;

/// How often the status byte is looked at.
const LOOKING: Duration = Duration::from_millis(1);

/// The least timeout that the driver takes (`USBTMC_MIN_TIMEOUT` in its source).
const TIMEOUT_MIN: Duration = Duration::from_millis(100);

/// A USB test and measurement device: one message a write, one reply a read.
///
/// The driver lets nobody write while somebody reads. So a reply is only fetched once the device says that it is ready, and a cut waits
/// for one transfer at most. A device without a status byte is read at once: there a cut may have to wait until the reply has come
/// or its time is over.
pub(super) struct UsbTmc {
    device: File,
    has_status_byte: bool,
}

impl UsbTmc {
    /// Opens a device and clears it.
    pub(super) fn open(path: &str, timeout: Duration) -> io::Result<Self> {
        let device = OpenOptions::new().read(true).write(true).open(path)?;
        device.try_lock().map_err(|_| io::Error::other("another program has it open"))?;
        set_timeout(&device, timeout.max(TIMEOUT_MIN))
            .map_err(|_| io::Error::other("it is not a USB test and measurement device"))?;
        clear(&device)?;
        let has_status_byte = status_byte(&device).is_ok();
        Ok(Self { device, has_status_byte })
    }

    fn is_ready(&self) -> io::Result<bool> {
        Ok(status_byte(&self.device)? & MESSAGE_AVAILABLE != 0)
    }
}

impl Transport for UsbTmc {
    fn send(&self, bytes: &[u8]) -> io::Result<()> {
        match (&self.device).write(bytes)? {
            written if written == bytes.len() => Ok(()),
            _ => Err(ErrorKind::WriteZero.into()),
        }
    }

    fn receive(&self, into: &mut [u8], within: Duration) -> io::Result<usize> {
        let by = Instant::now() + within;
        while self.has_status_byte && !self.is_ready()? {
            if Instant::now() >= by {
                return Err(ErrorKind::TimedOut.into());
            }
            sleep(LOOKING);
        }
        let room = into.len().saturating_sub(1);
        let read = (&self.device).read(into.get_mut(..room).unwrap_or_default())?;
        Ok(end_line(into, read))
    }

    fn waiting(&self) -> io::Result<Waiting> {
        let is_ready = self.has_status_byte && self.is_ready()?;
        Ok(if is_ready { Waiting::Bytes } else { Waiting::Nothing })
    }

    fn reset(&self) -> io::Result<()> {
        clear(&self.device)
    }
}

/// Ends a message with a line feed if it has no end of its own: the device has told by other means that it is whole.
/// One that fills the room may go on, and gets none.
fn end_line(message: &mut [u8], length: usize) -> usize {
    let is_ended = message.get(..length).is_some_and(|message| message.ends_with(b"\n"));
    let fills = length + 1 >= message.len();
    match message.get_mut(length) {
        Some(end) if !is_ended && !fills => {
            *end = b'\n';
            length + 1
        }
        _ => length,
    }
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use super::{UsbTmc, end_line};

    #[test]
    fn the_end_of_a_message_is_the_end_of_a_reply() {
        for (message, room, ended) in [
            ("1.0", 8, "1.0\n"),
            ("1.0\n", 8, "1.0\n"),
            // An empty message is an empty reply.
            ("", 8, "\n"),
            // It fills its room: there may be more.
            ("1234567", 8, "1234567"),
        ] {
            let mut buffer = message.as_bytes().to_vec();
            buffer.resize(room, 0);
            let length = end_line(&mut buffer, message.len());
            assert_eq!(buffer.get(..length), Some(ended.as_bytes()));
        }
    }

    #[test]
    fn another_kind_of_file_is_refused() {
        let why = UsbTmc::open("/dev/null", Duration::ZERO).err().map(|error| error.to_string());
        assert_eq!(why.as_deref(), Some("it is not a USB test and measurement device"));
    }
}
