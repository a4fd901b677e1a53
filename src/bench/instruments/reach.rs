//! Where the instruments of a simulated bench are.

use std::collections::BTreeMap;
use std::net::SocketAddr;

use super::error::DriverError;
use crate::procedure::{Address, Connection};

/// Where the instruments of a simulated bench are, by their names there. In a real run it is empty.
#[derive(Clone, Debug, Default)]
pub struct SimulatedAddresses(BTreeMap<String, SocketAddr>);

impl FromIterator<(String, SocketAddr)> for SimulatedAddresses {
    fn from_iter<I: IntoIterator<Item = (String, SocketAddr)>>(named: I) -> Self {
        Self(named.into_iter().collect())
    }
}

impl SimulatedAddresses {
    /// Whether there is no simulated bench: what answers is taken for real.
    pub(super) fn is_real(&self) -> bool {
        self.0.is_empty()
    }

    /// Puts the socket of a simulated instrument in the place of its name.
    pub(super) fn resolved(&self, connection: &Connection) -> Result<Connection, DriverError> {
        let mut resolved = connection.clone();
        if let Address::Simulated { name } = &connection.address.value {
            let found = self.0.get(name);
            let socket = found.ok_or_else(|| DriverError::NotHere {
                address: connection.address.value.to_string(),
            })?;
            resolved.address.value =
                Address::Tcp { host: socket.ip().to_string(), port: socket.port() };
        }
        Ok(resolved)
    }
}
