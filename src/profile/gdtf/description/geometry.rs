//! The parts of a fixture: a tree of axes, beams and bodies, and references to trees that come more
//! than once.

use super::super::said::Said;
use super::super::values::Matrix4;
use super::super::xml::Element;
use super::fields::{Fields, Other, Record, empty, put, record, words};
use super::mode::DmxBreak;

words! {
    /// What kind of part it is.
    GeometryKind {
        /// A body.
        Body = "Geometry",
        /// A part that turns.
        Axis = "Axis",
        /// What shapes the beam.
        FilterBeam = "FilterBeam",
        /// What colours the beam.
        FilterColor = "FilterColor",
        /// A pattern wheel.
        FilterGobo = "FilterGobo",
        /// Framing blades.
        FilterShaper = "FilterShaper",
        /// Where light leaves.
        Beam = "Beam",
        /// A layer of a media server.
        MediaServerLayer = "MediaServerLayer",
        /// A camera of a media server.
        MediaServerCamera = "MediaServerCamera",
        /// The master of a media server.
        MediaServerMaster = "MediaServerMaster",
        /// A screen.
        Display = "Display",
        /// Another tree, put here.
        Reference = "GeometryReference",
        /// A laser.
        Laser = "Laser",
        /// A wire.
        WiringObject = "WiringObject",
        /// A part of an inventory.
        Inventory = "Inventory",
        /// A structure.
        Structure = "Structure",
        /// A support.
        Support = "Support",
        /// A magnet.
        Magnet = "Magnet",
    }
}

words! {
    /// What makes the light of a beam.
    LampType {
        /// A discharge lamp.
        Discharge = "Discharge",
        /// A filament.
        Tungsten = "Tungsten",
        /// A halogen filament.
        Halogen = "Halogen",
        /// Light-emitting diodes.
        Led = "LED",
    }
}

words! {
    /// How a beam is drawn.
    BeamType {
        /// A soft cone.
        Wash = "Wash",
        /// A hard cone.
        Spot = "Spot",
        /// No beam.
        None = "None",
        /// A hard pyramid.
        Rectangle = "Rectangle",
        /// A soft cone.
        Pc = "PC",
        /// A soft cone.
        Fresnel = "Fresnel",
        /// A glowing surface and no beam.
        Glow = "Glow",
    }
}

record! {
    /// Where light leaves.
    Beam = "Beam" {
        /// What makes the light.
        lamp_type: LampType = "LampType",
        /// Power drawn in watts.
        power_w: f64 = "PowerConsumption",
        /// Luminous flux in lumens.
        luminous_flux_lm: f64 = "LuminousFlux",
        /// Colour temperature in kelvin.
        color_temperature_k: f64 = "ColorTemperature",
        /// Beam angle in degrees.
        beam_angle_deg: f64 = "BeamAngle",
        /// Field angle in degrees.
        field_angle_deg: f64 = "FieldAngle",
        /// Distance over width of a picture.
        throw_ratio: f64 = "ThrowRatio",
        /// Width over height of a picture.
        rectangle_ratio: f64 = "RectangleRatio",
        /// Radius where it leaves, in metres.
        beam_radius_m: f64 = "BeamRadius",
        /// How it is drawn.
        beam_type: BeamType = "BeamType",
        /// Colour rendering index.
        color_rendering_index: f64 = "ColorRenderingIndex",
        /// The emitter whose spectrum it has.
        emitter_spectrum: String = "EmitterSpectrum",
    } {}
}

record! {
    /// Where the channels of a referenced tree begin.
    Break = "Break" {
        /// Offset of its first slot, from 1.
        dmx_offset: u32 = "DMXOffset",
        /// The start address it counts from.
        dmx_break: u32 = "DMXBreak",
    } {}
}

record! {
    /// A body that the fixture is drawn with.
    Model = "Model" {
        /// Its name.
        name: String = "Name",
        /// Length in metres.
        length_m: f64 = "Length",
        /// Width in metres.
        width_m: f64 = "Width",
        /// Height in metres.
        height_m: f64 = "Height",
        /// The simple body it is like.
        primitive: String = "PrimitiveType",
        /// Its file in `models/`, without the ending.
        file: String = "File",
        /// Where its drawing begins.
        svg_offset_x: f64 = "SVGOffsetX",
        /// Where its drawing begins.
        svg_offset_y: f64 = "SVGOffsetY",
        /// Where its drawing from the side begins.
        svg_side_offset_x: f64 = "SVGSideOffsetX",
        /// Where its drawing from the side begins.
        svg_side_offset_y: f64 = "SVGSideOffsetY",
        /// Where its drawing from the front begins.
        svg_front_offset_x: f64 = "SVGFrontOffsetX",
        /// Where its drawing from the front begins.
        svg_front_offset_y: f64 = "SVGFrontOffsetY",
    } {}
}

