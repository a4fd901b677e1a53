//! What kind of thing a number measures.

/// The dimension of a quantity: integer exponents over base dimensions, and a mark for points on
/// the Celsius scale.
///
/// A level in decibels is a base of its own: it adds and is never taken for a ratio. A point on the
/// Celsius scale is no multiple of anything, so it only moves by, or differs by, a temperature
/// difference.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Dimension {
    /// In the order of [`BASES`].
    exponents: [i8; 6],
    celsius: bool,
}

/// Symbols of the base units, in the order in which a composed unit is written.
const BASES: [&str; 6] = ["kg", "m", "s", "A", "K", "dB"];

const fn of(exponents: [i8; 6]) -> Dimension {
    Dimension { exponents, celsius: false }
}

impl Dimension {
    /// A pure number or a ratio.
    pub const NONE: Dimension = of([0; 6]);
    /// Voltage, base unit V.
    pub const VOLTAGE: Dimension = of([1, 2, -3, -1, 0, 0]);
    /// Current, base unit A.
    pub const CURRENT: Dimension = of([0, 0, 0, 1, 0, 0]);
    /// Resistance, base unit ohm.
    pub const RESISTANCE: Dimension = of([1, 2, -3, -2, 0, 0]);
    /// Power, base unit W.
    pub const POWER: Dimension = of([1, 2, -3, 0, 0, 0]);
    /// Capacitance, base unit F.
    pub const CAPACITANCE: Dimension = of([-1, -2, 4, 2, 0, 0]);
    /// Inductance, base unit H.
    pub const INDUCTANCE: Dimension = of([1, 2, -2, -2, 0, 0]);
    /// Frequency, base unit Hz.
    pub const FREQUENCY: Dimension = of([0, 0, -1, 0, 0, 0]);
    /// Time, base unit s.
    pub const TIME: Dimension = of([0, 0, 1, 0, 0, 0]);
    /// Energy, base unit J.
    pub const ENERGY: Dimension = of([1, 2, -2, 0, 0, 0]);
    /// Charge, base unit C.
    pub const CHARGE: Dimension = of([0, 0, 1, 1, 0, 0]);
    /// Conductance, base unit S.
    pub const CONDUCTANCE: Dimension = of([-1, -2, 3, 2, 0, 0]);
    /// A temperature difference, or a temperature from absolute zero, base unit K.
    pub const TEMPERATURE: Dimension = of([0, 0, 0, 0, 1, 0]);
    /// A point on the Celsius scale, degC.
    pub const CELSIUS: Dimension = Dimension { exponents: [0, 0, 0, 0, 1, 0], celsius: true };
    /// A level, dB.
    pub const LEVEL: Dimension = of([0, 0, 0, 0, 0, 1]);
    /// Length, base unit m.
    pub const LENGTH: Dimension = of([0, 1, 0, 0, 0, 0]);
    /// Area, base unit m2.
    pub const AREA: Dimension = of([0, 2, 0, 0, 0, 0]);

    /// Gives the dimension of a product; `None` with a Celsius point or two levels.
    pub fn times(self, other: Dimension) -> Option<Dimension> {
        self.combine(other, i8::checked_add)
    }

    /// Gives the dimension of a quotient; `None` with a Celsius point or a level below the line.
    pub fn over(self, other: Dimension) -> Option<Dimension> {
        self.combine(other, i8::checked_sub)
    }

    /// Gives the dimension of a whole power; `None` for a Celsius point, or a level to another
    /// power than one.
    pub fn power(self, exponent: i8) -> Option<Dimension> {
        self.each(|power| power.checked_mul(exponent))
            .filter(|_| !self.has_level() || exponent == 1)
    }

    /// Gives the dimension of a square root; `None` where an exponent is odd, and for a Celsius
    /// point or a level.
    pub fn root(self) -> Option<Dimension> {
        self.each(|power| (power % 2 == 0).then_some(power / 2))
    }

