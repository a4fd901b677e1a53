//! A rail on a bench supply: a reservoir beside a draw, charged at constant current, then held at constant voltage.
//!
//! The draw is straight in the voltage between bends, so every stretch has a closed form: C dv/dt = i - a - b v gives
//! v(t) = e + (v0 - e) exp(-b t / C) with e = (i - a) / b, and a straight line where b is zero (first-order linear
//! circuit, any circuits text). A supply that does not sink lets a rail above its setting fall by its own draw alone.

/// What a rail draws, by its voltage: a resistance, and a current that sets in with the voltage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RailDraw {
    /// The resistance across the rail, in ohms; infinite for none.
    pub resistance_ohm: f64,
    /// The current of the circuit once it works, in amperes.
    pub current_a: f64,
    /// Up to here only the resistance draws, in volts.
    pub from_v: f64,
    /// From here on the whole current is drawn, in volts; in between it rises evenly.
    pub full_v: f64,
}

/// A reservoir and what is drawn from it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Charging {
    /// The capacitance, in farads; above zero.
    pub capacitance_f: f64,
    /// What is drawn.
    pub draw: RailDraw,
}

/// What a supply may deliver.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FeedLimit {
    /// The voltage it holds, in volts.
    pub voltage_v: f64,
    /// The most it delivers on the way there, in amperes.
    pub limit_a: f64,
}

/// How a rail stands after a time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChargedRail {
    /// Its voltage, in volts.
    pub voltage_v: f64,
    /// The charge the supply delivered meanwhile, in coulombs.
    pub charge_c: f64,
    /// Whether the supply limits the current now.
    pub is_limiting: bool,
}

impl FeedLimit {
    /// A supply that is off or not connected.
    pub const NONE: Self = Self { voltage_v: 0.0, limit_a: 0.0 };
}

/// A stretch of voltage over which the net current is `current_a - slope * v`.
struct Stretch {
    current_a: f64,
    slope: f64,
    low_v: f64,
    high_v: f64,
}

impl RailDraw {
    /// The current drawn at a voltage, in amperes (V).
    #[must_use]
    pub fn at(&self, voltage: f64) -> f64 {
        let (offset, slope, ..) = self.line(voltage, true);
        offset + slope * voltage
    }

    /// The straight line through a voltage: offset, slope, and the bends at either side. At a bend itself the line
    /// above is taken, or the one below.
    fn line(&self, voltage: f64, above: bool) -> (f64, f64, f64, f64) {
        let conductance = 1.0 / self.resistance_ohm;
        let is_past = |bend: f64| if above { voltage >= bend } else { voltage > bend };
        if self.current_a <= 0.0 {
            (0.0, conductance, f64::NEG_INFINITY, f64::INFINITY)
        } else if is_past(self.full_v) {
            (self.current_a, conductance, self.full_v, f64::INFINITY)
        } else if is_past(self.from_v) {
            let rise = self.current_a / (self.full_v - self.from_v);
            (-rise * self.from_v, conductance + rise, self.from_v, self.full_v)
        } else {
            (0.0, conductance, f64::NEG_INFINITY, self.from_v)
        }
    }
}

impl Charging {
    /// How the rail stands after a time on a supply (V, s).
    #[must_use]
    pub fn after(&self, feed: FeedLimit, from: f64, elapsed: f64) -> ChargedRail {
        let mut at = ChargedRail { voltage_v: from, charge_c: 0.0, is_limiting: false };
        let mut left = elapsed;
        // A rail passes each bend and the supply's own voltage once at most on its way.
        for _ in 0..8 {
            let drawn = self.draw.at(at.voltage_v);
            let is_there = same(at.voltage_v, feed.voltage_v);
            if is_there && feed.limit_a >= drawn {
                at.voltage_v = feed.voltage_v;
                at.charge_c += drawn * left;
                at.is_limiting = false;
                return at;
            }
            let is_below = is_there || at.voltage_v < feed.voltage_v;
            let delivered = if is_below { feed.limit_a } else { 0.0 };
            at.is_limiting = is_below && feed.limit_a > 0.0;
            let stretch = self.stretch(&at, feed, delivered);
            let (voltage, taken) = self.along(&stretch, at.voltage_v, left);
            at.voltage_v = voltage;
            at.charge_c += delivered * taken;
            left -= taken;
            if left <= 0.0 {
                return at;
            }
        }
        at
    }

