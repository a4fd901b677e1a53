//! From a dialect to messages: the standard commands where the bench file names none, with numbers and channels filled in.

use super::order::Order;
use crate::procedure::{At, ConstantCurrent, Dialect, OutputValue, fill_value};

/// What can be set at an output.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum OutputSetting {
    Voltage,
    Current,
    OverVoltage,
    OverCurrent,
}

impl OutputSetting {
    /// What it is a setting of.
    pub(super) fn output(self) -> OutputValue {
        match self {
            Self::Voltage | Self::OverVoltage => OutputValue::Voltage,
            Self::Current | Self::OverCurrent => OutputValue::Current,
        }
    }

    /// The unit it is set in.
    pub(super) fn unit(self) -> &'static str {
        match self {
            Self::Voltage | Self::OverVoltage => "V",
            Self::Current | Self::OverCurrent => "A",
        }
    }
}

/// The commands of one instrument.
#[derive(Clone, Debug)]
pub(super) struct Commands(Dialect);

impl Commands {
    pub(super) fn new(dialect: &Dialect) -> Self {
        Self(dialect.clone())
    }

    pub(super) fn identify(&self) -> Order {
        text(&self.0.identify, "*IDN?").into()
    }

    pub(super) fn clear(&self) -> Order {
        text(&self.0.clear, "*CLS").into()
    }

    /// Asks for the oldest error; `None` where the instrument has no such question.
    pub(super) fn next_error(&self) -> Option<Order> {
        let question = text(&self.0.next_error, "SYST:ERR?");
        (!question.is_empty()).then(|| question.into())
    }

    pub(super) fn set(&self, setting: OutputSetting, number: u32, value: f64) -> Order {
        let command = match setting {
            OutputSetting::Voltage => text(&self.0.set_voltage, "VOLT {value}"),
            OutputSetting::Current => text(&self.0.set_current, "CURR {value}"),
            OutputSetting::OverVoltage => text(&self.0.set_over_voltage, "VOLT:PROT {value}"),
            OutputSetting::OverCurrent => text(&self.0.set_over_current, "CURR:PROT {value}"),
        };
        self.to_channel(&with_value(&command, value), number)
    }

    pub(super) fn what_is_set(&self, setting: OutputSetting, number: u32) -> Order {
        let question = match setting {
            OutputSetting::Voltage => text(&self.0.voltage_set, "VOLT?"),
            OutputSetting::Current => text(&self.0.current_set, "CURR?"),
            OutputSetting::OverVoltage => text(&self.0.over_voltage_set, "VOLT:PROT?"),
            OutputSetting::OverCurrent => text(&self.0.over_current_set, "CURR:PROT?"),
        };
        self.to_channel(&question, number)
    }

    pub(super) fn switch(&self, on: bool, number: u32) -> Order {
        let command = if on {
            text(&self.0.output_on, "OUTP ON")
        } else {
            text(&self.0.output_off, "OUTP OFF")
        };
        self.to_channel(&command, number)
    }

    pub(super) fn state(&self, number: u32) -> Order {
        self.to_channel(&text(&self.0.output_state, "OUTP?"), number)
    }

    pub(super) fn measure(&self, what: OutputValue, number: u32) -> Order {
        let question = match what {
            OutputValue::Voltage => text(&self.0.measure_voltage, "MEAS:VOLT?"),
            OutputValue::Current => text(&self.0.measure_current, "MEAS:CURR?"),
        };
        self.to_channel(&question, number)
    }

    /// The question of a meter's function, if there is one.
    pub(super) fn function(&self, function: &str) -> Option<Order> {
        self.0.question(function).map(|question| question.to_owned().into())
    }

    /// Asks whether the output limits the current, and how to read the answer.
    pub(super) fn limiting(&self, number: u32) -> Option<(Order, &ConstantCurrent)> {
        let load = self.0.constant_current.as_ref()?;
        Some((self.to_channel(&load.ask, number), load))
    }

