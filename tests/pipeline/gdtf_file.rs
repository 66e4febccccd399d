//! Small fixture descriptions of DIN SPEC 15800, packed in memory.

use std::io::{Cursor, Write as _};

use zip::CompressionMethod;
use zip::write::{SimpleFileOptions, ZipWriter};

/// The changing parts of a description, as XML.
#[derive(Clone, Copy)]
pub struct Parts<'a> {
    /// Slots in `Wheels`.
    pub wheels: &'a str,
    /// What is in `PhysicalDescriptions`.
    pub physical: &'a str,
    /// What is in `Geometries`.
    pub geometries: &'a str,
    /// What is in `DMXModes`.
    pub modes: &'a str,
}

/// A body, a yoke that pans, a head that tilts and a beam.
pub const HEAD: &str = r#"<Geometry Name="Body">
  <Axis Name="Yoke"><Axis Name="Head" Position="{1,0,0,0}{0,1,0,0}{0,0,1,-0.3}{0,0,0,1}">
    <Beam Name="Lens" LampType="Discharge" LuminousFlux="8000" ColorTemperature="7000" BeamAngle="12" FieldAngle="16" BeamType="Spot"/>
  </Axis></Axis>
</Geometry>"#;

impl Default for Parts<'_> {
    fn default() -> Self {
        Self { wheels: "", physical: "", geometries: HEAD, modes: "" }
    }
}

impl Parts<'_> {
    /// The text of the description.
    pub fn xml(&self) -> String {
        let Self { wheels, physical, geometries, modes } = self;
        format!(
            r#"<?xml version="1.0" encoding="UTF-8"?>
<GDTF DataVersion="1.2">
<FixtureType Name="ALDER" Manufacturer="Neutral" FixtureTypeID="01234567-89AB-CDEF-0123-456789ABCDEF">
<AttributeDefinitions/>
<Wheels>{wheels}</Wheels>
<PhysicalDescriptions>{physical}</PhysicalDescriptions>
<Geometries>{geometries}</Geometries>
<DMXModes>{modes}</DMXModes>
</FixtureType>
</GDTF>"#
        )
    }

    /// The file.
    pub fn packed(&self) -> Vec<u8> {
        pack(&[("description.xml", self.xml().as_bytes())])
    }
}

/// A mode of these channels on the part `Body`.
pub fn mode(channels: &str) -> String {
    format!(r#"<DMXMode Name="m" Geometry="Body"><DMXChannels>{channels}</DMXChannels></DMXMode>"#)
}

/// A channel of one logical channel.
pub fn channel(offset: &str, geometry: &str, attribute: &str, functions: &str) -> String {
    format!(
        r#"<DMXChannel Offset="{offset}" Geometry="{geometry}"><LogicalChannel Attribute="{attribute}">{functions}</LogicalChannel></DMXChannel>"#
    )
}

/// A channel of one function without more to it.
pub fn plain(offset: &str, geometry: &str, attribute: &str, more: &str) -> String {
    let function = format!(r#"<ChannelFunction Attribute="{attribute}" {more}/>"#);
    channel(offset, geometry, attribute, &function)
}

/// An archive of these entries.
pub fn pack(entries: &[(&str, &[u8])]) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
    for (name, bytes) in entries {
        zip.start_file(*name, options).expect("memory does not fail");
        zip.write_all(bytes).expect("memory does not fail");
    }
    zip.finish().expect("memory does not fail").into_inner()
}
