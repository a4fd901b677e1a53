//! How long a trip takes on the wire: from the moment a supply has sent a reading that is outside until it has received the
//! command that switches its output off. Over loopback, with one processor kept busy.
#![expect(clippy::unwrap_used, reason = "a benchmark fails loudly")]
#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]

use std::hint::spin_loop;
use std::io::{BufRead, BufReader, Write};
use std::net::TcpListener;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use wattstep::bench::instruments::Order;
use wattstep::bench::link::Link;
use wattstep::bench::trip::OffSwitch;
use wattstep::bench::watch::{Sampler, Sampling, run};
use wattstep::bench::{End, Go, Guard, Lost, TripHandle, Work};
use wattstep::procedure::{Point, read_bench};
use wattstep::quantity::Quantity;
use wattstep::window::Bounds;

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
    let server = thread::spawn(move || serve(&listener));
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
    for _ in 0..TRIPS {
        let sampling = Sampling { samplers: vec![&mut supply], trip: &trip, speed: 1.0 };
        let watched = run(sampling, &Work::Hold, &guards, &mut |_| Go::On);
        assert!(matches!(watched.end, End::Tripped { .. }), "{:?}", watched.end);
        assert!(trip.rearm(trip.fires()));
    }
    drop((supply, trip));
    server.join().unwrap()
}

/// Answers every question, and takes the time from each reading that is outside to the command that follows it.
fn serve(listener: &TcpListener) -> Vec<Duration> {
    let (mut stream, _) = listener.accept().unwrap();
    stream.set_nodelay(true).unwrap();
    let (mut times, mut readings, mut sent_outside) = (Vec::new(), 0, Instant::now());
    for line in BufReader::new(stream.try_clone().unwrap()).lines() {
        let now = Instant::now();
        match line.unwrap().as_str() {
            OFF => times.push(now - sent_outside),
            "MEAS:CURR?" => {
                readings += 1;
                let is_outside = readings % (INSIDE + 1) == 0;
                let reply: &[u8] = if is_outside { b"+9.00000E-01\n" } else { b"+5.00000E-02\n" };
                stream.write_all(reply).unwrap();
                sent_outside = Instant::now();
            }
            _ => stream.write_all(b"invented\n").unwrap(),
        }
    }
    assert_eq!(times.len(), TRIPS);
    times
}

fn ms(time: Duration) -> f64 {
    time.as_secs_f64() * 1000.0
}
