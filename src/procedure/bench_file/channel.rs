//! An output of a supply.

use serde::Deserialize;

use crate::procedure::At;
use crate::quantity::Quantity;

/// An output of a supply.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Channel {
    /// Its number on the supply.
    pub number: At<u32>,
    /// The highest voltage it may be asked for.
    pub voltage_max: Quantity,
    /// The highest current it may be asked for.
    pub current_max: Quantity,
    /// The step in which its voltage can be set: what is read back may differ from what was set by as much (default: by
    /// 0.05 % of `voltage_max`).
    pub voltage_step: Option<Quantity>,
    /// The step in which its current limit can be set (default: as 0.05 % of `current_max`).
    pub current_step: Option<Quantity>,
    /// A resistor that may be put across it to prove its constant-current indication.
    pub known_load: Option<Quantity>,
    /// Where its own protections are put, above the stage's ceiling.
    #[serde(default)]
    pub protection: Protection,
}

/// Where a supply's own protections are put, as parts of the stage's ceiling.
#[derive(Clone, Copy, Debug, Default, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Protection {
    /// Overvoltage protection, such as `110 %` of the ceiling's voltage.
    pub over_voltage: Option<Quantity>,
    /// Overcurrent protection, such as `120 %` of the ceiling's current.
    pub over_current: Option<Quantity>,
}
