//! Faults of the program itself (a wrong address, a stack without end, an abort): outputs go off, then it ends as it would have.
#![expect(
    unsafe_code,
    reason = "the system hands a fault to nothing but a handler of its own kind"
)]

use std::io::{self, PipeReader, PipeWriter, Read as _};
use std::mem::zeroed;
use std::ptr::null_mut;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;

use rustix::event::{Timespec, poll};

use crate::bench::trip;

/// The signals that tell of a fault, with their names.
const FAULTS: [(i32, &str); 7] = [
    (libc::SIGSEGV, "SIGSEGV"),
    (libc::SIGABRT, "SIGABRT"),
    (libc::SIGBUS, "SIGBUS"),
    (libc::SIGFPE, "SIGFPE"),
    (libc::SIGILL, "SIGILL"),
    (libc::SIGSYS, "SIGSYS"),
    (libc::SIGTRAP, "SIGTRAP"),
];

/// What the person is told, whatever the terminal is like.
const WORDS: &[u8] =
    b"\r\nTHE PROGRAM FAILED. Every connected output was told to go off, which nobody confirms. \
SWITCH EVERYTHING OFF and pull the plug.\r\n";

/// One look at whether off was sent, and how many of them the handler waits for.
const LOOK: Timespec = Timespec { tv_sec: 0, tv_nsec: 10_000_000 };
const LOOKS: usize = 50;

/// Wakes the thread that fires the trip.
static WAKE: OnceLock<PipeWriter> = OnceLock::new();

/// Off was sent.
static SENT: AtomicBool = AtomicBool::new(false);

/// Takes the signals over. They are still the end of the program, but off is sent before.
pub(super) fn take_over() -> io::Result<()> {
    let (woken, wake) = io::pipe()?;
    thread::Builder::new().spawn(move || fire(woken))?;
    // The thread that was first has set it: there is one for the process.
    let _ = WAKE.set(wake);
    for (number, _) in FAULTS {
        handle(number, last_act as extern "C" fn(i32) as usize)?;
    }
    // A program in the background that writes to its terminal, or reads from it, would be suspended: reading fails in place of
    // that, which ends the sitting.
    for number in [libc::SIGTTIN, libc::SIGTTOU] {
        handle(number, libc::SIG_IGN)?;
    }
    Ok(())
}

fn handle(number: i32, handler: libc::sighandler_t) -> io::Result<()> {
    // SAFETY: all zeros is a valid `sigaction`, whose fields are set below; the handler does nothing but what one may do.
    let done = unsafe {
        let mut action: libc::sigaction = zeroed();
        action.sa_sigaction = handler;
        // The stack may be what failed: Rust gives each of its threads another one for that.
        action.sa_flags = libc::SA_ONSTACK;
        libc::sigaction(number, &raw const action, null_mut())
    };
    if done == 0 { Ok(()) } else { Err(io::Error::last_os_error()) }
}

/// The handler. Nothing of the program can be relied on any more: it wakes the thread that fires, gives it a moment, and ends.
/// It takes no lock and asks for no memory.
extern "C" fn last_act(number: i32) {
    if let (Some(wake), Ok(number)) = (WAKE.get(), u8::try_from(number)) {
        let _ = rustix::io::write(wake, &[number]);
        for _ in 0..LOOKS {
            if SENT.load(Ordering::SeqCst) {
                break;
            }
            let _ = poll(&mut [], Some(&LOOK));
        }
    }
    let _ = rustix::io::write(rustix::stdio::stderr(), WORDS);
    let _ = signal_hook::low_level::emulate_default_handler(number);
    signal_hook::low_level::abort();
}

/// Fires every trip when the handler says so.
fn fire(mut woken: PipeReader) {
    let mut number = [0];
    while woken.read_exact(&mut number).is_ok() {
        let [number] = number;
        let fault = FAULTS.iter().find(|(known, _)| *known == i32::from(number));
        trip::fire_all(&format!(
            "the program failed: {}",
            fault.map_or("a fault", |fault| fault.1)
        ));
        SENT.store(true, Ordering::SeqCst);
    }
}
