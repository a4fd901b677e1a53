//! Watching over real sockets: what goes over the wire when a reading is outside, when an instrument is lost, and when the
//! trip is fired while a reply is due.

use std::io::{BufRead, BufReader, Write};
use std::net::{TcpListener, TcpStream};
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::{Duration, Instant};

use wattstep::test_points::bench::{
    BenchClock, Go, Guard, Link, Lost, OffSwitch, Order, Sampler, Sampling, SamplingEnd,
    TripHandle, Watched, Work, run,
};
use wattstep::test_points::procedure::{Point, read_bench};
use wattstep::test_points::quantity::Quantity;
use wattstep::test_points::window::Bounds;

const OFF: &str = "OUTP OFF";

/// How long a line waits for a reply here.
const TIMEOUT_S: f64 = 0.5;

/// What an instrument does at its reading of this number, counted from 0; before it, it answers 50 mA.
#[derive(Clone, Copy)]
enum Habit {
    Sends(usize, &'static str),
    FallsSilent(usize),
    HangsUp(usize),
    Steady,
}

/// An instrument at the end of a line, with what it heard besides questions.
struct Instrument {
    name: &'static str,
    link: Link,
    heard: Receiver<(String, Instant)>,
}

impl Instrument {
    fn new(name: &'static str, habit: Habit) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let port = listener.local_addr().unwrap().port();
        let (hear, heard) = channel();
        thread::spawn(move || {
            let (stream, _) = listener.accept().unwrap();
            let lines = BufReader::new(stream.try_clone().unwrap()).lines();
            let mut readings = 0;
            for line in lines.map_while(Result::ok) {
                let goes_on = match line.as_str() {
                    "*IDN?" => send(&stream, "invented,supply,1,1"),
                    "MEAS:CURR?" => {
                        readings += 1;
                        reading(&stream, habit, readings - 1)
                    }
                    _ => hear.send((line, Instant::now())).is_ok(),
                };
                if !goes_on {
                    break;
                }
            }
        });
        let file = format!(
            "format: 1\nbench: invented\ninstruments:\n  one:\n    what: invented\n    serial: S1\n    \
             connection: {{address: 'tcp://127.0.0.1:{port}', timeout: {TIMEOUT_S} s}}\n"
        );
        let file = read_bench(&file).unwrap();
        let connection = file.instruments.get("one").unwrap().connection.as_ref().unwrap();
        Self { name, link: Link::open(connection).unwrap(), heard }
    }

    fn off_switch(&self) -> OffSwitch {
        let messages = vec![Order { select: None, text: OFF.to_owned() }];
        OffSwitch { instrument: self.name.to_owned(), cutter: self.link.cutter(), messages }
    }

    /// When it was told to switch its output off.
    fn off_at(&self) -> Instant {
        let (line, at) = self.heard.recv_timeout(Duration::from_secs(10)).unwrap();
        assert_eq!(line, OFF);
        at
    }
}

fn send(mut stream: &TcpStream, line: &str) -> bool {
    stream.write_all(format!("{line}\n").as_bytes()).is_ok()
}

fn reading(stream: &TcpStream, habit: Habit, number: usize) -> bool {
    match habit {
        Habit::Sends(at, reply) if number == at => send(stream, reply),
        Habit::FallsSilent(at) if number >= at => true,
        Habit::HangsUp(at) if number >= at => stream.shutdown(std::net::Shutdown::Both).is_err(),
        _ => send(stream, "+5.000000E-02"),
    }
}

impl Sampler for Instrument {
    fn name(&self) -> &str {
        self.name
    }

    fn reads(&self, point: &Point) -> bool {
        point.to_string().starts_with(self.name)
    }

    fn feeds(&self, _: &str) -> bool {
        false
    }

    fn sample(&mut self, _: &Point) -> Result<String, Lost> {
        let lost = |why: String| Lost { instrument: self.name.to_owned(), why };
        self.link.ask("MEAS:CURR?").map_err(|error| lost(error.to_string()))
    }

    fn voltage_set(&mut self, _: &str) -> Result<f64, Lost> {
        unreachable!("nothing is ramped")
    }