    fn stretch(&self, at: &ChargedRail, feed: FeedLimit, delivered: f64) -> Stretch {
        let rises = delivered > self.draw.at(at.voltage_v);
        let (offset, slope, mut low_v, mut high_v) = self.draw.line(at.voltage_v, rises);
        if !same(at.voltage_v, feed.voltage_v) {
            let is_below = at.voltage_v < feed.voltage_v;
            if is_below {
                high_v = high_v.min(feed.voltage_v);
            } else {
                low_v = low_v.max(feed.voltage_v);
            }
        }
        Stretch { current_a: delivered - offset, slope, low_v, high_v }
    }

    /// Goes along a stretch until it ends or the time does: the voltage then, and the time taken.
    fn along(&self, stretch: &Stretch, from: f64, left: f64) -> (f64, f64) {
        let net = stretch.current_a - stretch.slope * from;
        let end = if net > 0.0 { stretch.high_v } else { stretch.low_v };
        let straight = stretch.slope * left / self.capacitance_f < 1e-12;
        let (voltage, to_end) = if straight {
            let rate = net / self.capacitance_f;
            (from + rate * left, (end - from) / rate)
        } else {
            let rest = stretch.current_a / stretch.slope;
            let tau = self.capacitance_f / stretch.slope;
            let ratio = (from - rest) / (end - rest);
            // Where it would come to rest before the end, the end is never reached.
            let to_end = if ratio >= 1.0 { tau * ratio.ln() } else { f64::INFINITY };
            (rest + (from - rest) * (-left / tau).exp(), to_end)
        };
        if to_end.is_finite() && to_end < left { (end, to_end.max(0.0)) } else { (voltage, left) }
    }
}

