//! Numbers by chance.

use std::hash::{BuildHasher as _, Hasher as _};

/// A number that nobody can foresee.
pub(super) fn random() -> u64 {
    std::collections::hash_map::RandomState::new().build_hasher().finish()
}
