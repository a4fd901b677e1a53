//! The program on a real pseudo-terminal, seen as a person sees it: by what stands on the screen.

use std::collections::BTreeMap;
use std::io::{Read as _, Write};
use std::path::Path;
use std::process::Command;
use std::sync::mpsc::{Receiver, channel};
use std::sync::{Arc, Condvar, Mutex};
use std::thread;
use std::time::{Duration, Instant};

use portable_pty::{CommandBuilder, MasterPty, PtySize, native_pty_system};
use rustix::process::{Pid, Resource, Rlimit, prlimit};

use super::call::environment;
use super::{WATTSTEP, unwrapped};

/// The longest a test waits for anything: generous, since a busy machine is slow and a pass does not wait.
const PATIENCE: Duration = Duration::from_secs(120);

/// What a terminal is like: its size and what the program is told about it.
pub(crate) struct Look {
    columns: u16,
    rows: u16,
    variables: BTreeMap<String, String>,
}

impl Look {
    /// 80 by 24, colour, UTF-8.
    pub(crate) fn usual() -> Self {
        let mut variables = environment();
        variables.extend(
            [("TERM", "xterm-256color"), ("LANG", "C.UTF-8")]
                .map(|(name, value)| (name.to_owned(), value.to_owned())),
        );
        Self { columns: 80, rows: 24, variables }
    }

    pub(crate) fn columns(mut self, columns: u16) -> Self {
        self.columns = columns;
        self
    }

    pub(crate) fn env(mut self, name: &str, value: &str) -> Self {
        self.variables.insert(name.to_owned(), value.to_owned());
        self
    }
}

/// A terminal with the program running on it. The program is killed when this is dropped.
pub(crate) struct Terminal {
    shared: Arc<Shared>,
    master: Option<Box<dyn MasterPty + Send>>,
    writer: Option<Box<dyn Write + Send>>,
    process: u32,
    ended: Receiver<u32>,
    modes: String,
    columns: u16,
}

#[derive(Default)]
struct Shared {
    seen: Mutex<Seen>,
    more: Condvar,
}

/// What came from the program so far.
struct Seen {
    raw: Vec<u8>,
    screen: vt100::Parser,
    /// The reader ends with the next bytes, so that nothing holds the terminal open.
    unplugged: bool,
    closed: bool,
}

impl Default for Seen {
    fn default() -> Self {
        let screen = vt100::Parser::new(24, 80, 0);
        Self { raw: Vec::new(), screen, unplugged: false, closed: false }
    }
}

impl Terminal {
    /// Starts the program in this folder.
    pub(crate) fn start(folder: &Path, look: &Look, arguments: &[&str]) -> Self {
        Self::running(WATTSTEP, folder, look, arguments)
    }

    /// Starts a shell with this script in this folder; `$WATTSTEP` is the program.
    pub(crate) fn shell(folder: &Path, look: Look, script: &str) -> Self {
        Self::running("bash", folder, &look.env("WATTSTEP", WATTSTEP), &["-c", script])
    }

    fn running(program: &str, folder: &Path, look: &Look, arguments: &[&str]) -> Self {
        let size = PtySize { rows: look.rows, cols: look.columns, pixel_width: 0, pixel_height: 0 };
        let pair = native_pty_system().openpty(size).unwrap();
        let mut command = CommandBuilder::new(program);
        command.args(arguments);
        command.cwd(folder);
        command.env_clear();
        look.variables.iter().for_each(|(name, value)| command.env(name, value));
        let modes = modes(pair.master.as_ref());
        let mut child = pair.slave.spawn_command(command).unwrap();
        let process = child.process_id().unwrap();
        let shared = Arc::new(Shared::default());
        shared.seen.lock().unwrap().screen.screen_mut().set_size(look.rows, look.columns);
        let mut reader = pair.master.try_clone_reader().unwrap();
        let filled = Arc::clone(&shared);
        thread::spawn(move || {
            let mut bytes = [0; 4096];
            while let Some(count) = reader.read(&mut bytes).ok().filter(|count| *count > 0) {
                if !filled.take(&bytes[..count]) {
                    break;
                }
            }
            drop(reader);
            filled.seen.lock().unwrap().closed = true;
            filled.more.notify_all();
        });
        let (sender, ended) = channel();
        thread::spawn(move || {
            // The receiver is gone when the test is over.
            let _ = sender.send(child.wait().unwrap().exit_code());
        });
        let writer = Some(pair.master.take_writer().unwrap());
        let columns = look.columns;
        Self { shared, master: Some(pair.master), writer, process, ended, modes, columns }
    }

    /// Types keys as they are; Enter is `\r`.
    pub(crate) fn keys(&mut self, keys: &str) {
        let writer = self.writer.as_mut().unwrap();
        writer.write_all(keys.as_bytes()).unwrap();
        writer.flush().unwrap();
    }

    /// Makes the window this many columns wide.
    pub(crate) fn resize(&self, columns: u16) {
        let size = PtySize { rows: 24, cols: columns, pixel_width: 0, pixel_height: 0 };
        self.master.as_ref().unwrap().resize(size).unwrap();
        self.shared.seen.lock().unwrap().screen.screen_mut().set_size(24, columns);
    }

    /// What stands on the screen.
    pub(crate) fn screen(&self) -> String {
        self.shared.seen.lock().unwrap().screen.screen().contents()
    }

    /// Everything that came so far, with escape sequences in it.
    pub(crate) fn raw(&self) -> Vec<u8> {
        self.shared.seen.lock().unwrap().raw.clone()
    }

