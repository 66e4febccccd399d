//! The kinds of finding that a dry run can make: the stable name of each and why it matters.

use crate::profile::lint::kinds::{Kind, kinds};

kinds! {
    LIVE_MOVE = "live-move", "the audience sees the head look for its place while its light comes up";
    MOVES_LIT = "moves-lit", "the audience sees it move";
    LATE = "late", "what the cue is for is not there when its fade ends";
    CRAWLS = "crawls", "no move is over before the next cue";
    WHEEL_PASSES = "wheel-passes", "the audience sees what lies between on the wheel";
    CROSSES = "crosses", "on its way the channel does what nobody asked for";
    HOLDS = "holds", "the value is held long enough to act";
    HOMES = "homes", "the head goes dark and looks for its ends in the middle of the show";
    LAMP_OUT = "lamp-out", "a hot lamp cannot be struck again for minutes";
    NOT_READY = "not-ready", "the head cannot do what the cue asks of it yet";
    GAP = "gap", "a value that no range covers does nothing that anybody knows of";
    END_STOP = "end-stop", "the head stops short of where it is asked to point";
    AT_STOP = "at-stop", "there is no way left for it to go on";
    STEPS = "steps", "the move is seen to go in steps";
    STUTTER = "stutter", "the head is seen to stop and go";
    SHORTER_WAY = "shorter-way", "the same direction is nearer by another turn of the head";
    NOTHING_SEEN = "nothing-seen", "the cue may be left over, or not do what it was made for";
    NEVER_LIT = "never-lit", "the fixture may be forgotten, or kept dark by something that nobody sees";
    HIDDEN = "hidden", "it is up, and next to no light comes out";
    AUDIENCE = "audience", "light of this kind dazzles, and can hurt eyes at short throws";
    KEEP_OUT = "keep-out", "the show says that no light is to go there";
    SUN = "sun", "sunlight that falls into a lens is gathered inside, and can burn the head";
    FLASHES = "flashes", "flashing light can bring on seizures in people with photosensitive epilepsy";
    FLASHES_TOGETHER = "flashes-together", "what is safe head by head adds up when it is seen together";
    UNEVEN = "uneven", "the line carries too few packets for it, so that it limps or beats";
    UNSENT = "unsent", "the line carries one value in each packet, and the others are lost";
    LAMPS_TOGETHER = "lamps-together", "lamps draw most as they strike, and together may trip the supply";
    LISTS_FIGHT = "lists-fight", "which of them has its way depends on who came last";
    CUT_OFF = "cut-off", "what comes after was not looked at";
}
