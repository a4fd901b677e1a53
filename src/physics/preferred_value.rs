//! Preferred values of components: the E series.

/// An E series of IEC 60063:2015.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Series {
    /// Three values a decade.
    E3,
    /// Six.
    E6,
    /// Twelve.
    E12,
    /// Twenty-four.
    E24,
    /// Forty-eight.
    E48,
    /// Ninety-six.
    E96,
    /// A hundred and ninety-two.
    E192,
}

/// Where a series departs from its rounded powers of ten: what the formula gives, and what is used.
///
/// IEC 60063:2015, read in published lists that quote it.
const TWO_DIGIT_EXCEPTIONS: [(u16, u16); 8] =
    [(26, 27), (29, 30), (32, 33), (35, 36), (38, 39), (42, 43), (46, 47), (83, 82)];

/// The one exception of E192 (IEC 60063:2015, from memory).
const THREE_DIGIT_EXCEPTIONS: [(u16, u16); 1] = [(919, 920)];

impl Series {
    /// Every series, the coarsest first.
    pub const ALL: [Series; 7] =
        [Series::E3, Series::E6, Series::E12, Series::E24, Series::E48, Series::E96, Series::E192];

    /// Number of values in a decade.
    #[must_use]
    pub const fn per_decade(self) -> u16 {
        match self {
            Series::E3 => 3,
            Series::E6 => 6,
            Series::E12 => 12,
            Series::E24 => 24,
            Series::E48 => 48,
            Series::E96 => 96,
            Series::E192 => 192,
        }
    }

    /// Gives one decade in ascending order: 10 to 91 up to E24, and 100 to 988 from E48 up.
    ///
    /// round(10^(i/n)) to two digits or three, with the exceptions in force.
    pub fn decade(self) -> impl Iterator<Item = u16> + Clone {
        let (scale, exceptions) = self.rule();
        let count = self.per_decade();
        (0..count).map(move |index| {
            let rounded = round(scale * 10_f64.powf(f64::from(index) / f64::from(count)));
            let exception = exceptions.iter().find(|(formula, _)| *formula == rounded);
            exception.map_or(rounded, |(_, used)| *used)
        })
    }

    fn rule(self) -> (f64, &'static [(u16, u16)]) {
        if self <= Series::E24 {
            (10.0, &TWO_DIGIT_EXCEPTIONS)
        } else {
            (100.0, &THREE_DIGIT_EXCEPTIONS)
        }
    }

    /// Whether three significant digits, 100 to 999, are a value of this series.
    pub fn has(self, digits: u16) -> bool {
        let step = if self <= Series::E24 { 10 } else { 1 };
        self.decade().any(|value| value * step == digits)
    }

    /// The coarsest series with this value, of three significant digits from 100 to 999.
    #[must_use]
    pub fn of(digits: u16) -> Option<Series> {
        Series::ALL.into_iter().find(|series| series.has(digits))
    }

    /// The value of this series nearest below, or at, a positive number; `None` for any other.
    #[must_use]
    pub fn at_or_below(self, number: f64) -> Option<f64> {
        // A part in 1e12 is noise of the arithmetic, and no reason to take the next value down.
        self.around(number)?.filter(|value| *value <= number * (1.0 + 1e-12)).last()
    }

    /// The value of this series nearest to a positive number by ratio; `None` for any other.
    #[must_use]
    pub fn nearest(self, number: f64) -> Option<f64> {
        let distance = |value: &f64| (value / number).ln().abs();
        self.around(number)?.min_by(|left, right| distance(left).total_cmp(&distance(right)))
    }

    /// The values of the decades around a number, in ascending order.
    fn around(self, number: f64) -> Option<impl Iterator<Item = f64>> {
        if number <= 0.0 || !number.is_normal() {
            return None;
        }
        #[expect(clippy::cast_possible_truncation, reason = "the logarithm of any f64 is small")]
        let decade = number.log10().floor() as i32;
        let digits = if self <= Series::E24 { 1 } else { 2 };
        Some((decade - 1..=decade + 1).flat_map(move |decade| {
            self.decade().map(move |value| scaled(f64::from(value), decade - digits))
        }))
    }
}