    /// How many bytes have come: a mark for [`Terminal::since`].
    pub(crate) fn mark(&self) -> usize {
        self.shared.seen.lock().unwrap().raw.len()
    }

    /// The text that came after a mark, without escape sequences.
    pub(crate) fn since(&self, mark: usize) -> String {
        plain(&self.raw()[mark..])
    }

    pub(crate) fn is_cursor_visible(&self) -> bool {
        !self.shared.seen.lock().unwrap().screen.screen().hide_cursor()
    }

    /// Tells whether the terminal's modes are what they were before the program started.
    pub(crate) fn is_restored(&self) -> bool {
        modes(self.master.as_ref().unwrap().as_ref()) == self.modes
    }

    /// Waits until this stands on the screen, however it is wrapped.
    pub(crate) fn wait_for(&self, text: &str) {
        let wanted = unwrapped(text);
        self.wait_until(text, |seen| unwrapped(&seen.screen.screen().contents()).contains(&wanted));
    }

    /// Waits until this was said after a mark, wherever the screen has it now.
    pub(crate) fn wait_until_said(&self, mark: usize, text: &str) {
        self.wait_until(text, |seen| unwrapped(&plain(&seen.raw[mark..])).contains(text));
    }

    /// Waits for the cursor to stand right behind a prompt, on a line that began after the mark; false when the program
    /// ends instead.
    pub(crate) fn goes_on(&self, mark: usize) -> bool {
        let is_new = |seen: &Seen| mark == 0 || seen.raw[mark..].contains(&b'\n');
        let asks = |seen: &Seen| is_new(seen) && is_prompt(seen);
        self.wait_until("a prompt", |seen| asks(seen) || seen.closed);
        !self.shared.seen.lock().unwrap().closed
    }

    /// Waits for the program to end and gives its exit code.
    pub(crate) fn exit_code(&self) -> u32 {
        let code = self.ended.recv_timeout(PATIENCE);
        let code = code.unwrap_or_else(|_| panic!("the program goes on:\n{}", self.screen()));
        // What it printed last may still be on its way.
        if self.master.is_some() {
            self.wait_until("the end of the output", |seen| seen.closed);
        }
        code
    }

    /// Sends a signal by its name, `TERM`.
    pub(crate) fn signal(&self, name: &str) {
        let mut kill = Command::new("kill");
        kill.args([format!("-{name}"), self.process.to_string()]);
        assert!(kill.status().unwrap().success(), "nobody takes {name}");
    }

    /// From now on no file that the program writes may grow beyond this.
    pub(crate) fn limit_files(&self, bytes: u64) {
        let limit = Rlimit { current: Some(bytes), maximum: Some(bytes) };
        prlimit(Some(self.pid()), Resource::Fsize, limit).unwrap();
    }

    fn pid(&self) -> Pid {
        Pid::from_raw(i32::try_from(self.process).unwrap()).unwrap()
    }

    /// Closes the window the program runs in; the program hears of it when this returns, or just before.
    pub(crate) fn close_window(&mut self) {
        self.shared.seen.lock().unwrap().unplugged = true;
        // The reader wakes up at the echo of a key, and lets go of the terminal.
        self.keys("x");
        self.wait_until("the reader to let go", |seen| seen.closed);
        self.writer = None;
        self.master = None;
    }

    fn wait_until(&self, what: &str, is_so: impl Fn(&Seen) -> bool) {
        let end = Instant::now() + PATIENCE;
        let mut seen = self.shared.seen.lock().unwrap();
        while !is_so(&seen) {
            let left = end.saturating_duration_since(Instant::now());
            let stuck = left.is_zero() || (seen.closed && !is_so(&seen));
            let screen = seen.screen.screen().contents();
            assert!(!stuck, "waited for {what:?} in vain; the screen says:\n{screen}");
            seen = self.shared.more.wait_timeout(seen, left).unwrap().0;
        }
    }

    /// Fails if a line is so wide that the terminal breaks it. The path of the record is one word, to be copied whole.
    pub(crate) fn assert_no_line_is_too_wide(&self) {
        for line in self.since(0).lines().filter(|line| !line.starts_with("Record: ")) {
            // A line that is typed over is drawn again after a carriage return.
            let widest = line.split('\r').map(|part| part.chars().count()).max().unwrap_or(0);
            assert!(widest <= usize::from(self.columns), "{widest} columns: {line}");
        }
    }
}

impl Drop for Terminal {
    fn drop(&mut self) {
        // It may have ended by itself; its number is not used again while it is waited for by nobody else.
        let kill = format!("kill -KILL {} 2>/dev/null", self.process);
        let _ = Command::new("sh").args(["-c", &kill]).status();
    }
}

impl Shared {
    /// Takes bytes from the program; says whether more are wanted.
    fn take(&self, bytes: &[u8]) -> bool {
        let mut seen = self.seen.lock().unwrap();
        seen.raw.extend_from_slice(bytes);
        seen.screen.process(bytes);
        self.more.notify_all();
        !seen.unplugged
    }
}

fn is_prompt(seen: &Seen) -> bool {
    let screen = seen.screen.screen();
    let (row, column) = screen.cursor_position();
    let (_, columns) = screen.size();
    let line = screen.rows(0, columns).nth(usize::from(row)).unwrap_or_default();
    line.trim_end().ends_with(':') && usize::from(column) == line.trim_end().chars().count() + 1
}

fn modes(master: &dyn MasterPty) -> String {
    format!("{:?}", master.get_termios())
}

/// Text without escape sequences.
pub(crate) fn plain(bytes: &[u8]) -> String {
    console::strip_ansi_codes(&String::from_utf8_lossy(bytes)).into_owned()
}
