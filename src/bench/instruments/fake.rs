//! A supply with two outputs and a meter's functions, on a loopback socket, with the bad habits a test asks for. Invented.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]

use std::io::{BufRead, BufReader, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::Instant;

/// What it does otherwise than it should.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Habit {
    /// It answers this to a question that begins with that.
    Says(&'static str, &'static str),
    /// It doesn't answer a question that begins with this.
    Silent(&'static str),
    /// It ignores every message that ends with this.
    Ignores(&'static str),
    /// It drops the first message that ends with this.
    DropsFirst(&'static str),
    /// It reports an error after the message that ends with this.
    ErrsAfter(&'static str),
    /// It stays on when it is told to go off, and says from then on that it is off.
    FeignsOff,
    /// Its output is on already.
    BeginsOn,
    /// After off this voltage and current stay.
    Leaves(f64, f64),
    /// After off this voltage is left, and falls by a tenth each second.
    Falls(f64),
    /// While it is on it delivers this voltage, whatever it is set to.
    Above(f64),
    /// A resistor is connected to its outputs.
    Load(f64),
}

#[derive(Clone, Copy, Debug, Default)]
struct FakeChannel {
    voltage: f64,
    current: f64,
    over_voltage: f64,
    over_current: f64,
    is_on: bool,
    was_on: bool,
    /// It says that it is off whatever it is.
    feigns_off: bool,
    /// When it went off.
    off_at: Option<Instant>,
}

struct FakeState {
    habits: Vec<Habit>,
    channels: [FakeChannel; 2],
    selected: usize,
    dropped: bool,
    erred: bool,
    pressed: Arc<Mutex<Option<bool>>>,
    turned: Arc<Mutex<Option<(f64, f64)>>>,
}

/// The instrument; its thread ends with the connection.
pub(crate) struct FakeInstrument {
    pub(crate) address: SocketAddr,
    heard: Arc<Mutex<Vec<String>>>,
    /// What was pressed at its front panel and has not been looked at.
    pressed: Arc<Mutex<Option<bool>>>,
    /// The voltage and the limit that its knobs were turned to, in the same way.
    turned: Arc<Mutex<Option<(f64, f64)>>>,
}

impl FakeInstrument {
    pub(crate) fn start(habits: &[Habit]) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = listener.local_addr().unwrap();
        let heard = Arc::new(Mutex::new(Vec::new()));
        let is_on = habits.contains(&Habit::BeginsOn);
        let channel = FakeChannel {
            is_on,
            was_on: is_on,
            voltage: 12.0,
            current: 1.0,
            ..FakeChannel::default()
        };
        let mut state = FakeState {
            habits: habits.to_vec(),
            channels: [channel; 2],
            selected: 0,
            dropped: false,
            erred: false,
            pressed: Arc::default(),
            turned: Arc::default(),
        };
        let pressed = Arc::clone(&state.pressed);
        let turned = Arc::clone(&state.turned);
        let list = Arc::clone(&heard);
        thread::spawn(move || {
            while let Ok((stream, _)) = listener.accept() {
                state.serve(stream, &list);
            }
        });
        Self { address, heard, pressed, turned }
    }

    /// Turns the knobs of its first output to a voltage (V) and a limit (A).
    pub(crate) fn turn(&self, voltage: f64, current: f64) {
        *self.turned.lock().unwrap() = Some((voltage, current));
    }

    /// Switches its first output at its front panel.
    pub(crate) fn press(&self, on: bool) {
        *self.pressed.lock().unwrap() = Some(on);
    }

    /// The messages that came, in order.
    pub(crate) fn heard(&self) -> Vec<String> {
        self.heard.lock().unwrap().clone()
    }

    /// Waits until a message has come: what is sent without waiting for an answer may still be on its way.
    pub(crate) fn hears(&self, message: &str) -> bool {
        (0..200).any(|_| {
            thread::sleep(std::time::Duration::from_millis(5));
            self.heard().iter().any(|line| line == message)
        })
    }
}

impl FakeState {
    fn serve(&mut self, stream: TcpStream, heard: &Mutex<Vec<String>>) {
        let mut writer = stream.try_clone().unwrap();
        for line in BufReader::new(stream).lines() {
            let Ok(line) = line else { return };
            heard.lock().unwrap().push(line.clone());
            if let Some(reply) = self.answer(&line)
                && writer.write_all(format!("{reply}\n").as_bytes()).is_err()
            {
                return;
            }
        }
    }

    fn answer(&mut self, line: &str) -> Option<String> {
        if let Some(on) = self.pressed.lock().unwrap().take() {
            self.channels[0].is_on = on;
        }
        if let Some((voltage, current)) = self.turned.lock().unwrap().take() {
            (self.channels[0].voltage, self.channels[0].current) = (voltage, current);
        }
        for habit in self.habits.clone() {
            match habit {
                Habit::Ignores(end) if line.ends_with(end) => return None,
                Habit::DropsFirst(end) if line.ends_with(end) && !self.dropped => {
                    self.dropped = true;
                    return None;
                }
                Habit::ErrsAfter(end) if line.ends_with(end) => self.erred = true,
                _ => {}
            }
        }
        let replies: Vec<_> = line.split(';').filter_map(|part| self.part(part)).collect();
        replies.last().cloned()
    }

    fn part(&mut self, part: &str) -> Option<String> {
        let part = part.trim_start_matches(':');
        let (word, value) = part.split_once(' ').unwrap_or((part, ""));
        for habit in &self.habits {
            match habit {
                Habit::Says(begin, reply) if part.starts_with(begin) => {
                    return Some((*reply).to_owned());
                }
                Habit::Silent(begin) if part.starts_with(begin) => return None,
                _ => {}
            }
        }
        let number = value.parse::<f64>().unwrap_or_default();
        if word == "INST:NSEL" {
            self.selected = number as usize - 1;
            return None;
        }
        let (voltage, current) = self.at_terminals();
        let feigns = self.habits.contains(&Habit::FeignsOff);
        let channel = &mut self.channels[self.selected];
        match word {
            "VOLT" => channel.voltage = number,
            "CURR" => channel.current = number,
            "VOLT:PROT" => channel.over_voltage = number,
            "CURR:PROT" => channel.over_current = number,
            "OUTP" if feigns => {
                channel.is_on |= value == "ON";
                channel.feigns_off = value != "ON";
            }
            "OUTP" => {
                if channel.is_on && value != "ON" {
                    channel.off_at = Some(Instant::now());
                }
                channel.is_on = value == "ON";
                channel.was_on |= channel.is_on;
            }
            "*IDN?" => return Some("Tallow & Pike,Osprey (invented),QS-B-01,1.0".to_owned()),
            "SYST:ERR?" if std::mem::take(&mut self.erred) => {
                return Some("-222,\"Data out of range\"".to_owned());
            }
            "SYST:ERR?" => return Some("0,\"No error\"".to_owned()),
            "OUTP?" => return Some(u8::from(channel.is_on && !channel.feigns_off).to_string()),
            "VOLT?" => return Some(channel.voltage.to_string()),
            "CURR?" => return Some(channel.current.to_string()),
            "VOLT:PROT?" => return Some(channel.over_voltage.to_string()),
            "CURR:PROT?" => return Some(channel.over_current.to_string()),
            "MEAS:VOLT?" => return Some(format!("{voltage:+.4E}")),
            "MEAS:CURR?" => return Some(format!("{current:+.4E}")),
            "MEAS:VOLT:DC?" => return Some("+1.25000000E+01".to_owned()),
            // Bit 3 is set while it does not limit.
            "STAT?" => return Some(if current < channel.current { "9" } else { "1" }.to_owned()),
            _ => {}
        }
        None
    }

    fn at_terminals(&self) -> (f64, f64) {
        let channel = self.channels[self.selected];
        let leaves = self.habits.iter().find_map(|habit| match habit {
            Habit::Leaves(voltage, current) if channel.was_on => Some((*voltage, *current)),
            Habit::Falls(voltage) => {
                let seconds = channel.off_at?.elapsed().as_secs_f64();
                Some((voltage * 0.9_f64.powf(seconds), 0.0))
            }
            _ => None,
        });
        let load = self.habits.iter().find_map(|habit| match habit {
            Habit::Load(ohms) => Some(*ohms),
            _ => None,
        });
        let above = self.habits.iter().find_map(|habit| match habit {
            Habit::Above(voltage) if channel.is_on => Some((*voltage, 0.0)),
            _ => None,
        });
        if let Some(above) = above {
            return above;
        }
        match (channel.is_on, load) {
            (false, _) => leaves.unwrap_or((0.0, 0.0)),
            (true, None) => (channel.voltage, 0.0),
            (true, Some(ohms)) => {
                let current = (channel.voltage / ohms).min(channel.current);
                (current * ohms, current)
            }
        }
    }
}
