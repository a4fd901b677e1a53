//! The trip: outputs off on every way out.

use super::{Bench, Go, Guard, Limits, Live, Lost, OutputsOff, Sent, Watched, Work};
use crate::procedure::Point;

/// Holds a bench and switches its outputs off when it is dropped, on a panic as well.
#[derive(Debug)]
pub struct Trip<B: Bench>(B);

impl<B: Bench> Trip<B> {
    /// Takes a bench and begins with its outputs off.
    ///
    /// # Errors
    /// An instrument that cannot be reached.
    pub fn arm(mut bench: B) -> Result<Self, Lost> {
        bench.outputs_off()?;
        Ok(Self(bench))
    }

    /// Switches every output off, now.
    ///
    /// # Errors
    /// An instrument that cannot be reached.
    pub fn outputs_off(&mut self) -> Result<OutputsOff, Lost> {
        self.0.outputs_off()
    }

    /// Lets outputs come up, as [`Bench::energise`].
    ///
    /// # Errors
    /// An instrument that cannot be reached, or does not do as it is told.
    pub fn energise(&mut self, limits: &Limits) -> Result<(), Lost> {
        self.0.energise(limits)
    }

    /// Takes one reading.
    ///
    /// # Errors
    /// An instrument that cannot be reached.
    pub fn measure(&mut self, point: &Point) -> Result<Sent, Lost> {
        self.0.measure(point)
    }

    /// Samples points, as [`Bench::watch`].
    pub fn watch(
        &mut self,
        work: &Work,
        guards: &[Guard],
        look: &mut dyn FnMut(&Live) -> Go,
    ) -> Watched {
        self.0.watch(work, guards, look)
    }
}

impl<B: Bench> Drop for Trip<B> {
    fn drop(&mut self) {
        // On the way out there is nobody left to tell: the caller has told the person to pull the plug.
        let _ = self.0.outputs_off();
    }
}

#[cfg(test)]
mod tests {
    use std::cell::Cell;
    use std::panic::{AssertUnwindSafe, catch_unwind};
    use std::rc::Rc;

    use super::Trip;
    use crate::bench::{
        Bench, End, Go, Guard, Limits, Live, Lost, OutputsOff, Sent, Watched, Work,
    };
    use crate::procedure::Point;

    struct Counting(Rc<Cell<u32>>);

    impl Bench for Counting {
        fn outputs_off(&mut self) -> Result<OutputsOff, Lost> {
            self.0.set(self.0.get() + 1);
            Ok(OutputsOff::Confirmed)
        }

        fn energise(&mut self, _: &Limits) -> Result<(), Lost> {
            Ok(())
        }

        fn measure(&mut self, _: &Point) -> Result<Sent, Lost> {
            Ok(Sent { text: "0".to_owned(), instrument: "counting".to_owned() })
        }

        fn watch(&mut self, _: &Work, _: &[Guard], _: &mut dyn FnMut(&Live) -> Go) -> Watched {
            Watched { traces: Vec::new(), end: End::Asked }
        }
    }

    #[test]
    fn outputs_go_off_when_it_is_armed_and_when_it_is_dropped() {
        let offs = Rc::new(Cell::new(0));
        let trip = Trip::arm(Counting(Rc::clone(&offs)));
        assert_eq!(offs.get(), 1);
        drop(trip);
        assert_eq!(offs.get(), 2);
    }

    #[test]
    fn outputs_go_off_on_a_panic() {
        let offs = Rc::new(Cell::new(0));
        let panicked = catch_unwind(AssertUnwindSafe(|| {
            let _trip = Trip::arm(Counting(Rc::clone(&offs)));
            panic!("on purpose");
        }));
        assert!(panicked.is_err());
        assert_eq!(offs.get(), 2);
    }
}
