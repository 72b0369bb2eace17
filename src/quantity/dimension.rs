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
}

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
