//! What makes the light: flux, colour temperature, angles, emitters.

use std::collections::HashMap;

use super::super::attributes;
use super::super::colour;
use super::super::description::{
    Beam, ChannelFunction, Emitter as DescribedEmitter, FixtureType, LampType,
};
use super::super::said::Said;
use super::layout::Layout;
use super::words::colour_word;
use crate::profile::{Emitter, Lamp, Optics, Source};

/// Colours of emitters of which the file gives none, by the attribute that sets them: chromaticity and
/// luminance. Those with a luminance are the standard's table of attributes; the mixtures between them
/// and the whites are common practice, no source.
const USUAL: [(&str, (f64, f64), f64); 16] = [
    ("ColorAdd_R", (0.64, 0.33), 21.3),
    ("ColorAdd_G", (0.3, 0.6), 71.5),
    ("ColorAdd_B", (0.15, 0.06), 7.2),
    ("ColorAdd_C", (0.225, 0.329), 78.7),
    ("ColorAdd_M", (0.321, 0.154), 28.5),
    ("ColorAdd_Y", (0.419, 0.505), 92.8),
    ("ColorAdd_RY", (0.477, 0.460), 57.0),
    ("ColorAdd_UV", (0.176, 0.005), 0.6),
    ("ColorAdd_GY", (0.37, 0.55), 82.0),
    ("ColorAdd_GC", (0.26, 0.45), 75.0),
    ("ColorAdd_BC", (0.19, 0.2), 43.0),
    ("ColorAdd_BM", (0.22, 0.1), 18.0),
    ("ColorAdd_RM", (0.47, 0.24), 25.0),
    ("ColorAdd_W", (0.3127, 0.3290), 100.0),
    ("ColorAdd_WW", (0.4234, 0.3990), 100.0),
    ("ColorAdd_CW", (0.3127, 0.3290), 100.0),
];

/// The light of a fixture.
#[derive(Clone, Debug)]
pub(super) struct Light {
    /// What makes it.
    pub(super) source: Source,
    /// How wide it leaves.
    pub(super) optics: Optics,
    /// Names of the emitters by what sets them.
    pub(super) emitters: HashMap<String, String>,
}

/// What stands for the emitter that a function sets: the file's name for it, or its attribute.
pub(super) fn emitter_key(function: &ChannelFunction) -> Option<String> {
    let named = attributes::find(function.attribute())?;
    let is_emitter = named.attribute.name.starts_with("ColorAdd_");
    is_emitter.then(|| match &function.emitter {
        Some(link) if !link.is_empty() => link.clone(),
        _ => named.attribute.name.to_owned(),
    })
}