    /// The words that mean on, or off.
    pub(super) fn words(&self, on: bool) -> Vec<String> {
        let (written, standard) =
            if on { (&self.0.on_words, ["1", "ON"]) } else { (&self.0.off_words, ["0", "OFF"]) };
        match written {
            Some(words) => words.iter().map(|word| word.value.clone()).collect(),
            None => standard.map(str::to_owned).to_vec(),
        }
    }

    /// Puts a command to one channel: in one line, so that nothing can come between the selection and the command.
    fn to_channel(&self, command: &str, number: u32) -> Order {
        let filled = |text: &str| text.replace("{number}", &number.to_string());
        let command = filled(command);
        let Some(select) = self.0.select.as_ref().map(|select| filled(select)) else {
            return command.into();
        };
        if self.0.select_apart.as_ref().is_some_and(|apart| apart.value) {
            return Order { select: Some(select), text: command };
        }
        // A command goes on from the branch of the one before it, unless it begins at the root (SCPI-1999, volume 1).
        let root = if command.starts_with([':', '*']) { "" } else { ":" };
        format!("{select};{root}{command}").into()
    }
}

/// A command with its number. One whose place for it is none is sent as it stands, which the checks refuse before.
pub(super) fn with_value(command: &str, value: f64) -> String {
    fill_value(command, value, &plain(value)).unwrap_or_else(|| command.to_owned())
}

fn text(written: &Option<At<String>>, standard: &str) -> String {
    written.as_ref().map_or_else(|| standard.to_owned(), |text| text.value.clone())
}

/// A number as instruments take it: digits and a point, without exponent, to the nanovolt.
pub(super) fn plain(value: f64) -> String {
    let digits = format!("{value:.9}");
    let trimmed = digits.trim_end_matches('0').trim_end_matches('.');
    if trimmed == "-0" { "0".to_owned() } else { trimmed.to_owned() }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::*;

    fn lines(order: Order) -> Vec<String> {
        order.select.into_iter().chain([order.text]).collect()
    }

    fn commands(dialect: &str) -> Commands {
        Commands(crate::procedure::read_yaml::<Dialect>(dialect).unwrap())
    }

    #[test]
    fn numbers_are_plain_digits_with_a_point() {
        for (value, text) in [
            (0.0, "0"),
            (-0.0, "0"),
            (30.0, "30"),
            (100.0, "100"),
            (0.1 + 0.2, "0.3"),
            (12.3456, "12.3456"),
            (0.000_001, "0.000001"),
            (1.0e9, "1000000000"),
        ] {
            assert_eq!(plain(value), text);
        }
    }

    #[test]
    fn the_standard_commands_need_no_dialect() {
        let commands = commands("{}");
        assert_eq!(lines(commands.set(OutputSetting::Voltage, 1, 12.5)), ["VOLT 12.5"]);
        assert_eq!(lines(commands.what_is_set(OutputSetting::OverCurrent, 1)), ["CURR:PROT?"]);
        assert_eq!(lines(commands.switch(false, 1)), ["OUTP OFF"]);
        assert_eq!(commands.next_error().unwrap().text, "SYST:ERR?");
        assert_eq!(commands.function("ac-voltage").unwrap().text, "MEAS:VOLT:AC?");
        assert_eq!(commands.function("loudness"), None);
        assert!(commands.limiting(1).is_none());
    }

    #[test]
    fn a_channel_is_selected_in_the_same_line_or_in_one_before() {
        let in_one_line = commands("{select: 'INST:NSEL {number}', output_state: ':OUTP:STAT?'}");
        assert_eq!(lines(in_one_line.switch(true, 2)), ["INST:NSEL 2;:OUTP ON"]);
        assert_eq!(lines(in_one_line.state(2)), ["INST:NSEL 2;:OUTP:STAT?"]);
        let in_two_lines = commands("{select: 'INST:NSEL {number}', select_apart: true}");
        assert_eq!(
            lines(in_two_lines.set(OutputSetting::Current, 2, 0.05)),
            ["INST:NSEL 2", "CURR 0.05"]
        );
        let commands = commands("{set_voltage: 'VSET{number}:{value}', next_error: ''}");
        assert_eq!(lines(commands.set(OutputSetting::Voltage, 3, 5.0)), ["VSET3:5"]);
        assert_eq!(commands.next_error(), None);
    }
}
