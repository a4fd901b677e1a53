//! Raw sockets.

use std::hint::spin_loop;
use std::io::{self, ErrorKind, Read, Write};
use std::net::{Shutdown, SocketAddr, TcpStream, ToSocketAddrs};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::available_parallelism;
use std::time::{Duration, Instant};

use rustix::event::PollFlags;
use rustix::io::Errno;
use rustix::net::{RecvFlags, recv};

use super::hold::AddressHold;
use super::transport::{PROMPTLY, Transport, Waiting, look, wait_for};

/// How long the first connection may take: a name may have to be looked up, an instrument to wake.
const OPENING: Duration = Duration::from_secs(3);

/// How much longer a reply may take than asked for, so that the usual one costs less.
const SLACK: Duration = Duration::from_millis(1);

/// How long a reply is looked for again and again before it is waited for: an idle processor takes as long to wake as the reply to come,
/// or longer.
const AT_ONCE: Duration = Duration::from_micros(25);

/// How long the other end is given to read what it was sent and close, before an old connection is dropped.
const PARTING: Duration = Duration::from_millis(100);

/// A raw socket. Everything that a reopened connection brings belongs to it, so no late reply survives a reset.
pub(super) struct Tcp {
    /// Looked up once: a name server that does not answer must not hold up a trip.
    address: SocketAddr,
    timeout: Duration,
    /// Whether there is a processor for the other end while this one looks for a reply.
    looks_again: bool,
    /// The present connection. Held while something is written or connected, never while anything is read.
    present: Mutex<Option<Arc<TcpStream>>>,
    /// Dropped last.
    _hold: AddressHold,
}

impl Tcp {
    /// Connects to the first of the host's addresses that answers.
    pub(super) fn open(host: &str, port: u16, timeout: Duration) -> io::Result<Self> {
        let mut why = io::Error::other("the host has no address");
        for address in (host, port).to_socket_addrs()? {
            // Before anything is connected: an instrument with room for one client may drop the one it has.
            let hold = AddressHold::take(address)?;
            match connect(address, OPENING, timeout) {
                Ok(stream) => {
                    let present = Mutex::new(Some(Arc::new(stream)));
                    let looks_again = available_parallelism().is_ok_and(|count| count.get() > 1);
                    return Ok(Self { address, timeout, looks_again, present, _hold: hold });
                }
                Err(error) => why = error,
            }
        }
        Err(why)
    }

    fn present(&self) -> MutexGuard<'_, Option<Arc<TcpStream>>> {
        self.present.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn stream(&self) -> io::Result<Arc<TcpStream>> {
        self.present().clone().ok_or_else(|| ErrorKind::NotConnected.into())
    }
}

impl Transport for Tcp {
    fn send(&self, bytes: &[u8]) -> io::Result<()> {
        let present = self.present();
        let mut stream = present.as_deref().ok_or(ErrorKind::NotConnected)?;
        stream.write_all(bytes)
    }

    fn cut(&self, bytes: &[u8]) -> io::Result<()> {
        let mut present = self.present();
        if let Some(mut stream) = present.as_deref() {
            // The first write after the other end has closed still succeeds, and is lost: so look before.
            let is_open = look(stream).is_ok_and(|waiting| waiting != Waiting::Closed);
            if is_open && stream.write_all(bytes).is_ok() {
                return Ok(());
            }
        }
        if let Some(old) = present.take() {
            // The one that still reads from it is woken up. An instrument with room for one client has it again.
            let _ = old.shutdown(Shutdown::Both);
        }
        let mut stream = connect(self.address, PROMPTLY, self.timeout)?;
        let written = stream.write_all(bytes);
        *present = Some(Arc::new(stream));
        written
    }

    fn receive(&self, into: &mut [u8], within: Duration) -> io::Result<usize> {
        let stream = self.stream()?;
        if self.looks_again
            && let Some(count) = at_once(&stream, into)?
        {
            return Ok(count);
        }
        // The socket itself waits for the whole timeout, so the usual reply costs a single call.
        let is_here = within + SLACK >= self.timeout
            || !wait_for(&*stream, PollFlags::IN, within)?.is_empty();
        if !is_here {
            return Err(ErrorKind::TimedOut.into());
        }
        (&*stream).read(into).map_err(|error| match error.kind() {
            ErrorKind::WouldBlock => ErrorKind::TimedOut.into(),
            _ => error,
        })
    }

    fn waiting(&self) -> io::Result<Waiting> {
        match self.present().as_deref() {
            Some(stream) => peek(stream),
            None => Ok(Waiting::Closed),
        }
    }

    fn reset(&self) -> io::Result<()> {
        let mut present = self.present();
        if let Some(old) = present.take() {
            part(&old);
        }
        *present = Some(Arc::new(connect(self.address, PROMPTLY, self.timeout)?));
        Ok(())
    }
}

impl Drop for Tcp {
    fn drop(&mut self) {
        if let Some(stream) = self.present().take() {
            part(&stream);
        }
    }
}

/// What comes at once, taken without waiting.
fn at_once(stream: &TcpStream, into: &mut [u8]) -> io::Result<Option<usize>> {
    let by = Instant::now() + AT_ONCE;
    loop {
        match recv(stream, &mut *into, RecvFlags::DONTWAIT) {
            Ok((_, count)) => return Ok(Some(count)),
            Err(Errno::AGAIN) if Instant::now() < by => spin_loop(),
            Err(Errno::AGAIN) => return Ok(None),
            Err(error) => return Err(error.into()),
        }
    }
}

/// What there is to read, for less than a look costs; that the other end has closed shows only once all was read.
fn peek(stream: &TcpStream) -> io::Result<Waiting> {
    match recv(stream, &mut [0], RecvFlags::PEEK | RecvFlags::DONTWAIT) {
        Ok((_, 0)) => Ok(Waiting::Closed),
        Ok(_) => Ok(Waiting::Bytes),
        Err(Errno::AGAIN) => Ok(Waiting::Nothing),
        Err(error) => Err(error.into()),
    }
}

fn connect(address: SocketAddr, within: Duration, timeout: Duration) -> io::Result<TcpStream> {
    let stream = TcpStream::connect_timeout(&address, within)?;
    stream.set_nodelay(true)?;
    stream.set_read_timeout(Some(timeout))?;
    stream.set_write_timeout(Some(PROMPTLY))?;
    Ok(stream)
}

/// Closes a connection so that what was sent last is still carried out.
///
/// Closing with replies unread makes the system reset the connection, and a reset may make the instrument forget what it has not
/// read yet (RFC 1122, 4.2.2.13): a message that switches an output off, say. So it is told that nothing more follows, and
/// what it still sends is taken, for a moment.
fn part(mut stream: &TcpStream) {
    let by = Instant::now() + PARTING;
    let mut thrown_away = [0; 256];
    let _ = stream.shutdown(Shutdown::Write);
    loop {
        let rest = by.saturating_duration_since(Instant::now());
        let is_more = wait_for(stream, PollFlags::IN, rest).is_ok_and(|found| !found.is_empty());
        if !is_more || stream.read(&mut thrown_away).map_or(true, |count| count == 0) {
            break;
        }
    }
    let _ = stream.shutdown(Shutdown::Both);
}
