//! The commands that a dialect holds, with what has to be filled into each.

use crate::procedure::{At, Dialect};

/// A command of a dialect.
pub(super) struct DialectCommand<'a> {
    /// Its key in the bench file.
    pub(super) key: &'static str,
    /// The command.
    pub(super) text: &'a At<String>,
}

/// Every command that stands in a dialect.
pub(super) fn each(dialect: &Dialect) -> Vec<DialectCommand<'_>> {
    let each = [
        ("identify", &dialect.identify),
        ("clear", &dialect.clear),
        ("next_error", &dialect.next_error),
        ("select", &dialect.select),
        ("set_voltage", &dialect.set_voltage),
        ("voltage_set", &dialect.voltage_set),
        ("set_current", &dialect.set_current),
        ("current_set", &dialect.current_set),
        ("set_over_voltage", &dialect.set_over_voltage),
        ("over_voltage_set", &dialect.over_voltage_set),
        ("set_over_current", &dialect.set_over_current),
        ("over_current_set", &dialect.over_current_set),
        ("output_on", &dialect.output_on),
        ("output_off", &dialect.output_off),
        ("output_state", &dialect.output_state),
        ("measure_voltage", &dialect.measure_voltage),
        ("measure_current", &dialect.measure_current),
    ];
    let each = each
        .into_iter()
        .filter_map(|(key, text)| Some(DialectCommand { key, text: text.as_ref()? }));
    let limiting = dialect.constant_current.iter();
    let limiting = limiting.map(|load| DialectCommand { key: "constant_current", text: &load.ask });
    let measure = dialect.measure.iter().map(|(_, text)| DialectCommand { key: "measure", text });
    let watchdog = dialect.watchdog.iter().flat_map(|watchdog| {
        let texts = [
            ("arm", Some(&watchdog.arm)),
            ("feed", watchdog.feed.as_ref()),
            ("disarm", watchdog.disarm.as_ref()),
        ];
        texts.into_iter().filter_map(|(key, text)| Some(DialectCommand { key, text: text? }))
    });
    each.chain(limiting).chain(measure).chain(watchdog).collect()
}

/// Tells whether a command sets a number.
pub(super) fn sets_value(key: &str) -> bool {
    matches!(key, "set_voltage" | "set_current" | "set_over_voltage" | "set_over_current" | "arm")
}

/// Tells whether a command is for one output.
pub(super) fn is_per_output(key: &str) -> bool {
    let of_instrument = ["identify", "clear", "next_error", "measure", "arm", "feed", "disarm"];
    !of_instrument.contains(&key)
}
