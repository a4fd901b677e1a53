//! A process of the simulator that is asked one thing after the other: in its own folder, for a limited time, with limited memory and
//! disk, and without a shell.

use std::fs;
use std::io::{self, Read as _, Write as _};
use std::path::Path;
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::time::{Duration, Instant};

use rustix::event::{PollFd, PollFlags, Timespec, poll};
use rustix::fs::{OFlags, fcntl_getfl, fcntl_setfl};
use tempfile::TempDir;

use super::process::{command, limit};
use crate::netlist::MARK;

/// How long a process may work besides its cases.
const TIME: Duration = Duration::from_secs(10);

/// How long each case may take: some hundred times what one of an amplifier does.
const TIME_EACH: Duration = Duration::from_millis(500);

/// The most that an answer may be long (bytes): a value takes some thirty.
const ANSWER_MOST: usize = 4 << 20;

/// A process that waits for what it is asked.
#[derive(Debug)]
pub(super) struct Dialogue {
    child: Child,
    questions: ChildStdin,
    answers: ChildStdout,
    folder: TempDir,
    /// How often it was asked.
    asked: usize,
    /// How long it may still work.
    left: Duration,
}

impl Dialogue {
    /// Starts the simulator.
    pub(super) fn start() -> io::Result<Self> {
        let mut dialogue = Self::of(command(&["-n", "-p"]), TIME)?;
        // It may be gone already: the first case tells.
        let _ = dialogue.questions.write_all(b"set numdgt=12\nset width=200\n");
        Ok(dialogue)
    }

    /// Starts a command that is asked, and that may work for so long.
    fn of(mut command: Command, left: Duration) -> io::Result<Self> {
        let folder = tempfile::tempdir()?;
        command.current_dir(folder.path()).env("HOME", folder.path());
        let mut child = command.stdin(Stdio::piped()).stdout(Stdio::piped()).spawn()?;
        let (questions, answers) = (child.stdin.take(), child.stdout.take());
        let piped = questions.zip(answers).ok_or_else(|| io::Error::other("it has no pipes"));
        let limited = limit(child.id()).and(piped).and_then(|(questions, answers)| {
            let flags = fcntl_getfl(&questions)?;
            fcntl_setfl(&questions, flags | OFlags::NONBLOCK)?;
            Ok((questions, answers))
        });
        match limited {
            Ok((questions, answers)) => {
                Ok(Self { child, questions, answers, folder, asked: 0, left })
            }
            Err(error) => {
                // Whatever went wrong, nothing is left running.
                let _ = child.kill();
                child.wait()?;
                Err(error)
            }
        }
    }

    /// How often it was asked so far.
    pub(super) fn asked(&self) -> usize {
        self.asked
    }

    /// Puts a file into its folder.
    pub(super) fn put(&self, name: &str, text: &str) -> io::Result<()> {
        fs::write(Path::new(self.folder.path()).join(name), text)
    }

    /// What it prints for some lines; nothing where it ended, took too long or printed without end. It is of no more use then.
    pub(super) fn ask(&mut self, lines: &str) -> io::Result<Option<String>> {
        let number = self.asked;
        self.asked += 1;
        self.left = self.left.saturating_add(TIME_EACH);
        let end = format!("{MARK} {number} ends\n");
        let question = format!("echo {MARK} {number} begins\n{lines}echo {end}");
        let begun = Instant::now();
        let printed = self.exchanged(question.as_bytes(), end.as_bytes())?;
        self.left = self.left.saturating_sub(begun.elapsed());
        let text = printed.map(|bytes| String::from_utf8_lossy(&bytes).into_owned());
        Ok(text.as_deref().and_then(|text| printed_of(text, number)).map(str::to_owned))
    }

