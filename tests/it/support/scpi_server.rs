//! An instrument of our own that speaks SCPI over a socket or a pseudo-terminal, as well or as badly as a test asks it to.
//!
//! A test gives a handler: what to answer to each message. [`Memory`] is a plain instrument to build on: it remembers what it is set to.

use std::collections::BTreeMap;
use std::fs::File;
use std::io::{ErrorKind, Read, Write};
use std::net::{Shutdown, SocketAddr, TcpListener, TcpStream};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::thread::{self, JoinHandle, sleep};
use std::time::{Duration, Instant};

use rustix::event::{PollFd, PollFlags, Timespec, poll};
use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};

/// Who the instrument says it is.
pub(crate) const IDENTITY: &str = "Invented,Bench Instrument,0001,1.0";

/// How often a thread looks whether it should end.
const LOOKING: Duration = Duration::from_millis(5);

/// A message that came, and when.
#[derive(Clone, Debug)]
pub(crate) struct Heard {
    pub(crate) at: Instant,
    pub(crate) message: String,
}

/// One thing that the instrument does in answer to a message.
#[derive(Clone, Debug)]
enum Act {
    /// It sends a text with its terminator.
    Text(String),
    /// It sends exactly these bytes.
    Bytes(Vec<u8>),
    /// It does nothing for a while, and hears nothing.
    Wait(Duration),
    /// It closes the connection.
    Close,
    /// It resets the connection.
    Reset,
}

/// What the instrument does in answer to a message, in order.
#[derive(Clone, Debug, Default)]
pub(crate) struct Reply {
    acts: Vec<Act>,
    piecewise: Option<Duration>,
}

impl Reply {
    /// No answer.
    pub(crate) fn none() -> Self {
        Self::default()
    }

    /// A text with the instrument's terminator.
    pub(crate) fn text(text: impl Into<String>) -> Self {
        Self::none().then(Act::Text(text.into()))
    }

    /// Exactly these bytes, without a terminator.
    pub(crate) fn bytes(bytes: impl Into<Vec<u8>>) -> Self {
        Self::none().then(Act::Bytes(bytes.into()))
    }

    /// The connection is closed.
    pub(crate) fn close() -> Self {
        Self::none().then(Act::Close)
    }

    /// The connection is reset.
    pub(crate) fn reset() -> Self {
        Self::none().then(Act::Reset)
    }

    /// First nothing for a while: a late reply, if that is longer than the other end waits.
    pub(crate) fn after(mut self, time: Duration) -> Self {
        self.acts.insert(0, Act::Wait(time));
        self
    }

    /// Then another text with the terminator; in the same segment, unless something else is in between.
    pub(crate) fn and_text(self, text: impl Into<String>) -> Self {
        self.then(Act::Text(text.into()))
    }

    /// Then nothing for a while.
    pub(crate) fn and_wait(self, time: Duration) -> Self {
        self.then(Act::Wait(time))
    }

    /// Then exactly these bytes, without a terminator.
    pub(crate) fn and_bytes(self, bytes: impl Into<Vec<u8>>) -> Self {
        self.then(Act::Bytes(bytes.into()))
    }

    /// Then the connection is closed.
    pub(crate) fn and_close(self) -> Self {
        self.then(Act::Close)
    }

    /// Everything byte by byte, with a while in between.
    pub(crate) fn piecewise(mut self, between: Duration) -> Self {
        self.piecewise = Some(between);
        self
    }

    fn then(mut self, act: Act) -> Self {
        self.acts.push(act);
        self
    }
}

/// How the instrument behaves whatever it is asked.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Habits {
    /// What ends its replies.
    pub(crate) terminator: &'static [u8],
    /// Whether messages end where a write ends, and not with a line feed or a carriage return.
    pub(crate) unterminated: bool,
    /// Whether it gives back what it hears.
    pub(crate) echoes: bool,
    /// What it answers to each message that is no question.
    pub(crate) acknowledges: Option<&'static str>,
    /// It loses a message that comes sooner than this after the one before. A lost message is not among those heard.
    pub(crate) least_gap: Duration,
    /// Whether it refuses a second connection.
    pub(crate) one_client: bool,
}

