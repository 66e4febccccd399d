//! The kinds of finding that a profile can give: the stable name of each and why it matters.

use crate::finding::{Finding, Place, Severity};

/// A kind of finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Kind {
    /// Its stable name: what machine-readable output shows and what an acceptance names.
    pub code: &'static str,
    /// What somebody will see who does nothing about it.
    pub why: &'static str,
}

impl Kind {
    /// A finding of this kind.
    pub fn finding(
        self,
        severity: Severity,
        place: Place,
        what: impl Into<String>,
        mend: impl Into<String>,
    ) -> Finding {
        Finding::new(severity, place, what, mend).because(self.why).coded(self.code)
    }
}

/// Declares kinds and the list of all of them.
macro_rules! kinds {
    ($($name:ident = $code:literal, $why:literal;)*) => {
        $(
            #[doc = concat!("`", $code, "`: ", $why, ".")]
            pub const $name: Kind = Kind { code: $code, why: $why };
        )*

        /// Every kind, in the order of declaration.
        pub const ALL: &[Kind] = &[$($name),*];
    };
}

pub(crate) use kinds;

kinds! {
    NO_NAME = "no-name", "nothing can refer to what has no name";
    NAME_TWICE = "name-twice", "a name that two things bear finds only one of them";
    NUMBER = "number", "everything worked out from it would be nonsense";
    FIELD_ANGLE = "field-angle", "the beam would be drawn inside out";
    NO_EMITTER = "no-emitter", "the fixture could give no light";
    COLOUR = "colour", "the light would have no colour to show";
    NO_SLOTS = "no-slots", "no value could put anything into the light";
    DRAWING = "drawing", "the pattern could not be drawn";
    TOO_MANY = "too-many", "no real fixture has so many, and working with them takes long";
    REFERENCE = "reference", "the range could do nothing";
    NO_MODE = "no-mode", "nothing can be patched";
    FOOTPRINT = "footprint", "the next fixture on the line would be patched in the wrong place";
    SLOT_OUTSIDE = "slot-outside", "it would read a slot that belongs to the next fixture";
    SLOT_TWICE = "slot-twice", "one of the two channels does something else on the fixture";
    SLOT_UNUSED = "slot-unused", "whoever moves these slots cannot see what they do";
    DEFAULT_OUTSIDE = "default-outside", "no frame can carry it";
    DEFAULT_GAP = "default-gap", "nobody knows what the head does before somebody moves the slot";
    DEFAULT_DARK = "default-dark",
        "whoever patches it and pushes its dimmer up takes the head for broken";
    DEFAULT_ACTS = "default-acts", "a head that is only patched does this by itself";
    DEFAULT_FLASHES = "default-flashes", "a head that is only patched and dimmed up flashes";
    DEFAULT_AIM = "default-aim", "a head that is only patched runs into a corner of its travel";
    RANGE_ENDS = "range-ends", "no value lies in it as it is written";
    OVERLAP = "overlap", "which of the two the fixture does is anybody's guess";
    GAP = "gap", "what the head does there is unknown, and a fade may pass it";
    WHEN_UNKNOWN = "when-unknown", "the range could never act";
    WHEN_NEVER = "when-never", "the range could never act";
    PERIOD = "period", "a rate of 0 lasts for ever";
    TRAVEL = "travel", "the head stops at its end before the value does";
    ENDLESS = "endless", "the head is taken to stop at the end of its travel";
    CANNOT_AIM = "cannot-aim", "the range moves nothing";
    ASSUMED = "assumed", "what is worked out from it is an estimate";
    HOLD_UNKNOWN = "hold-unknown", "a value that is passed for an instant may act; warnings take it to";
    UNKNOWN = "unknown", "nothing that is shown of the head while it stands there can be relied on";
    FINE_ALONE = "fine-alone", "its coarse slot jumps in steps, and this one moves something else";
    FINE_APART = "fine-apart",
        "whoever counts the slots by hand pairs the wrong ones, and an axis moves with its neighbour";
    FINE_REVERSED = "fine-reversed", "whoever takes the first slot for the coarse one is far off";
    STRADDLES = "straddles",
        "a value set by its coarse slot alone falls into the range below, with the fine slot at 0";
    SAME_RANGES = "same-ranges", "one of the two is most likely a slip of the copyist's";
    SAME_PART = "same-part", "which of the two wins is not said anywhere";
    FADE_CROSSES = "fade-crosses", "a fade to full passes through it on the way";
    NO_SNAP = "no-snap", "a fade from one to another shows every one between";
    NO_OPEN = "no-open", "there is no value for steady light";
    NO_DIMMER = "no-dimmer", "whoever pulls the master down leaves this head as bright as it was";
    DIMMER_BRIGHT = "dimmer-bright", "raising the fader dims, and its first step jumps to full";
    PHYSICAL_HIGH = "physical-high", "the chart was most likely misread, or a unit mistaken";
    INSTANT = "instant", "the part would be there at once, which none is";
    LABEL_SENSE = "label-sense", "either the words or the numbers are the wrong way round";
    LABEL_TURN = "label-turn", "either the words or the numbers turn the wrong way";
    LABEL_HOLD = "label-hold", "either the words or the number is wrong";
    LABEL_EFFECT = "label-effect", "people go by the words";
    NAME_EFFECT = "name-effect", "people look for a function by the name of its channel";
    WHEEL_SLOT = "wheel-slot", "the range would put nothing into the light";
    WHEEL_UNUSED = "wheel-unused", "nobody can ever move it";
    WHEEL_UNREACHED = "wheel-unreached", "nobody can ever see what is in it";
    WHEEL_NAME = "wheel-name", "people go by the name";
    EMITTER_UNUSED = "emitter-unused", "it never lights, and the colours mixed lack it";
    CELL_UNUSED = "cell-unused", "it follows nothing but the channels of the whole fixture";
    NO_AIM = "no-aim", "the head cannot be pointed";
    MODES_DISAGREE = "modes-disagree", "a change of mode changes what the same words and values do";
    PROVENANCE = "provenance", "nobody can tell whether it fits the head that is there";
    NO_REASON = "no-reason", "whoever reads the file later cannot tell whether it still holds";
    UNMATCHED = "unmatched", "it hides nothing now, and may hide something new later";
    NOT_ACCEPTABLE = "not-acceptable", "what cannot work as written cannot be lived with";
}

#[cfg(test)]
mod tests {
    use std::collections::HashSet;

    use super::*;

    #[test]
    fn every_kind_has_a_name_of_its_own_and_a_reason() {
        let mut codes = HashSet::new();
        for kind in ALL {
            assert!(codes.insert(kind.code), "{} is declared twice", kind.code);
            let plain = |c: char| c.is_ascii_lowercase() || c == '-';
            assert!(!kind.code.is_empty() && kind.code.chars().all(plain), "{}", kind.code);
            assert!(!kind.why.is_empty() && !kind.why.ends_with('.'), "{}", kind.code);
        }
    }
}
