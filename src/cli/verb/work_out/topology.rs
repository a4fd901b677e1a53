//! How a winding feeds a reservoir, as it is chosen on the command line.

use crate::physics::rectifier;

/// How a winding feeds a reservoir.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, clap::ValueEnum)]
pub(super) enum TopologyChoice {
    /// One winding, one bridge, one rail
    #[default]
    Single,
    /// A centre-tapped winding, one bridge, a rail each side
    Split,
    /// A centre-tapped winding, two diodes, one rail
    CentreTap,
    /// One winding, one diode, one rail
    HalfWave,
}

impl TopologyChoice {
    /// The same as physics knows it.
    pub(super) fn rectifier(self) -> rectifier::Topology {
        match self {
            Self::Single => rectifier::Topology::Bridge,
            Self::Split => rectifier::Topology::SplitRails,
            Self::CentreTap => rectifier::Topology::CentreTap,
            Self::HalfWave => rectifier::Topology::HalfWave,
        }
    }
}
