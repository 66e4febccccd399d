//! The light-on test: a head at rest, with its dimmer pushed up, must give light.

use std::collections::BTreeMap;
use std::sync::Arc;

use glam::DVec3;

use crate::decode::{CompiledMode, CompiledRange};
use crate::finding::{Place, Severity};
use crate::light::beam::add_beams;
use crate::motion::model::asked_by_itself;
use crate::motion::settle;
use crate::profile::Effect;
use crate::profile::lint::kinds;
use crate::profile::physical::Physical;
use crate::profile::place::{Found, PathInFile};
use crate::rig::{Aim, Fixture, Hang, InHead};

/// Values that are tried to find the one which would give light.
const TRIED: usize = 512;

/// Values of channels by name, at full resolution. Those not named rest.
type Values = BTreeMap<String, u32>;

/// Adds what the test says of a mode, which is the one at `index` of its profile.
pub fn check(index: usize, mode: &Arc<CompiledMode>, found: &mut Found) {
    let of_mode = PathInFile::top().field("modes").index(index);
    let item = format!("mode \"{}\"", mode.name);
    let up = brightest(mode, |effect| matches!(effect, Effect::Dimmer { .. }));
    if lit(mode, &up) {
        return;
    }
    let coloured = brightest(mode, |effect| matches!(effect, Effect::Emitter { .. }));
    let all: Values = up.iter().chain(&coloured).map(|(name, at)| (name.clone(), *at)).collect();
    if lit(mode, &all) {
        // Where no dimmer stands over them, the colours are the dimmer.
        if !up.is_empty() {
            let what = "with its dimmer at full it is dark: every emitter rests at 0";
            let mend = "nothing, if colours are always mixed; else let one rest at full";
            let finding =
                kinds::DEFAULT_DARK.finding(Severity::Note, Place::item(item), what, mend);
            found.push(of_mode.field("channels"), finding);
        }
        return;
    }
    let (path, item, what, mend) = match cure(mode, &all) {
        Some((channel, range)) => {
            let cured = &mode.channels[channel];
            let range = &cured.ranges[range];
            let (path, rests) = (of_mode.field("channels").index(channel), rests_in(mode, channel));
            (
                path.field("default"),
                format!("{item}, channel \"{}\"", cured.name),
                format!("with its dimmer at full it is dark: the default {rests}"),
                format!("`default: {}` (`{}`) would give light", range.first, range.label),
            )
        }
        None => (
            of_mode.field("channels"),
            item,
            "with its dimmer at full it is dark".to_owned(),
            "look at the defaults of shutter, wheels, iris and filters".to_owned(),
        ),
    };
    let finding = kinds::DEFAULT_DARK.finding(Severity::Warning, Place::item(item), what, mend);
    found.push(path, finding);
}

/// For every channel with an effect of a kind, the value at which there is most of it.
fn brightest(mode: &CompiledMode, kind: impl Fn(&Effect) -> bool) -> Values {
    let most = |range: &CompiledRange| -> Option<(f64, u32)> {
        let Physical { span: (a, b), .. } = range.physical.filter(|_| kind(&range.does))?;
        Some(if a > b { (a, range.first) } else { (b, range.last) })
    };
    let channels = mode.channels.iter().filter_map(|channel| {
        let ranges = channel.ranges.iter().filter_map(most);
        let (_, value) = ranges.max_by(|a, b| a.0.total_cmp(&b.0))?;
        Some((channel.name.clone(), value))
    });
    channels.collect()
}

/// Whether light leaves the head with these channels so and all others at rest, once everything has
/// arrived. A head that something else runs is not called dark.
fn lit(mode: &Arc<CompiledMode>, values: &Values) -> bool {
    let asked = asked_by_itself(mode, values);
    if asked.overridden_by.is_some() {
        return true;
    }
    let profile = &mode.profile;
    let pose = settle(profile, &Aim::default(), &InHead::default(), &asked);
    let mut beams = Vec::new();
    add_beams(0, &test_head(mode), profile, &pose, &mut beams);
    !beams.is_empty()
}

/// A head of this mode that hangs somewhere.
fn test_head(mode: &CompiledMode) -> Fixture {
    Fixture {
        id: 1,
        label: String::new(),
        profile: mode.profile.key().0,
        mode: mode.name.clone(),
        address: None,
        at: DVec3::Z * 6.0,
        hang: Hang::Hung,
        aim: Aim::default(),
        in_head: InHead::default(),
    }
}

/// The channel and range whose first value alone would give light.
fn cure(mode: &Arc<CompiledMode>, values: &Values) -> Option<(usize, usize)> {
    let ranges = mode.channels.iter().enumerate().flat_map(|(c, channel)| {
        channel.ranges.iter().enumerate().map(move |(r, range)| (c, r, channel, range))
    });
    let mut tries = ranges.take(TRIED);
    tries.find_map(|(c, r, channel, range)| {
        let mut values = values.clone();
        values.insert(channel.name.clone(), range.first);
        // A program of the head's own is no cure.
        let runs_itself = matches!(
            range.does,
            Effect::Program { .. } | Effect::Sound | Effect::Follow | Effect::Strobe { .. }
        );
        (!runs_itself && lit(mode, &values)).then_some((c, r))
    })
}

/// What a channel does at rest, in words.
fn rests_in(mode: &CompiledMode, channel: usize) -> String {
    let channel = &mode.channels[channel];
    let held = |offset: u16| {
        let (at, part) = mode.channel_at(offset)?;
        let other = &mode.channels[at];
        let below = other.offsets.len() - 1 - part;
        Some((other.default >> (8 * below)) as u8)
    };
    let range = channel.find_with(channel.default, held).and_then(|r| channel.ranges.get(r));
    match range {
        Some(range) => format!("`{}` is `{}`", channel.default, range.label),
        None => format!("`{}` is in no range", channel.default),
    }
}
