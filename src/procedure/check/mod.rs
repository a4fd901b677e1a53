//! The static checks of a procedure: one file each, with its page of explanation beside it.
//!
//! A new check is a file, its page, and a line in [`CHECKS`].

use super::{Equipment, Procedure};
use crate::diagnostic::Finding;

/// What a check looks at.
#[derive(Clone, Copy, Debug)]
pub struct Subject<'a> {
    /// The procedure.
    pub procedure: &'a Procedure,
    /// The equipment it is to be run on, when that is known.
    pub equipment: Option<&'a Equipment>,
}

/// One check.
#[derive(Clone, Copy, Debug)]
pub struct Check {
    /// Its code, never used for anything else.
    pub code: &'static str,
    /// Its name, which reads after "allow".
    pub name: &'static str,
    /// Its page: what it finds, why that matters, a bad and a good example.
    pub page: &'static str,
    run: fn(&Subject<'_>) -> Vec<Finding>,
}

/// All checks, in the order of their codes.
pub const CHECKS: &[&Check] = &[];
