//! A supply with one output, as a test wants it: sound, or with a fault that is switched in while it feeds the lantern.

use std::sync::{Arc, Mutex, MutexGuard};
use std::thread::sleep;
use std::time::{Duration, Instant};

use super::bench::{Bench, SET};
use super::desk::Desk;
use super::scpi_server::{IDENTITY, Over, Reply, ScpiServer};
use super::terminal::Look;

/// How long the program waits for its replies.
pub(crate) const TIMEOUT: Duration = Duration::from_millis(500);

/// How long its watchdog may hear nothing.
pub(crate) const WATCHDOG: Duration = Duration::from_millis(900);

const SOUND_A: f64 = 0.03;

/// What is wrong with it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Fault {
    /// It closes the connection once, or resets it.
    HangsUp { resets: bool },
    /// It closes every connection.
    Gone,
    /// It answers nothing.
    Silent,
    /// It answers nothing and does nothing.
    Frozen,
    /// It answers nothing to the question for its current.
    SlowToMeasure,
    /// It answers nothing to the question for its state, and stays on.
    HidesState,
    /// It answers nonsense to everything but the question who it is.
    Babbles,
    /// It delivers this much (A).
    Delivers(f64),
    /// It stays on.
    IgnoresOff,
    /// It stays off.
    IgnoresOn,
}

#[derive(Debug, Default)]
struct State {
    on: bool,
    volts: f64,
    set: std::collections::BTreeMap<String, String>,
    fault: Option<Fault>,
    watchdog: Option<(Duration, Instant)>,
}

/// The supply, running.
pub(crate) struct Supply {
    server: ScpiServer,
    state: Arc<Mutex<State>>,
}

impl Supply {
    pub(crate) fn start(over: Over) -> Self {
        let state = Arc::new(Mutex::new(State::default()));
        let shared = Arc::clone(&state);
        let server = ScpiServer::start(over, move |message| shared.lock().unwrap().answer(message));
        Self { server, state }
    }

    /// Puts a bench file on a bench, with these lines in the supply's dialect.
    pub(crate) fn describe(&self, bench: &Bench, dialect: &str) {
        let (address, ms) = (self.server.address(), TIMEOUT.as_millis());
        let file = format!(
            "format: 1\nbench: invented\ninstruments:\n  supply:\n    what: an invented supply\n    serial: \"1\"\n    \
             role: supply\n    channels: {{plus: {{number: 1, voltage_max: 30 V, current_max: 1 A}}}}\n    \
             connection:\n      address: {address}\n      timeout: {ms} ms\n      dialect: {{{dialect}}}\n"
        );
        bench.write("bench.yaml", file);
    }

    /// From now on this is wrong with it.
    pub(crate) fn spoil(&self, fault: Fault) {
        self.state().fault = Some(fault);
    }

    /// From now on it is sound again; its output stays as it is.
    pub(crate) fn mend(&self) {
        self.state().fault = None;
    }

    /// Switches its output at its front panel.
    pub(crate) fn press(&self, on: bool) {
        self.state().on = on;
    }

    /// Turns a setting of it at its front panel.
    pub(crate) fn turn(&self, setting: &str, value: f64) {
        let mut state = self.state();
        state.set.insert(setting.to_owned(), value.to_string());
        if setting == "VOLT" {
            state.volts = value;
        }
    }

    pub(crate) fn is_on(&self) -> bool {
        let mut state = self.state();
        state.look_at_watchdog();
        state.on
    }

    /// Everything it heard.
    pub(crate) fn heard(&self) -> Vec<(Instant, String)> {
        self.server.heard().into_iter().map(|heard| (heard.at, heard.message)).collect()
    }

    /// Waits until it heard this once more than so far.
    pub(crate) fn wait_for_another(&self, message: &str) -> Instant {
        let heard = |supply: &Self| {
            let all = supply.heard().into_iter().filter(|(_, heard)| heard == message);
            all.map(|(at, _)| at).collect::<Vec<_>>()
        };
        let so_far = heard(self).len();
        let by = Instant::now() + Duration::from_secs(30);
        loop {
            if let Some(at) = heard(self).get(so_far) {
                return *at;
            }
            assert!(Instant::now() < by, "`{message}` never came: {:?}", self.heard());
            sleep(Duration::from_millis(2));
        }
    }

    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap()
    }
}

impl State {
    fn answer(&mut self, message: &str) -> Reply {
        self.look_at_watchdog();
        if let Some((_, fed)) = &mut self.watchdog {
            *fed = Instant::now();
        }
        match self.fault {
            Some(Fault::HangsUp { resets }) => {
                self.fault = None;
                return if resets { Reply::reset() } else { Reply::close() };
            }
            Some(Fault::Gone) => return Reply::close(),
            Some(Fault::Silent) => {
                self.obey(message);
                return Reply::none();
            }
            Some(Fault::Frozen) => return Reply::none(),
            Some(Fault::SlowToMeasure) if message == "MEAS:CURR?" => return Reply::none(),
            Some(Fault::HidesState) if message == "OUTP?" => return Reply::none(),
            Some(Fault::Babbles) if message.ends_with('?') && message != "*IDN?" => {
                return Reply::text("the wind is in the east");
            }
            _ => {}
        }
        self.obey(message).map_or_else(Reply::none, Reply::text)
    }

    /// Does as it is told; a question is answered.
    fn obey(&mut self, message: &str) -> Option<String> {
        match message {
            "OUTP ON" => self.on |= self.fault != Some(Fault::IgnoresOn),
            "OUTP OFF" => {
                self.on &= matches!(self.fault, Some(Fault::IgnoresOff | Fault::HidesState));
            }
            "*IDN?" => return Some(IDENTITY.to_owned()),
            "SYST:ERR?" => return Some("0,\"No error\"".to_owned()),
            "OUTP?" => return Some(u8::from(self.on).to_string()),
            "MEAS:VOLT?" => return Some(self.at_the_terminals(self.volts)),
            "MEAS:CURR?" => {
                let amps = match self.fault {
                    Some(Fault::Delivers(amps)) => amps,
                    _ => SOUND_A,
                };
                return Some(self.at_the_terminals(amps));
            }
            _ => {}
        }
        if let Some(name) = message.strip_suffix('?') {
            return self.set.get(name).cloned();
        }
        let (name, value) = message.split_once(' ')?;
        match name {
            "VOLT" => self.volts = value.parse().unwrap(),
            "WATCH" => {
                let time = Duration::from_secs_f64(value.parse().unwrap());
                self.watchdog = Some((time, Instant::now()));
            }
            _ => {}
        }
        self.set.insert(name.to_owned(), value.to_owned());
        None
    }

    fn at_the_terminals(&self, value: f64) -> String {
        if self.on { value } else { 0.0 }.to_string()
    }

    fn look_at_watchdog(&mut self) {
        self.on &= self.watchdog.is_none_or(|(time, fed)| fed.elapsed() < time);
    }
}

/// Sits down at a run on the bench file of a bench.
pub(crate) fn run(bench: &Bench) -> Desk {
    let run = ["run", "fed.yaml", "--bench", "bench.yaml", "--operator", "Kim Example-Tech"];
    Desk::start(bench.folder(), &Look::usual(), &[&run[..], &SET].concat())
}
