//! The parts of a fixture that channels bear upon, so that only what changed need be worked out again.

use std::ops::BitOr;

/// A set of parts of a fixture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Parts(u64);

/// The first bit of the wheels, which take two each, and how many wheels have bits of their own.
const WHEEL_BIT: usize = 16;
const WHEELS: usize = 24;

impl Parts {
    pub(crate) const NONE: Self = Self(0);
    pub(crate) const ALL: Self = Self(u64::MAX);
    /// Pan, tilt, their speed, and what is dark while something moves.
    pub(crate) const AIM: Self = Self(1);
    pub(crate) const LEVEL: Self = Self(1 << 1);
    pub(crate) const SHUTTER: Self = Self(1 << 2);
    /// Emitters, filters, colour temperature.
    pub(crate) const COLOUR: Self = Self(1 << 3);
    pub(crate) const ZOOM: Self = Self(1 << 4);
    pub(crate) const FOCUS: Self = Self(1 << 5);
    pub(crate) const IRIS: Self = Self(1 << 6);
    pub(crate) const FROST: Self = Self(1 << 7);
    pub(crate) const BLADES: Self = Self(1 << 8);
    /// What acts once it was held, and what overrides the rest.
    pub(crate) const CONTROL: Self = Self(1 << 9);
    /// Everything of every cell.
    pub(crate) const LIGHT: Self = Self(Self::LEVEL.0 | Self::SHUTTER.0 | Self::COLOUR.0);
    /// Zoom, focus, iris, frost, blades.
    pub(crate) const OPTICS: Self =
        Self(Self::ZOOM.0 | Self::FOCUS.0 | Self::IRIS.0 | Self::FROST.0 | Self::BLADES.0);
    /// Every wheel and what turns in it.
    pub(crate) const WHEELS: Self = Self(u64::MAX << WHEEL_BIT);

    /// Where a wheel stands. Wheels past those with bits of their own share the last one's.
    pub(crate) fn wheel_place(wheel: usize) -> Self {
        Self(1 << (WHEEL_BIT + 2 * wheel.min(WHEELS - 1)))
    }

    /// How what stands in a wheel's slot turns.
    pub(crate) fn wheel_turn(wheel: usize) -> Self {
        Self(2 << (WHEEL_BIT + 2 * wheel.min(WHEELS - 1)))
    }

    /// Whether there is one part, or none.
    pub(crate) fn is_one(self) -> bool {
        self.0.count_ones() <= 1
    }

    /// Whether any part is in both.
    pub(crate) fn meet(self, other: Self) -> bool {
        self.0 & other.0 != 0
    }
}

impl BitOr for Parts {
    type Output = Self;

    fn bitor(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }
}