/// Whether two voltages are the same except for rounding.
fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-12 * a.abs().max(b.abs())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::near::assert_near;
    use super::super::{discharge, ramp};
    use super::*;

    const NOTHING: RailDraw =
        RailDraw { resistance_ohm: f64::INFINITY, current_a: 0.0, from_v: 0.0, full_v: 0.0 };

    fn rail(capacitance_f: f64, draw: RailDraw) -> Charging {
        Charging { capacitance_f, draw }
    }

    /// t = C V / I, worked by hand: 10 mF at 100 mA reaches 15 V in 1.5 s and stays there.
    #[test]
    fn constant_current_is_a_straight_line_that_ends_at_the_voltage_set() {
        let feed = FeedLimit { voltage_v: 15.0, limit_a: 0.1 };
        let rail = rail(10e-3, NOTHING);
        let half = rail.after(feed, 0.0, 0.75);
        assert_near(half.voltage_v, 7.5, 1e-12);
        assert!(half.is_limiting);
        let full = rail.after(feed, 0.0, 60.0);
        assert_near(full.voltage_v, 15.0, 1e-12);
        assert_near(full.charge_c, 0.15, 1e-9);
        assert!(!full.is_limiting);
    }

    /// The same laws as `discharge` and `ramp`, which have their own worked values.
    #[test]
    fn a_rail_without_a_supply_falls_as_through_its_bleeder() {
        let draw = RailDraw { resistance_ohm: 2200.0, ..NOTHING };
        let left = rail(10e-3, draw).after(FeedLimit::NONE, 43.0, 30.0);
        assert_near(left.voltage_v, discharge::voltage_after(10e-3, 2200.0, 43.0, 30.0), 1e-12);
        assert!(left.charge_c.abs() < 1e-15);
    }

    #[test]
    fn an_idle_draw_slows_the_charging_as_the_ramp_page_says() {
        let draw = RailDraw { current_a: 25e-3, ..NOTHING };
        let feed = FeedLimit { voltage_v: 26.0, limit_a: 0.1 };
        let time = ramp::charge_time_s(10e-3, 1.0, 26.0, 0.1, 25e-3).unwrap_or(f64::NAN);
        assert_near(rail(10e-3, draw).after(feed, 1.0, 0.5 * time).voltage_v, 13.5, 1e-9);
        assert_near(rail(10e-3, draw).after(feed, 1.0, time).voltage_v, 26.0, 1e-9);
    }

    /// The laws as they are published: 1 - e^(-t/RC) of the last charge on the way up and e^(-t/RC) of the first on the way down (a
    /// university's lecture on RC circuits); t = C (Vf - Vi) / I at a constant current (a collection of equations).
    #[test]
    fn a_rail_follows_the_published_laws() {
        // 100 mA into 50 ohm is 5 V behind 50 ohm.
        let rail = rail(10e-3, RailDraw { resistance_ohm: 50.0, ..NOTHING });
        let feed = FeedLimit { voltage_v: 15.0, limit_a: 0.1 };
        for times in [0.1, 0.5, 1.0, 2.0, 5.0] {
            let decay = f64::exp(-times);
            let up = rail.after(feed, 0.0, times * 0.5).voltage_v;
            assert_near(up, 5.0 * (1.0 - decay), 1e-9);
            let down = rail.after(FeedLimit::NONE, 12.0, times * 0.5);
            assert_near(down.voltage_v, 12.0 * decay, 1e-9);
        }
        let straight = self::rail(10e-3, NOTHING).after(feed, 5.0, 0.6).voltage_v;
        assert_near(0.6, 10e-3 * (straight - 5.0) / 0.1, 1e-9);
    }

    /// Worked by hand: 100 mA into 50 ohm comes to rest at 5 V, one time constant of 0.5 s on the way at 5 (1 - 1/e).
    #[test]
    fn an_overload_holds_the_rail_where_the_limit_is_all_drawn() {
        let draw = RailDraw { resistance_ohm: 50.0, ..NOTHING };
        let feed = FeedLimit { voltage_v: 15.0, limit_a: 0.1 };
        let at_tau = rail(10e-3, draw).after(feed, 0.0, 0.5);
        assert_near(at_tau.voltage_v, 5.0 * (1.0 - (-1.0_f64).exp()), 1e-12);
        let rested = rail(10e-3, draw).after(feed, 0.0, 60.0);
        assert_near(rested.voltage_v, 5.0, 1e-9);
        assert!(rested.is_limiting);
    }

    /// A circuit whose current sets in evenly from 3 V to 9 V with 30 mA, fed with 20 mA: at rest where it draws 20 mA.
    #[test]
    fn a_current_that_sets_in_with_the_voltage_can_hold_a_rail_half_way() {
        let draw = RailDraw { current_a: 30e-3, from_v: 3.0, full_v: 9.0, ..NOTHING };
        let feed = FeedLimit { voltage_v: 15.0, limit_a: 20e-3 };
        assert_near(rail(1e-3, draw).after(feed, 0.0, 60.0).voltage_v, 7.0, 1e-9);
        assert_near(draw.at(6.0), 15e-3, 1e-12);
        assert_near(draw.at(12.0), 30e-3, 1e-12);
        assert!(draw.at(2.0).abs() < 1e-15);
    }

    /// 4.7 mF with a bleeder of 1 kohm and 30 mA that set in from 3 V to 9 V, at 100 mA up to 15 V: by a Runge-Kutta solver
    /// in another language, in steps of 10 us.
    #[test]
    fn an_independent_solver_finds_the_same_rail() {
        let draw = RailDraw { resistance_ohm: 1000.0, current_a: 30e-3, from_v: 3.0, full_v: 9.0 };
        let feed = FeedLimit { voltage_v: 15.0, limit_a: 0.1 };
        for (elapsed, volts) in
            [(0.2, 4.131_564_6), (0.5, 8.915_322_0), (0.8, 12.692_787_3), (1.0, 15.0)]
        {
            assert_near(rail(4.7e-3, draw).after(feed, 0.0, elapsed).voltage_v, volts, 1e-6);
        }
    }

    #[test]
    fn a_supply_that_is_turned_down_waits_for_the_rail_and_then_holds_it() {
        let draw = RailDraw { resistance_ohm: 100.0, ..NOTHING };
        let feed = FeedLimit { voltage_v: 5.0, limit_a: 1.0 };
        let falling = rail(10e-3, draw).after(feed, 20.0, 1.0);
        assert_near(falling.voltage_v, 20.0 / std::f64::consts::E, 1e-12);
        assert!(falling.charge_c.abs() < 1e-15 && !falling.is_limiting);
        let held = rail(10e-3, draw).after(feed, 20.0, 2.0);
        assert_near(held.voltage_v, 5.0, 1e-12);
        let until = discharge::time_s(10e-3, 100.0, 20.0, 5.0);
        assert_near(held.charge_c, 0.05 * (2.0 - until), 1e-9);
    }

    proptest! {
        #[test]
        fn two_times_are_the_same_as_their_sum(
            (c, r, i) in (1e-5..1e-2_f64, 10.0..1e5_f64, 0.0..0.2_f64),
            (from_v, rise) in (0.0..10.0_f64, 0.1..10.0_f64),
            (voltage_v, limit_a) in (0.0..40.0_f64, 0.0..0.5_f64),
            (start, first, second) in (0.0..50.0_f64, 1e-4..20.0_f64, 1e-4..20.0_f64),
        ) {
            let draw = RailDraw { resistance_ohm: r, current_a: i, from_v, full_v: from_v + rise };
            let (rail, feed) = (rail(c, draw), FeedLimit { voltage_v, limit_a });
            let part = rail.after(feed, start, first);
            let parts = rail.after(feed, part.voltage_v, second);
            let whole = rail.after(feed, start, first + second);
            prop_assert!((parts.voltage_v - whole.voltage_v).abs() < 1e-6);
            let charge = part.charge_c + parts.charge_c;
            prop_assert!((charge - whole.charge_c).abs() < 1e-6 * (1.0 + charge));
        }

        #[test]
        fn it_agrees_with_small_steps(
            (c, r, i) in (1e-3..1e-2_f64, 100.0..1e4_f64, 0.0..0.1_f64),
            (voltage_v, limit_a, start) in (0.0..30.0_f64, 0.0..0.3_f64, 0.0..30.0_f64),
        ) {
            let draw = RailDraw { resistance_ohm: r, current_a: i, from_v: 4.0, full_v: 8.0 };
            let feed = FeedLimit { voltage_v, limit_a };
            let step = 1e-4;
            let mut v = start;
            for _ in 0..10_000 {
                let net = if v < voltage_v { limit_a } else { 0.0 } - draw.at(v);
                let moved = v + net * step / c;
                let crosses = (v < voltage_v) != (moved < voltage_v);
                v = if crosses && limit_a >= draw.at(voltage_v) { voltage_v } else { moved };
            }
            let exact = rail(c, draw).after(feed, start, 1.0).voltage_v;
            prop_assert!((exact - v).abs() < 0.02, "{exact} V, {v} V in small steps");
        }

        #[test]
        fn a_rail_never_passes_the_voltage_set_and_never_turns_negative(
            (c, r, i) in (1e-5..1e-2_f64, 1.0..1e6_f64, 0.0..1.0_f64),
            (voltage_v, limit_a, share, t) in (0.1..60.0_f64, 0.0..3.0_f64, 0.0..1.0_f64, 0.0..1e4_f64),
        ) {
            let draw = RailDraw { resistance_ohm: r, current_a: i, from_v: 3.0, full_v: 6.0 };
            let at = rail(c, draw).after(FeedLimit { voltage_v, limit_a }, share * voltage_v, t);
            prop_assert!((-1e-9..=voltage_v * (1.0 + 1e-9)).contains(&at.voltage_v));
            prop_assert!(at.charge_c <= limit_a * t * (1.0 + 1e-9));
        }
    }
}
