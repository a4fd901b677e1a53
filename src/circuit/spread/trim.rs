//! A control that is turned until a reading shows what it should.

/// How near is near enough, of what it should show; common practice, no source: as near as a hand turns it.
const NEAR: f64 = 0.01;

/// How often it is tried.
pub(super) const TRIES: usize = 16;

/// How far it is turned at first, and at the most at a time.
const FIRST: f64 = 1.05;
const MOST: f64 = 2.0;

/// A control, and the key under `until` for which it is turned.
pub(super) type Aimed = (String, String);

/// A control on its way.
#[derive(Clone, Debug)]
pub(super) struct Turning {
    /// The least and the most resistance (ohm).
    ends: [f64; 2],
    /// What is to be shown.
    aim: f64,
    /// Where it stood so far, and how far off the reading was then.
    tried: Vec<ControlTry>,
    /// Where it stands (ohm).
    pub(super) ohm: f64,
    /// How steeply what is shown is known to follow it.
    slope: Option<f64>,
}

#[derive(Clone, Copy, Debug)]
struct ControlTry {
    ohm: f64,
    off: f64,
}

impl Turning {
    pub(super) fn new(ohm: f64, ends: [f64; 2], aim: f64, slope: Option<f64>) -> Self {
        Self { ends, aim, tried: Vec::new(), ohm: ohm.clamp(ends[0], ends[1].max(ends[0])), slope }
    }

    /// Whether what is shown now is what it should be.
    pub(super) fn is_met(&self) -> bool {
        self.tried.last().is_some_and(|last| last.off.abs() <= NEAR)
    }

    /// Looks at what is shown where it stands.
    pub(super) fn look(&mut self, shown: f64) {
        // Currents follow a bias control by an exponential, so by ratios where there are some.
        let off = if shown > 0.0 && self.aim > 0.0 {
            (shown / self.aim).ln()
        } else {
            (shown - self.aim) / self.aim.abs().max(f64::MIN_POSITIVE)
        };
        self.tried.push(ControlTry { ohm: self.ohm, off });
    }

    /// Turns it on from where it stands: along the line through the last two tries, between those that lie on either side of the aim.
    pub(super) fn turn(&mut self) {
        let [least, most] = self.ends;
        let next = match self.tried.as_slice() {
            [] => self.ohm,
            [one] => self.first(one),
            [.., before, last] => self.along(before, last),
        };
        self.ohm = next.clamp(least, most.max(least));
    }

    /// How steeply what is shown followed the last turn; nothing where that tells nothing.
    pub(super) fn slope(&self) -> Option<f64> {
        let [.., before, last] = self.tried.as_slice() else { return None };
        let slope = (last.off - before.off) / (last.ohm / before.ohm).ln();
        slope.is_normal().then_some(slope)
    }

    /// Puts it back where it stood at first.
    pub(super) fn back(&mut self) {
        if let Some(first) = self.tried.first() {
            self.ohm = first.ohm;
        }
    }

    /// The first turn: by what is known of it, otherwise a little, so that something is.
    fn first(&self, one: &ControlTry) -> f64 {
        let [least, most] = self.ends;
        let known =
            self.slope.map(|slope| step(one.ohm, -one.off / slope).clamp(least, most.max(least)));
        match known.filter(|ohm| ohm.is_finite() && (ohm - one.ohm).abs() > f64::EPSILON * one.ohm)
        {
            Some(ohm) => ohm,
            None if one.ohm * FIRST <= most => one.ohm * FIRST,
            None => one.ohm / FIRST,
        }
    }

    fn along(&self, before: &ControlTry, last: &ControlTry) -> f64 {
        let slope = (last.off - before.off) / (last.ohm / before.ohm).ln();
        let next = step(last.ohm, -last.off / slope);
        let next = if next.is_finite() { next } else { last.ohm * FIRST };
        let side = |is_over: bool| {
            let tried = self.tried.iter().filter(|tried| (tried.off > 0.0) == is_over);
            tried.min_by(|one, other| one.off.abs().total_cmp(&other.off.abs()))
        };
        let (Some(over), Some(under)) = (side(true), side(false)) else { return next };
        let (low, high) = (over.ohm.min(under.ohm), over.ohm.max(under.ohm));
        if next > low && next < high { next } else { (low * high).sqrt() }
    }

