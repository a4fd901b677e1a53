//! The trip on real sockets: what arrives, from where it is fired, and what it lets come up.
#![expect(clippy::unwrap_used, reason = "a test fails loudly")]

use std::io::{BufRead, BufReader};
use std::net::TcpListener;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::thread;
use std::time::Duration;

use super::{OffSwitch, Trip, TripHandle, alone, fire_all, on_panic};
use crate::bench::instruments::Order;
use crate::bench::link::Link;
use crate::bench::{
    Bench, Go, Guard, Limits, Live, Lost, NotOff, Off, OutputsOff, SamplingEnd, Sent, Unconfirmed,
    Watched, Work,
};
use crate::procedure::{Point, read_bench};
use crate::record::Source;

/// An instrument that says who it is and writes everything else down.
struct Listening {
    heard: Receiver<String>,
    link: Link,
}

impl Listening {
    fn new() -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let port = listener.local_addr().unwrap().port();
        let (hear, heard) = channel();
        thread::spawn(move || {
            let (mut stream, _) = listener.accept().unwrap();
            let lines = BufReader::new(stream.try_clone().unwrap()).lines();
            for line in lines.map_while(Result::ok) {
                if line == "*IDN?" {
                    std::io::Write::write_all(&mut stream, b"invented,supply,1,1\n").unwrap();
                } else if hear.send(line).is_err() {
                    break;
                }
            }
        });
        let file = format!(
            "format: 1\nbench: b\ninstruments:\n  supply:\n    what: supply (invented)\n    serial: S1\n    \
             role: supply\n    connection: {{address: 'tcp://127.0.0.1:{port}'}}\n"
        );
        let file = read_bench(&file).unwrap();
        let connection = file.instruments.get("supply").unwrap().connection.as_ref().unwrap();
        Self { heard, link: Link::open(connection).unwrap() }
    }

    fn off_switch(&self, texts: &[&str]) -> OffSwitch {
        let message = |text: &&str| Order { select: None, text: (*text).to_owned() };
        OffSwitch {
            instrument: "supply".to_owned(),
            cutter: self.link.cutter(),
            messages: texts.iter().map(message).collect(),
        }
    }

    fn next(&self) -> Option<String> {
        self.heard.recv_timeout(Duration::from_secs(5)).ok()
    }

    /// Tells that nothing more has come. One who has already hung up sends nothing either.
    fn is_quiet(&self) -> bool {
        let more = self.heard.recv_timeout(Duration::from_millis(50));
        matches!(more, Err(RecvTimeoutError::Timeout | RecvTimeoutError::Disconnected))
    }
}

/// A bench that comes up when it is told, and fires its own trip while it does where that is asked for.
#[derive(Default)]
struct Obedient {
    handle: TripHandle,
    offs: u32,
    ups: u32,
    fires_while_up_comes: bool,
    fires_while_off_is_confirmed: bool,
}

impl Bench for &mut Obedient {
    fn trip(&self) -> TripHandle {
        self.handle.clone()
    }

    fn outputs_off(&mut self) -> Result<OutputsOff, Unconfirmed> {
        self.offs += 1;
        if std::mem::take(&mut self.fires_while_off_is_confirmed) {
            self.handle.fire("SIGINT");
            let lost = Lost { instrument: "supply".to_owned(), why: "was cut into".to_owned() };
            let (what, outputs) = ("a supply".to_owned(), vec!["plus".to_owned()]);
            return Err(Unconfirmed(vec![NotOff {
                lost,
                what,
                outputs,
                is_on: false,
                is_silent: false,
            }]));
        }
        Ok(vec![("plus".to_owned(), Off::Fallen)])
    }

    fn energise(&mut self, _: &Limits) -> Result<(), Lost> {
        self.ups += 1;
        if self.fires_while_up_comes {
            self.handle.fire("SIGINT");
        }
        Ok(())
    }

    fn leave_to_hands(&mut self, _: Source) {}

    fn measure(&mut self, _: &Point) -> Result<Sent, Lost> {
        Ok(Sent { text: "0".to_owned(), instrument: "supply".to_owned() })
    }

    fn watch(&mut self, _: &Work, _: &[Guard], _: &mut dyn FnMut(&Live) -> Go) -> Watched {
        Watched { traces: Vec::new(), end: SamplingEnd::Asked }
    }
}

fn limits() -> Limits {
    Limits { channels: vec!["plus".to_owned()], voltage: 24.0, current: 0.5 }
}

#[test]
fn outputs_go_off_when_it_is_armed_and_when_it_is_dropped() {
    let _alone = alone();
    let mut bench = Obedient::default();
    drop(Trip::arm(&mut bench));
    assert_eq!(bench.offs, 2);
}

#[test]
fn outputs_go_off_on_a_panic() {
    let _alone = alone();
    let instrument = Listening::new();
    let handle = TripHandle::new(vec![instrument.off_switch(&["OUTP OFF"])]);
    let mut bench = Obedient { handle: handle.clone(), ..Obedient::default() };
    let panicked = catch_unwind(AssertUnwindSafe(|| {
        let trip = Trip::arm(&mut bench).unwrap();
        assert!(!trip.handle().has_fired());
        panic!("on purpose");
    }));
    assert!(panicked.is_err());
    assert_eq!(bench.offs, 2);
    // At the start, by the hook of the process, and on the way out.
    assert_eq!([(); 3].map(|()| instrument.next()), [(); 3].map(|()| Some("OUTP OFF".to_owned())));
    assert!(instrument.is_quiet());
}