impl Default for Habits {
    fn default() -> Self {
        Self {
            terminator: b"\n",
            unterminated: false,
            echoes: false,
            acknowledges: None,
            least_gap: Duration::ZERO,
            one_client: false,
        }
    }
}

/// The line that it is reached by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Over {
    Tcp,
    Serial,
}

type Handler = dyn FnMut(&str) -> Reply + Send;

/// What the threads of an instrument share.
struct Shared {
    handler: Mutex<Box<Handler>>,
    heard: Mutex<Vec<Heard>>,
    habits: Habits,
    answered: AtomicUsize,
    connections: AtomicUsize,
    ends: AtomicBool,
}

/// A running instrument. It ends when it is dropped.
pub(crate) struct ScpiServer {
    address: String,
    shared: Arc<Shared>,
    thread: Option<JoinHandle<()>>,
}

impl ScpiServer {
    /// Starts one with usual habits.
    pub(crate) fn start(over: Over, handler: impl FnMut(&str) -> Reply + Send + 'static) -> Self {
        Self::with(over, Habits::default(), handler)
    }

    /// Starts one with these habits.
    pub(crate) fn with(
        over: Over,
        habits: Habits,
        handler: impl FnMut(&str) -> Reply + Send + 'static,
    ) -> Self {
        let shared = Arc::new(Shared {
            handler: Mutex::new(Box::new(handler)),
            heard: Mutex::default(),
            habits,
            answered: AtomicUsize::new(0),
            connections: AtomicUsize::new(0),
            ends: AtomicBool::new(false),
        });
        let served = Arc::clone(&shared);
        let (address, thread) = match over {
            Over::Tcp => {
                let listener = TcpListener::bind("127.0.0.1:0").unwrap();
                let address = format!("tcp://{}", listener.local_addr().unwrap());
                (address, thread::spawn(move || served.listen(listener)))
            }
            Over::Serial => {
                let (master, path) = terminal();
                let address = format!("serial://{path}?baud=115200");
                (address, thread::spawn(move || served.serve(Box::new(master))))
            }
        };
        Self { address, shared, thread: Some(thread) }
    }

    /// Where it is reached, as a bench file says it.
    pub(crate) fn address(&self) -> &str {
        &self.address
    }

    /// Every message so far, in order.
    pub(crate) fn heard(&self) -> Vec<Heard> {
        self.shared.heard.lock().unwrap().clone()
    }

    /// The texts of every message so far, without the questions who it is.
    pub(crate) fn messages(&self) -> Vec<String> {
        let heard = self.heard().into_iter().map(|heard| heard.message);
        heard.filter(|message| message != "*IDN?").collect()
    }

    /// Waits until this message was heard, and says when.
    pub(crate) fn wait_for(&self, message: &str) -> Instant {
        let find = || self.heard().into_iter().find(|heard| heard.message == message);
        patiently(|| find().map(|heard| heard.at)).unwrap_or_else(|| {
            panic!("`{message}` never came: {:?}", self.heard());
        })
    }

    /// Waits until all that was heard is answered.
    pub(crate) fn wait_until_answered(&self) {
        let answered = || self.shared.answered.load(Ordering::SeqCst);
        let done = patiently(|| (answered() == self.heard().len()).then_some(()));
        assert!(done.is_some(), "{} answered of {:?}", answered(), self.heard());
    }

    /// How many connections were made so far.
    pub(crate) fn connections(&self) -> usize {
        self.shared.connections.load(Ordering::SeqCst)
    }
}

impl Drop for ScpiServer {
    fn drop(&mut self) {
        self.shared.ends.store(true, Ordering::SeqCst);
        let ended = self.thread.take().unwrap().join();
        assert!(ended.is_ok() || thread::panicking(), "a handler panicked");
    }
}

/// Looks again and again until there is something to see; none after a long time.
fn patiently<T>(mut look: impl FnMut() -> Option<T>) -> Option<T> {
    let by = Instant::now() + Duration::from_secs(30);
    loop {
        let seen = look();
        if seen.is_some() || Instant::now() >= by {
            return seen;
        }
        sleep(Duration::from_millis(1));
    }
}

