//! Which transport leads to an address.

use std::time::Duration;

use super::LinkError;
use super::line::Wire;
use super::serial::Serial;
use super::tcp::Tcp;
use super::transport::Transport;
use super::usbtmc::UsbTmc;
use crate::procedure::{Address, Connection};
use crate::quantity::Quantity;

/// How long a reply may take unless the bench file says otherwise.
const TIMEOUT: Duration = Duration::from_secs(1);

/// How long a reply of this instrument may take.
pub(super) fn timeout(connection: &Connection) -> Duration {
    connection.timeout.as_ref().and_then(seconds).filter(|time| !time.is_zero()).unwrap_or(TIMEOUT)
}

/// Opens the line to an instrument.
pub(super) fn open(connection: &Connection) -> Result<Wire, LinkError> {
    let terminator = connection.terminator.bytes();
    let timeout = timeout(connection);
    let transport: std::io::Result<Box<dyn Transport>> = match &connection.address.value {
        Address::Tcp { host, port } => boxed(Tcp::open(host, *port, timeout)),
        Address::Serial { path, baud } => boxed(Serial::open(path, *baud, terminator)),
        Address::UsbTmc { path } => boxed(UsbTmc::open(path, timeout)),
        Address::Simulated { .. } => Err(std::io::Error::other("it is simulated")),
    };
    let pause = connection.pause.as_ref().and_then(seconds).unwrap_or_default();
    match transport {
        Ok(transport) => Ok(Wire::new(transport, terminator, pause)),
        Err(error) => Err(not_opened(connection, error.to_string())),
    }
}

/// Says that an instrument cannot be reached, and where.
pub(super) fn not_opened(connection: &Connection, why: String) -> LinkError {
    LinkError::NotOpened { address: connection.address.to_string(), why }
}

fn boxed(
    transport: std::io::Result<impl Transport + 'static>,
) -> std::io::Result<Box<dyn Transport>> {
    Ok(Box::new(transport?))
}

fn seconds(quantity: &Quantity) -> Option<Duration> {
    Duration::try_from_secs_f64(quantity.to_f64()).ok()
}
