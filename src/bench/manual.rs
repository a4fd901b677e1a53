//! A bench whose sources are switched by hand.

use super::{
    Bench, Go, Guard, Limits, Live, Lost, OutputsOff, SamplingEnd, Sent, TripHandle, Unconfirmed,
    Watched, Work,
};
use crate::procedure::Point;
use crate::record::Source;

/// A bench without a single controlled instrument: the person switches, reads and types.
#[derive(Clone, Copy, Debug, Default)]
pub struct Manual;

impl Manual {
    fn nothing_here(point: &str) -> Lost {
        Lost { instrument: point.to_owned(), why: "no instrument is connected for it".to_owned() }
    }
}

impl Bench for Manual {
    fn trip(&self) -> TripHandle {
        TripHandle::default()
    }

    fn outputs_off(&mut self) -> Result<OutputsOff, Unconfirmed> {
        Ok(Vec::new())
    }

    fn energise(&mut self, limits: &Limits) -> Result<(), Lost> {
        match limits.channels.first() {
            None => Ok(()),
            Some(channel) => Err(Self::nothing_here(channel)),
        }
    }

    fn leave_to_hands(&mut self, _: Source) {}

    fn measure(&mut self, point: &Point) -> Result<Sent, Lost> {
        Err(Self::nothing_here(&point.to_string()))
    }

    fn watch(&mut self, _: &Work, guards: &[Guard], _: &mut dyn FnMut(&Live) -> Go) -> Watched {
        let point = guards.first().map(|guard| guard.point.to_string()).unwrap_or_default();
        Watched { traces: Vec::new(), end: SamplingEnd::Lost(Self::nothing_here(&point)) }
    }
}
