//! A run of the program without a terminal, and what is expected of it. Nothing is expected unless stated: what the
//! program prints beyond that fails the test.

use std::collections::BTreeMap;
use std::path::Path;
use std::process::{Command, Stdio};

use super::{WATTSTEP, unwrapped};

/// A call in the making: arguments, environment, and what must be printed.
#[must_use]
pub(crate) struct Call {
    command: Command,
    out: Expected,
    err: Expected,
}

/// What must be in one of the two streams.
#[derive(Default)]
struct Expected {
    contains: Vec<String>,
    anything: bool,
}

/// What the program printed.
pub(crate) struct Printed {
    pub(crate) out: String,
    pub(crate) err: String,
}

/// What a program sees of the world: nothing but where programs are, and what a test adds.
pub(crate) fn environment() -> BTreeMap<String, String> {
    BTreeMap::from([("PATH".to_owned(), std::env::var("PATH").unwrap())])
}

impl Call {
    pub(crate) fn new(folder: &Path, arguments: &[&str]) -> Self {
        let mut command = Command::new(WATTSTEP);
        command.args(arguments);
        Self::of(command, folder)
    }

    /// A shell command in which `$WATTSTEP` is the program.
    pub(crate) fn shell(folder: &Path, script: &str) -> Self {
        let mut command = Command::new("sh");
        command.args(["-c", script]);
        Self::of(command, folder).env("WATTSTEP", WATTSTEP)
    }

    fn of(mut command: Command, folder: &Path) -> Self {
        command.current_dir(folder).env_clear().envs(environment()).env("LANG", "C.UTF-8");
        command.stdin(Stdio::null());
        Self { command, out: Expected::default(), err: Expected::default() }
    }

    pub(crate) fn env(mut self, name: &str, value: &str) -> Self {
        self.command.env(name, value);
        self
    }

    pub(crate) fn args(mut self, arguments: &[&str]) -> Self {
        self.command.args(arguments);
        self
    }

    /// Expects this on standard output, however it is wrapped.
    pub(crate) fn out(mut self, text: &str) -> Self {
        self.out.contains.push(text.to_owned());
        self
    }

    /// Expects this on standard error, however it is wrapped.
    pub(crate) fn err(mut self, text: &str) -> Self {
        self.err.contains.push(text.to_owned());
        self
    }

    /// Takes whatever is on standard output: the test looks at it itself, or at the record.
    pub(crate) fn any_out(mut self) -> Self {
        self.out.anything = true;
        self
    }

    /// Takes whatever is on standard error.
    pub(crate) fn any_err(mut self) -> Self {
        self.err.anything = true;
        self
    }

    /// Runs the program and holds it to all of this.
    pub(crate) fn exit(mut self, code: i32) -> Printed {
        let output = self.command.output().unwrap();
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
        let printed = Printed { out: text(output.stdout), err: text(output.stderr) };
        let call = format!("{:?}", self.command);
        assert_eq!(
            output.status.code(),
            Some(code),
            "{call}\n--- out ---\n{}--- err ---\n{}",
            printed.out,
            printed.err
        );
        self.out.hold(&call, "out", &printed.out);
        self.err.hold(&call, "err", &printed.err);
        printed
    }
}

impl Expected {
    fn hold(&self, call: &str, stream: &str, text: &str) {
        let flat = unwrapped(text);
        for wanted in &self.contains {
            assert!(
                flat.contains(&unwrapped(wanted)),
                "{call}\nhas no {wanted:?} in its {stream}:\n{text}"
            );
        }
        let is_expected = self.anything || !self.contains.is_empty() || text.is_empty();
        assert!(is_expected, "{call}\nprinted to its {stream}, unasked:\n{text}");
    }
}
