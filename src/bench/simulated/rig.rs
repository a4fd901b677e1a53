//! Everything that stands on the simulated bench, the equipment and a person's hands included.

use std::collections::BTreeMap;
use std::time::Duration;

use super::board::CircuitBoard;
use super::hands::{Hands, MainsTurn, Stand};
use super::instruments::SimulatedInstruments;
use super::log::Log;
use super::meter::NOT_A_NUMBER;
use super::model::{LoadNow, Model, Values, longest};
use super::scpi::{ScpiCommand, ScpiResult, Status, commands, number};
use crate::bench::BenchClock;
use crate::diagnostic::Finding;
use crate::procedure::{Expression, Procedure};
use crate::quantity::{Dimension, Quantity};
use crate::record::{Key, Matter, Source};

/// The length of the steps in which time passes (s), and how many at most are taken at once.
const STEP_S: f64 = 0.05;
const STEPS_MAX: u32 = 400;

/// Which instrument is spoken to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Addressee {
    Supply,
    Meter,
    Tester,
    Limiter,
}

impl Addressee {
    pub(super) const ALL: [Self; 4] = [Self::Supply, Self::Meter, Self::Tester, Self::Limiter];

    /// Its name in an address: `simulated://NAME`.
    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Supply => "supply",
            Self::Meter => "meter",
            Self::Tester => "tester",
            Self::Limiter => "limiter",
        }
    }
}

/// The bench with the equipment on it.
#[derive(Debug)]
pub(super) struct Rig {
    model: Model,
    /// The circuit that answers before the model does, if there is one.
    board: Option<CircuitBoard>,
    instruments: SimulatedInstruments,
    hands: Hands,
    clock: BenchClock,
    log: Log,
    /// Up to when time has passed for the equipment (s).
    at_s: f64,
}

/// The names by which formulas see the bench's own state.
pub(super) fn state_names<'a>(
    outputs: impl Iterator<Item = &'a str>,
    controls: impl Iterator<Item = &'a str>,
) -> Vec<String> {
    let outputs = outputs.flat_map(|name| [format!("{name}.voltage"), format!("{name}.current")]);
    let controls = controls.flat_map(|name| [name.to_owned(), format!("{name}.since")]);
    let mains = ["mains.on", "mains.lamp", "mains.since"].map(str::to_owned);
    outputs.chain(controls).chain(mains).collect()
}

/// The equipment as it stands on the bench.
pub(super) struct EquipmentOnBench {
    pub(super) model: Model,
    pub(super) board: Option<CircuitBoard>,
}

impl Rig {
    /// Sets the bench up and tries every formula of its model once.
    ///
    /// # Errors
    /// A formula without a value.
    pub(super) fn new(
        EquipmentOnBench { model, board }: EquipmentOnBench,
        instruments: SimulatedInstruments,
        procedure: &Procedure,
        clock: BenchClock,
        log: Log,
    ) -> Result<Self, Finding> {
        let mut controls = BTreeMap::new();
        for (name, control) in model.controls() {
            let value = model.at(&Values::new()).evaluate(&control.at)?;
            controls.insert(name.to_owned(), Stand { value, moved_s: 0.0 });
        }
        let hands = Hands::new(procedure, controls);
        let rig = Self { model, board, instruments, hands, clock, log, at_s: 0.0 };
        rig.model.try_out(&rig.states())?;
        Ok(rig)
    }

    /// The bench's state as formulas see it.
    fn states(&self) -> Values {
        let mut states = Values::new();
        let mut put = |name: String, value: f64, dimension| {
            // A state is finite; one that were not would only be missing.
            states.extend(Quantity::from_f64(value, dimension).map(|value| (name, value)));
        };
        for output in &self.instruments.supply.outputs {
            put(format!("{}.voltage", output.name), output.reservoir_v(), Dimension::VOLTAGE);
            put(format!("{}.current", output.name), output.amps(), Dimension::CURRENT);
        }
        let limiter = &self.instruments.limiter;
        let as_number = |is: bool| f64::from(u8::from(is));
        put("mains.on".to_owned(), as_number(limiter.is_on()), Dimension::NONE);
        put("mains.lamp".to_owned(), as_number(limiter.has_lamp()), Dimension::NONE);
        put("mains.since".to_owned(), limiter.since_s(self.at_s), Dimension::TIME);
        for (name, stand) in &self.hands.controls {
            put(format!("{name}.since"), self.at_s - stand.moved_s, Dimension::TIME);
        }
        let stands = self.hands.controls.iter().map(|(name, stand)| (name.clone(), stand.value));
        states.extend(stands);
        states
    }

    /// Lets the time pass that has passed on the bench's clock.
    fn catch_up(&mut self) {
        let gap = self.clock.now().as_secs_f64() - self.at_s;
        let wanted = (gap / STEP_S).ceil().clamp(1.0, f64::from(STEPS_MAX));
        let step = gap / wanted;
        let mut left = wanted;
        while left > 0.5 {
            self.step(step);
            left -= 1.0;
        }
    }