/// A part of a fixture, with the parts on it.
#[derive(Clone, Debug, PartialEq)]
pub struct Geometry {
    /// What kind of part it is.
    pub kind: GeometryKind,
    /// Its name.
    pub name: Option<String>,
    /// The body it is drawn with.
    pub model: Option<String>,
    /// Where it stands in the part around it.
    pub position: Option<Matrix4>,
    /// What is said of a part of kind [`GeometryKind::Beam`].
    pub beam: Option<Beam>,
    /// The tree that a part of kind [`GeometryKind::Reference`] stands for.
    pub refers_to: Option<String>,
    /// Where the channels of that tree begin.
    pub breaks: Vec<Break>,
    /// The parts on it.
    pub children: Vec<Geometry>,
    /// What else stood there.
    pub other: Other,
}

impl Geometry {
    /// Its name; empty where it has none.
    pub fn name(&self) -> &str {
        self.name.as_deref().unwrap_or_default()
    }

    /// A part of a kind with a name and nothing else.
    pub fn new(kind: GeometryKind, name: impl Into<String>) -> Self {
        Self {
            kind,
            name: Some(name.into()),
            model: None,
            position: None,
            beam: None,
            refers_to: None,
            breaks: Vec::new(),
            children: Vec::new(),
            other: Other::default(),
        }
    }

    /// Reads a part from an element of its kind.
    pub fn read(element: &Element<'_>, kind: GeometryKind, said: &mut Said) -> Self {
        let mut fields = Fields::new(element, said);
        let mut geometry = Self::new(kind, "");
        geometry.name = fields.value("Name");
        geometry.model = fields.value("Model");
        geometry.position = fields.value("Position");
        match &geometry.kind {
            GeometryKind::Beam => geometry.beam = Some(Beam::take(&mut fields)),
            GeometryKind::Reference => {
                geometry.refers_to = fields.value("Geometry");
                geometry.breaks = fields.children(None);
            }
            _ => {}
        }
        let mut others = Vec::new();
        for child in &element.children {
            match GeometryKind::from_text(&child.name) {
                GeometryKind::Other(_) => {}
                kind => others.push((child, kind)),
            }
        }
        for (child, kind) in others {
            geometry.children.push(Self::read(child, kind, fields.said()));
        }
        for name in PARTS {
            fields.enter(name);
        }
        geometry.other = fields.rest();
        geometry
    }

    /// The part as an element.
    pub fn write(&self) -> Element<'static> {
        let mut element = empty(self.kind.text().to_owned());
        put(&mut element, "Name", self.name.as_ref());
        put(&mut element, "Model", self.model.as_ref());
        put(&mut element, "Position", self.position.as_ref());
        if let Some(beam) = &self.beam {
            beam.put(&mut element);
        }
        put(&mut element, "Geometry", self.refers_to.as_ref());
        element.children.extend(self.breaks.iter().map(Record::write));
        element.children.extend(self.children.iter().map(Self::write));
        self.other.put(&mut element);
        element
    }
}

/// The elements that are parts.
const PARTS: [&str; 18] = [
    "Geometry",
    "Axis",
    "FilterBeam",
    "FilterColor",
    "FilterGobo",
    "FilterShaper",
    "Beam",
    "MediaServerLayer",
    "MediaServerCamera",
    "MediaServerMaster",
    "Display",
    "GeometryReference",
    "Laser",
    "WiringObject",
    "Inventory",
    "Structure",
    "Support",
    "Magnet",
];

impl Break {
    /// The start address it counts from; the first where it does not say.
    pub fn counts_from(&self) -> DmxBreak {
        DmxBreak::Number(self.dmx_break.unwrap_or(1))
    }

    /// Slots by which the channels of the tree move up.
    pub fn shift(&self) -> u32 {
        self.dmx_offset.unwrap_or(1).saturating_sub(1)
    }
}

/// The trees of parts of a fixture.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Geometries {
    /// The tops of the trees.
    pub trees: Vec<Geometry>,
}

impl Record for Geometries {
    const TAG: &'static str = "Geometries";

    fn read(element: &Element<'_>, said: &mut Said) -> Self {
        let mut trees = Vec::new();
        for child in &element.children {
            match GeometryKind::from_text(&child.name) {
                GeometryKind::Other(name) => {
                    let what = format!("the part `{name}` is not known");
                    said.note_at(child, what, "it is left out");
                }
                kind => trees.push(Geometry::read(child, kind, said)),
            }
        }
        Self { trees }
    }

    fn write(&self) -> Element<'static> {
        let mut element = empty(Self::TAG);
        element.children.extend(self.trees.iter().map(Geometry::write));
        element
    }
}
