//! Files of the open standard for fixture descriptions (DIN SPEC 15800), from bytes to what a frame
//! asks. Attributes and their units are those of its annexes A and B.

use slotwright::finding::{Finding, Severity};
use slotwright::profile::gdtf::description::{PhysicalUnit, Record};
use slotwright::profile::gdtf::{self, Description, attributes};
use slotwright::profile::{Effect, Profile, Source, parse_profile, to_ron};

use super::gdtf_import::{HEAD, Parts, channel, import, mode, pack, plain, says};

/// A head with a bit of everything, as a file could have it.
fn everything() -> Vec<u8> {
    let wheels = r#"<Wheel Name="Colours"><Slot Name="Open"/><Slot Name="Red" Color="0.64,0.33,21.26"/><Slot Name="Steel" Filter="Blue"/></Wheel>
        <Wheel Name="Patterns"><Slot Name="Open"/><Slot Name="Leaves" MediaFileName="leaves"/></Wheel>"#;
    let physical = r#"<Filters><Filter Name="Blue" Color="0.15,0.06,7.22"/></Filters>
        <Properties><OperatingTemperature Low="0" High="40"/><Weight Value="17.5"/><PowerConsumption Value="340"/></Properties>"#;
    let select = |attribute: &str, wheel: &str, sets: &str| {
        format!(
            r#"<ChannelFunction Attribute="{attribute}" Wheel="{wheel}" RealFade="1">{sets}</ChannelFunction>"#
        )
    };
    let slots = r#"<ChannelSet Name="Open" DMXFrom="0/1" WheelSlotIndex="1"/><ChannelSet Name="One" DMXFrom="64/1" WheelSlotIndex="2"/>"#;
    let gobo = format!(
        r#"{}<ChannelFunction Attribute="Gobo1SelectShake" Wheel="Patterns" DMXFrom="128/1" PhysicalFrom="1" PhysicalTo="5"><ChannelSet Name="shake" DMXFrom="128/1" WheelSlotIndex="2"/></ChannelFunction>
        <ChannelFunction Attribute="Gobo1WheelSpin" Wheel="Patterns" DMXFrom="192/1" PhysicalFrom="360" PhysicalTo="-360"/>"#,
        select("Gobo1", "Patterns", slots)
    );
    let shutter = r#"<ChannelFunction Attribute="Shutter1" DMXFrom="0/1"><ChannelSet Name="Closed" DMXFrom="0/1"/><ChannelSet Name="Open" DMXFrom="16/1"/></ChannelFunction>
        <ChannelFunction Attribute="Shutter1StrobePulse" DMXFrom="32/1" PhysicalFrom="0.5" PhysicalTo="10" Default="40/1"/>"#;
    let control = r#"<ChannelFunction Attribute="LampControl"><ChannelSet Name="No function" DMXFrom="0/1"/><ChannelSet Name="Lamp on" DMXFrom="100/1"/><ChannelSet Name="Lamp off" DMXFrom="110/1"/></ChannelFunction>
        <ChannelFunction Attribute="FixtureGlobalReset" DMXFrom="200/1"><ChannelSet Name="Reset" DMXFrom="200/1"/><ChannelSet Name="Idle" DMXFrom="220/1"/></ChannelFunction>"#;
    let channels = [
        plain(
            "1,2",
            "Yoke",
            "Pan",
            r#"PhysicalFrom="-270" PhysicalTo="270" RealFade="3" RealAcceleration="0.5" Default="128/1s""#,
        ),
        plain("3,4", "Head", "Tilt", r#"PhysicalFrom="-135" PhysicalTo="135" Default="32768/2""#),
        channel("5", "Lens", "Shutter1", shutter),
        plain("6,7", "Lens", "Dimmer", r#"PhysicalFrom="0" PhysicalTo="1""#),
        channel("8", "Lens", "Color1", &select("Color1", "Colours", slots)),
        channel("9", "Lens", "Gobo1", &gobo),
        plain(
            "10",
            "Lens",
            "Gobo1PosRotate",
            r#"PhysicalFrom="-720" PhysicalTo="720" Wheel="Patterns""#,
        ),
        plain("11", "Lens", "CTO", r#"PhysicalFrom="7000" PhysicalTo="3000""#),
        plain("12", "Lens", "ColorSub_C", ""),
        plain("13", "Lens", "Zoom", r#"PhysicalFrom="50" PhysicalTo="5""#),
        plain("14", "Lens", "Frost1", ""),
        channel("15", "Body", "LampControl", control),
        plain("16", "Body", "PositionMSpeed", ""),
    ];
    let xml =
        Parts { wheels, physical, modes: &mode(&channels.concat()), ..Parts::default() }.xml();
    pack(&[("description.xml", xml.as_bytes())])
}

fn errors(findings: &[Finding]) -> Vec<&Finding> {
    findings.iter().filter(|finding| finding.severity == Severity::Error).collect()
}

#[test]
fn a_whole_head_imports_and_reads_back_as_it_is() {
    let imported = import(&everything(), None).unwrap();
    assert_eq!(errors(&imported.findings), Vec::<&Finding>::new());
    let profile = &imported.profile;
    let (again, _) = parse_profile(&to_ron(profile), None, &|_| false).unwrap();
    assert_eq!(&again, profile);
    assert_eq!((profile.body.mass_kg, profile.body.power_w), (Some(17.5), Some(340.0)));
    assert_eq!(profile.wheels["Patterns"].move_s, Some(1.0));
    assert_eq!(profile.wheels["Colours"].move_s, Some(0.5));
    let mode = &profile.modes[0];
    assert_eq!(mode.slots, 16);
    let does = |name: &str| -> Vec<&str> {
        let channel = mode.channel(name).unwrap_or_else(|| panic!("{mode:?}"));
        channel.ranges.iter().map(|range| range.does.key()).collect()
    };
    assert_eq!(does("Shutter 1"), ["shut", "open", "pulse"]);
    assert_eq!(does("Gobo 1"), ["slot", "slot", "shake", "scroll"]);
    assert_eq!(does("Lamp control"), ["idle", "lamp-on", "lamp-off", "reset", "idle"]);
    assert_eq!(does("Position speed"), ["unknown"]);
    assert_eq!(mode.channel("Pan").unwrap().default, 0x8000);
    says(&imported.findings, "the attribute `PositionMSpeed` has no counterpart here");
    says(&imported.findings, "`OperatingTemperature` has no counterpart here");
    says(&imported.findings, "the archive has no picture `wheels/leaves.png`");
}

#[test]
fn a_description_written_back_reads_as_it_was() {
    let gdtf = gdtf::read(&everything()).unwrap();
    let written = gdtf.description.write();
    let mut said = gdtf::Said::default();
    let again = <Description as Record>::read(&written, &mut said);
    assert!(!said.failed());
    assert_eq!(again, gdtf.description);
}

#[test]
fn every_attribute_of_the_standard_imports_or_is_told() {
    for attribute in attributes::all() {
        let name = attribute.name.replace("(n)", "1").replace("(m)", "1");
        let wheel = r#"<Wheel Name="W"><Slot Name="Open"/><Slot Name="Two"/></Wheel>"#;
        // A pair that makes sense in the unit.
        let (from, to) = match attribute.unit {
            PhysicalUnit::Angle => ("5", "50"),
            PhysicalUnit::AngularSpeed => ("6", "60"),
            PhysicalUnit::Temperature => ("3000", "6000"),
            PhysicalUnit::Frequency => ("1", "10"),
            _ => ("0", "1"),
        };
        let function = format!(
            r#"<ChannelFunction Attribute="{name}" Wheel="W" PhysicalFrom="{from}" PhysicalTo="{to}">
            <ChannelSet Name="on" DMXFrom="0/1" WheelSlotIndex="2"/></ChannelFunction>"#
        );
        let modes = mode(&channel("1", "Lens", &name, &function));
        let imported = Parts { wheels: wheel, modes: &modes, ..Parts::default() }.import().unwrap();
        let ranges = &imported.profile.modes[0].channels[0].ranges;
        assert!(!ranges.is_empty(), "{name}");
        let unknown = ranges.iter().any(|range| range.does == Effect::Unknown);
        let told = imported.findings.iter().any(|finding| finding.what.contains(attribute.name));
        assert_eq!(unknown, told, "{name}: {ranges:?}");
        assert_eq!(errors(&imported.findings), Vec::<&Finding>::new(), "{name}");
    }
    let own = mode(&plain("1", "Lens", "Gnomes", ""));
    let imported = Parts { modes: &own, ..Parts::default() }.import().unwrap();
    says(&imported.findings, "warning: the attribute `Gnomes` is none of the standard's");
}

#[test]
fn one_mode_can_be_asked_for_by_name() {
    let dimmer = plain("1", "Lens", "Dimmer", "");
    let modes = mode(&dimmer) + &mode(&dimmer).replace("\"m\"", "\"Extended\"");
    let file = Parts { modes: &modes, ..Parts::default() }.packed();
    let modes = |profile: &Profile| -> Vec<String> {
        profile.modes.iter().map(|mode| mode.name.clone()).collect()
    };
    assert_eq!(modes(&import(&file, None).unwrap().profile), ["m", "Extended"]);
    assert_eq!(modes(&import(&file, Some("Extended")).unwrap().profile), ["Extended"]);
    says(&import(&file, Some("extendet")).unwrap_err().0, "did you mean `Extended`?");
}

#[test]
fn a_mode_with_two_start_addresses_is_laid_one_behind_the_other() {
    let channels = plain("1", "Lens", "Dimmer", "")
        + &plain("2,3", "Yoke", "Pan", r#"PhysicalFrom="-90" PhysicalTo="90""#)
        + &plain("1", "Lens", "ColorAdd_R", "").replace("Offset=", "DMXBreak=\"2\" Offset=");
    let imported = Parts { modes: &mode(&channels), ..Parts::default() }.import().unwrap();
    let mode = &imported.profile.modes[0];
    assert_eq!((mode.slots, mode.channel("Red").unwrap().at.as_slice()), (4, &[4][..]));
    says(&imported.findings, "its slots follow here from slot 4");
}

#[test]
fn a_reference_can_choose_the_start_address_of_its_channels() {
    let geometries = r#"<Geometry Name="Body"><Beam Name="Lens"/>
        <GeometryReference Name="A" Geometry="Cell"><Break DMXBreak="1" DMXOffset="1"/><Break DMXBreak="2" DMXOffset="5"/></GeometryReference>
        </Geometry><Beam Name="Cell"/>"#;
    let channels = plain("1", "Lens", "Dimmer", "")
        + &plain("1", "Cell", "Dimmer", "").replace("Offset=", "DMXBreak=\"Overwrite\" Offset=");
    let profile = Parts { geometries, modes: &mode(&channels), ..Parts::default() }.profile();
    // The last break counts: its second start address, moved up by 4, behind one slot of the first.
    assert_eq!(profile.modes[0].channel("Dimmer, A").unwrap().at, [6]);
    assert_eq!(profile.modes[0].slots, 6);
}

#[test]
fn a_master_over_cells_stays_whole_and_groups_of_cells_are_told() {
    let geometries = r#"<Geometry Name="Body">
        <Geometry Name="Group"><GeometryReference Name="a" Geometry="Cell"><Break DMXOffset="3"/></GeometryReference>
        <GeometryReference Name="b" Geometry="Cell"><Break DMXOffset="4"/></GeometryReference></Geometry>
        <GeometryReference Name="c" Geometry="Cell"><Break DMXOffset="5"/></GeometryReference>
        </Geometry><Beam Name="Cell" LampType="LED"/>"#;
    let relation = r#"<Relations><Relation Name="r" Master="Body_Dimmer" Follower="Cell_Dimmer.Dimmer.d" Type="Multiply"/>
        <Relation Name="s" Master="Group_Dimmer" Follower="Cell_Dimmer.Dimmer.d" Type="Multiply"/>
        <Relation Name="t" Master="Body_Dimmer" Follower="Group_Dimmer.Dimmer.d" Type="Multiply"/></Relations></DMXMode>"#;
    let channels = plain("1", "Body", "Dimmer", "")
        + &plain("2", "Group", "Dimmer", "")
        + &plain("1", "Cell", "Dimmer", r#"Name="d""#);
    let modes = mode(&channels).replace("</DMXMode>", relation);
    let imported = Parts { geometries, modes: &modes, ..Parts::default() }.import().unwrap();
    assert_eq!(errors(&imported.findings), Vec::<&Finding>::new());
    let profile = &imported.profile;
    assert_eq!(profile.cells.len(), 3);
    let cells: Vec<Option<u16>> = profile.modes[0].channels.iter().map(|c| c.cell).collect();
    assert_eq!(cells, [None, None, Some(1), Some(2), Some(3)]);
    assert_eq!(profile.modes[0].channels[1].ranges[0].does, Effect::Unknown);
    says(&imported.findings, "a channel for 2 of 3 beams together");
}

#[test]
fn emitters_take_their_colour_and_share_from_what_was_measured() {
    let physical = r#"<Emitters>
        <Emitter Name="Deep" Color="0.70,0.29,10"><Measurement Physical="100" LuminousIntensity="300"/></Emitter>
        <Emitter Name="Leaf" DominantWaveLength="520"><Measurement Physical="100" LuminousIntensity="700"/></Emitter></Emitters>"#;
    let channels = plain("1", "Lens", "ColorAdd_R", r#"Emitter="Deep""#)
        + &plain("2", "Lens", "ColorAdd_G", r#"Emitter="Leaf""#);
    let profile = Parts { physical, modes: &mode(&channels), ..Parts::default() }.profile();
    let Source::Emitters(emitters) = &profile.source else { panic!("{:?}", profile.source) };
    assert_eq!((emitters[0].name.as_str(), emitters[0].xy), ("Deep", (0.70, 0.29)));
    assert_eq!((emitters[0].flux_lm, emitters[1].flux_lm), (2400.0, 5600.0));
    assert!(emitters[1].xy.1 > 0.75, "{emitters:?}");
}

#[test]
fn lists_of_unknown_things_are_told_and_kept() {
    let geometries = HEAD.replace("<Axis Name=\"Yoke\">", "<Axis Name=\"Yoke\" Odd=\"1\">");
    let modes = mode(&plain("1", "Lens", "Dimmer", ""))
        .replace("</DMXMode>", "<FTMacros><FTMacro Name=\"m\"/></FTMacros><Gnomes/></DMXMode>");
    let parts = Parts { geometries: &geometries, modes: &modes, ..Parts::default() };
    let imported = parts.import().unwrap();
    says(&imported.findings, "Axis \"Yoke\": note: the attribute `Odd` is not known");
    says(&imported.findings, "the element `Gnomes` is not known");
    says(&imported.findings, "`FTMacros` has no counterpart here");
    let gdtf = gdtf::read(&parts.packed()).unwrap();
    let mode = &gdtf.description.fixture().unwrap().modes[0];
    assert_eq!(mode.other.elements.len(), 2);
}