#[test]
fn a_panic_in_any_thread_fires_and_tells_why() {
    let _alone = alone();
    let instrument = Listening::new();
    let handle = TripHandle::new(vec![instrument.off_switch(&["OUTP OFF"])]);
    on_panic(&handle);
    assert!(thread::spawn(|| panic!("on purpose")).join().is_err());
    assert_eq!(handle.fired().unwrap().reason, "the program failed: on purpose");
    assert_eq!(instrument.next().unwrap(), "OUTP OFF");
}

#[test]
fn all_trips_of_the_process_are_fired_at_once_and_those_that_are_gone_are_not() {
    let _alone = alone();
    let instrument = Listening::new();
    let handles = [0, 1].map(|n| {
        let text = format!("OUTP{n} OFF");
        TripHandle::new(vec![instrument.off_switch(&[&text])])
    });
    handles.iter().for_each(on_panic);
    let [gone, stays] = handles;
    drop(gone);
    fire_all("SIGTERM");
    assert_eq!(stays.fired().unwrap().reason, "SIGTERM");
    assert_eq!(instrument.next().unwrap(), "OUTP1 OFF");
    assert!(instrument.is_quiet());
}

#[test]
fn every_message_of_every_instrument_is_sent_from_any_thread() {
    let instruments = [(); 3].map(|()| Listening::new());
    let messages = ["INST:NSEL 1;:OUTP OFF", "INST:NSEL 2;:OUTP OFF"];
    let switches = instruments.iter().map(|listening| listening.off_switch(&messages)).collect();
    let handle = TripHandle::new(switches);
    thread::spawn({
        let handle = handle.clone();
        move || handle.fire("plus.current: 900 mA is outside")
    });
    for instrument in &instruments {
        assert_eq!(messages.map(|_| instrument.next().unwrap()), messages);
    }
}

#[test]
fn a_selection_goes_before_its_message() {
    let instrument = Listening::new();
    let select = Some("INST:NSEL 2".to_owned());
    let mut switch = instrument.off_switch(&[]);
    switch.messages.push(Order { select, text: "OUTP OFF".to_owned() });
    TripHandle::new(vec![switch]).fire("on purpose");
    assert_eq!([(); 2].map(|()| instrument.next().unwrap()), ["INST:NSEL 2", "OUTP OFF"]);
}

#[test]
fn the_first_reason_stands_and_off_is_sent_each_time() {
    let instrument = Listening::new();
    let handle = TripHandle::new(vec![instrument.off_switch(&["OUTP OFF"])]);
    assert_eq!(handle.fired(), None);
    handle.fire("first");
    let first = handle.fired().unwrap();
    handle.fire("second");
    assert_eq!(handle.fired().unwrap(), first);
    assert_eq!((first.reason.as_str(), first.unsent, handle.fires()), ("first", 0, 2));
    assert!(instrument.next().is_some() && instrument.next().is_some());
}

#[test]
fn it_is_armed_again_only_if_nobody_fired_since() {
    let handle = TripHandle::default();
    handle.fire("first");
    let fires = handle.fires();
    handle.fire("meanwhile");
    assert!(!handle.rearm(fires) && handle.has_fired());
    assert!(handle.rearm(handle.fires()) && !handle.has_fired());
    handle.fire("later");
    assert_eq!(handle.fired().unwrap().reason, "later");
}

#[test]
fn a_message_that_cannot_be_sent_is_counted_and_keeps_no_other_from_it() {
    let (mut gone, instrument) = (Listening::new(), Listening::new());
    let switches = vec![gone.off_switch(&["OUTP OFF"; 2]), instrument.off_switch(&["OUTP OFF"])];
    // Hangs up when its listener next hears something.
    gone.heard = channel().1;
    let handle = TripHandle::new(switches);
    let unsent = |_: u32| {
        handle.fire("on purpose");
        thread::sleep(Duration::from_millis(20));
        handle.fired().unwrap().unsent
    };
    assert!((0..50).map(unsent).any(|unsent| unsent > 0));
    assert!(instrument.next().is_some());
}

#[test]
fn nothing_comes_up_behind_a_trip_that_was_fired() {
    let _alone = alone();
    let mut bench = Obedient::default();
    let mut trip = Trip::arm(&mut bench).unwrap();
    assert_eq!(trip.energise(&limits()), Ok(()));
    trip.handle().fire("SIGINT");
    let refused = trip.energise(&limits()).unwrap_err();
    assert_eq!(refused.to_string(), "trip: has fired: SIGINT");
    assert!(trip.outputs_off().is_ok());
    assert_eq!(trip.energise(&limits()), Ok(()));
    drop(trip);
    assert_eq!(bench.ups, 2);
}

#[test]
fn what_came_up_while_the_trip_fired_is_switched_off_again() {
    let _alone = alone();
    let instrument = Listening::new();
    let handle = TripHandle::new(vec![instrument.off_switch(&["OUTP OFF"])]);
    let mut bench = Obedient { handle, fires_while_up_comes: true, ..Obedient::default() };
    let mut trip = Trip::arm(&mut bench).unwrap();
    assert!(instrument.next().is_some() && instrument.is_quiet());
    assert!(trip.energise(&limits()).is_err());
    // The first may have gone before the output came up.
    assert!(instrument.next().is_some() && instrument.next().is_some());
}

#[test]
fn a_trip_that_cuts_into_the_confirmation_of_off_has_it_confirmed_again() {
    let _alone = alone();
    let mut bench = Obedient { fires_while_off_is_confirmed: true, ..Obedient::default() };
    let mut trip = Trip::arm(&mut bench).unwrap();
    assert_eq!(trip.energise(&limits()), Ok(()));
    drop(trip);
    assert_eq!(bench.offs, 3);
}
