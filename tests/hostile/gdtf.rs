//! Fixture descriptions that mean harm or are broken: each is refused with its reason, within stated
//! bounds of memory and time (`slotwright::profile::gdtf::archive`, `xml`, `import`).

use std::time::{Duration, Instant};

use slotwright::profile::gdtf::archive::{MOST_ENTRIES, MOST_ENTRY, MOST_RATIO, SMALL_ENTRY};
use slotwright::profile::gdtf::import::MOST_PARTS;
use slotwright::profile::gdtf::xml::{
    MOST_ATTRIBUTE, MOST_ATTRIBUTES_IN_ALL, MOST_DEPTH, MOST_ELEMENTS,
};

use super::gdtf_files::{
    description, list_of, lying, million_entries, references_to_references, sets_on_many_parts,
    sound,
};
use super::gdtf_import::{HEAD, Parts, channel, import, mode, pack, plain, says};

/// Time that no refusal takes, on a slow machine without optimisation: most of it is packing.
const SOON: Duration = Duration::from_secs(20);

#[track_caller]
fn refused(bytes: &[u8], expected: &str) {
    let began = Instant::now();
    match import(bytes, None) {
        Ok(imported) => panic!("{:?}", imported.profile),
        Err(findings) => says(&findings.0, expected),
    }
    assert!(began.elapsed() < SOON, "{:?}", began.elapsed());
}

#[test]
fn a_bomb_is_not_unpacked() {
    let zeros = vec![0u8; MOST_ENTRY as usize + 1];
    refused(&pack(&[("description.xml", &zeros)]), "`description.xml` unpacks to 16777217 bytes");
    let ratio = vec![0u8; 4 * SMALL_ENTRY as usize];
    let expected = format!("unpacks to more than {MOST_RATIO} times its size in the archive");
    let xml = sound();
    refused(&pack(&[("description.xml", xml.as_bytes()), ("wheels/x.png", &ratio)]), &expected);
    // Models are not unpacked at all.
    let file = pack(&[("description.xml", xml.as_bytes()), ("models/3ds/x.3ds", &ratio)]);
    assert!(import(&file, None).is_ok());
    // Many entries that are each within bounds.
    let part = vec![b'x'; 8 << 20];
    let noise: Vec<u8> = (0..part.len()).map(|i| (i * i / 7 % 251) as u8).collect();
    let names: Vec<String> = (0..9).map(|i| format!("wheels/{i}.png")).collect();
    let mut entries: Vec<(&str, &[u8])> = vec![("description.xml", xml.as_bytes())];
    entries.extend(names.iter().map(|name| (name.as_str(), noise.as_slice())));
    refused(&pack(&entries), "unpacks to more than 64 MB");
}

#[test]
fn a_list_that_lies_about_sizes_is_refused() {
    let xml = sound();
    let sound = description(&xml);
    let list = list_of(&sound);
    let (less, more) = (xml.len() as u32 - 1, xml.len() as u32 + 1);
    for lie in [0, 7, less, more, 900_000] {
        let file = lying(sound.clone(), xml.len() as u32, lie);
        if lie < more {
            refused(&file, "`description.xml` cannot be unpacked: ");
        } else {
            refused(&file, &format!("does not unpack to the {lie} bytes that the list says"));
        }
    }
    // The size in the archive, 20 bytes behind the signature: less is a stream without an end, more
    // would lead past the entries.
    for lie in [0u32, 7, u32::MAX - 1] {
        let mut file = sound.clone();
        file[list + 20..list + 24].copy_from_slice(&lie.to_le_bytes());
        refused(&file, "`description.xml` ");
    }
}

#[test]
fn an_archive_within_the_archive_is_left_alone() {
    let inner = description(&sound());
    let xml = sound();
    let file = pack(&[("description.xml", xml.as_bytes()), ("more/inner.zip", &inner)]);
    let imported = import(&file, None).unwrap();
    says(&imported.findings, "`more/inner.zip` is an archive within the archive");
    refused(&pack(&[("inner.gdtf", &inner)]), "the archive has no `description.xml`");
}

#[test]
fn names_that_lead_out_refuse_the_archive() {
    let xml = sound();
    for name in ["../evil.png", "wheels/../../evil.png", "/etc/evil.png", "wheels\\..\\evil.png"] {
        let file = pack(&[("description.xml", xml.as_bytes()), (name, b"x")]);
        refused(&file, "leads out of the archive");
    }
}

#[test]
fn a_million_entries_are_counted_before_they_are_read() {
    let file = million_entries();
    refused(&file, &format!("1000000 entries; {MOST_ENTRIES} are allowed"));
}

