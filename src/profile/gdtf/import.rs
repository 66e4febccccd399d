//! A description made into a profile.
//!
//! What the profile cannot say is never left out in silence: it is a finding. Errors among the
//! findings are parts of the file that cannot be used; the profile that comes with them is sound all
//! the same.

mod cells;
mod channels;
mod control;
mod curves;
mod effects;
mod geometry;
mod layout;
mod physical;
mod pieces;
mod relations;
mod source;
mod strobe;
mod wheel_effects;
mod wheels;
mod words;

use std::collections::{BTreeMap, HashMap, HashSet};

use super::Gdtf;
use super::attributes;
use super::description::{FixtureType, Geometry};
use super::said::Said;
use crate::finding::{Finding, Findings, Place, listed, nearest};
use crate::profile::{Body, Mode, Profile, Provenance, times::OnLoss, validate};
use cells::Cells;
use effects::Maker;
use layout::Layout;
use source::Light;
use wheel_effects::family;
use wheels::Use;

pub use geometry::{MOST_DEPTH, MOST_PARTS};

/// What the name of a `NoFeature` function begins with where it stands for values that no range covers.
/// The standard allows no gap, and has no way of its own to tell one from what does nothing on purpose.
pub const GAP: &str = "Gap in the chart";

/// What the name of the `NoFeature` function of a channel begins with that is there for its slot only, so
/// that the size of the mode is known.
pub const UNDESCRIBED: &str = "Slot not described";

/// Modes that are imported from one file.
const MOST_MODES: usize = 64;

/// A profile made of a description.
#[derive(Clone, Debug)]
pub struct Imported {
    /// The profile.
    pub profile: Profile,
    /// What there is to say about the file and about what became of it.
    pub findings: Vec<Finding>,
}

/// A number as a profile writes it: to a millionth.
fn round(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}

/// Makes a profile of a description: of all its modes, or of the one called `mode`.
///
/// # Errors
///
/// Why no profile can be made.
pub fn import(gdtf: &Gdtf, mode: Option<&str>) -> Result<Imported, Findings> {
    let mut said = Said::default();
    for finding in &gdtf.findings {
        said.push(finding.clone());
    }
    let Some(fixture) = gdtf.description.fixture() else {
        return Err(refuse("the description has no fixture", ""));
    };
    let modes = layouts(fixture, mode, &mut said)?;
    let light = source::light(fixture, &modes, &mut said);
    let used = uses(&modes);
    let made = wheels::wheels(fixture, &gdtf.archive, &used, light.optics.field_deg, &mut said);
    let cells = Cells::of(&modes);
    let head = physical::head(&modes, &mut said);
    let mut profile = Profile {
        wheels: made.wheels,
        drawings: made.drawings,
        head,
        cells: cells.places.clone(),
        ..frame(&gdtf.description.data_version, fixture, &light, &mut said)
    };
    physical::times(&mut profile, &modes);
    let mut pieces_left = channels::MOST_IN_ALL;
    for layout in &modes {
        relations::check(layout, &mut said);
        let budget = (&mut pieces_left, &mut said);
        let mode = of_layout(fixture, layout, &profile, &light, &cells, budget);
        profile.modes.push(mode);
    }
    finish(profile, said)
}

/// The profile without its modes, wheels and axes.
fn frame(
    data_version: &Option<String>,
    fixture: &FixtureType,
    light: &Light,
    said: &mut Said,
) -> Profile {
    let (maker, model) = names(fixture, said);
    let text = |text: &Option<String>| text.clone().unwrap_or_default();
    let revision = fixture.revisions.last();
    let dated = revision.map(|revision| text(&revision.date)).unwrap_or_default();
    let mut chart = text(&fixture.description).trim().to_owned();
    if !chart.is_empty() {
        chart.push_str("; ");
    }
    chart.push_str(&format!("description {}, DIN SPEC 15800", text(data_version)));
    if let Some(id) = fixture.fixture_type_id.as_deref() {
        let digits = id.chars().filter(char::is_ascii_hexdigit).count();
        if digits != 32 || id.len() != 36 {
            let what = format!("`{}` is no unique number of a fixture", super::values::short(id));
            said.note("fixture", what, "it is kept as it is");
        }
        chart.push_str(&format!(", {}", super::values::short(id)));
    }
    if !dated.is_empty() {
        chart.push_str(&format!(", {dated}"));
    }
    Profile {
        maker,
        model,
        revision: revision.map(|revision| text(&revision.text)).unwrap_or_default(),
        provenance: Provenance { chart, ..Provenance::default() },
        body: body(fixture, said),
        head: crate::profile::Head::Fixed,
        source: light.source.clone(),
        optics: light.optics.clone(),
        wheels: BTreeMap::new(),
        times: Default::default(),
        on_loss: OnLoss::default(),
        cells: Vec::new(),
        drawings: BTreeMap::new(),
        modes: Vec::new(),
        accepted: Default::default(),
    }
}

