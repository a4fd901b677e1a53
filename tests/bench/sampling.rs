//! Samples a second: watched over a link, by a bare socket that only asks and reads, and by a general-purpose client in
//! Python where one is installed; all to the same answering thread.
//!
//! They run in turns in one go, so that what else the machine does falls on all of them; and all on one processor, as waking
//! another takes longer than the question itself, and where threads land is the system's choice. The whole program, as a run on a
//! terminal, is held against the same client too: on one processor, and before that wherever the system puts it.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a benchmark fails loudly")]
#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]

mod answering;
#[path = "../it/support/mod.rs"]
#[expect(dead_code, reason = "the tests use all of it")]
mod support;
mod whole;

use std::io::{BufRead, BufReader, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::process::Command;
use std::thread;
use std::time::{Duration, Instant};

use rustix::thread::{CpuSet, sched_getaffinity, sched_setaffinity};
use wattstep::test_points::bench::{
    BenchClock, Go, Guard, Link, Lost, Sampler, Sampling, SamplingEnd, TripHandle, Work, run,
};
use wattstep::test_points::procedure::{Point, read_bench};
use wattstep::test_points::quantity::Quantity;
use wattstep::test_points::window::Bounds;

/// Many and short, in turns: how fast the machine is drifts by more than what is looked for.
const ROUNDS: usize = 61;
const ROUND: Duration = Duration::from_millis(100);

/// Rounds of the client in Python, which take it longer to start than to ask.
const PYTHON_ROUNDS: usize = 7;

const QUESTION: &str = "MEAS:CURR?";

/// Asks as often as it can in the time of a round, and prints how often that was in a second.
const PYTHON: &str = "
import sys, time, pyvisa
line = pyvisa.ResourceManager('@py').open_resource(
    'TCPIP::127.0.0.1::' + sys.argv[1] + '::SOCKET', read_termination='\\n', write_termination='\\n')
begun, count = time.perf_counter(), 0
while time.perf_counter() - begun < float(sys.argv[2]):
    float(line.query('MEAS:CURR?'))
    count += 1
print(count / (time.perf_counter() - begun))
";

/// A meter at the end of a line.
struct Meter(Link);

impl Meter {
    fn lost(why: impl ToString) -> Lost {
        Lost { instrument: "meter".to_owned(), why: why.to_string() }
    }
}

impl Sampler for Meter {
    fn name(&self) -> &str {
        "meter"
    }

    fn reads(&self, _: &Point) -> bool {
        true
    }

    fn feeds(&self, _: &str) -> bool {
        false
    }

    fn sample(&mut self, _: &Point) -> Result<String, Lost> {
        self.0.ask(QUESTION).map_err(Self::lost)
    }

    fn voltage_set(&mut self, _: &str) -> Result<f64, Lost> {
        Err(Self::lost("it has no output"))
    }

    fn set_voltage(&mut self, _: &str, _: f64) -> Result<(), Lost> {
        Err(Self::lost("it has no output"))
    }

    fn is_limiting(&mut self, _: &str) -> Result<bool, Lost> {
        Err(Self::lost("it has no output"))
    }
}

/// Rounds of the whole program, which take some seconds each.
const WHOLE_ROUNDS: usize = 5;

fn main() {
    whole_program(whole::serve(), "anywhere");
    stay_on_one_processor();
    // Threads stay where the one was that they were started from, so this is another supply.
    whole_program(whole::serve(), "one processor");
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = listener.local_addr().unwrap();
    thread::spawn(move || serve(&listener));
    let (mut by_watch, mut by_bare, mut by_python) = (Vec::new(), Vec::new(), Vec::new());
    for round in 0..ROUNDS {
        by_watch.push(watched(address));
        by_bare.push(bare(address));
        if round < PYTHON_ROUNDS {
            by_python.extend(python(address));
        }
    }
    let ratio =
        median(by_watch.iter().zip(&by_bare).map(|(watched, bare)| watched / bare).collect());
    let (watched, bare) = (median(by_watch), median(by_bare));
    println!("samples a second, medians of {ROUNDS} rounds");
    println!("watched        {watched:8.0}");
    println!(
        "bare socket    {bare:8.0}, median ratio of the rounds {ratio:.3} (aim: 0.95 or more)"
    );
    if by_python.is_empty() {
        println!("general client: not here (pip install pyvisa pyvisa-py)");
    } else {
        let python = median(by_python);
        println!("general client {python:8.0}, ratio {:.2} (aim: 2 or more)", watched / python);
    }
}

/// The whole program against the client in Python, in turns.
fn whole_program(supply: SocketAddr, place: &str) {
    let (mut by_program, mut by_python) = (Vec::new(), Vec::new());
    for _ in 0..WHOLE_ROUNDS {
        by_program.push(whole::watched(supply));
        by_python.extend(python(supply));
    }
    let watched = median(by_program);
    print!("whole program, {place}  {watched:8.0}");
    if by_python.is_empty() {
        println!(", general client: not here (pip install pyvisa pyvisa-py)");
    } else {
        let ratio = watched / median(by_python);
        println!(", ratio to the general client {ratio:.2} (aim: 2.5 or more)");
    }
}

/// Holds this process, with its threads and children, on the first processor it may use.
fn stay_on_one_processor() {
    let may = sched_getaffinity(None).unwrap();
    let first = (0..CpuSet::MAX_CPU).find(|processor| may.is_set(*processor)).unwrap();
    let mut one = CpuSet::new();
    one.set(first);
    sched_setaffinity(None, &one).unwrap();
}

/// Answers one client after the other.
fn serve(listener: &TcpListener) {
    while let Ok((stream, _)) = listener.accept() {
        answering::answer(stream, |message, replies| {
            let reply = if message == QUESTION { "+5.00000E-02\n" } else { "invented,meter,1,1\n" };
            replies.push_str(reply);
        });
    }
}

fn watched(address: SocketAddr) -> f64 {
    let file = format!(
        "format: 1\nbench: invented\ninstruments:\n  meter:\n    what: invented\n    serial: M1\n    connection: {{address: 'tcp://{address}'}}\n"
    );
    let file = read_bench(&file).unwrap();
    let connection = file.instruments.get("meter").unwrap().connection.as_ref().unwrap();
    let mut meter = Meter(Link::open(connection).unwrap());
    let bounds = Bounds::at_most(Quantity::parse("500 mA").unwrap());
    let guards = [Guard { point: Point::parse("dc-current"), bounds, limiting_is_outside: false }];
    let trip = TripHandle::default();
    let sampling =
        Sampling { samplers: vec![&mut meter], trip: &trip, clock: &BenchClock::default() };
    let watched = run(sampling, &Work::Hold, &guards, &mut |live| {
        if live.elapsed >= ROUND { Go::Enough } else { Go::On }
    });
    assert_eq!(watched.end, SamplingEnd::Asked);
    let whole = watched.traces.first().unwrap().whole().unwrap();
    whole.count as f64 * 1000.0 / whole.until_ms as f64
}

/// A client that only asks and reads up to the end of the line.
fn bare(address: SocketAddr) -> f64 {
    let mut stream = TcpStream::connect(address).unwrap();
    stream.set_nodelay(true).unwrap();
    let mut replies = BufReader::new(stream.try_clone().unwrap());
    let (begun, mut count, mut reply) = (Instant::now(), 0_u32, String::new());
    let question = format!("{QUESTION}\n");
    while begun.elapsed() < ROUND {
        stream.write_all(question.as_bytes()).unwrap();
        reply.clear();
        replies.read_line(&mut reply).unwrap();
        count += 1;
    }
    f64::from(count) / begun.elapsed().as_secs_f64()
}

fn python(address: SocketAddr) -> Option<f64> {
    let (port, seconds) = (address.port().to_string(), ROUND.as_secs_f64().to_string());
    let output = Command::new("python3").args(["-c", PYTHON, &port, &seconds]).output().ok()?;
    String::from_utf8(output.stdout).ok()?.trim().parse().ok()
}

fn median(mut all: Vec<f64>) -> f64 {
    all.sort_by(f64::total_cmp);
    *all.get(all.len() / 2).unwrap()
}
