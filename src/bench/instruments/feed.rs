//! What an instrument feeds the equipment through: an output of a supply, or a way of a mains switch.

use super::device::Device;
use super::error::DriverError;
use super::mains_switch::MainsSwitch;
use super::supply::SupplyOutput;
use super::switch::Switch;
use crate::bench::{Limits, Off};
use crate::procedure::{Instrument, Role};
use crate::record::TripCause;

/// One way to the equipment.
#[derive(Clone, Debug)]
pub(super) enum Feed {
    Supply(Box<SupplyOutput>),
    Mains(MainsSwitch),
}

impl Feed {
    /// The ways of an instrument. A mains switch without named ways is one, under the instrument's own name.
    pub(super) fn all_of(name: &str, instrument: &Instrument) -> Vec<Self> {
        let connection = instrument.connection.as_ref();
        let measures =
            connection.is_some_and(|connection| connection.dialect.measure_voltage.is_some());
        let channels = instrument.channels.iter().map(|(name, channel)| {
            let switch = Switch::new(&name.value, channel.number.value);
            match instrument.role {
                Role::MainsSwitch => Self::Mains(MainsSwitch { switch, measures }),
                _ => Self::Supply(Box::new(SupplyOutput::new(switch, channel.clone()))),
            }
        });
        let mut feeds: Vec<_> = channels.collect();
        if feeds.is_empty() && instrument.role == Role::MainsSwitch {
            let switch = Switch::new(name, 1);
            feeds.push(Self::Mains(MainsSwitch { switch, measures }));
        }
        feeds
    }

    pub(super) fn switch(&self) -> &Switch {
        match self {
            Self::Supply(supply) => &supply.switch,
            Self::Mains(mains) => &mains.switch,
        }
    }

    /// Asks which voltage is set (V); none where it tells none.
    pub(super) fn voltage_set(&self, device: &mut Device) -> Option<f64> {
        match self {
            Self::Supply(supply) => supply.voltage_set(device).ok(),
            Self::Mains(_) => None,
        }
    }

    /// What is above the ceiling it was brought up with.
    pub(super) fn excess(&self, device: &mut Device) -> Result<Option<TripCause>, DriverError> {
        match self {
            Self::Supply(supply) => supply.excess(device),
            Self::Mains(_) => Ok(None),
        }
    }

    pub(super) fn confirm_off(&self, device: &mut Device) -> Result<Off, DriverError> {
        match self {
            Self::Supply(supply) => supply.confirm_off(device),
            Self::Mains(mains) => mains.confirm_off(device),
        }
    }

    /// Makes it ready to be switched on: off, and with its limits in place.
    pub(super) fn prepare(
        &mut self,
        device: &mut Device,
        limits: &Limits,
    ) -> Result<(), DriverError> {
        self.switch().send_off(device)?;
        self.confirm_off(device)?;
        match self {
            Self::Supply(supply) => supply.prepare(device, limits.voltage, limits.current),
            Self::Mains(_) => Ok(()),
        }
    }
}