/// Lays out the modes that are asked for.
fn layouts<'a>(
    fixture: &'a FixtureType,
    wanted: Option<&str>,
    said: &mut Said,
) -> Result<Vec<Layout<'a>>, Findings> {
    repeated_names(fixture, said);
    let names = || fixture.modes.iter().map(|mode| mode.name());
    if let Some(wanted) = wanted
        && fixture.mode(wanted).is_none()
    {
        let mend = match nearest(wanted, names()) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("its modes: {}", listed(names())),
        };
        return Err(refuse(format!("the file has no mode `{wanted}`"), mend));
    }
    let mut taken = HashSet::new();
    let mut tried = 0;
    let mut layouts = Vec::new();
    for mode in &fixture.modes {
        let name = mode.name();
        if wanted.is_some_and(|wanted| wanted != name) || !taken.insert(name) {
            continue;
        }
        if name.trim().is_empty() {
            said.error("", "a mode has no name", "it is left out");
        } else if tried == MOST_MODES {
            let what = format!("the file has more than {MOST_MODES} modes");
            said.warning("", what, "the rest is left out; name one to import it");
            break;
        } else {
            tried += 1;
            layouts.extend(Layout::of(fixture, mode, said));
        }
    }
    if layouts.is_empty() {
        let mut findings = std::mem::take(said).into_list();
        findings.extend(refuse("the file has no mode that can be used", "").0);
        return Err(Findings(findings));
    }
    Ok(layouts)
}

/// Names by which parts of the file are linked and that come more than once.
fn repeated_names(fixture: &FixtureType, said: &mut Said) {
    let mut check = |kind: &str, names: Vec<&str>| {
        let mut seen = HashSet::new();
        for name in names {
            if !seen.insert(name) {
                let what = format!("two of its {kind} are called `{name}`");
                said.error("", what, "links lead to the first; the others are left out");
            }
        }
    };
    check("modes", fixture.modes.iter().map(|mode| mode.name()).collect());
    check("trees of parts", fixture.geometries().map(|part| part.name()).collect());
    for mode in &fixture.modes {
        let names: Vec<String> = mode.channels.iter().map(|channel| channel.name()).collect();
        let kind = format!("channels in mode `{}`", mode.name());
        check(&kind, names.iter().map(String::as_str).collect());
    }
    if let Some(physical) = fixture.physical() {
        let named = |name: &'_ Option<String>| name.clone().unwrap_or_default();
        let emitters: Vec<String> = physical.emitters.iter().map(|e| named(&e.name)).collect();
        check("emitters", emitters.iter().map(String::as_str).collect());
    }
}

