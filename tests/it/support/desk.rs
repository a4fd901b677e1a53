//! A person at the terminal who has an answer for every question of the lantern, switched by hand or by instruments, and
//! stops where a test wants to look.

use std::path::Path;

use super::bench::{Bench, SET};
use super::terminal::{Look, Terminal};
use super::unwrapped;

/// What to type at a question, by words that only that question has. The one place that knows how questions read.
pub(crate) const LANTERN: [(&str, &str); 29] = [
    ("Pull the plug of the lantern", ""),
    ("The 9 V test battery", "9.1"),
    ("Is it dead? Across the smoothing capacitor", "0.02"),
    ("Where have the mains plug and every supply lead been", "2"),
    ("Lead end to end", "0.12"),
    ("Zeroed leads held together", "0.02"),
    ("Earth pin to the bare case", "0.08"),
    ("Insulation of line and neutral", "200 Mohm"),
    ("Stay in reach of the outlet", "attended Lee Example-Third"),
    ("Inside under a good light", "1"),
    ("Read the notice above", ""),
    ("Tools and loose leads out", "clear"),
    ("Bench supply on", "done"),
    ("Current from the bench supply", "41 mA"),
    ("then read the voltage", ""),
    ("Current into the lantern", ""),
    ("Time is up", "done"),
    ("OUTPUTS OFF at the bench supply", "off"),
    ("TYPE OFF: wattstep switches", "off"),
    ("TAKE THE LEADS OFF at the bench supply", "off"),
    ("then take its leads off the equipment; the equipment's own", "off"),
    ("Voltage on the open lantern", "230 V"),
    ("Supervisor has seen the readings", "Moss Example-Super"),
    ("Switch the outlet on", "done"),
    ("Power on the power meter", "31"),
    ("SWITCH OFF at the mains", "off"),
    ("SWITCH EVERYTHING OFF", "off"),
    ("What next?", "4"),
    ("What was replaced", "smoothing capacitor replaced"),
];

/// The person and what is on the screen before them.
pub(crate) struct Desk {
    pub(crate) terminal: Terminal,
    /// Where what came after the last answer begins.
    mark: usize,
    seen: Vec<String>,
}

impl Desk {
    /// Sits down and starts a run of the lantern.
    pub(crate) fn run(bench: &Bench, look: &Look) -> Self {
        Self::start(
            bench.folder(),
            look,
            &[&["run", "lantern.yaml", "--operator", "Kim Example-Tech"], &SET[..]].concat(),
        )
    }

    /// Sits down and takes up the only unfinished run.
    pub(crate) fn resume(bench: &Bench, look: &Look) -> Self {
        Self::start(bench.folder(), look, &["resume", "--operator", "Ivo Example-Tech"])
    }

    /// Starts the program and waits for its first prompt.
    pub(crate) fn start(folder: &Path, look: &Look, arguments: &[&str]) -> Self {
        let terminal = Terminal::start(folder, look, arguments);
        let desk = Self { terminal, mark: 0, seen: Vec::new() };
        desk.next_prompt();
        desk
    }

    /// Sits down at a terminal that is used already, once this is asked on it.
    pub(crate) fn at(terminal: Terminal, prompt: &str) -> Self {
        terminal.wait_for(prompt);
        let desk = Self { mark: 0, terminal, seen: Vec::new() };
        desk.next_prompt();
        desk
    }

    /// What came since the last answer, up to the prompt that waits now.
    pub(crate) fn question(&self) -> String {
        unwrapped(&self.terminal.since(self.mark))
    }

    /// The screens at all prompts so far, in order.
    pub(crate) fn screens(&self) -> &[String] {
        &self.seen
    }

    /// Types a line; what it leads to is not waited for.
    pub(crate) fn types(&mut self, line: &str) {
        self.seen.push(self.terminal.screen());
        self.mark = self.terminal.mark();
        self.terminal.keys(&format!("{line}\r"));
    }

    /// Types a line and waits for the prompt after it.
    pub(crate) fn answers(&mut self, line: &str) {
        self.types(line);
        self.next_prompt();
    }

    /// Waits for the prompt after what was typed last; false when the program ends instead.
    pub(crate) fn goes_on(&self) -> bool {
        self.terminal.goes_on(self.mark)
    }

    /// Waits for the prompt after what was typed last.
    pub(crate) fn next_prompt(&self) {
        assert!(self.terminal.goes_on(self.mark), "ended:\n{}", self.terminal.screen());
    }

    /// Lets something come between and waits for the prompt after it.
    pub(crate) fn interrupt(&mut self, interrupt: impl FnOnce(&mut Self)) {
        self.mark = self.terminal.mark();
        interrupt(self);
        self.next_prompt();
    }

    /// Answers as usual until this is asked.
    pub(crate) fn until(&mut self, text: &str) {
        while !self.question().contains(text) {
            self.answers(self.usual());
        }
    }

    /// Answers as usual until the program ends; gives its exit code.
    pub(crate) fn finish(&mut self) -> u32 {
        loop {
            self.types(self.usual());
            if !self.terminal.goes_on(self.mark) {
                return self.terminal.exit_code();
            }
        }
    }

    /// The usual answer to what is asked now.
    pub(crate) fn usual(&self) -> &'static str {
        let question = self.question();
        let asked = |words: &str| question.rfind(words);
        let found = LANTERN.iter().filter_map(|(words, line)| Some((asked(words)?, *line)));
        let found = found.max_by_key(|(at, _)| *at);
        found.unwrap_or_else(|| panic!("no usual answer to:\n{question}")).1
    }
}
