//! The proofs in their order: for each instrument first what switches nothing on.

use std::time::{Duration, Instant};

use serde_json::{Value, json};

use super::asking::{Asking, Confirmed};
use super::proved::{BenchProof, ProofVerdict};
use crate::bench::Off;
use crate::bench::instruments::{
    DriverError, Instruments, LimitingProof, OutputFall, RoundTrip, SettingProof, TakenOver,
};
use crate::procedure::{BenchFile, Channel, Connection, Day, OverduePolicy};
use crate::quantity::{Dimension, Quantity};

/// The proofs of one bench.
pub(super) struct Survey<'a> {
    bench: &'a BenchFile,
    today: Day,
    taken: TakenOver,
    asking: &'a mut Asking,
    proved: Vec<BenchProof>,
}

/// How long charge of what is connected may take to fall at the end.
const FALL_MAX: Duration = Duration::from_secs(10);

/// Why the proofs of an instrument end early.
enum ProofsCut {
    /// It is lost; the others are still there.
    Lost,
    /// A signal: nothing goes on.
    Interrupted(String),
}

/// What a proof is about: the instrument, and its output if it is one's.
type About<'a> = (&'a str, Option<&'a str>);

/// What a proof gave: its verdict, its words, its numbers.
type ProofResult = (ProofVerdict, String, Value);

impl<'a> Survey<'a> {
    pub(super) fn new(
        bench: &'a BenchFile,
        today: Day,
        taken: TakenOver,
        asking: &'a mut Asking,
    ) -> Self {
        Self { bench, today, taken, asking, proved: Vec::new() }
    }

    /// Carries all proofs out; the second part is the signal that ended them early.
    pub(super) fn carry_out(mut self) -> (Vec<BenchProof>, Option<String>) {
        let mut interrupted = None;
        for (name, instrument) in self.bench.instruments.iter() {
            let Some(connection) = &instrument.connection else { continue };
            if let Err(ProofsCut::Interrupted(signal)) = self.instrument(name, connection) {
                interrupted = Some(signal);
                break;
            }
        }
        self.off_at_the_end();
        (self.proved, interrupted)
    }

    /// However it ended: every output is off, or there is an alarm. Charge of what is connected gets time to fall.
    fn off_at_the_end(&mut self) {
        let by = Instant::now() + FALL_MAX;
        let unconfirmed = loop {
            match self.instruments().switch_off() {
                Ok(off) if off.iter().all(|(_, off)| !matches!(off, Off::Falling(_))) => {
                    return self.only_said(off);
                }
                Ok(off) if Instant::now() >= by => return self.still_falling(off),
                Ok(_) => {}
                Err(unconfirmed) => break unconfirmed,
            }
        };
        for not_off in unconfirmed.0 {
            let given = (ProofVerdict::On, not_off.alarm(), Value::Null);
            self.add((&not_off.lost.instrument, None), "off at the end", given);
        }
    }

    /// Tells of what is off by its own word alone.
    fn only_said(&mut self, off: Vec<(String, Off)>) {
        for (output, _) in off.into_iter().filter(|(_, off)| *off == Off::Said) {
            let words = "says it is off, and nothing measures that: pull the plug before you touch anything";
            let given = (ProofVerdict::Note, words.to_owned(), Value::Null);
            self.add((&output, Some(&output)), "off at the end", given);
        }
    }

    fn still_falling(&mut self, off: Vec<(String, Off)>) {
        for (output, off) in off {
            let Off::Falling(voltage) = off else { continue };
            let supply = self.bench.supply(&output).map(|(name, _)| name.value.clone());
            let name = supply.unwrap_or_else(|| output.clone());
            let words = format!(
                "{} at its terminals, falling: charge of what is connected. KEEP AWAY until it is gone",
                shown(voltage, Dimension::VOLTAGE)
            );
            self.add(
                (&name, Some(&output)),
                "off at the end",
                (ProofVerdict::On, words, Value::Null),
            );
        }
    }