/// What each wheel is used for.
fn uses(modes: &[Layout<'_>]) -> BTreeMap<String, Use> {
    let mut uses: BTreeMap<String, Use> = BTreeMap::new();
    for mode in modes {
        for (_, function) in mode.mode.channels.iter().flat_map(|channel| channel.functions()) {
            let (Some(wheel), Some(named)) =
                (function.wheel.clone(), attributes::find(function.attribute()))
            else {
                continue;
            };
            let name = named.attribute.name;
            let used = uses.entry(wheel).or_default();
            used.textures |= name.starts_with("Animation");
            used.patterns |= name.starts_with("Gobo") || used.textures;
            used.prisms |= name.starts_with("Prism");
        }
    }
    uses
}

fn of_layout(
    fixture: &FixtureType,
    layout: &Layout<'_>,
    profile: &Profile,
    light: &Light,
    cells: &Cells,
    (pieces_left, said): (&mut usize, &mut Said),
) -> Mode {
    let mut wheel_of = HashMap::new();
    for (_, function) in layout.mode.channels.iter().flat_map(|channel| channel.functions()) {
        let named = attributes::find(function.attribute());
        if let (Some((selects, _)), Some(wheel)) = (named.and_then(family), &function.wheel) {
            wheel_of.entry(selects).or_insert_with(|| wheel.clone());
        }
    }
    let mut maker = Maker {
        fixture,
        wheels: &profile.wheels,
        emitters: &light.emitters,
        wheel_of,
        rate_apart: layout.setting("StrobeFrequency") > 0,
        item: String::new(),
        pieces_left: *pieces_left,
        said,
    };
    let mut taken: HashSet<u16> = HashSet::new();
    let mut made = Vec::new();
    for placed in &layout.channels {
        let Some(channel) = channels::channel(layout, placed, cells, &mut maker) else { continue };
        let own: HashSet<u16> = channel.at.iter().copied().collect();
        if let Some(slot) = own.iter().find(|slot| taken.contains(*slot)) {
            let what = format!("slot {slot} belongs to another channel already");
            maker.said.error(&layout.channel_item(placed), what, "this one is left out");
        } else if own.len() < channel.at.len() {
            let what = "the channel has a slot twice";
            maker.said.error(&layout.channel_item(placed), what, "it is left out");
        } else {
            taken.extend(own);
            made.push(channel);
        }
    }
    *pieces_left = maker.pieces_left;
    drop_dangling(&mut made, layout, maker.said);
    Mode { name: layout.mode.name().to_owned(), slots: layout.slots, channels: made }
}

/// Takes out ranges that depend on a channel that was left out.
fn drop_dangling(channels: &mut [crate::profile::Channel], layout: &Layout<'_>, said: &mut Said) {
    let names: HashSet<String> = channels.iter().map(|channel| channel.name.clone()).collect();
    for channel in channels {
        let before = channel.ranges.len();
        channel.ranges.retain(|range| range.when.iter().all(|when| names.contains(&when.0)));
        if channel.ranges.len() < before {
            let item = format!("{}, channel \"{}\"", layout.item, channel.name);
            let what = "ranges depend on a channel that was left out";
            said.warning(&item, what, "they are left out too");
        }
    }
}

fn names(fixture: &FixtureType, said: &mut Said) -> (String, String) {
    let some = |text: &Option<String>| text.clone().filter(|text| !text.trim().is_empty());
    let maker = some(&fixture.manufacturer).unwrap_or_else(|| {
        said.warning("fixture", "the maker is not named", "called `unknown maker` here");
        "unknown maker".to_owned()
    });
    let model = some(&fixture.name).or_else(|| some(&fixture.long_name));
    let model = model.or_else(|| some(&fixture.short_name)).unwrap_or_else(|| {
        said.warning("fixture", "the model is not named", "called `unknown model` here");
        "unknown model".to_owned()
    });
    (maker, model)
}

fn body(fixture: &FixtureType, said: &mut Said) -> Body {
    let properties = fixture.physical().and_then(|physical| physical.properties.first());
    let sane = |value: f64| (0.0..=1e6).contains(&value) && value > 0.0;
    let mass_kg = properties.and_then(|p| p.weight.first()).and_then(|weight| weight.kg);
    let drawn: Vec<f64> = properties
        .map(|p| p.power.iter().filter_map(|power| power.watts).collect())
        .unwrap_or_default();
    let power_w = (!drawn.is_empty()).then(|| drawn.iter().sum::<f64>());
    for (word, value) in [("weight", mass_kg), ("power", power_w)] {
        if let Some(value) = value.filter(|value| !sane(*value) && *value != 0.0) {
            said.warning("fixture", format!("a {word} of `{value}`"), "it is left out");
        }
    }
    let keep = |value: Option<f64>| value.filter(|value| sane(*value)).map(round);
    Body { mass_kg: keep(mass_kg), power_w: keep(power_w), size_m: size_m(fixture, said) }
}

/// The size of the body where it is drawn as one: width, depth and height.
fn size_m(fixture: &FixtureType, said: &mut Said) -> Option<(f64, f64, f64)> {
    fn drawn<'a>(part: &'a Geometry, names: &mut Vec<&'a str>) {
        names.extend(part.model.as_deref().filter(|name| !name.is_empty()));
        part.children.iter().for_each(|child| drawn(child, names));
    }
    let mut names = Vec::new();
    fixture.geometries().for_each(|tree| drawn(tree, &mut names));
    if names.len() > 1 {
        let what = format!("the fixture is drawn with {} bodies", names.len());
        said.note("body", what, "the size of the whole is not given, and is left out");
    }
    let [name] = names.as_slice() else { return None };
    let model = fixture.models.iter().find(|model| model.name.as_deref() == Some(name))?;
    let side = |m: Option<f64>| m.filter(|m| (1e-3..=100.0).contains(m)).map(round);
    Some((side(model.length_m)?, side(model.width_m)?, side(model.height_m)?))
}

/// The profile, if it is sound.
fn finish(profile: Profile, mut said: Said) -> Result<Imported, Findings> {
    let found = validate(&profile, &|_| false);
    if found.failed() {
        for (_, finding) in found.list() {
            said.push(finding.clone());
        }
        let what = "no sound profile can be made of the file";
        said.push(Finding::error(Place::default(), what, "mend what is named above"));
        return Err(Findings(said.into_list()));
    }
    let findings = said.into_list();
    Ok(Imported { profile, findings })
}

/// What of a profile's chart stood there before an import added which description it was.
pub(super) fn own_words(chart: &str) -> &str {
    let added = chart.find(", DIN SPEC 15800").and_then(|at| chart[..at].rfind("description "));
    added.map_or(chart, |at| chart[..at].trim_end_matches("; "))
}

fn refuse(what: impl Into<String>, mend: impl Into<String>) -> Findings {
    Finding::error(Place::default(), what, mend).into()
}
