//! The procedures that come with the program, each with the equipment and the model of its rehearsal. Another one is a
//! folder under `procedures/` and a line here.

macro_rules! bundled {
    ($($name:literal,)*) => {
        /// Their names.
        pub const NAMES: &[&str] = &[$($name),*];

        const TEXTS: &[&str] = bundled!(@ "procedure.yaml", $($name,)*);
        const EQUIPMENT: &[&str] = bundled!(@ "equipment.yaml", $($name,)*);
        const MODELS: &[&str] = bundled!(@ "simulated.yaml", $($name,)*);
    };
    (@ $file:literal, $($name:literal,)*) => {
        &[$(include_str!(concat!("../../procedures/", $name, "/", $file))),*]
    };
}

bundled! {
    "amplifier-class-ab",
    "amplifier-mosfet",
    "bench-supply-linear",
    "appliance-earthed",
    "bench-supply-output",
    "regulator-board",
}

macro_rules! circuits {
    ($($name:literal,)*) => {
        /// The circuits that come with a procedure: its name, the circuit file and the netlist beside that.
        const CIRCUITS: &[(&str, [&str; 2])] = &[$(($name, [
            include_str!(concat!("../../procedures/", $name, "/circuit.yaml")),
            include_str!(concat!("../../procedures/", $name, "/circuit.cir")),
        ])),*];
    };
}

circuits! {
    "amplifier-class-ab",
    "amplifier-mosfet",
    "bench-supply-linear",
}

/// The bench file of the simulated bench.
pub const SIMULATED_BENCH: &str = include_str!("../../procedures/simulated.bench.yaml");

/// The text of a bundled procedure.
#[must_use]
pub fn text(name: &str) -> Option<&'static str> {
    of(name, TEXTS)
}

/// The text of the equipment file beside a bundled procedure: invented equipment for a rehearsal.
#[must_use]
pub fn equipment(name: &str) -> Option<&'static str> {
    of(name, EQUIPMENT)
}

/// The text of the model of that equipment.
#[must_use]
pub fn model(name: &str) -> Option<&'static str> {
    of(name, MODELS)
}

/// The circuit of that equipment: the circuit file, and its netlist.
#[must_use]
pub fn circuit(name: &str) -> Option<[&'static str; 2]> {
    CIRCUITS.iter().find(|(named, _)| *named == name).map(|(_, texts)| *texts)
}

fn of(name: &str, texts: &'static [&'static str]) -> Option<&'static str> {
    let n = NAMES.iter().position(|known| *known == name)?;
    texts.get(n).copied()
}