#[test]
fn a_file_cut_anywhere_is_refused() {
    let file = description(&sound());
    for cut in 0..file.len() {
        assert!(import(&file[..cut], None).is_err(), "{cut}");
    }
    refused(&file[..file.len() - 1], "it is no whole zip archive");
    refused(b"", "it is no whole zip archive");
}

#[test]
fn a_wrong_checksum_is_told() {
    let mut file = description(&sound());
    // The checksum in the list of entries (APPNOTE, 4.3.12): 16 bytes behind its signature.
    let list = list_of(&file);
    file[list + 16] ^= 1;
    file[14] ^= 1;
    refused(&file, "`description.xml` cannot be unpacked: ");
}

#[test]
fn single_bits_that_flip_do_no_harm() {
    let file = description(&sound());
    for place in 0..file.len() {
        let mut broken = file.clone();
        broken[place] ^= 1 << (place % 8);
        let _ = import(&broken, None);
    }
    let xml = sound();
    for place in (0..xml.len()).step_by(3) {
        let mut broken = xml.clone().into_bytes();
        broken[place] ^= 1 << (place % 7);
        let _ = import(&pack(&[("description.xml", &broken)]), None);
    }
}

#[test]
fn entities_do_not_unfold() {
    let mut dtd = String::from("<!DOCTYPE GDTF [<!ENTITY a0 \"laugh\">");
    for i in 1..30 {
        let before = format!("&a{};", i - 1).repeat(10);
        dtd += &format!("<!ENTITY a{i} \"{before}\">");
    }
    refused(
        &description(&format!("{dtd}]><GDTF DataVersion=\"&a29;\"/>")),
        "document type of its own",
    );
    refused(&description("<GDTF DataVersion=\"&a29;\"/>"), "`DataVersion` cannot be read");
    let outside = "<!DOCTYPE GDTF SYSTEM \"file:///etc/passwd\"><GDTF/>";
    refused(&description(outside), "document type of its own");
}

#[test]
fn an_attribute_without_end_is_refused() {
    let hundred = "x".repeat(100 << 20);
    refused(&description(&format!("<GDTF DataVersion=\"{hundred}\"/>")), "unpacks to 104857");
    drop(hundred);
    let one = "xyz1234".repeat(MOST_ATTRIBUTE / 7 + 1);
    let expected = format!("{MOST_ATTRIBUTE} are allowed");
    refused(&description(&format!("<GDTF DataVersion=\"{one}\"/>")), &expected);
    let many: String = (0..200).map(|i| format!(" a{i}=\"\"")).collect();
    refused(&description(&format!("<GDTF{many}/>")), "more than 64 attributes");
    // Values that differ do not pack so well that the ratio refuses them.
    let one = |i: usize| {
        let value = |j: usize| (i * 7919 + j * j * 104_729) % 1000;
        let ten: String = (0..10).map(|j| format!(" a{j}=\"{}\"", value(j))).collect();
        format!("<A{ten}/>")
    };
    let all: String = (0..=MOST_ATTRIBUTES_IN_ALL / 10).map(one).collect();
    let expected = format!("more than {MOST_ATTRIBUTES_IN_ALL} attributes");
    refused(&description(&format!("<GDTF>{all}</GDTF>")), &expected);
}

#[test]
fn elements_without_end_or_bottom_are_refused() {
    let deep = "<Geometry>".repeat(100_000);
    refused(&description(&deep), &format!("nest more than {MOST_DEPTH} deep"));
    let many = format!("<GDTF>{}</GDTF>", "<A/>".repeat(MOST_ELEMENTS + 1));
    refused(&description(&many), &format!("more than {MOST_ELEMENTS} elements"));
    let empty = "<GDTF/>";
    refused(&description(empty), "the description has 0 fixtures");
    refused(&description("<Show/>"), "the description begins with `Show`");
}

#[test]
fn references_that_lead_back_or_multiply_are_left_out() {
    let back = r#"<Geometry Name="Body"><GeometryReference Name="r" Geometry="Other"/></Geometry>
        <Geometry Name="Other"><GeometryReference Name="s" Geometry="Body"/><Beam Name="Lens"/></Geometry>"#;
    let modes = mode(&plain("1", "Lens", "Dimmer", ""));
    let imported = Parts { geometries: back, modes: &modes, ..Parts::default() }.import().unwrap();
    says(&imported.findings, "error: the reference `s` leads back to `Body`");
    let nowhere =
        r#"<Geometry Name="Body"><GeometryReference Name="r" Geometry="None"/></Geometry>"#;
    let imported =
        Parts { geometries: nowhere, modes: &modes, ..Parts::default() }.import().unwrap();
    says(&imported.findings, "leads to `None`, which is not there");
    let began = Instant::now();
    let findings = match import(&references_to_references(), None) {
        Ok(imported) => imported.findings,
        Err(findings) => findings.0,
    };
    says(&findings, &format!("too many parts; {MOST_PARTS} parts"));
    assert!(began.elapsed() < SOON, "{:?}", began.elapsed());
}

