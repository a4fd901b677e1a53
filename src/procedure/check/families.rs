//! Families of words that more than one check goes by, each word the beginning of those it stands for.

/// What cuts off or keeps away what would hurt.
pub(super) const PROTECTIONS: &str =
    "breaker cut-out cutout fuse gfci guard interlock protection rcbo rcd thermal";
/// What joins two points that should be apart.
pub(super) const SHORTS: &str = "foil jumper link nail strap wire";
/// Tools of bare metal.
pub(super) const METAL_TOOLS: &str =
    "blade hammer knife pliers screwdriver spanner tweezers wrench";
/// What makes such a tool another one.
pub(super) const INSULATED: &str = "ceramic fibreglass insulat nylon plastic";
/// More of the same.
pub(super) const BIGGER: &str = "bigger heavier higher larger stronger";
/// Roles of nobody, or of the person who is at the bench anyway; whole words, without their blanks.
pub(super) const NOBODY: &str = "any anybody anyone me myself n/a na nobody none noone oneself operator same self whoever yourself";