    /// Gives the dimension of a sum; `None` unless both are alike or a Celsius point moves by a
    /// difference.
    pub fn plus(self, other: Dimension) -> Option<Dimension> {
        match (self, other) {
            (Dimension::CELSIUS, Dimension::TEMPERATURE)
            | (Dimension::TEMPERATURE, Dimension::CELSIUS) => Some(Dimension::CELSIUS),
            _ => (self == other && !self.celsius).then_some(self),
        }
    }

    /// Gives the dimension of a difference; two Celsius points give a temperature difference in K.
    pub fn minus(self, other: Dimension) -> Option<Dimension> {
        match (self, other) {
            (Dimension::CELSIUS, Dimension::CELSIUS) => Some(Dimension::TEMPERATURE),
            (Dimension::CELSIUS, Dimension::TEMPERATURE) => Some(Dimension::CELSIUS),
            _ => (self == other).then_some(self),
        }
    }

    /// Names the dimension: `voltage`, `ratio or number`, or its base units, as in `kg m2 s-3 K-1`.
    pub fn name(self) -> String {
        let named = NAMES.iter().find(|(dimension, _)| *dimension == self);
        named.map_or_else(|| self.base_form(), |(_, name)| (*name).to_owned())
    }

    /// Writes the dimension in base units: `kg m2 s-3`.
    pub(super) fn base_form(self) -> String {
        let powers = BASES.iter().zip(self.exponents).filter(|(_, exponent)| *exponent != 0);
        let terms = powers.map(|(base, exponent)| match exponent {
            1 => (*base).to_owned(),
            _ => format!("{base}{exponent}"),
        });
        terms.collect::<Vec<_>>().join(" ")
    }

    /// Reads what [`Dimension::base_form`] writes.
    pub(super) fn from_base_form(text: &str) -> Option<Dimension> {
        text.split(' ').try_fold(Dimension::NONE, |product, term| {
            let symbol = term.trim_end_matches(|c: char| c.is_ascii_digit() || c == '-');
            let exponent = match term.strip_prefix(symbol)? {
                "" => 1,
                digits => digits.parse().ok()?,
            };
            let place = BASES.iter().position(|base| *base == symbol)?;
            let mut factor = Dimension::NONE;
            *factor.exponents.get_mut(place)? = exponent;
            product.times(factor)
        })
    }

    fn has_level(self) -> bool {
        let [.., level] = self.exponents;
        level != 0
    }

    fn combine(self, other: Dimension, with: fn(i8, i8) -> Option<i8>) -> Option<Dimension> {
        let mut exponents = [0; 6];
        for ((target, exponent), others) in
            exponents.iter_mut().zip(self.exponents).zip(other.exponents)
        {
            *target = with(exponent, others)?;
        }
        let [.., level] = exponents;
        // dB/s is a drift; dB x dB, 1/dB and a "ratio" of two levels are slips.
        let level_fits = (level == 0 || level == 1) && !(self.has_level() && other.has_level());
        (!self.celsius && !other.celsius && level_fits).then_some(of(exponents))
    }

    fn each(self, with: impl Fn(i8) -> Option<i8>) -> Option<Dimension> {
        let mut exponents = self.exponents;
        for exponent in &mut exponents {
            *exponent = with(*exponent)?;
        }
        (!self.celsius).then_some(of(exponents))
    }
}