#[test]
fn functions_without_end_are_refused() {
    let function = r#"<ChannelFunction Attribute="Dimmer" DMXFrom="1/4"/>"#;
    let channels = channel("1,2,3,4", "Lens", "Dimmer", &function.repeat(5_000));
    let channels = channels + &plain("5", "Lens", "Iris", "");
    let imported = Parts { modes: &mode(&channels), ..Parts::default() }.import().unwrap();
    says(&imported.findings, "the channel has 5000 functions and sets");
    let began = Instant::now();
    let imported = import(&description(&sets_on_many_parts()), None).unwrap();
    says(&imported.findings, "in all; it is left out");
    assert!(began.elapsed() < SOON * 2, "{:?}", began.elapsed());
}

#[test]
fn numbers_that_are_none_are_refused_at_their_place() {
    for number in ["NaN", "inf", "1e308", "-1e308", "1e999", "12..5"] {
        let pan = plain("1", "Yoke", "Pan", &format!(r#"PhysicalFrom="{number}""#));
        let file = Parts { modes: &mode(&pan), ..Parts::default() }.packed();
        refused(&file, "ChannelFunction: error: `PhysicalFrom`: `");
    }
    for value in ["256/1", "1/9", "x", "-1/1"] {
        let dimmer = plain("1", "Lens", "Dimmer", &format!(r#"DMXFrom="{value}""#));
        let file = Parts { modes: &mode(&dimmer), ..Parts::default() }.packed();
        refused(&file, "ChannelFunction: error: `DMXFrom`: `");
    }
    let beam = HEAD.replace("LuminousFlux=\"8000\"", "LuminousFlux=\"1e308\"");
    let file = Parts { geometries: &beam, ..Parts::default() }.packed();
    refused(&file, "line 9, column 5: Beam \"Lens\": error: `LuminousFlux`");
    // Numbers that can be written and still make no sense leave a range unknown.
    for (attribute, value) in
        [("Zoom", "1e9"), ("Shutter1Strobe", "-5"), ("CTC", "3"), ("Pan", "1e9")]
    {
        let odd = plain("1", "Head", attribute, &format!(r#"PhysicalTo="{value}""#));
        let imported = Parts { modes: &mode(&odd), ..Parts::default() }.import().unwrap();
        says(&imported.findings, "cannot be meant");
    }
}

#[test]
fn names_that_come_twice_are_told_and_links_lead_to_the_first() {
    let wheels =
        r#"<Wheel Name="W"><Slot Name="Open"/></Wheel><Wheel Name="W"><Slot Name="a"/></Wheel>"#;
    let physical = r#"<Emitters><Emitter Name="R"/><Emitter Name="R"/></Emitters>"#;
    let geometries = format!("{HEAD}{HEAD}");
    let dimmer = plain("1", "Lens", "Dimmer", "");
    let modes = mode(&dimmer) + &mode(&(dimmer.clone() + &dimmer));
    let parts = Parts { wheels, physical, geometries: &geometries, modes: &modes };
    let imported = parts.import().unwrap();
    for kind in
        ["modes are called `m`", "trees of parts are called `Body`", "emitters are called `R`"]
    {
        says(&imported.findings, kind);
    }
    says(&imported.findings, "wheel \"W\": error: the wheel has no name of its own");
    says(&imported.findings, "channels in mode `m` are called `Lens_Dimmer`");
    assert_eq!(parts.profile().modes.len(), 1);
    let xml = sound();
    let twice =
        [("description.xml", xml.as_bytes()), ("wheels/a.png", b"x"), ("WHEELS/a.png", b"y")];
    assert!(import(&pack(&twice), None).is_ok());
}

#[test]
fn channels_that_share_slots_or_fit_nowhere_are_left_out() {
    let channels = plain("1", "Lens", "Dimmer", "")
        + &plain("1,2", "Head", "Zoom", r#"PhysicalFrom="5" PhysicalTo="50""#);
    let imported = Parts { modes: &mode(&channels), ..Parts::default() }.import().unwrap();
    says(&imported.findings, "error: slot 1 belongs to another channel already");
    let far = r#"<Geometry Name="Body"><GeometryReference Name="r" Geometry="Lens"><Break DMXOffset="4000000000"/></GeometryReference></Geometry><Beam Name="Lens"/>"#;
    let modes = mode(&plain("1", "Lens", "Dimmer", ""));
    let findings =
        Parts { geometries: far, modes: &modes, ..Parts::default() }.import().unwrap_err();
    says(&findings.0, "slots fits in no universe");
    let none = Parts::default().import().unwrap_err();
    says(&none.0, "no mode that can be used");
}
