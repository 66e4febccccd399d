//! What `description.xml` says, typed (DIN SPEC 15800, fixture type).
//!
//! Every attribute that was read stands in the model, absent ones as `None`: what the standard takes
//! for them stands with the accessor or with whoever uses them. Words that the standard does not have,
//! and elements that nothing here uses, are kept as they were, so that a description can be written
//! back whole with [`Description::write`].

mod definitions;
mod fields;
mod geometry;
mod mode;
mod physical;

pub use definitions::{
    ActivationGroup, AttributeDefinition, AttributeDefinitions, Feature, FeatureGroup,
    PhysicalUnit, Revision,
};
pub use fields::{Other, Record, Value};
pub use geometry::{Beam, BeamType, Break, Geometries, Geometry, GeometryKind, LampType, Model};
pub use mode::{
    ChannelFunction, ChannelSet, DmxBreak, DmxChannel, DmxMode, LogicalChannel, Master, Relation,
    RelationKind, SubChannelSet,
};
pub use physical::{
    AnimationSystem, DmxProfile, Emitter, Facet, Filter, Interpolation, Measurement,
    MeasurementPoint, PhysicalDescriptions, PowerConsumption, ProfilePoint, Properties, Slot,
    Weight, Wheel,
};

use super::said::Said;
use super::values::Matrix4;
use super::xml::{self, Element};
use crate::finding::{Finding, Findings, Place};
use fields::record;

record! {
    /// The whole description.
    Description = "GDTF" {
        /// Version of the standard it was written to: `1.2`.
        data_version: String = "DataVersion",
    } {
        /// The fixture. There is exactly one once a description was read.
        fixtures: FixtureType => None,
    }
}

record! {
    /// A fixture.
    FixtureType = "FixtureType" {
        /// Its name without spaces in it.
        name: String = "Name",
        /// A short name.
        short_name: String = "ShortName",
        /// A long name.
        long_name: String = "LongName",
        /// Who makes it.
        manufacturer: String = "Manufacturer",
        /// What there is to say about it.
        description: String = "Description",
        /// Its unique number, a GUID.
        fixture_type_id: String = "FixtureTypeID",
        /// Name of its picture without the ending.
        thumbnail: String = "Thumbnail",
        /// Where its picture begins.
        thumbnail_offset_x: f64 = "ThumbnailOffsetX",
        /// Where its picture begins.
        thumbnail_offset_y: f64 = "ThumbnailOffsetY",
        /// The fixture it stands for, a GUID.
        ref_ft: String = "RefFT",
        /// Other fixtures can hang from it.
        can_have_children: bool = "CanHaveChildren",
    } {
        /// The attributes that its channels use. Exactly one is meant.
        definitions: AttributeDefinitions => None,
        /// Its wheels.
        wheels: Wheel => Some("Wheels"),
        /// Emitters, filters, curves and properties. One at most is meant.
        physical: PhysicalDescriptions => None,
        /// The bodies that it is drawn with.
        models: Model => Some("Models"),
        /// Its parts.
        geometry_lists: Geometries => None,
        /// Its modes.
        modes: DmxMode => Some("DMXModes"),
        /// What was done to the description.
        revisions: Revision => Some("Revisions"),
    }
}

impl Description {
    /// Reads the text of a description, and says what of it is not used.
    ///
    /// # Errors
    ///
    /// Everything that is wrong in it.
    pub fn read(text: &[u8]) -> Result<(Self, Vec<Finding>), Findings> {
        let root = xml::parse(text)?;
        if root.name != Self::TAG {
            return Err(Finding::error(
                root.place(),
                format!("the description begins with `{}`", root.name),
                "it begins with `GDTF`; is this another kind of file?",
            )
            .into());
        }
        let mut said = Said::default();
        let description = <Self as Record>::read(&root, &mut said);
        if description.fixtures.len() != 1 {
            let what = format!("the description has {} fixtures", description.fixtures.len());
            said.push(Finding::error(Place::default(), what, "one file describes one fixture"));
        }
        if said.failed() {
            return Err(Findings(said.into_list()));
        }
        Ok((description, said.into_list()))
    }

    /// The fixture.
    pub fn fixture(&self) -> Option<&FixtureType> {
        self.fixtures.first()
    }

    /// The description as elements, in the order of the standard.
    pub fn write(&self) -> Element<'static> {
        Record::write(self)
    }
}

impl FixtureType {
    /// Its emitters, filters, curves and properties.
    pub fn physical(&self) -> Option<&PhysicalDescriptions> {
        self.physical.first()
    }

    /// The mode of a name.
    pub fn mode(&self, name: &str) -> Option<&DmxMode> {
        self.modes.iter().find(|mode| mode.name() == name)
    }

    /// The wheel of a name.
    pub fn wheel(&self, name: &str) -> Option<&Wheel> {
        self.wheels.iter().find(|wheel| wheel.name.as_deref() == Some(name))
    }

    /// The trees of parts, one of which each mode starts from.
    pub fn geometries(&self) -> impl Iterator<Item = &Geometry> {
        self.geometry_lists.iter().flat_map(|list| &list.trees)
    }

    /// The tree of parts of a name.
    pub fn geometry(&self, name: &str) -> Option<&Geometry> {
        self.geometries().find(|geometry| geometry.name() == name)
    }
}

/// Where a part stands in the one around it.
pub(super) fn position(geometry: &Geometry) -> Matrix4 {
    geometry.position.unwrap_or_default()
}
