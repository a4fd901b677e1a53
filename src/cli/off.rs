//! Outputs off in a session: whether every instrument confirms it, and what is told of those that do not.

use super::session::Session;
use crate::bench::{Lost, NotOff, OffNews, OutputsOff};
use crate::diagnostic::clean_lines;
use crate::journal::Disk;
use crate::quantity::{Dimension, Quantity};
use crate::record::Event;
use crate::report::{Sheet, Tone};

impl<D: Disk> Session<'_, D> {
    /// Outputs off never keeps the rest of its batch from being carried out.
    pub(super) fn outputs_off(&mut self) {
        if !self.not_off.is_empty() {
            let names = self.not_off.iter().cloned().collect::<Vec<_>>().join(", ");
            self.front
                .show(&clean_lines(&format!("  asking {names} again whether it is off ...\n")));
        }
        let unconfirmed = match self.bench.outputs_off() {
            Ok(OutputsOff::Confirmed) => {
                self.front.show("  Every connected output is off: confirmed.\n");
                Vec::new()
            }
            Ok(OutputsOff::Falling(outputs)) => {
                self.front.show(&clean_lines(&falling(&outputs)));
                Vec::new()
            }
            Ok(OutputsOff::OutOfReach) => Vec::new(),
            Err(unconfirmed) => unconfirmed.0,
        };
        let still: Vec<_> = unconfirmed.iter().map(|own| own.lost.instrument.clone()).collect();
        for instrument in std::mem::take(&mut self.not_off) {
            if !still.contains(&instrument) {
                self.pending.push_back(Event::OffConfirmed { instrument });
            }
        }
        unconfirmed.into_iter().for_each(|not_off| self.not_off(not_off));
    }

    /// Takes up what has become of instruments that had not confirmed off.
    pub(super) fn hear_of_off(&mut self) {
        for news in self.bench.off_news() {
            match news {
                OffNews::Confirmed(instrument) => {
                    self.not_off.remove(&instrument);
                    self.pending.push_back(Event::OffConfirmed { instrument });
                }
                OffNews::Otherwise(not_off) => self.not_off(not_off),
            }
        }
    }

    fn not_off(&mut self, not_off: NotOff) {
        self.tell_not_off(&not_off);
        let NotOff { lost: Lost { instrument, why: error }, outputs, is_on, .. } = not_off;
        self.not_off.insert(instrument.clone());
        self.pending.push_back(Event::OffUnconfirmed { instrument, error, outputs, is_on });
    }

    fn tell_not_off(&mut self, not_off: &NotOff) {
        let mut sheet = Sheet::new(self.front.style());
        let (order, name) = (not_off.order(), &not_off.lost.instrument);
        if self.not_off.contains(name) && !not_off.is_on {
            let text = format!(
                "{name} says nothing still, as with its plug out. If it is not out: {order}"
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

/// What is said of outputs that say they are off, at which the equipment's own charge falls.
fn falling(outputs: &[(String, f64)]) -> String {
    let one = |(output, voltage): &(String, f64)| {
        let voltage = Quantity::from_f64(*voltage, Dimension::VOLTAGE);
        let voltage = voltage.map_or_else(String::new, |own| own.engineering(3, None));
        format!(
            "  {output} says it is off, and its voltage falls: {voltage} of the equipment's own charge.\n"
        )
    };
    let lines: String = outputs.iter().map(one).collect();
    format!("{lines}  Off is not confirmed before it is gone: treat as live until proved dead.\n")
}