/// A number times a power of ten, rounded once where the power itself is exact.
pub(super) fn scaled(number: f64, power: i32) -> f64 {
    if power < 0 { number / 10_f64.powi(-power) } else { number * 10_f64.powi(power) }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a value of a decade lies between 10 and 1000"
)]
fn round(value: f64) -> u16 {
    value.round() as u16
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use proptest::prelude::*;

    use super::super::near::assert_near;
    use super::*;

    /// IEC 60063 as listed publicly (quoted, recomputed).
    #[test]
    fn the_two_digit_series_are_as_listed() {
        let decade = |series: Series| series.decade().collect::<Vec<_>>();
        assert_eq!(decade(Series::E3), [10, 22, 47]);
        assert_eq!(decade(Series::E6), [10, 15, 22, 33, 47, 68]);
        assert_eq!(decade(Series::E12), [10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82]);
        let added = [11, 13, 16, 20, 24, 30, 36, 43, 51, 62, 75, 91];
        let mut e24 = decade(Series::E12);
        e24.extend(added);
        e24.sort_unstable();
        assert_eq!(decade(Series::E24), e24);
    }

    /// IEC 60063 E96 as listed publicly (quoted, recomputed).
    #[test]
    fn e96_is_as_listed() {
        let listed = "100 102 105 107 110 113 115 118 121 124 127 130 133 137 140 143 147 150 154 \
            158 162 165 169 174 178 182 187 191 196 200 205 210 215 221 226 232 237 243 249 255 \
            261 267 274 280 287 294 301 309 316 324 332 340 348 357 365 374 383 392 402 412 422 \
            432 442 453 464 475 487 499 511 523 536 549 562 576 590 604 619 634 649 665 681 698 \
            715 732 750 768 787 806 825 845 866 887 909 931 953 976";
        let listed: Vec<u16> = listed.split(' ').map(|value| value.parse().unwrap()).collect();
        assert_eq!(Series::E96.decade().collect::<Vec<_>>(), listed);
    }

    /// Eight exceptions in E24 (quoted, recomputed), one in E192 (from memory, recomputed).
    #[test]
    fn exactly_the_published_values_break_the_formula() {
        let exceptions = |series: Series| {
            let formula = |index: u16| {
                let share = f64::from(index) / f64::from(series.per_decade());
                round(series.rule().0 * 10_f64.powf(share))
            };
            (0..).zip(series.decade()).filter(|(index, used)| formula(*index) != *used).collect()
        };
        let used = |found: Vec<(u16, u16)>| found.into_iter().map(|(_, used)| used).collect();
        let e24: Vec<u16> = used(exceptions(Series::E24));
        assert_eq!(e24, [27, 30, 33, 36, 39, 43, 47, 82]);
        assert_eq!(exceptions(Series::E48), []);
        assert_eq!(exceptions(Series::E96), []);
        assert_eq!(exceptions(Series::E192), [(185, 920)]);
    }

    #[test]
    fn each_series_is_every_second_value_of_the_next() {
        for pair in [
            [Series::E3, Series::E6],
            [Series::E6, Series::E12],
            [Series::E12, Series::E24],
            [Series::E48, Series::E96],
            [Series::E96, Series::E192],
        ] {
            let [coarse, fine] = pair;
            assert!(coarse.decade().eq(fine.decade().step_by(2)), "{coarse:?}");
            assert_eq!(usize::from(fine.per_decade()), fine.decade().count());
        }
    }

    #[test]
    fn a_value_belongs_to_its_coarsest_series() {
        for (digits, series) in [
            (470, Some(Series::E3)),
            (680, Some(Series::E6)),
            (560, Some(Series::E12)),
            (510, Some(Series::E24)),
            (226, Some(Series::E48)),
            (243, Some(Series::E96)),
            (920, Some(Series::E192)),
            (919, None),
            (116, None),
            (47, None),
        ] {
            assert_eq!(Series::of(digits), series, "{digits}");
        }
    }

    #[test]
    fn finds_neighbours_across_a_decade() {
        assert_near(Series::E24.at_or_below(3581.0).unwrap(), 3300.0, 1e-15);
        assert_near(Series::E24.at_or_below(99.0).unwrap(), 91.0, 1e-15);
        assert_near(Series::E12.nearest(0.95).unwrap(), 1.0, 1e-15);
        assert_near(Series::E96.nearest(2.26e-3).unwrap(), 2.26e-3, 1e-15);
        for odd in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert_eq!(Series::E24.nearest(odd), None);
            assert_eq!(Series::E24.at_or_below(odd), None);
        }
    }

    proptest! {
        #[test]
        fn a_member_is_its_own_neighbour(index in 0_usize..192, power in -12..12_i32) {
            for series in Series::ALL {
                let member = series.decade().cycle().nth(index).unwrap();
                let value = scaled(f64::from(member), power);
                prop_assert_eq!(series.nearest(value), Some(value));
                prop_assert_eq!(series.at_or_below(value), Some(value));
            }
        }

        #[test]
        fn the_value_below_is_never_far(number in 1e-6..1e9_f64) {
            let below = Series::E24.at_or_below(number).unwrap();
            prop_assert!(below <= number * (1.0 + 1e-12) && number < 1.2 * below);
        }
    }
}
