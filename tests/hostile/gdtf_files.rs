//! Fixture descriptions that mean harm, of which both what is said and what is held is looked at.

use super::gdtf_file::{Parts, channel, mode, pack, plain};

/// A sound description of one dimmer.
pub fn sound() -> String {
    Parts { modes: &mode(&plain("1", "Lens", "Dimmer", "")), ..Parts::default() }.xml()
}

/// An archive of this description alone.
pub fn description(text: &str) -> Vec<u8> {
    pack(&[("description.xml", text.as_bytes())])
}

/// A list of a million entries. One is 46 bytes (APPNOTE, 4.3.12), so that they are 46 MB.
pub fn million_entries() -> Vec<u8> {
    let mut entry = b"PK\x01\x02".to_vec();
    entry.resize(46, 0);
    let mut file = entry.repeat(1_000_000);
    file.extend(b"PK\x05\x06");
    file.resize(file.len() + 18, 0);
    file
}

/// An archive of one entry whose list says that it unpacks to `lie` bytes. The size once unpacked stands
/// in the list of entries, 24 bytes behind its signature (APPNOTE, 4.3.12), and before the entry itself,
/// 22 bytes behind its own (4.3.7).
#[track_caller]
pub fn lying(mut file: Vec<u8>, unpacked: u32, lie: u32) -> Vec<u8> {
    let list = list_of(&file);
    for place in [list + 24, 22] {
        let size = file.get_mut(place..place + 4).expect("a list and an entry");
        assert_eq!(size, unpacked.to_le_bytes(), "the size that is so");
        size.copy_from_slice(&lie.to_le_bytes());
    }
    file
}

/// Where the list of entries begins.
#[track_caller]
pub fn list_of(file: &[u8]) -> usize {
    file.windows(4).position(|window| window == b"PK\x01\x02").expect("a list of entries")
}

/// Twelve levels of ten references each, which would be a million million beams.
pub fn references_to_references() -> Vec<u8> {
    let mut levels = String::new();
    for i in 0..12 {
        let name = if i == 0 { "Body".to_owned() } else { format!("L{i}") };
        let to = if i == 11 { "Lens".to_owned() } else { format!("L{}", i + 1) };
        let ten = format!(r#"<GeometryReference Name="r" Geometry="{to}"/>"#).repeat(10);
        levels += &format!(r#"<Geometry Name="{name}">{ten}</Geometry>"#);
    }
    levels += r#"<Beam Name="Lens"/>"#;
    let modes = mode(&plain("1", "Lens", "Dimmer", ""));
    Parts { geometries: &levels, modes: &modes, ..Parts::default() }.packed()
}

/// The text of a description in which a channel of many sets is on a part that comes hundreds of times.
pub fn sets_on_many_parts() -> String {
    let sets: String =
        (0..900).map(|i| format!(r#"<ChannelSet Name="s" DMXFrom="{i}/2"/>"#)).collect();
    let function = format!(r#"<ChannelFunction Attribute="Dimmer">{sets}</ChannelFunction>"#);
    let references: String = (0..250)
        .map(|i| {
            let at = 2 * i + 1;
            format!(r#"<GeometryReference Name="c{i}" Geometry="Cell"><Break DMXOffset="{at}"/></GeometryReference>"#)
        })
        .collect();
    let geometries = format!(r#"<Geometry Name="Body">{references}</Geometry><Beam Name="Cell"/>"#);
    let modes = mode(&channel("1,2", "Cell", "Dimmer", &function));
    Parts { geometries: &geometries, modes: &modes, ..Parts::default() }.xml()
}
