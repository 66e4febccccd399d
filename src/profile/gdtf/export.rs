//! A profile made into a fixture description of DIN SPEC 15800 (GDTF).
//!
//! What such a file cannot hold is never left out in silence: the file is read back, and whatever comes
//! back otherwise than it was in the profile is a finding. So nothing needs to be known beforehand about
//! what can travel.

mod channels;
mod compare;
mod definitions;
mod effects;
mod parts;
mod physical;
mod wheels;

use std::io;

use super::description::{Description, FixtureType, Model, Revision};
use super::said::Said;
use super::{import, read, write, xml};
use crate::finding::{Finding, Findings, Place};
use crate::profile::Profile;

pub use wheels::{Drawings, Openings};

/// A file made of a profile.
#[derive(Clone, Debug)]
pub struct Exported {
    /// The archive.
    pub bytes: Vec<u8>,
    /// What the file does not hold, and what comes back otherwise.
    pub findings: Vec<Finding>,
}

/// Makes a file of a profile. `drawings` finds the drawings that come with the program.
///
/// # Errors
///
/// Why no file can be made that reads back.
pub fn export(profile: &Profile, drawings: Drawings<'_>) -> Result<Exported, Findings> {
    let mut said = Said::default();
    let wheels = wheels::wheels(profile, drawings, &mut said);
    split_names(profile, &mut said);
    let names = effects::Names::of(profile);
    let mut levels = parts::Levels::of(&profile.head);
    let mut curves = physical::Curves::default();
    let mut maker = channels::Maker {
        profile,
        names: &names,
        levels: &mut levels,
        curves: &mut curves,
        said: &mut said,
    };
    let modes: Vec<_> = profile.modes.iter().map(|mode| maker.mode(mode)).collect();
    if levels.deepest() > xml::MOST_DEPTH - 8 {
        let what = "too many channels of one mode do the same thing";
        return Err(refuse(what, "links could not tell them apart: give each its own effect"));
    }
    let fixture = FixtureType {
        definitions: vec![definitions::definitions(&modes)],
        wheels: wheels.wheels,
        physical: vec![physical::descriptions(profile, &curves)],
        models: model(profile).into_iter().collect(),
        geometry_lists: vec![levels.geometries(profile)],
        modes,
        ..head(profile)
    };
    let description = Description {
        data_version: Some("1.2".to_owned()),
        fixtures: vec![fixture],
        ..Description::default()
    };
    let pictures = wheels.pictures.iter().map(|(name, png)| (name.as_str(), png.as_slice()));
    let bytes = write::text(&description.write())
        .and_then(|text| write::pack(&text, pictures))
        .map_err(|error: io::Error| refuse(&format!("the file cannot be packed: {error}"), ""))?;
    let back = read(&bytes).and_then(|gdtf| import(&gdtf, None))?;
    compare::compare(profile, &back.profile, &mut said);
    Ok(Exported { bytes, findings: said.into_list() })
}

/// The fixture without its parts.
fn head(profile: &Profile) -> FixtureType {
    let revision = Revision {
        text: Some(profile.revision.clone()),
        user_id: Some("0".to_owned()),
        ..Revision::default()
    };
    FixtureType {
        name: Some(profile.model.clone()),
        long_name: Some(profile.model.clone()),
        manufacturer: Some(profile.maker.clone()),
        description: Some(import::own_words(&profile.provenance.chart))
            .filter(|chart| !chart.is_empty())
            .map(str::to_owned),
        fixture_type_id: Some(number_of(profile)),
        can_have_children: Some(false),
        revisions: (!profile.revision.is_empty()).then_some(revision).into_iter().collect(),
        ..FixtureType::default()
    }
}

/// Says which names others may not find: links split at full stops (DIN SPEC 15800, table 1, type
/// `Node`).
fn split_names(profile: &Profile, said: &mut Said) {
    let wheels = profile.wheels.keys().map(|name| ("wheel", name));
    let emitters = profile.source.emitters().iter().map(|emitter| ("emitter", &emitter.name));
    for (kind, name) in wheels.chain(emitters).filter(|(_, name)| name.contains('.')) {
        let mend = "other programs may not find it by this name: give it one without";
        said.note(&format!("{kind} \"{name}\""), "links are split at a full stop", mend);
    }
}

/// A number for the model that is the same whenever it is exported, in the form of a GUID.
fn number_of(profile: &Profile) -> String {
    // FNV-1a, 64 bits: what it gives stays the same whatever builds this program.
    let half = |salt: u8| {
        let bytes = [salt].into_iter().chain(profile.maker.bytes()).chain([0]);
        bytes.chain(profile.model.bytes()).fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
            (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
        })
    };
    let (a, b) = (half(0), half(1));
    format!(
        "{:08X}-{:04X}-{:04X}-{:04X}-{:012X}",
        a >> 32,
        (a >> 16) & 0xffff,
        a & 0xffff,
        b >> 48,
        b & 0xffff_ffff_ffff
    )
}

/// The body as a box, where its size is known.
fn model(profile: &Profile) -> Option<Model> {
    let (width, depth, height) = profile.body.size_m?;
    Some(Model {
        name: Some(parts::MODEL.to_owned()),
        length_m: Some(width),
        width_m: Some(depth),
        height_m: Some(height),
        primitive: Some("Cube".to_owned()),
        ..Model::default()
    })
}

fn refuse(what: &str, mend: &str) -> Findings {
    Finding::error(Place::default(), what, mend).into()
}