    fn step(&mut self, seconds: f64) {
        self.at_s += seconds;
        if let Some(board) = &mut self.board {
            board.stand(&self.instruments);
        }
        let is_mains_on = self.instruments.limiter.is_on();
        let loads = self.loads();
        for (output, load) in self.instruments.supply.outputs.iter_mut().zip(&loads) {
            output.pass(seconds, load, is_mains_on);
        }
    }

    /// What each output feeds now.
    fn loads(&self) -> Vec<LoadNow> {
        let states = self.states();
        let now = self.model.at(&states);
        let load = |name: &str| {
            let load = self.model.load(name).and_then(|load| now.load(load).ok());
            let load = load.unwrap_or(LoadNow::OPEN);
            self.board.as_ref().map_or(load, |board| board.load(name, load))
        };
        self.instruments.supply.outputs.iter().map(|output| load(&output.name)).collect()
    }

    /// Carries out a message, and gives the reply if there is one.
    pub(super) fn message(&mut self, who: Addressee, message: &str) -> Option<String> {
        self.log.line(self.clock.now().as_secs_f64(), who.name(), message);
        let mut replies = Vec::new();
        for command in commands(message) {
            self.catch_up();
            match self.execute(who, &command) {
                Ok(reply) => replies.extend(reply),
                Err(refusal) => self.status(who).refuse(refusal),
            }
        }
        // What was set acts from now on, also when nothing is asked for a long time.
        self.step(0.0);
        (!replies.is_empty()).then(|| replies.join(";"))
    }

    fn execute(&mut self, who: Addressee, command: &ScpiCommand) -> ScpiResult {
        if let Some(outcome) = self.status(who).obey(command) {
            return outcome;
        }
        // A circuit without an operating point shows no number, whatever is asked of it.
        let is_lost = self.board.as_ref().is_some_and(CircuitBoard::is_lost);
        if is_lost && command.header.starts_with("MEAS") && command.header.ends_with('?') {
            return Ok(Some(number(NOT_A_NUMBER)));
        }
        let probed = command.header.starts_with("MEAS").then(|| self.probed()).flatten();
        let instruments = &mut self.instruments;
        match who {
            Addressee::Supply => instruments.supply.execute(command),
            Addressee::Meter => instruments.meter.execute(command, probed),
            Addressee::Tester => instruments.tester.execute(command, probed),
            Addressee::Limiter => instruments.limiter.execute(command, probed, self.at_s),
        }
    }

    fn status(&mut self, who: Addressee) -> &mut Status {
        match who {
            Addressee::Supply => &mut self.instruments.supply.status,
            Addressee::Meter => &mut self.instruments.meter.status,
            Addressee::Tester => &mut self.instruments.tester.status,
            Addressee::Limiter => &mut self.instruments.limiter.meter.status,
        }
    }

    /// The value under the probes.
    fn probed(&self) -> Option<Quantity> {
        self.value(self.hands.at()?)
    }

    /// The value at a question now.
    fn value(&self, key: &Key) -> Option<Quantity> {
        if let Some(read) = self.board.as_ref().and_then(|board| board.reading(key)) {
            return read;
        }
        let point = self.model.point(key, self.hands.is_again(key))?;
        self.model.at(&self.states()).evaluate(point).ok()
    }

    /// The value at a question, after the time that has passed.
    pub(super) fn shows(&mut self, key: &Key) -> Option<Quantity> {
        self.catch_up();
        self.value(key)
    }

    /// What a meter shows at a named point of the circuit, after the time that has passed.
    pub(super) fn at(&mut self, point: &str) -> Result<Option<Quantity>, String> {
        self.catch_up();
        let board = self.board.as_ref().ok_or("there is no circuit on this bench")?;
        board.at(point)
    }

    /// Why the circuit could not answer, if it ever could not.
    pub(super) fn trouble(&self) -> Option<&str> {
        self.board.as_ref()?.trouble()
    }

    pub(super) fn look(&self, key: &Key) -> Option<&str> {
        self.model.look(key)
    }

    /// Goes to a question: the probes are put where it says, and the hands do what it asks.
    pub(super) fn probe(&mut self, key: &Key) {
        // Two people who talk about a step have their hands off it.
        if key.is_about(Matter::Verifier) || key.is_about(Matter::Agree) {
            return;
        }
        self.catch_up();
        match self.hands.go_to(key) {
            Some(MainsTurn::Off) => {
                self.instruments.supply.all_off();
                self.instruments.limiter.switch(false, self.at_s);
            }
            Some(MainsTurn::On(Source::None | Source::BenchSupply)) | None => {}
            Some(MainsTurn::On(source)) => {
                self.instruments.limiter.plug(source);
                self.instruments.limiter.switch(true, self.at_s);
            }
        }
        if let Some(board) = &mut self.board {
            board.go_to(key, &self.instruments);
        }
        let states = self.states();
        let now = self.model.at(&states);
        for (name, control) in self.model.controls() {
            let set: Option<&Expression> = longest(key, |key| control.set.get(key));
            if let Some(value) = set.and_then(|set| now.evaluate(set).ok()) {
                self.hands.put(name, value, self.at_s);
            }
        }
        self.step(0.0);
    }

    /// Lets bench time pass at once.
    pub(super) fn pass(&mut self, time: Duration) {
        self.catch_up();
        self.clock.forward(time);
        self.catch_up();
    }
}