/// A new pseudo-terminal: the instrument's end and the path of the other.
fn terminal() -> (File, String) {
    let master = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY).unwrap();
    grantpt(&master).unwrap();
    unlockpt(&master).unwrap();
    let path = ptsname(&master, Vec::new()).unwrap().into_string().unwrap();
    (File::from(master), path)
}

/// The instrument's end of a line.
trait Wire: Read + Write + Send {
    fn is_readable(&self) -> bool;
    fn close(&mut self, reset: bool);
}

impl Wire for TcpStream {
    fn is_readable(&self) -> bool {
        is_readable(self)
    }

    fn close(&mut self, reset: bool) {
        if reset {
            rustix::net::sockopt::set_socket_linger(&*self, Some(Duration::ZERO)).unwrap();
        } else {
            let _ = self.shutdown(Shutdown::Both);
        }
    }
}

impl Wire for File {
    fn is_readable(&self) -> bool {
        is_readable(self)
    }

    // Its end goes away with the thread that serves it.
    fn close(&mut self, _: bool) {}
}

fn is_readable(file: impl std::os::fd::AsFd) -> bool {
    let mut files = [PollFd::new(&file, PollFlags::IN)];
    let time = Timespec::try_from(LOOKING).unwrap();
    poll(&mut files, Some(&time)).is_ok_and(|count| count > 0)
}

impl Shared {
    fn ends(&self) -> bool {
        self.ends.load(Ordering::SeqCst)
    }

    fn listen(self: Arc<Self>, listener: TcpListener) {
        let address = listener.local_addr().unwrap();
        let mut listener = Some(listener);
        let mut threads = Vec::new();
        while !self.ends() {
            let listening = listener.get_or_insert_with(|| listen_again(address));
            if !is_readable(&*listening) {
                continue;
            }
            let Ok((stream, _)) = listening.accept() else { continue };
            stream.set_nodelay(true).unwrap();
            self.connections.fetch_add(1, Ordering::SeqCst);
            if self.habits.one_client {
                listener = None;
                self.serve(Box::new(stream));
            } else {
                let served = Arc::clone(&self);
                threads.push(thread::spawn(move || served.serve(Box::new(stream))));
            }
        }
        for thread in threads {
            assert!(thread.join().is_ok(), "a handler panicked");
        }
    }

    fn serve(&self, mut wire: Box<dyn Wire>) {
        let mut held = Vec::new();
        let mut bytes = [0; 4096];
        let mut last = None;
        while !self.ends() {
            if !wire.is_readable() {
                continue;
            }
            let count = match wire.read(&mut bytes) {
                Ok(0) => return,
                Ok(count) => count,
                // Nobody has the other end of the terminal open yet.
                Err(error) if error.raw_os_error() == Some(5) => {
                    sleep(LOOKING);
                    continue;
                }
                Err(error) if error.kind() == ErrorKind::Interrupted => continue,
                Err(_) => return,
            };
            held.extend_from_slice(&bytes[..count]);
            for message in self.messages(&mut held) {
                if !self.answer(&message, &mut last, &mut *wire) {
                    return;
                }
            }
        }
    }

    /// Takes the whole messages out of what came.
    fn messages(&self, held: &mut Vec<u8>) -> Vec<String> {
        let is_end = |byte: &u8| matches!(byte, b'\n' | b'\r');
        let whole = match held.iter().rposition(is_end) {
            _ if self.habits.unterminated => held.len(),
            Some(at) => at + 1,
            None => return Vec::new(),
        };
        let whole: Vec<u8> = held.drain(..whole).collect();
        let lines = whole.split(is_end).filter(|line| !line.is_empty());
        lines.map(|line| String::from_utf8_lossy(line).into_owned()).collect()
    }

