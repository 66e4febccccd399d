//! What a list has its channels at once a cue has been run, with dark heads that were moved ahead.

use super::compiled::{Ahead, Compiled, Move};

/// What a track stands at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Standing {
    /// Where a cue sent it.
    Moved(Move),
    /// Where it was moved ahead while its head is dark.
    Ahead(Ahead),
}

impl Standing {
    /// The value that it ends at, at full resolution.
    pub fn to(&self) -> u32 {
        match self {
            Self::Moved(of) => of.to,
            Self::Ahead(ahead) => ahead.to,
        }
    }

    /// Whether nothing on the stage tells the two apart.
    pub(super) fn is_like(&self, other: &Self) -> bool {
        let swing = |standing: &Self| match standing {
            Self::Moved(of) => of.swing,
            Self::Ahead(_) => None,
        };
        self.to() == other.to() && swing(self) == swing(other)
    }
}

impl Compiled {
    /// What every track stands at once a cue, counted from 0, and all before it have been run: as
    /// [`Self::tracked`], but for heads that are moved ahead while they are dark.
    pub fn standing(&self, cue: usize) -> Vec<Option<Standing>> {
        let mut standing = vec![None; self.tracks.len()];
        for cue in self.cues.iter().take(cue + 1) {
            for of in &cue.moves {
                standing[of.track] = Some(Standing::Moved(*of));
            }
            for ahead in &cue.ahead {
                standing[ahead.track] = Some(Standing::Ahead(*ahead));
            }
        }
        standing
    }
}
