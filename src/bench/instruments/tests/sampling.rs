//! Readings, and points that are watched.

use std::time::Duration;

use super::{Habit, limits, with};
use crate::bench::{Bench, Go, Guard, Live, SamplingEnd, Work};
use crate::procedure::Point;
use crate::quantity::Quantity;
use crate::window::Bounds;

fn at_most(point: &str, most: &str) -> Guard {
    let bounds = Bounds::at_most(Quantity::parse(most).unwrap());
    Guard { point: Point::parse(point), bounds, limiting_is_outside: false }
}

fn ramp(to: f64) -> Work {
    Work::Ramp { channels: vec!["plus".to_owned()], to, over: Duration::from_millis(300) }
}

fn until_arrived(live: &Live) -> Go {
    if live.arrived { Go::Enough } else { Go::On }
}

#[test]
fn a_reading_is_what_the_instrument_sent() {
    let (_fake, mut instruments) = with(&[Habit::Says("MEAS:CURR?", "9.9E37")]);
    let sent = instruments.measure(&Point::parse("dc-voltage")).unwrap();
    assert_eq!((sent.text.as_str(), sent.instrument.as_str()), ("+1.25000000E+01", "osprey"));
    assert_eq!(instruments.measure(&Point::parse("plus.current")).unwrap().text, "9.9E37");
    let lost = instruments.measure(&Point::parse("centre.voltage")).unwrap_err();
    assert_eq!(lost.to_string(), "centre.voltage: no instrument is connected for it");
}

#[test]
fn outputs_go_up_evenly_while_points_are_guarded() {
    let (fake, mut instruments) = with(&[Habit::Load(1000.0)]);
    instruments.energise(&limits(&["plus"], 10.0)).unwrap();
    let watched =
        instruments.watch(&ramp(8.0), &[at_most("plus.current", "20 mA")], &mut until_arrived);
    assert_eq!(watched.end, SamplingEnd::Asked);
    let voltages: Vec<f64> = fake
        .heard()
        .iter()
        .filter_map(|message| message.strip_prefix("INST:NSEL 1;:VOLT ")?.parse().ok())
        .collect();
    assert!(voltages.len() > 3 && voltages.is_sorted(), "{voltages:?}");
    assert!(voltages.last().is_some_and(|last| (last - 8.0).abs() < 1e-9), "{voltages:?}");
    assert!(watched.traces[0].spans[0].count > 3);
}

#[test]
fn a_sample_outside_or_one_that_is_no_number_switches_off() {
    for (habit, said) in [
        (Habit::Load(100.0), "plus.current: "),
        (Habit::Says("MEAS:CURR?", "9.91E37"), "no number"),
        (Habit::Says("MEAS:CURR?", "12,345"), "12,345"),
    ] {
        let (fake, mut instruments) = with(&[habit]);
        instruments.energise(&limits(&["plus"], 10.0)).unwrap();
        let guards = [at_most("plus.current", "20 mA")];
        let SamplingEnd::Tripped { instrument, reason } =
            instruments.watch(&ramp(8.0), &guards, &mut until_arrived).end
        else {
            panic!("{habit:?}: not tripped")
        };
        assert_eq!(instrument, "osprey");
        assert!(reason.to_string().contains(said), "{habit:?}: {reason}");
        // Off is sent without waiting: it arrives in its own time.
        let is_off = || {
            let heard = fake.heard();
            let last = |end: &dyn Fn(&String) -> bool| heard.iter().rposition(end);
            last(&|message| message.ends_with("OUTP OFF"))
                > last(&|message| message.contains(":VOLT "))
        };
        let begun = std::time::Instant::now();
        while !is_off() {
            assert!(begun.elapsed() < Duration::from_secs(5), "{habit:?}: left on");
            std::thread::sleep(Duration::from_millis(1));
        }
    }
}
