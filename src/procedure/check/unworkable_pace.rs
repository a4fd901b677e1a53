//! A time of a connection that no instrument can work with.

use super::Check;
use crate::diagnostic::Finding;
use crate::procedure::{BenchFile, Connection};
use crate::quantity::{Dimension, Quantity};

pub(super) const CHECK: Check =
    Check::new("BEN008", "unworkable-pace", include_str!("unworkable_pace.md")).of_bench(run);

fn run(bench: &BenchFile) -> Vec<Finding> {
    let connections =
        bench.instruments.iter().filter_map(|(_, instrument)| instrument.connection.as_ref());
    connections.flat_map(of_connection).collect()
}

/// The bounds are wide of anything an instrument needs (common practice, no source). Below them a sound instrument is lost;
/// above them a lost one is noticed too late.
fn of_connection(connection: &Connection) -> Vec<Finding> {
    let watchdog = connection.dialect.watchdog.as_ref();
    let address = connection.address.span;
    let times = [
        ("timeout", connection.timeout, 0.01, 30.0, address),
        ("pause", connection.pause, 0.0, 2.0, address),
        (
            "watchdog.time",
            watchdog.map(|w| w.time),
            0.5,
            600.0,
            watchdog.map_or(address, |w| w.arm.span),
        ),
    ];
    let times = times.into_iter().filter_map(|(key, time, least, most, span)| {
        let time: Quantity = time?;
        let fits = time.dimension == Dimension::TIME && (least..=most).contains(&time.to_f64());
        let message = format!("`{key}` of this connection is no time from {least} s to {most} s");
        (!fits)
            .then(|| CHECK.error(message).at(span).help("write it with its unit, as in `500 ms`"))
    });
    times.collect()
}
