//! An explanation taken for true: the fixture as a show would have it.

use super::{Case, Fault};
use crate::rig::Fixture;

impl Fault {
    /// The head at a place in the rig, patched as it would really be. `None` for what no patch can say: a
    /// fault of the wire, of the profile or outside the data.
    pub fn adopted(&self, case: &Case<'_>, place: usize) -> Option<Fixture> {
        let mut fixture = case.rig.get(place)?.clone();
        match self {
            Self::AddressOff { .. } | Self::AddressOf { .. } | Self::Universe { .. } => {
                fixture.address = Some(self.address(case, fixture.address?)?);
            }
            Self::Mode { name } => fixture.mode.clone_from(name),
            Self::Swapped => fixture.in_head.swap ^= true,
            Self::PanInverted => fixture.in_head.invert_pan ^= true,
            Self::TiltInverted => fixture.in_head.invert_tilt ^= true,
            Self::Hangs { hang } => fixture.hang = *hang,
            _ => return None,
        }
        Some(fixture)
    }
}
