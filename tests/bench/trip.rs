//! How long a trip takes on the wire: from the moment a supply has sent a reading that is outside until it has received the
//! command that switches its output off. Over loopback, with one processor kept busy.
#![expect(clippy::unwrap_used, reason = "a benchmark fails loudly")]
#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]

use std::hint::spin_loop;
use std::io::{BufRead, BufReader, Write};
use std::net::{TcpListener, TcpStream};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Sender, channel};
use std::thread;
use std::time::{Duration, Instant};

use wattstep::test_points::bench::{
    BenchClock, Go, Guard, Link, Lost, OffSwitch, Order, Sampler, Sampling, SamplingEnd,
    TripHandle, Work, run,
};
use wattstep::test_points::procedure::{Point, read_bench};
use wattstep::test_points::quantity::Quantity;
use wattstep::test_points::window::Bounds;

const TRIPS: usize = 5_000;

/// Readings inside before the one that is outside.
const INSIDE: usize = 5;

const OFF: &str = "OUTP OFF";

/// A supply at the end of a line.
struct Supply(Link);

impl Supply {
    fn lost(why: impl ToString) -> Lost {
        Lost { instrument: "supply".to_owned(), why: why.to_string() }
    }
}

impl Sampler for Supply {
    fn name(&self) -> &str {
        "supply"
    }

    fn reads(&self, _: &Point) -> bool {
        true
    }

    fn feeds(&self, _: &str) -> bool {
        false
    }

    fn sample(&mut self, _: &Point) -> Result<String, Lost> {
        self.0.ask("MEAS:CURR?").map_err(Self::lost)
    }

    fn voltage_set(&mut self, _: &str) -> Result<f64, Lost> {
        Err(Self::lost("it is only sampled"))
    }

    fn set_voltage(&mut self, _: &str, _: f64) -> Result<(), Lost> {
        Err(Self::lost("it is only sampled"))
    }

    fn is_limiting(&mut self, _: &str) -> Result<bool, Lost> {
        Err(Self::lost("it is only sampled"))
    }
}

fn main() {
    let busy = AtomicBool::new(true);
    let mut times = thread::scope(|scope| {
        scope.spawn(|| {
            while busy.load(Ordering::Relaxed) {
                spin_loop();
            }
        });
        let times = trips();
        busy.store(false, Ordering::Relaxed);
        times
    });
    times.sort();
    let at = |part: f64| ms(*times.get((times.len() as f64 * part) as usize).unwrap());
    println!(
        "from a reading that is outside to off on the wire, {TRIPS} trips, one processor busy"
    );
    println!("median       {:.3} ms (aim: less than 1 ms)", at(0.5));
    println!("99.9 %       {:.3} ms (aim: less than 5 ms)", at(0.999));
    println!("longest      {:.3} ms", ms(*times.last().unwrap()));
}

/// Watches until the trip, again and again on the same line.
fn trips() -> Vec<Duration> {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = listener.local_addr().unwrap();
    let (took, times) = channel();
    // After a trip the line may be made again.
    thread::spawn(move || {
        while let Ok((stream, _)) = listener.accept() {
            let took = took.clone();
            thread::spawn(move || serve(&stream, &took));
        }
    });
    let file = format!(
        "format: 1\nbench: invented\ninstruments:\n  supply:\n    what: invented\n    serial: S1\n    connection: {{address: 'tcp://{address}'}}\n"
    );
    let file = read_bench(&file).unwrap();
    let connection = file.instruments.get("supply").unwrap().connection.as_ref().unwrap();
    let mut supply = Supply(Link::open(connection).unwrap());
    let messages = vec![Order { select: None, text: OFF.to_owned() }];
    let cutter = supply.0.cutter();
    let trip =
        TripHandle::new(vec![OffSwitch { instrument: "supply".to_owned(), cutter, messages }]);
    let bounds = Bounds::at_most(Quantity::parse("500 mA").unwrap());
    let guards =
        [Guard { point: Point::parse("plus.current"), bounds, limiting_is_outside: false }];
    let one = |_| {
        let sampling =
            Sampling { samplers: vec![&mut supply], trip: &trip, clock: &BenchClock::default() };
        let watched = run(sampling, &Work::Hold, &guards, &mut |_| Go::On);
        assert!(matches!(watched.end, SamplingEnd::Tripped { .. }), "{:?}", watched.end);
        assert!(trip.rearm(trip.fires()));
        times.recv_timeout(Duration::from_secs(5)).unwrap()
    };
    (0..TRIPS).map(one).collect()
}

/// Answers every question, and takes the time from each reading that is outside to the command that follows it.
fn serve(mut stream: &TcpStream, took: &Sender<Duration>) {
    stream.set_nodelay(true).unwrap();
    let (mut readings, mut sent_outside) = (0, Instant::now());
    for line in BufReader::new(stream.try_clone().unwrap()).lines().map_while(Result::ok) {
        let now = Instant::now();
        let reply: &[u8] = match line.as_str() {
            OFF => {
                took.send(now - sent_outside).unwrap();
                continue;
            }
            "MEAS:CURR?" => {
                readings += 1;
                let is_outside = readings % (INSIDE + 1) == 0;
                if is_outside { b"+9.00000E-01\n" } else { b"+5.00000E-02\n" }
            }
            _ => b"invented\n",
        };
        // Before it is written: the other end may have answered by the time the write comes back.
        sent_outside = Instant::now();
        if stream.write_all(reply).is_err() {
            // The line was given up meanwhile.
            return;
        }
    }
}

fn ms(time: Duration) -> f64 {
    time.as_secs_f64() * 1000.0
}