    /// Puts it where it was nearest.
    pub(super) fn settle(&mut self) {
        let nearest =
            self.tried.iter().min_by(|one, other| one.off.abs().total_cmp(&other.off.abs()));
        if let Some(nearest) = nearest {
            self.ohm = nearest.ohm;
        }
    }
}

/// A turn by so much, as far as it is turned at a time.
fn step(ohm: f64, by: f64) -> f64 {
    ohm * by.clamp(-MOST.ln(), MOST.ln()).exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Turns a control on something that shows a value for each resistance; how often, and where it ends.
    fn turned(mut turning: Turning, shows: impl Fn(f64) -> f64) -> (usize, f64) {
        for tries in 1..=TRIES {
            turning.look(shows(turning.ohm));
            if turning.is_met() {
                return (tries, turning.ohm);
            }
            turning.turn();
        }
        turning.settle();
        (TRIES, turning.ohm)
    }

    #[test]
    fn a_control_ends_where_the_reading_is_right_whichever_way_it_acts() {
        let bias = |ohm: f64| 1e-6 * (ohm / 50.0).exp();
        for shows in [
            &(|ohm: f64| 1e-3 * ohm) as &dyn Fn(f64) -> f64,
            &|ohm| 500.0 / ohm,
            &bias,
            &|ohm| (ohm - 700.0) * 1e-3,
            &|ohm| 1e-3 * (900.0 - ohm).max(0.0),
        ] {
            let aim = shows(640.0);
            let (tries, ohm) = turned(Turning::new(850.0, [1.0, 2_000.0], aim, None), shows);
            assert!((shows(ohm) - aim).abs() <= 0.0101 * aim.abs(), "{ohm} shows {}", shows(ohm));
            assert!(tries < TRIES, "{tries} for {ohm}");
        }
    }

    #[test]
    fn a_control_that_cannot_reach_it_stays_within_its_ends() {
        for aim in [1e3, 1e-9, -5.0, 0.0, f64::NAN] {
            let (tries, ohm) =
                turned(Turning::new(100.0, [10.0, 200.0], aim, None), |ohm| ohm * 1e-3);
            assert_eq!(tries, TRIES, "{aim}");
            assert!((10.0..=200.0).contains(&ohm), "{aim}: {ohm}");
        }
        let (_, ohm) = turned(Turning::new(100.0, [10.0, 200.0], 1e3, None), |ohm| ohm * 1e-3);
        assert!((ohm - 200.0).abs() < 1e-9, "at its end: {ohm}");
        let (_, ohm) = turned(Turning::new(100.0, [10.0, 200.0], 5.0, None), |_| 1.0);
        assert!((10.0..=200.0).contains(&ohm), "without effect: {ohm}");
        let (_, ohm) = turned(Turning::new(100.0, [10.0, 200.0], 5.0, None), |_| f64::NAN);
        assert!((10.0..=200.0).contains(&ohm), "no number: {ohm}");
    }

    #[test]
    fn where_it_is_known_how_steeply_it_acts_fewer_tries_are_needed_and_a_wrong_slope_is_no_harm() {
        let bias = |ohm: f64| 1e-6 * (ohm / 50.0).exp();
        let tries = |slope: Option<f64>| {
            let turning = Turning::new(700.0, [1.0, 2_000.0], bias(640.0), slope);
            let (tries, ohm) = turned(turning, bias);
            assert!((bias(ohm) / bias(640.0)).ln().abs() <= NEAR, "{slope:?}: {ohm}");
            tries
        };
        assert!(tries(Some(670.0 / 50.0)) < tries(None), "{}", tries(None));
        for wrong in [-10.0, 1e-9, 1e9, 0.0, f64::NAN, f64::INFINITY] {
            assert!(tries(Some(wrong)) < TRIES, "{wrong}");
        }
    }
}