/// Works out the light of a fixture from its beams and emitters.
pub(super) fn light(fixture: &FixtureType, modes: &[Layout<'_>], said: &mut Said) -> Light {
    let fullest = modes.iter().max_by_key(|mode| mode.parts.beams.len());
    let beams: Vec<&Beam> = fullest.map_or_else(Vec::new, |mode| {
        mode.parts.beams.iter().filter_map(|i| mode.parts.list[*i].beam.as_ref()).collect()
    });
    let flux_lm = flux(&beams, said);
    let flux_of = |beam: &&&Beam| beam.luminous_flux_lm.unwrap_or(10_000.0);
    let main = beams.iter().max_by(|a, b| flux_of(a).total_cmp(&flux_of(b))).copied();
    let optics = optics(main, said);
    let (emitters, names) = emitters(fixture, modes, flux_lm, said);
    let source =
        if emitters.is_empty() { white(main, flux_lm, said) } else { Source::Emitters(emitters) };
    Light { source, optics, emitters: names }
}

fn flux(beams: &[&Beam], said: &mut Said) -> f64 {
    if beams.is_empty() {
        said.warning("", "no part of the fixture throws light", "it stays dark");
        return 0.0;
    }
    if beams.iter().any(|beam| beam.luminous_flux_lm.is_none()) {
        let mend = "the standard's 10000 lm are taken for each beam without";
        said.note("source", "the luminous flux is not given", mend);
    }
    let all: f64 = beams.iter().map(|beam| beam.luminous_flux_lm.unwrap_or(10_000.0)).sum();
    if !(0.0..=1e9).contains(&all) {
        said.error("source", format!("a luminous flux of {all} lm"), "it is left out");
        return 0.0;
    }
    super::round(all)
}

fn optics(beam: Option<&Beam>, said: &mut Said) -> Optics {
    let angle = |angle: Option<f64>| angle.unwrap_or(25.0);
    let (beam_deg, field_deg) = match beam {
        Some(beam) => {
            if beam.beam_angle_deg.is_none() || beam.field_angle_deg.is_none() {
                let mend = "the standard's 25 deg are taken";
                said.note("optics", "the beam or field angle is not given", mend);
            }
            (angle(beam.beam_angle_deg), angle(beam.field_angle_deg))
        }
        None => (25.0, 25.0),
    };
    let sane = beam_deg.clamp(0.01, 179.9);
    let field = field_deg.clamp(sane, 179.9);
    if (sane, field) != (beam_deg, field_deg) {
        let what = format!("a beam angle of {beam_deg} deg in a field of {field_deg} deg");
        said.warning("optics", what, format!("taken as {sane} and {field} deg"));
    }
    Optics { beam_deg: sane, field_deg: field, peak_cd: None }
}

fn white(beam: Option<&Beam>, flux_lm: f64, said: &mut Said) -> Source {
    let given = beam.and_then(|beam| beam.color_temperature_k);
    if beam.is_some() && given.is_none() {
        said.note(
            "source",
            "the colour temperature is not given",
            "the standard's 6000 K are taken",
        );
    }
    let cct_k = given.unwrap_or(6000.0);
    let sane = cct_k.clamp(1000.0, 30_000.0);
    if sane != cct_k {
        said.warning(
            "source",
            format!("a colour temperature of {cct_k} K"),
            format!("taken as {sane} K"),
        );
    }
    let lamp = match beam.map(|beam| beam.lamp_type.as_ref()) {
        None => Lamp::Led,
        Some(Some(LampType::Led)) => Lamp::Led,
        Some(Some(LampType::Tungsten | LampType::Halogen)) => Lamp::Tungsten,
        Some(Some(LampType::Discharge)) => Lamp::Discharge,
        Some(other) => {
            let word = other.map_or("", LampType::text);
            let what = format!("the kind of lamp is not given or not known: `{word}`");
            said.note("source", what, "taken as a discharge lamp, as the standard has it");
            Lamp::Discharge
        }
    };
    Source::White { flux_lm, cct_k: sane, lamp }
}

/// The emitters that channels set, with what sets each.
fn emitters(
    fixture: &FixtureType,
    modes: &[Layout<'_>],
    flux_lm: f64,
    said: &mut Said,
) -> (Vec<Emitter>, HashMap<String, String>) {
    let described = fixture.physical().map(|p| p.emitters.as_slice()).unwrap_or_default();
    let mut names: HashMap<String, String> = HashMap::new();
    let mut list: Vec<(Emitter, f64)> = Vec::new();
    let channels = modes.iter().flat_map(|mode| &mode.mode.channels);
    for (_, function) in channels.flat_map(|channel| channel.functions()) {
        let Some(key) = emitter_key(function) else { continue };
        if names.contains_key(&key) || list.len() >= 32 {
            continue;
        }
        let attribute = attributes::find(function.attribute()).map_or("", |n| n.attribute.name);
        let own = described.iter().find(|emitter| emitter.name.as_deref() == Some(&key));
        let mut name = match own {
            Some(_) => key.clone(),
            None => colour_word(attribute).unwrap_or(attribute).to_lowercase(),
        };
        while list.iter().any(|(emitter, _)| emitter.name == name) {
            name.push('\'');
        }
        let (xy, weight) = colour_of(own, attribute, &name, said);
        names.insert(key, name.clone());
        list.push((Emitter { name, xy, flux_lm: 0.0 }, weight));
    }
    let all: f64 = list.iter().map(|(_, weight)| weight).sum();
    if list.len() > 1 {
        let what = "the flux of each emitter is not given";
        said.note("source", what, "that of the beam is shared out by their intensities or colours");
    }
    for (emitter, weight) in &mut list {
        emitter.flux_lm = super::round(flux_lm * if all > 0.0 { *weight / all } else { 0.0 });
    }
    (list.into_iter().map(|(emitter, _)| emitter).collect(), names)
}

/// Chromaticity of an emitter, and its share of the light in any unit.
fn colour_of(
    own: Option<&DescribedEmitter>,
    attribute: &str,
    name: &str,
    said: &mut Said,
) -> ((f64, f64), f64) {
    let item = format!("emitter \"{name}\"");
    let usual = USUAL.iter().find(|(key, ..)| *key == attribute);
    let (usual_xy, usual_weight) = usual.map_or(((0.3127, 0.3290), 50.0), |(_, xy, y)| (*xy, *y));
    let measured = own.and_then(|emitter| {
        let most = emitter
            .measurements
            .iter()
            .max_by(|a, b| a.percent.unwrap_or(0.0).total_cmp(&b.percent.unwrap_or(0.0)));
        most.and_then(|most| most.luminous_intensity_cd).filter(|cd| *cd > 0.0)
    });
    let colour = own.and_then(|emitter| emitter.color).filter(|colour| colour.y > 0.0);
    let by_wavelength = || own.and_then(|emitter| colour::of_wavelength(emitter.wavelength_nm?));
    let xy = match colour {
        Some(colour) => (colour.x, colour.y),
        None => by_wavelength().unwrap_or_else(|| {
            said.note(&item, "its colour is not given", "the usual one of its attribute is taken");
            usual_xy
        }),
    };
    let xy = (xy.0.clamp(0.0005, 0.999), xy.1.clamp(0.0005, 0.999));
    let sum = xy.0 + xy.1;
    let xy = if sum > 1.0 { (xy.0 / sum, xy.1 / sum) } else { xy };
    (xy, measured.unwrap_or(usual_weight))
}
