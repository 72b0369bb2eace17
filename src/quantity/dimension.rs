//! Which kind of quantity a number is: powers of length, mass, time and angle.

use std::ops::{Div, Mul};

/// Powers of the base units mm, kg, s and rad. A force is kg·mm/s², so a newton is 1000 of them;
/// the conversion lives in the unit table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Dimension {
    /// Power of mm.
    pub length: i8,
    /// Power of kg.
    pub mass: i8,
    /// Power of s.
    pub time: i8,
    /// Power of rad.
    pub angle: i8,
}

impl Dimension {
    /// A plain number.
    pub const NONE: Self = Self::new(0, 0, 0, 0);
    /// Length, base unit mm.
    pub const LENGTH: Self = Self::new(1, 0, 0, 0);
    /// Area, base unit mm².
    pub const AREA: Self = Self::new(2, 0, 0, 0);
    /// Angle, base unit rad.
    pub const ANGLE: Self = Self::new(0, 0, 0, 1);
    /// Mass, base unit kg.
    pub const MASS: Self = Self::new(0, 1, 0, 0);
    /// Time, base unit s.
    pub const TIME: Self = Self::new(0, 0, 1, 0);
    /// Speed, base unit mm/s.
    pub const SPEED: Self = Self::new(1, 0, -1, 0);
    /// Acceleration, base unit mm/s².
    pub const ACCELERATION: Self = Self::new(1, 0, -2, 0);
    /// Force, base unit kg·mm/s² (a thousandth of a newton).
    pub const FORCE: Self = Self::new(1, 1, -2, 0);
    /// Torque or energy, base unit kg·mm²/s².
    pub const TORQUE: Self = Self::new(2, 1, -2, 0);
    /// Stress or pressure, base unit kg/(mm·s²) (a kilopascal).
    pub const STRESS: Self = Self::new(-1, 1, -2, 0);
    /// Density, base unit kg/mm³.
    pub const DENSITY: Self = Self::new(-3, 1, 0, 0);
    /// Volume or section modulus, base unit mm³.
    pub const VOLUME: Self = Self::new(3, 0, 0, 0);
    /// Second moment of area, base unit mm⁴.
    pub const SECOND_MOMENT: Self = Self::new(4, 0, 0, 0);

    /// Powers of mm, kg, s and rad.
    #[must_use]
    pub const fn new(length: i8, mass: i8, time: i8, angle: i8) -> Self {
        Self {
            length,
            mass,
            time,
            angle,
        }
    }

    /// This dimension to a whole power; `None` beyond [`Self::HIGHEST_POWER`].
    #[must_use]
    pub fn power(self, n: i32) -> Option<Self> {
        self.map(|power| i32::from(power).checked_mul(n))
    }

    /// The dimension whose square this is; `None` if a power is odd.
    #[must_use]
    pub fn root(self) -> Option<Self> {
        self.map(|power| (power % 2 == 0).then(|| i32::from(power) / 2))
    }

    /// Whether every power is one that a sensible formula may reach.
    #[must_use]
    pub fn is_sane(self) -> bool {
        [self.length, self.mass, self.time, self.angle]
            .iter()
            .all(|power| power.unsigned_abs() <= Self::HIGHEST_POWER)
    }

    /// The highest power of a base unit that is computed with.
    pub const HIGHEST_POWER: u8 = 24;

    /// What a quantity of this dimension is called in a sentence: `a length`, `an angle`.
    #[must_use]
    pub fn describe(self) -> String {
        NAMES
            .iter()
            .find(|(dimension, _)| *dimension == self)
            .map_or_else(
                || format!("a quantity in {}", self.base_unit()),
                |(_, name)| (*name).to_owned(),
            )
    }

    /// The base unit spelled out, `kg.mm2/s2`; empty for a plain number.
    #[must_use]
    pub fn base_unit(self) -> String {
        let powers = [
            ("kg", self.mass),
            ("mm", self.length),
            ("rad", self.angle),
            ("s", self.time),
        ];
        let spell = |wanted: fn(i8) -> bool| {
            powers
                .iter()
                .filter(|(_, power)| wanted(*power))
                .map(|(unit, power)| match power.unsigned_abs() {
                    1 => (*unit).to_owned(),
                    n => format!("{unit}{n}"),
                })
                .collect::<Vec<_>>()
                .join(".")
        };
        let (above, below) = (spell(|power| power > 0), spell(|power| power < 0));
        match (above.is_empty(), below.is_empty()) {
            (_, true) => above,
            (true, false) => format!("1/{below}"),
            (false, false) => format!("{above}/{below}"),
        }
    }

    fn map(self, change: impl Fn(i8) -> Option<i32>) -> Option<Self> {
        let one = |power| i8::try_from(change(power)?).ok();
        let changed = Self::new(
            one(self.length)?,
            one(self.mass)?,
            one(self.time)?,
            one(self.angle)?,
        );
        changed.is_sane().then_some(changed)
    }
}

const NAMES: [(Dimension, &str); 14] = [
    (Dimension::NONE, "a plain number"),
    (Dimension::LENGTH, "a length"),
    (Dimension::AREA, "an area"),
    (Dimension::VOLUME, "a volume"),
    (Dimension::SECOND_MOMENT, "a second moment of area"),
    (Dimension::ANGLE, "an angle"),
    (Dimension::MASS, "a mass"),
    (Dimension::TIME, "a time"),
    (Dimension::SPEED, "a speed"),
    (Dimension::ACCELERATION, "an acceleration"),
    (Dimension::FORCE, "a force"),
    (Dimension::TORQUE, "a torque"),
    (Dimension::STRESS, "a stress"),
    (Dimension::DENSITY, "a density"),
];

impl Mul for Dimension {
    type Output = Self;
    fn mul(self, o: Self) -> Self {
        Self::new(
            self.length.saturating_add(o.length),
            self.mass.saturating_add(o.mass),
            self.time.saturating_add(o.time),
            self.angle.saturating_add(o.angle),
        )
    }
}

impl Div for Dimension {
    type Output = Self;
    fn div(self, o: Self) -> Self {
        Self::new(
            self.length.saturating_sub(o.length),
            self.mass.saturating_sub(o.mass),
            self.time.saturating_sub(o.time),
            self.angle.saturating_sub(o.angle),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dimensions_multiply_divide_and_take_roots() {
        assert_eq!(Dimension::FORCE * Dimension::LENGTH, Dimension::TORQUE);
        assert_eq!(Dimension::FORCE / Dimension::AREA, Dimension::STRESS);
        assert_eq!(Dimension::AREA.root(), Some(Dimension::LENGTH));
        assert_eq!(Dimension::LENGTH.root(), None);
        assert_eq!(Dimension::LENGTH.power(2), Some(Dimension::AREA));
        assert_eq!(Dimension::LENGTH.power(i32::MAX), None);
    }

    #[test]
    fn odd_dimensions_are_spelled_in_base_units() {
        assert_eq!(Dimension::TORQUE.base_unit(), "kg.mm2/s2");
        assert_eq!(
            (Dimension::NONE / Dimension::LENGTH).describe(),
            "a quantity in 1/mm"
        );
        assert_eq!(Dimension::ANGLE.describe(), "an angle");
    }
}
