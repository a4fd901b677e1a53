//! The whole program as it samples: a run on a terminal, with a supply at the end of a socket, watched for some seconds.

use std::net::{SocketAddr, TcpListener};
use std::thread;
use std::time::Duration;

use crate::answering::answer;
use crate::support::desk::Desk;
use crate::support::fed;
use crate::support::terminal::Look;

/// How long the current is watched.
const WATCHED: Duration = Duration::from_secs(3);

/// A supply that does as it is told and answers at once.
#[derive(Default)]
struct Supply {
    is_on: bool,
    volts: String,
    limit: String,
}

impl Supply {
    fn obey(&mut self, message: &str) {
        match message.split_once(' ') {
            Some(("OUTP", value)) => self.is_on = value == "ON",
            Some(("VOLT", value)) => self.volts = value.to_owned(),
            Some(("CURR", value)) => self.limit = value.to_owned(),
            _ => {}
        }
    }

    fn answer(&self, question: &str) -> &str {
        match question {
            "MEAS:CURR?" if self.is_on => "+5.00000E-02",
            "MEAS:VOLT?" if self.is_on => &self.volts,
            "MEAS:CURR?" | "MEAS:VOLT?" => "0",
            "OUTP?" => ["0", "1"][usize::from(self.is_on)],
            "VOLT?" => &self.volts,
            "CURR?" => &self.limit,
            "SYST:ERR?" => "0,\"No error\"",
            _ => "invented,supply,1,1",
        }
    }
}

/// Starts the supply, for the program and for any other client.
pub(crate) fn serve() -> SocketAddr {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = listener.local_addr().unwrap();
    thread::spawn(move || {
        while let Ok((stream, _)) = listener.accept() {
            let mut supply = Supply::default();
            thread::spawn(move || {
                answer(stream, |message, replies| {
                    if message.ends_with('?') {
                        replies.push_str(supply.answer(message));
                        replies.push('\n');
                    } else {
                        supply.obey(message);
                    }
                });
            });
        }
    });
    address
}

/// Samples a second of a run, as its record has them.
pub(crate) fn watched(address: SocketAddr) -> f64 {
    let time = format!("every: 1 s, time: {} s", WATCHED.as_secs());
    let bench = fed::bench(&[("over: 4 min", "over: 1 s"), ("every: 1 min, time: 20 min", &time)]);
    let file = format!(
        "format: 1\nbench: invented\ninstruments:\n  supply:\n    what: an invented supply\n    serial: \"1\"\n    \
         role: supply\n    channels: {{plus: {{number: 1, voltage_max: 30 V, current_max: 1 A}}}}\n    \
         connection: {{address: 'tcp://{address}'}}\n"
    );
    bench.write("bench.yaml", file);
    let run = ["run", "fed.yaml", "--bench", "bench.yaml", "--operator", "Kim Example-Tech"];
    let mut desk = Desk::start(bench.folder(), &Look::usual(), &run);
    desk.until("Current into the lantern");
    desk.types("");
    let trace = loop {
        let record = bench.record();
        let watch = |event: &&serde_json::Value| event["key"] == "feed-watch";
        if let Some(sampled) = record.events("sampled").into_iter().find(watch) {
            break sampled["traces"][0].clone();
        }
        thread::sleep(Duration::from_millis(100));
    };
    let spans = trace["spans"].as_array().unwrap();
    let count: f64 = spans.iter().map(|span| span["count"].as_f64().unwrap()).sum();
    count * 1000.0 / spans.last().unwrap()["until_ms"].as_f64().unwrap()
}
