//! The sockets of the simulated instruments: whole lines in, whole lines out, on threads that end with the process.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;

use super::rig::{Addressee, Rig};

/// The longest message that is taken (bytes); the one that sends more is cut off.
const MESSAGE_MAX: u64 = 4096;

/// Lets an instrument answer at a port of this machine's own, which nobody outside reaches.
///
/// # Errors
/// No socket, or no thread.
pub(super) fn listen(who: Addressee, rig: &Arc<Mutex<Rig>>) -> std::io::Result<SocketAddr> {
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0))?;
    let address = listener.local_addr()?;
    let rig = Arc::clone(rig);
    thread::Builder::new().name(format!("simulated {}", who.name())).spawn(move || {
        for stream in listener.incoming().flatten() {
            let rig = Arc::clone(&rig);
            let named = thread::Builder::new().name(format!("{} line", who.name()));
            // Without a thread the line is dropped, which the other end sees.
            let _ = named.spawn(move || serve(who, &rig, &stream));
        }
    })?;
    Ok(address)
}

/// Answers on one line until the other end closes it.
fn serve(who: Addressee, rig: &Mutex<Rig>, stream: &TcpStream) {
    let _ = stream.set_nodelay(true);
    let mut reader = BufReader::new(stream);
    loop {
        let mut line = Vec::new();
        let taken = reader.by_ref().take(MESSAGE_MAX).read_until(b'\n', &mut line);
        if taken.is_err() || line.last() != Some(&b'\n') {
            return;
        }
        let message = String::from_utf8_lossy(&line);
        let reply = rig.lock().unwrap_or_else(PoisonError::into_inner).message(who, message.trim());
        if let Some(reply) = reply
            && (&mut &*stream).write_all(format!("{reply}\n").as_bytes()).is_err()
        {
            return;
        }
    }
}