    fn instrument(&mut self, name: &str, connection: &Connection) -> Result<(), ProofsCut> {
        let about = (name, None);
        self.calibration(name);
        let failures = &self.taken.failures;
        if let Some(failure) = failures.iter().find(|failure| failure.instrument == name) {
            let (error, not_off) = (failure.error.clone(), failure.not_off.clone());
            if let Some(not_off) = not_off {
                self.add(about, "taking over", (ProofVerdict::On, not_off.alarm(), Value::Null));
                return Err(ProofsCut::Lost);
            }
            return self.take(about, "taking over", Err(error));
        }
        let identities = self.taken.instruments.identities();
        let identity =
            identities.filter(|(instrument, _)| *instrument == name).map(|(_, identity)| identity);
        let identity = identity.collect::<String>();
        let given = match connection.identity {
            Some(_) => (ProofVerdict::Good, format!("answers `{identity}`"), json!(identity)),
            None => {
                let words = format!("answers `{identity}`; the file expects no `identity`");
                (ProofVerdict::Note, words, json!(identity))
            }
        };
        self.add(about, "identity", given);
        self.found(name);
        let trip = self.instruments().round_trip(name).map(round_trip);
        self.take(about, "round trip", trip)?;
        for output in self.taken.instruments.supply_outputs(name) {
            self.output((name, Some(&output)), &output, connection)?;
        }
        Ok(())
    }

    fn output(
        &mut self,
        about: About<'_>,
        output: &str,
        connection: &Connection,
    ) -> Result<(), ProofsCut> {
        let settings = self.instruments().prove_settings(output).map(|proofs| settings(&proofs));
        self.take(about, "settings", settings)?;
        let what = format!(
            "Output {output}: take everything off its terminals. It will be switched on at 3 V for a moment."
        );
        if self.confirmed(about, "off", &format!("{output}.disconnected"), &what, "disconnected")? {
            let fall = self.instruments().prove_off(output);
            let stays = matches!(&fall, Ok(fall) if fall.after.is_none());
            let plug = self.plug(about.0);
            self.take(about, "off", fall.map(|proof| self::fall(&proof, &plug)))?;
            if stays {
                return Err(ProofsCut::Lost);
            }
        }
        self.limiting(about, output, connection)
    }

    fn limiting(
        &mut self,
        about: About<'_>,
        output: &str,
        connection: &Connection,
    ) -> Result<(), ProofsCut> {
        let channel =
            self.bench.supply(output).and_then(|(_, instrument)| instrument.channels.get(output));
        let load = channel.and_then(|channel: &Channel| channel.known_load);
        let Some(load) = load.filter(|_| connection.dialect.constant_current.is_some()) else {
            let words = "the file gives no `known_load`, or no `constant_current`".to_owned();
            self.add(about, "limiting", (ProofVerdict::LeftOut, words, Value::Null));
            return Ok(());
        };
        // Nobody is asked to put anything across live terminals.
        if let Err(error) = self.instruments().prove_dead(output) {
            return self.take(about, "limiting", Err(error));
        }
        let what = format!(
            "Output {output}: put {} across its terminals, and nothing else. It gets {} mW at most.",
            load.engineering_exact(None),
            Instruments::LOAD_POWER * 1000.0
        );
        if self.confirmed(about, "limiting", &format!("{output}.load"), &what, "connected")? {
            let proof = self.instruments().prove_limiting(output);
            let given = proof.map(|proof| match proof {
                Some(proof) => limiting(&proof),
                None => {
                    (ProofVerdict::LeftOut, "there is nothing to prove".to_owned(), Value::Null)
                }
            });
            self.take(about, "limiting", given)?;
        }
        Ok(())
    }

    /// Asks for something to be done; if it isn't, the proof is left out.
    fn confirmed(
        &mut self,
        about: About<'_>,
        proof: &'static str,
        key: &str,
        what: &str,
        word: &str,
    ) -> Result<bool, ProofsCut> {
        match self.asking.confirm(key, what, word) {
            Confirmed::Yes => Ok(true),
            Confirmed::No(why) => {
                self.add(about, proof, (ProofVerdict::LeftOut, why.to_owned(), Value::Null));
                Ok(false)
            }
            Confirmed::Interrupted(signal) => Err(ProofsCut::Interrupted(signal)),
        }
    }

    fn calibration(&mut self, name: &str) {
        let overdue = self.bench.overdue_on(self.today);
        if let Some(overdue) = overdue.iter().find(|overdue| overdue.instrument == name) {
            let warns = self.bench.overdue == OverduePolicy::Warn;
            let verdict = if warns { ProofVerdict::Note } else { ProofVerdict::Bad };
            let words = format!("ran out after {}", overdue.due);
            self.add((name, None), "calibration", (verdict, words, json!(overdue.due.to_string())));
        }
    }

    fn found(&mut self, name: &str) {
        let on: Vec<_> = self.taken.found.iter().filter(|found| found.instrument == name).collect();
        let found: Vec<_> =
            on.into_iter().map(|found_on| (found_on.output.clone(), found_on.went())).collect();
        for (output, went) in found {
            let words = format!("{went}; energy state unknown: check what it fed");
            self.add((name, Some(&output)), "state", (ProofVerdict::Note, words, Value::Null));
        }
    }

