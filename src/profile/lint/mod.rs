//! What may be wrong with a profile that reads well: legal, but most likely not meant, or worth knowing.
//!
//! [`validate`](super::validate()) says what cannot work; this says what will surprise somebody. What
//! only the pipeline can tell, such as whether light leaves a head at rest, is asked above.

mod channels;
pub mod kinds;
mod labels;
mod modes;
mod names;
mod parts;
mod physical;
mod ranges;
mod wheels;
mod words;

use super::model::{Channel, Condition, Mode, Profile, Range};
use super::place::{Found, PathInFile};
use super::validate::{Check, Spot};

/// Everything there is to say about a profile beyond its mistakes, by the path of what it is about.
/// The profile should have no errors.
pub fn lint(profile: &Profile) -> Found {
    let mut check = Check { profile, found: Found::default() };
    check.provenance();
    check.reason();
    check.wheel_use();
    for (i, mode) in profile.modes.iter().enumerate() {
        let at = mode_spot(i, mode);
        check.parts(&at, mode);
        for (j, channel) in mode.channels.iter().enumerate() {
            let at = channel_spot(&at, j, channel);
            check.slots_of(&at, channel);
            check.rest(&at, mode, channel);
            check.fades(&at, channel);
            check.steady_light(&at, mode, channel);
            check.channel_name(&at, mode, channel);
            check.ranges(&at, channel);
            check.labels(&at, channel);
        }
    }
    check.agreement();
    check.found
}

/// Where a mode stands, and its words.
fn mode_spot(index: usize, mode: &Mode) -> Spot {
    Spot {
        path: PathInFile::top().field("modes").index(index),
        item: format!("mode \"{}\"", mode.name),
    }
}

/// Where a channel of a mode stands, and its words.
fn channel_spot(mode: &Spot, index: usize, channel: &Channel) -> Spot {
    Spot {
        path: mode.path.field("channels").index(index),
        item: format!("{}, channel \"{}\"", mode.item, channel.name),
    }
}

/// Where a range of a channel stands, and its words.
fn range_spot(channel: &Spot, index: usize) -> Spot {
    Spot {
        path: channel.path.field("ranges").index(index),
        item: format!("{}, range {}", channel.item, index + 1),
    }
}

/// A range in the words of its chart, or else in the effect's own.
fn range_words(range: &Range) -> String {
    match range.label.as_str() {
        "" => range.does.key().replace('-', " "),
        label => label.to_owned(),
    }
}

/// The range that a channel stands in at rest, while all others rest as well, and its place.
fn resting<'a>(mode: &Mode, channel: &'a Channel) -> Option<(usize, &'a Range)> {
    let width = channel.at.len();
    let rests = |Condition(name, from, to): &Condition| {
        mode.channel(name).is_some_and(|other| (*from..=*to).contains(&coarse_rest(other)))
    };
    channel.ranges.iter().enumerate().find(|(_, range)| {
        let bounds = range.bounds(width);
        bounds.is_some_and(|(first, last)| (first..=last).contains(&channel.default))
            && range.when.iter().all(rests)
    })
}

/// The coarse slot of a channel at rest.
fn coarse_rest(channel: &Channel) -> i64 {
    let below = channel.at.len().saturating_sub(1).min(3);
    i64::from(channel.default >> (8 * below))
}
