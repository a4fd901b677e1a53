//! Where an instrument is reached.

use std::fmt;
use std::str::FromStr;

use serde::Deserialize;

/// Where an instrument is reached.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Address {
    /// A raw socket: `tcp://host:port`.
    Tcp {
        /// The host's name or number.
        host: String,
        /// The port.
        port: u16,
    },
    /// A serial line: `serial:///dev/ttyUSB0?baud=9600`.
    Serial {
        /// The device's path.
        path: String,
        /// Bits a second.
        baud: u32,
    },
    /// A USB test and measurement device: `usbtmc:///dev/usbtmc0`.
    UsbTmc {
        /// The device's path.
        path: String,
    },
    /// An instrument of the simulated bench, by its name there: `simulated://supply`.
    Simulated {
        /// Its name.
        name: String,
    },
}

/// What is wrong with an address.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{text}` is not an address: write tcp://HOST:PORT, serial:///dev/NAME?baud=9600 or usbtmc:///dev/usbtmc0"
)]
pub struct AddressError {
    /// What was written.
    text: String,
}

impl FromStr for Address {
    type Err = AddressError;

    fn from_str(text: &str) -> Result<Self, AddressError> {
        parse(text).ok_or_else(|| AddressError { text: text.to_owned() })
    }
}

fn parse(text: &str) -> Option<Address> {
    let (scheme, rest) = text.split_once("://")?;
    let path = |path: &str| path.starts_with("/dev/").then(|| path.to_owned());
    match scheme {
        "tcp" => {
            let (host, port) = rest.rsplit_once(':')?;
            let host = host.trim_start_matches('[').trim_end_matches(']');
            let port = port.parse().ok().filter(|port| *port > 0)?;
            (!host.is_empty()).then(|| Address::Tcp { host: host.to_owned(), port })
        }
        "serial" => {
            let (device, options) = rest.split_once('?').unwrap_or((rest, "baud=9600"));
            let baud = options.strip_prefix("baud=")?.parse().ok().filter(|baud| *baud > 0)?;
            Some(Address::Serial { path: path(device)?, baud })
        }
        "usbtmc" => Some(Address::UsbTmc { path: path(rest)? }),
        "simulated" => (!rest.is_empty()).then(|| Address::Simulated { name: rest.to_owned() }),
        _ => None,
    }
}

impl fmt::Display for Address {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Tcp { host, port } if host.contains(':') => write!(f, "tcp://[{host}]:{port}"),
            Self::Tcp { host, port } => write!(f, "tcp://{host}:{port}"),
            Self::Serial { path, baud } => write!(f, "serial://{path}?baud={baud}"),
            Self::UsbTmc { path } => write!(f, "usbtmc://{path}"),
            Self::Simulated { name } => write!(f, "simulated://{name}"),
        }
    }
}

impl<'de> Deserialize<'de> for Address {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
impl schemars::JsonSchema for Address {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Address".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "type": "string",
            "pattern": "^(tcp://.+:[0-9]+|serial:///dev/.+|usbtmc:///dev/.+|simulated://.+)$"
        })
    }
}