    fn instruments(&mut self) -> &mut Instruments {
        &mut self.taken.instruments
    }

    /// Keeps what a proof gave; an instrument out of contact ends its proofs.
    fn take(
        &mut self,
        about: About<'_>,
        proof: &'static str,
        given: Result<ProofResult, DriverError>,
    ) -> Result<(), ProofsCut> {
        match given {
            Ok(given) => self.add(about, proof, given),
            // What a signal cut into is no fault of the instrument.
            Err(_) if let Some(signal) = self.asking.signal() => {
                return Err(ProofsCut::Interrupted(signal));
            }
            Err(error) => {
                let verdict = ProofVerdict::of_error(&error);
                let words = match verdict {
                    ProofVerdict::On => format!("PULL THE PLUG of {}: {error}", self.plug(about.0)),
                    _ => error.to_string(),
                };
                self.add(about, proof, (verdict, words, Value::Null));
                if matches!(verdict, ProofVerdict::Lost | ProofVerdict::On) {
                    return Err(ProofsCut::Lost);
                }
            }
        }
        Ok(())
    }

    /// An instrument with what it is.
    fn plug(&self, name: &str) -> String {
        let instrument = self.bench.instruments.get(name);
        instrument
            .map_or_else(|| name.to_owned(), |instrument| format!("{name} ({})", *instrument.what))
    }

    fn add(&mut self, (instrument, output): About<'_>, proof: &'static str, given: ProofResult) {
        let (verdict, detail, values) = given;
        let (instrument, output) = (instrument.to_owned(), output.map(str::to_owned));
        self.proved.push(BenchProof { instrument, output, proof, verdict, detail, values });
    }
}

fn round_trip(trip: RoundTrip) -> ProofResult {
    let (median, slow) = (trip.median.as_secs_f64(), trip.percentile_99.as_secs_f64());
    let words = format!(
        "{} half the time, {} in 99 of 100 ({} asked)",
        shown(median, Dimension::TIME),
        shown(slow, Dimension::TIME),
        trip.asked
    );
    let values = json!({"asked": trip.asked, "median_s": median, "percentile_99_s": slow});
    (ProofVerdict::Good, words, values)
}

fn settings(proofs: &[SettingProof]) -> ProofResult {
    let misread: Vec<_> = proofs.iter().filter(|proof| !proof.fits).collect();
    let one = |result: &&SettingProof| {
        format!("{0} {2} reads back {1} {2}", result.asked, result.read, result.unit)
    };
    let words = match misread.as_slice() {
        [] => format!("all {} read back as they were set", proofs.len()),
        misread => misread.iter().map(one).collect::<Vec<_>>().join("; "),
    };
    let value = |result: &SettingProof| json!({"unit": result.unit, "set": result.asked, "read": result.read});
    let values = proofs.iter().map(value).collect();
    (ProofVerdict::of(misread.is_empty()), words, values)
}

fn fall(proof: &OutputFall, plug: &str) -> ProofResult {
    let last = shown(proof.last, Dimension::VOLTAGE);
    let words = match proof.after {
        Some(after) => {
            let after = shown(after.as_secs_f64(), Dimension::TIME);
            format!("its voltage was gone after {after}, {last} left")
        }
        None => {
            let current = shown(proof.current, Dimension::CURRENT);
            format!(
                "PULL THE PLUG of {plug}: {last} STAYED after it was switched off, with {current}"
            )
        }
    };
    let after = proof.after.as_ref().map(Duration::as_secs_f64);
    let values = json!({"on_v": proof.on, "last_v": proof.last, "after_s": after});
    (if proof.after.is_some() { ProofVerdict::Good } else { ProofVerdict::On }, words, values)
}

fn limiting(proof: &LimitingProof) -> ProofResult {
    let told = |limits| if limits { "limiting" } else { "not limiting" };
    let words = format!(
        "told as {} below the limit and {} at it; {} flowed with the limit at {}",
        told(proof.below_limit),
        told(proof.at_limit),
        shown(proof.current, Dimension::CURRENT),
        shown(proof.limit, Dimension::CURRENT),
    );
    let values = json!({
        "below_limit": proof.below_limit,
        "at_limit": proof.at_limit,
        "limit_a": proof.limit,
        "current_a": proof.current,
    });
    (ProofVerdict::of(proof.holds()), words, values)
}

fn shown(value: f64, dimension: Dimension) -> String {
    let quantity = Quantity::from_f64(value, dimension);
    quantity.map_or_else(|| "beyond reckoning".to_owned(), |quantity| quantity.engineering(3, None))
}