    /// Writes and reads until what is read ends as it should.
    fn exchanged(&mut self, mut unsent: &[u8], end: &[u8]) -> io::Result<Option<Vec<u8>>> {
        let until = Instant::now() + self.left;
        let (mut bytes, mut piece) = (Vec::new(), [0; 16 << 10]);
        while !bytes.ends_with(end) {
            let left = until.saturating_duration_since(Instant::now());
            if left.is_zero() || bytes.len() > ANSWER_MOST {
                return Ok(None);
            }
            let mut ready = vec![PollFd::new(&self.answers, PollFlags::IN)];
            if !unsent.is_empty() {
                ready.push(PollFd::new(&self.questions, PollFlags::OUT));
            }
            match poll(&mut ready, Some(&Timespec::try_from(left).unwrap_or_default())) {
                Ok(_) | Err(rustix::io::Errno::INTR) => {}
                Err(error) => return Err(error.into()),
            }
            let is_ready =
                |ready: &Option<&PollFd<'_>>| ready.is_some_and(|fd| !fd.revents().is_empty());
            let [reads, writes] = [0, 1].map(|at| is_ready(&ready.get(at)));
            if writes {
                match self.questions.write(unsent) {
                    Ok(count) => unsent = unsent.get(count..).unwrap_or_default(),
                    Err(error) if error.kind() == io::ErrorKind::WouldBlock => {}
                    // It hears no more; what it still says is read to its end.
                    Err(_) => unsent = &[],
                }
            }
            if reads {
                match self.answers.read(&mut piece)? {
                    0 => return Ok(None),
                    count => bytes.extend_from_slice(piece.get(..count).unwrap_or_default()),
                }
            }
        }
        Ok(Some(bytes))
    }
}

impl Drop for Dialogue {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// What is printed between the mark of a question and its end.
fn printed_of(printed: &str, number: usize) -> Option<&str> {
    let begin = format!("{MARK} {number} begins\n");
    let end = format!("{MARK} {number} ends\n");
    let (_, rest) = printed.split_once(&begin)?;
    rest.split_once(&end).map(|(inner, _)| inner)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::*;

    /// A dialogue with something else than the simulator, that may work for so long.
    fn dialogue(words: &[&str], left: Duration) -> Dialogue {
        let mut command = Command::new(words.first().unwrap());
        command.args(words.iter().skip(1));
        Dialogue::of(command, left).unwrap()
    }

    #[test]
    fn an_answer_is_between_its_marks() {
        let printed =
            "wattstep-case 1 begins\na\nwattstep-case 1 ends\nwattstep-case 11 begins\nb\n";
        assert_eq!(printed_of(printed, 1), Some("a\n"));
        assert_eq!(printed_of(printed, 11), None, "it has no end");
        assert_eq!(printed_of(printed, 2), None);
        // A shell that knows no more than `echo` answers as well, each question for itself.
        let mut shell = dialogue(&["sh"], TIME);
        assert_eq!(shell.ask("echo 1\n").unwrap().as_deref(), Some("1\n"));
        assert_eq!(shell.ask("echo 2\n").unwrap().as_deref(), Some("2\n"));
        assert_eq!(shell.ask("exit\n").unwrap(), None);
        assert_eq!(shell.ask("echo 3\n").unwrap(), None);
    }

    #[test]
    fn what_does_not_answer_is_given_up_however_much_it_is_asked() {
        for lines in ["", &"print v(a)\n".repeat(100_000)] {
            let begun = Instant::now();
            let mut asleep = dialogue(&["sleep", "60"], Duration::from_millis(50));
            assert_eq!(asleep.ask(lines).unwrap(), None);
            drop(asleep);
            assert!(begun.elapsed() < Duration::from_secs(20));
        }
    }

    #[test]
    fn the_time_that_it_may_work_is_that_of_all_questions_together() {
        let mut shell = dialogue(&["sh"], Duration::from_secs(1));
        let slow = "sleep 0.8\n";
        assert_eq!(shell.ask(slow).unwrap().as_deref(), Some(""));
        let all = (0..8).map(|_| shell.ask(slow).unwrap().is_some()).collect::<Vec<_>>();
        assert!(all.contains(&false), "it went on for ever: {all:?}");
    }

    #[test]
    fn what_answers_without_end_is_given_up() {
        let begun = Instant::now();
        assert_eq!(dialogue(&["yes"], TIME).ask("").unwrap(), None);
        assert!(begun.elapsed() < Duration::from_secs(9));
    }

    #[test]
    fn nothing_is_left_of_a_dialogue_that_is_over() {
        let shell = dialogue(&["sh"], TIME);
        let (folder, process) = (shell.folder.path().to_owned(), shell.child.id());
        shell.put("case.cir", "a").unwrap();
        assert!(folder.join("case.cir").exists());
        drop(shell);
        assert!(!folder.exists() && !Path::new(&format!("/proc/{process}")).exists());
    }
}