const NAMES: [(Dimension, &str); 17] = [
    (Dimension::NONE, "ratio or number"),
    (Dimension::VOLTAGE, "voltage"),
    (Dimension::CURRENT, "current"),
    (Dimension::RESISTANCE, "resistance"),
    (Dimension::POWER, "power"),
    (Dimension::CAPACITANCE, "capacitance"),
    (Dimension::INDUCTANCE, "inductance"),
    (Dimension::FREQUENCY, "frequency"),
    (Dimension::TIME, "time"),
    (Dimension::ENERGY, "energy"),
    (Dimension::CHARGE, "charge"),
    (Dimension::CONDUCTANCE, "conductance"),
    (Dimension::TEMPERATURE, "temperature difference"),
    (Dimension::CELSIUS, "temperature"),
    (Dimension::LEVEL, "level"),
    (Dimension::LENGTH, "length"),
    (Dimension::AREA, "area"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn electrical_laws_hold() {
        use Dimension as D;
        assert_eq!(D::CURRENT.times(D::RESISTANCE), Some(D::VOLTAGE));
        assert_eq!(D::VOLTAGE.times(D::CURRENT), Some(D::POWER));
        assert_eq!(D::NONE.over(D::RESISTANCE), Some(D::CONDUCTANCE));
        assert_eq!(D::RESISTANCE.times(D::CAPACITANCE), Some(D::TIME));
        assert_eq!(D::INDUCTANCE.over(D::RESISTANCE), Some(D::TIME));
        assert_eq!(D::CURRENT.times(D::TIME), Some(D::CHARGE));
        assert_eq!(D::POWER.times(D::TIME), Some(D::ENERGY));
        assert_eq!(D::NONE.over(D::TIME), Some(D::FREQUENCY));
        assert_eq!(D::LENGTH.power(2), Some(D::AREA));
        assert_eq!(D::AREA.root(), Some(D::LENGTH));
        assert_eq!(D::POWER.times(D::RESISTANCE).and_then(D::root), Some(D::VOLTAGE));
        assert_eq!(D::VOLTAGE.root(), None);
        assert_eq!(D::NONE.root(), Some(D::NONE));
        assert_eq!(D::VOLTAGE.power(100), None, "beyond the range of exponents");
    }

    #[test]
    fn sums_need_like_dimensions() {
        assert_eq!(Dimension::VOLTAGE.plus(Dimension::VOLTAGE), Some(Dimension::VOLTAGE));
        assert_eq!(Dimension::VOLTAGE.plus(Dimension::CURRENT), None);
        assert_eq!(Dimension::VOLTAGE.minus(Dimension::CURRENT), None);
        assert_eq!(Dimension::LEVEL.plus(Dimension::NONE), None);
    }

    #[test]
    fn a_celsius_point_moves_by_differences_only() {
        let (point, difference) = (Dimension::CELSIUS, Dimension::TEMPERATURE);
        assert_eq!(point.minus(point), Some(difference));
        assert_eq!(point.plus(difference), Some(point));
        assert_eq!(difference.plus(point), Some(point));
        assert_eq!(point.minus(difference), Some(point));
        assert_eq!(difference.minus(difference), Some(difference));
        assert_eq!(difference.minus(point), None);
        assert_eq!(point.plus(point), None);
        assert_eq!(point.times(Dimension::NONE), None);
        assert_eq!(Dimension::NONE.over(point), None);
        assert_eq!(point.power(1), None);
        assert_eq!(point.root(), None);
    }

    #[test]
    fn a_level_is_scaled_but_never_multiplied_by_another() {
        let level = Dimension::LEVEL;
        assert_eq!(level.times(Dimension::NONE), Some(level));
        assert!(level.over(Dimension::TIME).is_some());
        assert_eq!(level.times(level), None);
        assert_eq!(level.over(level), None);
        assert_eq!(Dimension::NONE.over(level), None);
        assert_eq!(level.power(1), Some(level));
        assert_eq!(level.power(0), None);
        assert_eq!(level.root(), None);
    }

    #[test]
    fn names_what_it_measures() {
        assert_eq!(Dimension::NONE.name(), "ratio or number");
        assert_eq!(Dimension::VOLTAGE.name(), "voltage");
        let per_kelvin = Dimension::POWER.over(Dimension::TEMPERATURE);
        assert_eq!(per_kelvin.map(Dimension::name).as_deref(), Some("kg m2 s-3 K-1"));
    }

    #[test]
    fn the_base_form_reads_back() {
        let drift = Dimension::LEVEL.over(Dimension::TIME);
        assert_eq!(Dimension::from_base_form("s-1 dB"), drift);
        for (dimension, name) in NAMES.iter().filter(|(d, _)| *d != Dimension::NONE && !d.celsius) {
            assert_eq!(
                Dimension::from_base_form(&dimension.base_form()),
                Some(*dimension),
                "{name}"
            );
        }
        for text in ["", "kg2m", "kg  m", "x", "m-", "m1000", "dB dB"] {
            assert_eq!(Dimension::from_base_form(text), None, "{text}");
        }
    }
}
