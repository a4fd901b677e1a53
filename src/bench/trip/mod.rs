//! The trip: outputs off on every way out, and from any thread.
//!
//! May use what `bench` may. Always true: off is sent without waiting for a reply or for the runner. A trip that was fired
//! lets no output come up before all of them were confirmed off.

mod handle;
mod process;
#[cfg(test)]
mod tests;

pub use handle::{OffSwitch, TripHandle};
#[cfg(test)]
pub(crate) use process::alone;
pub use process::{fire_all, on_panic};

use super::{
    Bench, Go, Guard, Limits, Live, Lost, OffNews, OutputsOff, Sent, Unconfirmed, Watched, Work,
};
use crate::procedure::Point;
use crate::record::Source;

/// Holds a bench and switches its outputs off when it is dropped, on a panic as well.
#[derive(Debug)]
pub struct Trip<B: Bench> {
    bench: B,
    handle: TripHandle,
}

impl<B: Bench> Trip<B> {
    /// Takes a bench and begins with its outputs off. From here on a panic in any thread fires its trip.
    ///
    /// # Errors
    /// An instrument that cannot be reached.
    pub fn arm(bench: B) -> Result<Self, Unconfirmed> {
        let handle = bench.trip();
        on_panic(&handle);
        let mut trip = Self { bench, handle };
        trip.outputs_off()?;
        Ok(trip)
    }

    /// The handle by which another thread fires it.
    #[must_use]
    pub fn handle(&self) -> TripHandle {
        self.handle.clone()
    }

    /// Switches every output off, now: off is sent first, then it is confirmed. After that outputs may come up again.
    ///
    /// # Errors
    /// Instruments that cannot be reached, or do not confirm it: they are told again and again from then on.
    pub fn outputs_off(&mut self) -> Result<OutputsOff, Unconfirmed> {
        let fires = self.handle.fires();
        let off = self.confirm_off(fires);
        // The one that fires meanwhile cuts into the confirmation: that alone is no reason to doubt it.
        let fires_now = self.handle.fires();
        if off.is_err() && fires_now != fires { self.confirm_off(fires_now) } else { off }
    }

    fn confirm_off(&mut self, fires: u64) -> Result<OutputsOff, Unconfirmed> {
        // What cannot be sent is not confirmed either.
        self.handle.send_off();
        let off = self.bench.outputs_off()?;
        self.handle.rearm(fires);
        Ok(off)
    }

    /// What is new of the instruments that have not confirmed off.
    pub fn off_news(&mut self) -> Vec<OffNews> {
        self.bench.off_news()
    }

    /// Lets outputs come up, as [`Bench::energise`].
    ///
    /// # Errors
    /// A trip that was fired, an instrument that cannot be reached, or one that does not do as it is told. Off was sent
    /// to every output by then.
    pub fn energise(&mut self, limits: &Limits) -> Result<(), Lost> {
        let fired = self.handle.fired();
        let up = fired.map_or_else(|| self.bench.energise(limits), |fired| Err(fired.lost()));
        // The output may have come up behind a trip that was fired meanwhile.
        let up = self.handle.fired().map_or(up, |fired| Err(fired.lost()));
        if up.is_err() {
            self.handle.send_off();
        }
        up
    }

    /// Leaves what feeds this source to a person, as [`Bench::leave_to_hands`].
    pub fn leave_to_hands(&mut self, source: Source) {
        self.bench.leave_to_hands(source);
    }

    /// Takes one reading.
    ///
    /// # Errors
    /// An instrument that cannot be reached.
    pub fn measure(&mut self, point: &Point) -> Result<Sent, Lost> {
        self.bench.measure(point)
    }

    /// Samples points, as [`Bench::watch`].
    pub fn watch(
        &mut self,
        work: &Work,
        guards: &[Guard],
        look: &mut dyn FnMut(&Live) -> Go,
    ) -> Watched {
        self.bench.watch(work, guards, look)
    }
}

impl<B: Bench> Drop for Trip<B> {
    fn drop(&mut self) {
        // On the way out there is nobody left to tell: the caller has told the person to pull the plug.
        let _ = self.outputs_off();
    }
}
