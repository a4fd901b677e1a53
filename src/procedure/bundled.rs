//! The procedures that come with the program. Another one is a folder under `procedures/` and a line here.

macro_rules! bundled {
    ($($name:literal,)*) => {
        /// Their names.
        pub const NAMES: &[&str] = &[$($name),*];

        const TEXTS: &[&str] = &[$(include_str!(concat!("../../procedures/", $name, "/procedure.yaml"))),*];
    };
}

bundled! {
    "amplifier-class-ab",
    "bench-supply-linear",
    "appliance-earthed",
    "bench-supply-output",
}

/// The text of a bundled procedure.
#[must_use]
pub fn text(name: &str) -> Option<&'static str> {
    let n = NAMES.iter().position(|known| *known == name)?;
    TEXTS.get(n).copied()
}