    /// Answers one message; false when the line is closed.
    fn answer(&self, message: &str, last: &mut Option<Instant>, wire: &mut dyn Wire) -> bool {
        let at = Instant::now();
        let is_early = last.is_some_and(|last| at < last + self.habits.least_gap);
        *last = Some(at);
        if is_early {
            return true;
        }
        self.heard.lock().unwrap().push(Heard { at, message: message.to_owned() });
        if self.habits.echoes {
            let _ = wire.write_all(&[message.as_bytes(), self.habits.terminator].concat());
        }
        let mut reply = (self.handler.lock().unwrap())(message);
        if let Some(word) = self.habits.acknowledges.filter(|_| !message.contains('?')) {
            reply.acts.insert(0, Act::Text(word.to_owned()));
        }
        let goes_on = self.carry_out(reply, wire);
        self.answered.fetch_add(1, Ordering::SeqCst);
        goes_on
    }

    fn carry_out(&self, reply: Reply, wire: &mut dyn Wire) -> bool {
        let mut outgoing = Vec::new();
        for act in reply.acts {
            match act {
                Act::Text(text) => {
                    outgoing.extend_from_slice(text.as_bytes());
                    outgoing.extend_from_slice(self.habits.terminator);
                }
                Act::Bytes(bytes) => outgoing.extend(bytes),
                Act::Wait(time) => {
                    send(wire, &mut outgoing, reply.piecewise);
                    sleep(time);
                }
                Act::Close | Act::Reset => {
                    send(wire, &mut outgoing, reply.piecewise);
                    wire.close(matches!(act, Act::Reset));
                    return false;
                }
            }
        }
        send(wire, &mut outgoing, reply.piecewise);
        true
    }
}

/// Sends what is held back. A client that is gone by now does not get it.
fn send(wire: &mut dyn Wire, outgoing: &mut Vec<u8>, piecewise: Option<Duration>) {
    let length = if piecewise.is_some() { 1 } else { outgoing.len().max(1) };
    for piece in outgoing.chunks(length) {
        let _ = wire.write_all(piece);
        sleep(piecewise.unwrap_or_default());
    }
    outgoing.clear();
}

fn listen_again(address: SocketAddr) -> TcpListener {
    patiently(|| TcpListener::bind(address).ok()).unwrap()
}

/// A plain instrument: `NAME value` sets, `NAME?` answers what was set, each for the channel selected by `INST:NSEL n`. ON and OFF are
/// answered as 1 and 0, the identity and the empty error queue as the standards have them.
#[derive(Clone, Debug, Default)]
pub(crate) struct Memory {
    selected: String,
    values: BTreeMap<(String, String), String>,
}

impl Memory {
    /// Answers a message; several with `;:` between them one after the other.
    pub(crate) fn answer(&mut self, message: &str) -> Reply {
        let answers: Vec<_> = message.split(";:").filter_map(|one| self.one(one)).collect();
        if answers.is_empty() { Reply::none() } else { Reply::text(answers.join(";")) }
    }

    fn one(&mut self, message: &str) -> Option<String> {
        match message.split_once(' ') {
            Some(("INST:NSEL", number)) => number.clone_into(&mut self.selected),
            Some((name, value)) => {
                let key = (self.selected.clone(), name.to_owned());
                self.values.insert(key, value.to_owned());
            }
            None => return self.ask(message.strip_suffix('?')?),
        }
        None
    }

    fn ask(&self, name: &str) -> Option<String> {
        let value = self.values.get(&(self.selected.clone(), name.to_owned()));
        let answer = match (name, value.map(String::as_str)) {
            ("*IDN", None) => IDENTITY,
            ("SYST:ERR", None) => "0,\"No error\"",
            (_, Some("ON")) => "1",
            (_, Some("OFF")) => "0",
            (_, value) => value?,
        };
        Some(answer.to_owned())
    }
}

/// A connection of a bench file to this address, with these further keys, such as `timeout: 200 ms`.
pub(crate) fn connection(
    address: &str,
    keys: &str,
) -> wattstep::test_points::procedure::Connection {
    let keys: String = keys.lines().map(|line| format!("      {line}\n")).collect();
    let text = format!(
        "format: 1\nbench: invented\ninstruments:\n  one:\n    what: an invented instrument\n    serial: \"1\"\n    \
         connection:\n      address: {address}\n{keys}"
    );
    let file = wattstep::test_points::procedure::read_bench(&text).unwrap();
    file.instruments.get("one").unwrap().connection.clone().unwrap()
}