    fn set_voltage(&mut self, _: &str, _: f64) -> Result<(), Lost> {
        unreachable!("nothing is ramped")
    }

    fn is_limiting(&mut self, _: &str) -> Result<bool, Lost> {
        unreachable!("nobody asks for it")
    }
}

fn guard(point: &str) -> Guard {
    let bounds = Bounds::at_most(Quantity::parse("60 mA").unwrap());
    Guard { point: Point::parse(point), bounds, limiting_is_outside: false }
}

fn trip(instruments: &[Instrument]) -> TripHandle {
    TripHandle::new(instruments.iter().map(Instrument::off_switch).collect())
}

/// Watches one current of each instrument until an end comes by itself.
fn watch(instruments: &mut [Instrument], trip: &TripHandle) -> Watched {
    let points = instruments.iter().map(|instrument| format!("{}.current", instrument.name));
    let guards: Vec<_> = points.map(|point| guard(&point)).collect();
    let samplers =
        instruments.iter_mut().map(|instrument| instrument as &mut dyn Sampler).collect();
    let begun = Instant::now();
    run(
        Sampling { samplers, trip, clock: &BenchClock::default() },
        &Work::Hold,
        &guards,
        &mut |_| {
            assert!(begun.elapsed() < Duration::from_secs(20), "it never ends");
            Go::On
        },
    )
}

#[test]
fn a_reading_outside_sends_off_to_every_instrument() {
    for reply in ["+6.010000E-02", "+9.91E37", "+9.9E37", "12,345", "", "no idea"] {
        let left = Instrument::new("left", Habit::Sends(50, reply));
        let mut instruments = [left, Instrument::new("right", Habit::Steady)];
        let trip = trip(&instruments);
        let watched = watch(&mut instruments, &trip);
        let SamplingEnd::Tripped { instrument, reason } = watched.end else {
            panic!("{:?}", watched.end)
        };
        assert_eq!(instrument, "left");
        assert!(reason.to_string().starts_with("left.current: "), "{reason}");
        // A number that tripped is kept with those before it.
        let is_number = reply == "+6.010000E-02";
        assert_eq!(watched.traces[0].count(), 50 + u64::from(is_number), "{reply}");
        assert_eq!(watched.traces[0].max(), Some(if is_number { 0.0601 } else { 0.05 }));
        for instrument in &instruments {
            instrument.off_at();
        }
    }
}

#[test]
fn an_instrument_that_hangs_up_or_falls_silent_sends_off_to_the_others() {
    for habit in [Habit::HangsUp(20), Habit::FallsSilent(20)] {
        let mut instruments =
            [Instrument::new("left", habit), Instrument::new("right", Habit::Steady)];
        let trip = trip(&instruments);
        let watched = watch(&mut instruments, &trip);
        let SamplingEnd::Lost(lost) = watched.end else { panic!("{:?}", watched.end) };
        assert_eq!(lost.instrument, "left");
        instruments[1].off_at();
        assert_eq!(trip.fired().unwrap().reason, lost.to_string());
    }
}

#[test]
fn off_goes_over_a_line_that_waits_for_a_reply() {
    let mut instruments = [Instrument::new("left", Habit::FallsSilent(0))];
    let trip = trip(&instruments);
    let from_elsewhere = trip.clone();
    let fired_at = thread::spawn(move || {
        thread::sleep(Duration::from_secs_f64(TIMEOUT_S / 5.0));
        let now = Instant::now();
        from_elsewhere.fire("SIGTERM");
        now
    });
    let watched = watch(&mut instruments, &trip);
    let ended_at = Instant::now();
    let (fired_at, off_at) = (fired_at.join().unwrap(), instruments[0].off_at());
    // Off arrives while the watch still waits for the reply that never comes.
    assert!(
        off_at - fired_at < Duration::from_secs_f64(TIMEOUT_S / 2.0),
        "{:?}",
        off_at - fired_at
    );
    assert!(off_at < ended_at);
    assert_eq!(watched.end, SamplingEnd::Fired { reason: "SIGTERM".to_owned() });
}
