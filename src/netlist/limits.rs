//! How large a netlist may be. Far above any amplifier on a bench, far below what could hurt the bench computer.

/// The largest text (bytes).
pub(super) const BYTES_MAX: usize = 1 << 20;

/// The longest line, its continuations counted (bytes).
pub(super) const LINE_MAX: usize = 4_000;

/// The longest name (bytes).
pub(super) const NAME_MAX: usize = 48;

/// The most elements, once every subcircuit is put in its places.
pub(super) const ELEMENTS_MAX: usize = 5_000;
