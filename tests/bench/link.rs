//! Questions a second over a socket, through a link and through a bare socket, to the same answering thread.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a benchmark fails loudly")]
#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::thread;
use std::time::{Duration, Instant};

use wattstep::test_points::bench::Link;
use wattstep::test_points::procedure::read_bench;

/// Long enough for a steady figure, short enough that the machine is the same for both.
const SLICE: Duration = Duration::from_millis(200);
const ROUNDS: usize = 15;

/// Answers who it is, and every other message with the same reading.
fn answer(listener: &TcpListener) {
    while let Ok((mut stream, _)) = listener.accept() {
        stream.set_nodelay(true).unwrap();
        let mut bytes = [0; 256];
        while stream.read(&mut bytes).is_ok_and(|count| count > 0) {
            let reply: &[u8] = if bytes[0] == b'*' { b"invented\n" } else { b"+1.20345678E+01\n" };
            stream.write_all(reply).unwrap();
        }
    }
}

/// A client that does no more than write and read.
fn bare(address: SocketAddr) -> impl FnMut() {
    let mut stream = TcpStream::connect(address).unwrap();
    stream.set_nodelay(true).unwrap();
    let mut bytes = [0; 256];
    move || {
        stream.write_all(b"MEAS:VOLT:DC?\n").unwrap();
        let count = stream.read(&mut bytes).unwrap();
        assert_eq!(bytes[count - 1], b'\n');
    }
}

fn link(address: SocketAddr) -> impl FnMut() {
    let text = format!(
        "format: 1\nbench: invented\ninstruments:\n  one:\n    what: invented\n    serial: \"1\"\n    connection:\n      address: tcp://{address}\n"
    );
    let file = read_bench(&text).unwrap();
    let connection = file.instruments.get("one").unwrap().connection.clone().unwrap();
    let mut link = Link::open(&connection).unwrap();
    move || assert!(link.ask("MEAS:VOLT:DC?").is_ok())
}

fn a_second(mut ask: impl FnMut()) -> f64 {
    let began = Instant::now();
    let mut count = 0_u32;
    while began.elapsed() < SLICE {
        ask();
        count += 1;
    }
    f64::from(count) / began.elapsed().as_secs_f64()
}

fn main() {
    let listen = |_| {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = listener.local_addr().unwrap();
        thread::spawn(move || answer(&listener));
        address
    };
    let [one, two] = [0, 1].map(listen);
    let (mut bare, mut link) = (bare(one), link(two));
    let mut figures: Vec<_> =
        (0..ROUNDS).map(|_| (a_second(&mut bare), a_second(&mut link))).collect();
    figures.sort_by(|one, two| (one.1 / one.0).total_cmp(&(two.1 / two.0)));
    let (bare, link) = figures[ROUNDS / 2];
    println!("bare {bare:.0}/s, link {link:.0}/s, ratio {:.3}", link / bare);
}
