//! Outputs off in a session: whether every instrument confirms it, and what is told of those that do not.

use super::session::Session;
use crate::bench::{Lost, NotOff, Off, OffNews};
use crate::diagnostic::clean_lines;
use crate::journal::Disk;
use crate::quantity::{Dimension, Quantity};
use crate::record::Event;
use crate::report::{Sheet, Tone};

impl<D: Disk> Session<'_, D> {
    /// Outputs off never keeps the rest of its batch from being carried out.
    pub(super) fn outputs_off(&mut self) {
        if !self.not_off.is_empty() {
            let names = self.not_off.keys().cloned().collect::<Vec<_>>().join(", ");
            self.front
                .show(&clean_lines(&format!("  asking {names} again whether it is off ...\n")));
        }
        let (off, unconfirmed) = match self.bench.outputs_off() {
            Ok(off) => (off, Vec::new()),
            Err(unconfirmed) => (Vec::new(), unconfirmed.0),
        };
        self.front.show(&clean_lines(&how_off(&off)));
        let still: Vec<_> =
            unconfirmed.iter().map(|not_off| not_off.lost.instrument.clone()).collect();
        for (instrument, outputs) in std::mem::take(&mut self.not_off) {
            if !still.contains(&instrument) {
                let is_measured = |output: String| off.contains(&(output, Off::Fallen));
                let by_word = !outputs.into_iter().all(is_measured);
                self.pending.push_back(Event::OffConfirmed { instrument, by_word });
            }
        }
        unconfirmed.into_iter().for_each(|not_off| self.not_off(not_off));
    }

    /// Takes up what has become of instruments that had not confirmed off.
    pub(super) fn hear_of_off(&mut self) {
        for news in self.bench.off_news() {
            match news {
                OffNews::Confirmed { instrument, by_word } => {
                    self.not_off.remove(&instrument);
                    self.pending.push_back(Event::OffConfirmed { instrument, by_word });
                }
                OffNews::Otherwise(not_off) => self.not_off(not_off),
            }
        }
    }

    fn not_off(&mut self, not_off: NotOff) {
        self.tell_not_off(&not_off);
        let NotOff { lost: Lost { instrument, why: error }, outputs, is_on, .. } = not_off;
        self.not_off.insert(instrument.clone(), outputs.clone());
        self.pending.push_back(Event::OffUnconfirmed { instrument, error, outputs, is_on });
    }

    fn tell_not_off(&mut self, not_off: &NotOff) {
        let mut sheet = Sheet::new(self.front.style());
        let (order, name) = (not_off.order(), &not_off.lost.instrument);
        if self.not_off.contains_key(name) && not_off.is_silent {
            let text = format!(
                "{name} still doesn't answer, as if its plug were out. If it is not out: {order}"
            );
            sheet.indented(Tone::Bad, "  ", &text);
        } else {
            sheet.gap();
            sheet.line(Tone::Bad, &order);
            sheet.indented(Tone::Plain, "  ", &not_off.lost.why);
            sheet.indented(Tone::Plain, "  ", "Off is sent again and again meanwhile.");
        }
        self.front.show(&sheet.finish());
    }

    /// An instrument is lost: said before anything else is tried, which may take a while.
    pub(super) fn instrument_lost(&mut self, lost: Lost) -> Event {
        let mut sheet = Sheet::new(self.front.style());
        sheet.gap();
        sheet.line(Tone::Bad, &format!("LOST: {lost}"));
        sheet.indented(
            Tone::Plain,
            "  ",
            "Outputs are told to go off; asking whether they are off ...",
        );
        self.front.show(&sheet.finish());
        Event::InstrumentLost { instrument: lost.to_string() }
    }
}

/// What is said of outputs that say they are off: confirmed is only what was measured.
fn how_off(outputs: &[(String, Off)]) -> String {
    let with = |is: fn(&Off) -> bool| -> Vec<&str> {
        outputs.iter().filter(|(_, off)| is(off)).map(|(output, _)| output.as_str()).collect()
    };
    let fallen = with(|off| *off == Off::Fallen);
    let said = with(|off| *off == Off::Said);
    let mut lines = String::new();
    if fallen.len() == outputs.len() && !outputs.is_empty() {
        lines.push_str("  Every connected output is off: confirmed.\n");
    } else if !fallen.is_empty() {
        lines.push_str(&format!("  Off, confirmed: {}.\n", fallen.join(", ")));
    }
    lines.extend(outputs.iter().filter_map(|(output, off)| falling(output, off)));
    if outputs.iter().any(|(_, off)| matches!(off, Off::Falling(_))) {
        lines.push_str(
            "  Off is not confirmed before it is gone: treat as live until proved dead.\n",
        );
    }
    for switch in said {
        lines.push_str(&format!(
            "  {switch} says it is off, and nothing measures that: its word only. Pull the equipment's plug before you touch anything.\n"
        ));
    }
    lines
}

/// What is said of an output at which the equipment's own charge falls.
fn falling(output: &str, off: &Off) -> Option<String> {
    let Off::Falling(voltage) = off else { return None };
    let voltage = Quantity::from_f64(*voltage, Dimension::VOLTAGE);
    let voltage = voltage.map_or_else(String::new, |quantity| quantity.engineering(3, None));
    Some(format!(
        "  {output} says it is off, and its voltage falls: {voltage} of the equipment's own charge.\n"
    ))
}

#[cfg(test)]
mod tests {
    use super::how_off;
    use crate::bench::Off;

    fn told(outputs: &[(&str, Off)]) -> String {
        let outputs: Vec<_> =
            outputs.iter().map(|(name, off)| ((*name).to_owned(), *off)).collect();
        how_off(&outputs)
    }

    #[test]
    fn the_word_of_a_switch_is_not_called_confirmed() {
        let confirmed = "  Every connected output is off: confirmed.\n";
        assert_eq!(told(&[("plus", Off::Fallen), ("minus", Off::Fallen)]), confirmed);
        let mixed = told(&[("plus", Off::Fallen), ("outlet", Off::Said)]);
        assert!(mixed.contains("Off, confirmed: plus."), "{mixed}");
        assert!(mixed.contains("outlet says it is off"), "{mixed}");
        assert!(mixed.contains("Pull the equipment's plug before you touch anything"), "{mixed}");
        for alone in [Off::Said, Off::Falling(4.0)] {
            let told = told(&[("outlet", alone)]);
            assert!(
                !told.contains("confirmed:") && told.contains("outlet says it is off"),
                "{told}"
            );
        }
        assert_eq!(told(&[]), "");
    }
}
