//! DIN SPEC 15800 (GDTF): values, channels, functions, wheels. Table numbers are those of the standard;
//! values marked `calc` are worked from its words by hand.

use slotwright::profile::gdtf::values::{CieColour, DmxValue};
use slotwright::profile::{Effect, Head, Lamp, Mode, Profile, Range, Source, WheelSlot};

use super::assert_near;
use super::gdtf_import::{Parts, channel, import, mode, pack, plain, says};

#[track_caller]
fn value(text: &str, width: usize, expected: u32) {
    assert_eq!(
        DmxValue::parse(text).expect("a sound value").to_width(width),
        expected,
        "{text} in {width} slots"
    );
}

fn first_mode(profile: &Profile) -> &Mode {
    &profile.modes[0]
}

/// The range of a channel's value and the physical value in it.
#[track_caller]
fn at<'a>(profile: &'a Profile, name: &str, value: u32) -> (&'a Range, f64) {
    let mode = first_mode(profile);
    let channel = mode.channel(name).unwrap_or_else(|| panic!("{mode:?}"));
    let width = channel.at.len();
    let inside = |range: &&Range| {
        range.bounds(width).is_some_and(|(first, last)| (first..=last).contains(&value))
    };
    let range = channel.ranges.iter().find(inside).unwrap_or_else(|| panic!("{channel:?}"));
    let (first, last) = range.bounds(width).expect("a sound range");
    let t = if last > first { f64::from(value - first) / f64::from(last - first) } else { 0.0 };
    (range, range.does.physical().map_or(f64::NAN, |physical| physical.at(t)))
}

#[test]
fn values_widen_by_repeating_their_bytes_or_by_zeros() {
    // Table 1: 255/1 is 65535, 255/1s is 65280; the rest calc.
    value("255/1", 1, 255);
    value("255/1", 2, 65_535);
    value("255/1", 3, 16_777_215);
    value("255/1s", 1, 255);
    value("255/1s", 2, 65_280);
    value("255/1s", 3, 16_711_680);
    value("128/1", 2, 32_896);
    value("128/1", 3, 8_421_504);
    value("128/1s", 2, 32_768);
    value("128/1s", 3, 8_388_608);
    value("127/1", 2, 32_639);
    value("127/1", 3, 8_355_711);
    value("1/1", 2, 257);
    value("1/1", 3, 65_793);
    value("10/1", 2, 2570);
    value("255/1", 4, u32::MAX);
    // Several bytes repeat over and over; the standard does not say how.
    value("32768/2", 3, 8_388_736);
    value("32768/2s", 3, 8_388_608);
}

#[test]
fn values_narrow_by_keeping_the_most_significant_bytes() {
    // The standard's public tracker, 102: 2949/2 in 8 bits is 11, cut and not rounded.
    value("2949/2", 1, 11);
    value("2949/2", 2, 2949);
    value("32768/2", 1, 128);
    value("65535/2", 1, 255);
    value("4294967295/4", 2, 65_535);
}

#[test]
fn pan_of_sixteen_bits_runs_from_end_to_end() {
    // calc: step 540 / 65535 = 0.008240 deg; the middle values lie half a step beside 0.
    let pan = plain("1,2", "Yoke", "Pan", r#"DMXFrom="0/2" PhysicalFrom="-270" PhysicalTo="270""#);
    let profile = Parts { modes: &mode(&pan), ..Parts::default() }.profile();
    for (value, deg) in [(0, -270.0), (32_767, -0.004_12), (32_768, 0.004_12), (65_535, 270.0)] {
        assert_near(at(&profile, "Pan", value).1, deg, 5e-6);
    }
    let Head::Moving { pan, .. } = &profile.head else { panic!("{:?}", profile.head) };
    assert_eq!((pan.travel_deg, pan.speed_deg_s), (540.0, None));
    // In 8 bits: 127 is -1.0588, 128 is +1.0588 deg (calc).
    let pan = plain("1", "Yoke", "Pan", r#"PhysicalFrom="-270" PhysicalTo="270""#);
    let profile = Parts { modes: &mode(&pan), ..Parts::default() }.profile();
    assert_near(at(&profile, "Pan", 127).1, -1.0588, 5e-5);
    assert_near(at(&profile, "Pan", 128).1, 1.0588, 5e-5);
}

#[test]
fn a_function_ends_before_the_next_begins() {
    // Table 60, DMXTo: 0, 101, 201 in 8 bits are 0..100, 101..200, 201..255; strobe 1..10 Hz on
    // 101..200 is 5.4545 Hz at 150 (calc).
    let functions = r#"
        <ChannelFunction Attribute="Shutter1" DMXFrom="0/1" PhysicalFrom="0" PhysicalTo="0"/>
        <ChannelFunction Attribute="Shutter1" DMXFrom="201/1" PhysicalFrom="1" PhysicalTo="1"/>
        <ChannelFunction Attribute="Shutter1Strobe" DMXFrom="101/1" PhysicalFrom="1" PhysicalTo="10"/>"#;
    let shutter = channel("1", "Lens", "Shutter1", functions);
    let profile = Parts { modes: &mode(&shutter), ..Parts::default() }.profile();
    let name = first_mode(&profile).channels[0].name.clone();
    for (value, ends) in [(0, (0, 100)), (100, (0, 100)), (101, (101, 200)), (201, (201, 255))] {
        assert_eq!(at(&profile, &name, value).0.bounds(1), Some(ends));
    }
    assert_eq!(at(&profile, &name, 50).0.does, Effect::Shut);
    assert_eq!(at(&profile, &name, 255).0.does, Effect::Open);
    assert_near(at(&profile, &name, 150).1, 5.4545, 5e-5);
}

#[test]
fn functions_of_one_condition_follow_each_other() {
    // Table 60, ModeMaster: which function is "next" is open (public tracker, 103); here that of the same
    // condition.
    let functions = r#"
        <ChannelFunction Name="a" Attribute="Gobo1Pos" DMXFrom="0/1" PhysicalFrom="0" PhysicalTo="360" Wheel="W" ModeMaster="Body_Control1" ModeFrom="0/1" ModeTo="99/1"/>
        <ChannelFunction Name="b" Attribute="Gobo1PosRotate" DMXFrom="0/1" PhysicalFrom="-360" PhysicalTo="0" Wheel="W" ModeMaster="Body_Control1" ModeFrom="100/1" ModeTo="255/1"/>
        <ChannelFunction Name="c" Attribute="Gobo1PosRotate" DMXFrom="128/1" PhysicalFrom="0" PhysicalTo="360" Wheel="W" ModeMaster="Body_Control1" ModeFrom="100/1" ModeTo="255/1"/>"#;
    let channels =
        plain("1", "Body", "Control1", "") + &channel("2", "Head", "Gobo1Pos", functions);
    let wheels = r#"<Wheel Name="W"><Slot Name="Open"/></Wheel>"#;
    let profile = Parts { wheels, modes: &mode(&channels), ..Parts::default() }.profile();
    let ranges = &first_mode(&profile).channel("Gobo 1 pos").unwrap().ranges;
    let drawn: Vec<_> =
        ranges.iter().map(|r| (r.bounds(1).unwrap(), r.when[0].1, r.when[0].2)).collect();
    let expected = [((0, 127), 100, 255), ((0, 255), 0, 99), ((128, 255), 100, 255)];
    assert_eq!(drawn, expected, "{ranges:?}");
    // 360 deg/s is 60 rpm (calc).
    let Effect::Spin { rpm, .. } = ranges[2].does else { panic!("{ranges:?}") };
    assert_eq!(rpm, (0.0, 60.0));
}

#[test]
fn an_omitted_end_of_a_condition_covers_the_value_zero_only() {
    // Table 60: ModeFrom and ModeTo default to 0/1; no ModeMaster at all means always.
    let functions = r#"
        <ChannelFunction Name="a" Attribute="Dimmer" ModeMaster="Body_Control1"/>
        <ChannelFunction Name="b" Attribute="NoFeature" DMXFrom="0/1"/>"#;
    let channels = plain("1", "Body", "Control1", "") + &channel("2", "Head", "Dimmer", functions);
    let profile = Parts { modes: &mode(&channels), ..Parts::default() }.profile();
    let ranges = &first_mode(&profile).channel("Dimmer").unwrap().ranges;
    let when: Vec<_> = ranges.iter().map(|r| (r.does.key(), r.when[0].1, r.when[0].2)).collect();
    assert_eq!(when, [("dimmer", 0, 0), ("idle", 1, 255)]);
}

#[test]
fn a_set_without_physical_values_lies_on_the_line_of_its_function() {
    // Table 61 restarts the whole span within the set by the letter; the standard's own example, a set
    // at mid-range that is 0 deg, needs the line of the function.
    let functions = r#"<ChannelFunction Attribute="Tilt" PhysicalFrom="-135" PhysicalTo="135">
        <ChannelSet Name="low" DMXFrom="0/1"/><ChannelSet Name="home" DMXFrom="120/1"/><ChannelSet Name="" DMXFrom="136/1"/>
      </ChannelFunction>"#;
    let tilt = channel("1", "Head", "Tilt", functions);
    let profile = Parts { modes: &mode(&tilt), ..Parts::default() }.profile();
    let (range, deg) = at(&profile, "Tilt", 127);
    assert_eq!((range.label.as_str(), range.bounds(1)), ("home", Some((120, 135))));
    assert_near(deg, -0.5294, 5e-5);
    assert_near(at(&profile, "Tilt", 255).1, 135.0, 1e-9);
}

#[test]
fn places_on_a_wheel_are_shares_of_a_slot() {
    // The standard's example of a colour wheel: Open 0..35 (0..0.5), Red 36..72 (-0.5..0.5): 36 is
    // -0.5, 54 is 0, 72 is +0.5 (calc). Slots count from 1 (table 61).
    let functions = r#"<ChannelFunction Attribute="Color1" Wheel="W">
        <ChannelSet Name="Open" DMXFrom="0/1" PhysicalFrom="0" PhysicalTo="0.5" WheelSlotIndex="1"/>
        <ChannelSet Name="Red" DMXFrom="36/1" PhysicalFrom="-0.5" PhysicalTo="0.5" WheelSlotIndex="2"/>
        <ChannelSet Name="Blue" DMXFrom="73/1" PhysicalFrom="0" PhysicalTo="0" WheelSlotIndex="3"/>
        <ChannelSet Name="Back" DMXFrom="100/1" PhysicalFrom="-0.5" PhysicalTo="0.5" WheelSlotIndex="1"/>
        <ChannelSet Name="None" DMXFrom="201/1" WheelSlotIndex="0"/>
      </ChannelFunction>"#;
    let wheels = r#"<Wheel Name="W"><Slot Name="Open"/>
        <Slot Name="Red" Color="0.64,0.33,21.26"/><Slot Name="Blue" Color="0.15,0.06,7.22"/></Wheel>"#;
    let colour = channel("1", "Head", "Color1", functions);
    let profile = Parts { wheels, modes: &mode(&colour), ..Parts::default() }.profile();
    for (value, place) in [(0, 1.0), (35, 1.5), (36, 1.5), (54, 2.0), (72, 2.5)] {
        assert_near(at(&profile, "Color 1", value).1, place, 1e-9);
    }
    let slot = |slot| Effect::Slot { wheel: "W".to_owned(), slot };
    assert_eq!(at(&profile, "Color 1", 80).0.does, slot(3));
    // Half a slot before the first lies behind the last: 3.5 of 3, then on from 1.
    assert_near(at(&profile, "Color 1", 100).1, 3.5, 1e-9);
    assert_near(at(&profile, "Color 1", 200).1, 1.5, 1e-9);
    assert_eq!(at(&profile, "Color 1", 201).0.does, Effect::Unknown);
    let slots = &profile.wheels["W"].slots;
    assert_eq!(slots[1], WheelSlot::Tint("Red".to_owned(), "#ff0000".to_owned()));
    assert_eq!(slots[0], WheelSlot::Open);
}

#[test]
fn a_wheel_slot_beyond_the_wheel_is_an_error_and_zero_is_none() {
    let functions = r#"<ChannelFunction Attribute="Gobo1" Wheel="W">
        <ChannelSet Name="a" DMXFrom="0/1" WheelSlotIndex="1"/>
        <ChannelSet Name="b" DMXFrom="100/1" WheelSlotIndex="9"/></ChannelFunction>"#;
    let slots = r#"<Slot Name="Open"/>"#.repeat(8);
    let wheels = format!(r#"<Wheel Name="W">{slots}</Wheel>"#);
    let gobo = channel("1", "Head", "Gobo1", functions);
    let imported =
        Parts { wheels: &wheels, modes: &mode(&gobo), ..Parts::default() }.import().unwrap();
    says(&imported.findings, "error: `b` is at slot 9 of the wheel `W`; its slots are 1 to 8");
}

#[test]
fn what_is_missing_is_what_the_standard_takes_for_it() {
    // Table 41: discharge, 10000 lm, 6000 K, 25 deg both. Table 60: 0 to 1.
    let geometries = r#"<Geometry Name="Body"><Beam Name="Lens"/></Geometry>"#;
    let dimmer = plain("1", "Lens", "Dimmer", "");
    let imported =
        Parts { geometries, modes: &mode(&dimmer), ..Parts::default() }.import().unwrap();
    let profile = &imported.profile;
    let source = Source::White { flux_lm: 10_000.0, cct_k: 6000.0, lamp: Lamp::Discharge };
    assert_eq!(profile.source, source);
    assert_eq!((profile.optics.beam_deg, profile.optics.field_deg), (25.0, 25.0));
    assert_near(at(profile, "Dimmer", 255).1, 100.0, 1e-9);
    says(&imported.findings, "the luminous flux is not given");
}

#[test]
fn the_value_at_rest_stands_with_the_function_or_in_old_files_with_the_channel() {
    // Since version 1.1 with the function; channels of older files still have it.
    let new = r#"<DMXChannel Offset="1,2" Geometry="Head" InitialFunction="Head_Zoom.Zoom.Zoom 2"><LogicalChannel Attribute="Zoom">
        <ChannelFunction Name="Zoom 1" Attribute="Zoom" PhysicalFrom="5" PhysicalTo="10" Default="1/1"/>
        <ChannelFunction Name="Zoom 2" Attribute="Zoom" DMXFrom="128/1" PhysicalFrom="10" PhysicalTo="50" Default="200/1"/>
      </LogicalChannel></DMXChannel>"#;
    let old = r#"<DMXChannel Offset="3" Default="7/1" Geometry="Head"><LogicalChannel Attribute="Iris" Snap="Yes">
        <ChannelFunction Name="Iris 1" Attribute="Iris"/></LogicalChannel></DMXChannel>"#;
    let imported =
        Parts { modes: &mode(&format!("{new}{old}")), ..Parts::default() }.import().unwrap();
    let mode = first_mode(&imported.profile);
    assert_eq!(mode.channel("Zoom").unwrap().default, 200 * 257);
    let iris = mode.channel("Iris").unwrap();
    assert_eq!((iris.default, iris.snap), (7, true));
    // 128/1 widens to 32896, so that coarse 128 straddles two ranges.
    says(&imported.findings, "warning: `128/1` in a channel of 2 slots: coarse 128 straddles");
    let ranges = &mode.channel("Zoom").unwrap().ranges;
    assert_eq!(ranges[1].bounds(2), Some((32_896, 65_535)));
}

#[test]
fn a_reference_moves_channels_up_by_its_offset_less_one() {
    // Table 49: slot = start + offset - 1 + (DMXOffset - 1).
    let geometries = r#"<Geometry Name="Body">
        <GeometryReference Name="Left" Geometry="Cell" Position="{1,0,0,-0.2}{0,1,0,0}{0,0,1,0}{0,0,0,1}"><Break DMXBreak="1" DMXOffset="1"/></GeometryReference>
        <GeometryReference Name="Right" Geometry="Cell" Position="{1,0,0,0.2}{0,1,0,0}{0,0,1,0}{0,0,0,1}"><Break DMXBreak="1" DMXOffset="4"/></GeometryReference>
      </Geometry><Beam Name="Cell" LampType="LED" LuminousFlux="500"/>"#;
    let emitter = |offset: &str, attribute: &str| plain(offset, "Cell", attribute, "");
    let channels =
        emitter("1", "ColorAdd_R") + &emitter("2", "ColorAdd_G") + &emitter("3", "ColorAdd_B");
    let parts = Parts { geometries, modes: &mode(&channels), ..Parts::default() };
    let profile = parts.profile();
    let mode = first_mode(&profile);
    assert_eq!(mode.slots, 6);
    let red = mode.channel("Red, Right").unwrap();
    assert_eq!((red.at.as_slice(), red.cell), (&[4][..], Some(2)));
    assert_eq!(mode.channel("Blue, Left").unwrap().at, [3]);
    assert_eq!(profile.cells, [(-0.2, 0.0), (0.2, 0.0)]);
    let Source::Emitters(emitters) = &profile.source else { panic!("{:?}", profile.source) };
    assert_near(emitters.iter().map(|e| e.flux_lm).sum(), 1000.0, 0.01);
    assert_eq!(emitters[0].xy, (0.64, 0.33));
}

#[test]
fn an_offset_of_none_takes_no_slot() {
    // Table 58: `None` or nothing is a virtual channel. Listing 1: with Multiply to each colour it is
    // a virtual dimmer.
    let channels = plain("None", "Lens", "Dimmer", r#"Default="255/1""#)
        + &plain("1", "Lens", "ColorAdd_R", r#"Name="R""#)
        + &plain("2", "Lens", "ColorAdd_G", r#"Name="G""#);
    let relations = r#"<Relations>
        <Relation Name="a" Master="Lens_Dimmer" Follower="Lens_ColorAdd_R.ColorAdd_R.R" Type="Multiply"/>
        <Relation Name="b" Master="Lens_Dimmer" Follower="Lens_ColorAdd_G.ColorAdd_G.G" Type="Override"/></Relations>"#;
    let modes = mode(&channels).replace("</DMXMode>", &format!("{relations}</DMXMode>"));
    let imported = Parts { modes: &modes, ..Parts::default() }.import().unwrap();
    let mode = first_mode(&imported.profile);
    assert_eq!((mode.slots, mode.channels.len()), (2, 2));
    says(&imported.findings, "note: a dimmer without a slot; the emitters are the level");
    says(&imported.findings, "`Override`: the master takes the follower's place while it acts");
    assert!(!imported.findings.iter().any(|f| f.what.contains("`Multiply`")));
}

#[test]
fn curves_are_pieces_of_third_degree() {
    // Table 24: the point with the greatest DMXPercentage that is not beyond; 0 before the first.
    use slotwright::profile::gdtf::description::{DmxProfile, ProfilePoint};
    let point = |percent: f64, c: [f64; 4]| ProfilePoint {
        percent: Some(percent),
        cfc0: Some(c[0]),
        cfc1: Some(c[1]),
        cfc2: Some(c[2]),
        cfc3: Some(c[3]),
        ..ProfilePoint::default()
    };
    let points = vec![point(10.0, [0.0, 0.5, 0.0, 0.0]), point(50.0, [20.0, 1.0, 0.01, 0.0002])];
    let curve = DmxProfile { points, ..DmxProfile::default() };
    for (percent, output) in [(5.0, 0.0), (10.0, 0.0), (30.0, 10.0), (50.0, 20.0), (60.0, 31.2)] {
        assert_near(curve.output(percent), output, 1e-9);
    }
    let physical = r#"<DMXProfiles><DMXProfile Name="square"><Point DMXPercentage="0" CFC2="0.01"/></DMXProfile></DMXProfiles>"#;
    let dimmer = plain("1", "Lens", "Dimmer", r#"DMXProfile="square""#);
    let profile = Parts { physical, modes: &mode(&dimmer), ..Parts::default() }.profile();
    let Effect::Dimmer { curve, .. } = &first_mode(&profile).channels[0].ranges[0].does else {
        panic!()
    };
    assert_near(curve.light(0.5), 0.25, 1e-9);
}

#[test]
fn luminance_is_a_share_of_one_or_of_a_hundred_and_may_have_a_comma() {
    // Table 12 has 0..100, table 21 has 0..1; an example has a decimal comma.
    for text in ["0.3127,0.3290,100.0", "0.3127,0.3290,100,0", "0,3127,0,3290,100,0"] {
        assert_eq!(CieColour::parse(text), Ok(CieColour::WHITE), "{text}");
    }
    let colour = r#"<ChannelFunction Attribute="Color1" Wheel="W"><ChannelSet Name="a" DMXFrom="0/1" WheelSlotIndex="2"/></ChannelFunction>"#;
    let modes = mode(&channel("1", "Head", "Color1", colour));
    let wheel = |white: &str, red: &str| {
        format!(
            r#"<Wheel Name="W"><Slot Name="Open" Color="0.3127,0.3290,{white}"/><Slot Name="Red" Color="0.64,0.33,{red}"/></Wheel>"#
        )
    };
    for (white, red) in [("100", "21.26"), ("1", "0.2126")] {
        let profile =
            Parts { wheels: &wheel(white, red), modes: &modes, ..Parts::default() }.profile();
        let slots = &profile.wheels["W"].slots;
        assert_eq!(slots[1], WheelSlot::Tint("Red".to_owned(), "#ff0000".to_owned()));
    }
}

#[test]
fn times_from_end_to_end_and_to_full_speed_give_speed_and_acceleration() {
    // Table 60, RealFade and RealAcceleration: 540 deg in 3 s of which full speed takes 0.5 s to reach
    // is 216 deg/s and 432 deg/s2 (calc: D / v + v / a = 540 / 216 + 216 / 432 = 3).
    let pan = plain(
        "1",
        "Yoke",
        "Pan",
        r#"PhysicalFrom="-270" PhysicalTo="270" RealFade="3" RealAcceleration="0.5""#,
    );
    let zoom = plain("2", "Head", "Zoom", r#"PhysicalFrom="5" PhysicalTo="50" RealFade="0.8""#);
    let profile = Parts { modes: &mode(&(pan + &zoom)), ..Parts::default() }.profile();
    let Head::Moving { pan, .. } = &profile.head else { panic!("{:?}", profile.head) };
    assert_eq!((pan.speed_deg_s, pan.accel_deg_s2), (Some(216.0), Some(432.0)));
    assert_eq!(profile.times.zoom_s, Some(0.8));
}

#[test]
fn channels_split_among_attributes_hold_one_at_a_time() {
    // A split channel has one logical channel an attribute, each filled up with NoFeature.
    let split = r#"<DMXChannel Offset="1" Geometry="Lens">
        <LogicalChannel Attribute="Shutter1"><ChannelFunction Attribute="Shutter1" PhysicalFrom="0" PhysicalTo="0"/>
          <ChannelFunction Attribute="NoFeature" DMXFrom="128/1"/></LogicalChannel>
        <LogicalChannel Attribute="Dimmer"><ChannelFunction Attribute="NoFeature"/>
          <ChannelFunction Attribute="Dimmer" DMXFrom="128/1"/></LogicalChannel></DMXChannel>"#;
    let imported = Parts { modes: &mode(split), ..Parts::default() }.import().unwrap();
    let ranges = &first_mode(&imported.profile).channels[0].ranges;
    let drawn: Vec<_> = ranges.iter().map(|r| (r.bounds(1).unwrap(), r.does.key())).collect();
    assert_eq!(drawn, [((0, 127), "shut"), ((128, 255), "dimmer")]);
    assert!(!imported.findings.iter().any(|f| f.what.contains("both claim")));
}

#[test]
fn footprint_is_the_highest_slot_and_not_the_count() {
    let mut channels = String::new();
    for slot in (1..=20).chain([24]) {
        channels += &plain(&slot.to_string(), "Body", &format!("Control{slot}"), "");
    }
    let imported = Parts { modes: &mode(&channels), ..Parts::default() }.import().unwrap();
    let made = first_mode(&imported.profile);
    assert_eq!((made.slots, made.channels.len()), (24, 21));
    says(&imported.findings, "mode \"m\": note: no channel describes slot 21..23 of the mode");
    says(&imported.findings, "slots behind that cannot be known from the file");
    // A channel without a slot adds none (table 58).
    let with_virtual = channels.clone() + &plain("None", "Lens", "Dimmer", "");
    let profile = Parts { modes: &mode(&with_virtual), ..Parts::default() }.profile();
    assert_eq!(first_mode(&profile).slots, 24);
    // Where every slot is described there is nothing to say.
    let whole = plain("1,2", "Lens", "Dimmer", "") + &plain("3", "Head", "Iris", "");
    let imported = Parts { modes: &mode(&whole), ..Parts::default() }.import().unwrap();
    assert!(!imported.findings.iter().any(|f| f.what.contains("describes")));
}

#[test]
fn a_time_of_zero_is_a_time_that_is_not_given() {
    // Table 60: RealFade and RealAcceleration are 0 where the file leaves them out.
    let zero = r#"PhysicalFrom="-270" PhysicalTo="270" RealFade="0" RealAcceleration="0""#;
    let zoom = plain("2", "Head", "Zoom", r#"PhysicalFrom="5" PhysicalTo="50" RealFade="0""#);
    let modes = mode(&(plain("1", "Yoke", "Pan", zero) + &zoom));
    let profile = Parts { modes: &modes, ..Parts::default() }.profile();
    let Head::Moving { pan, .. } = &profile.head else { panic!("{:?}", profile.head) };
    assert_eq!((pan.speed_deg_s, pan.accel_deg_s2, profile.times.zoom_s), (None, None, None));
}

#[test]
fn a_condition_on_a_repeated_part_is_ambiguous() {
    let geometries = r#"<Geometry Name="Body"><GeometryReference Name="A" Geometry="Cell"><Break DMXOffset="2"/></GeometryReference>
        <GeometryReference Name="B" Geometry="Cell"><Break DMXOffset="3"/></GeometryReference></Geometry><Beam Name="Cell"/>"#;
    let channels = plain("1", "Body", "Dimmer", r#"ModeMaster="Cell_Tilt" ModeTo="9/1""#)
        + &plain("1", "Cell", "Tilt", r#"PhysicalFrom="-90" PhysicalTo="90""#);
    let imported =
        Parts { geometries, modes: &mode(&channels), ..Parts::default() }.import().unwrap();
    says(&imported.findings, "a function depends on `Cell_Tilt`: ambiguous, 2 instances");
}

#[test]
fn two_channels_for_one_level_without_a_relation_are_an_error() {
    let channels = plain("3", "Lens", "Dimmer", "") + &plain("9", "Head", "Dimmer", "");
    let imported = Parts { modes: &mode(&channels), ..Parts::default() }.import().unwrap();
    says(&imported.findings, "error: `dimmer` is set by slot 3 and by slot 9, with no relation");
    let relation = r#"<Relations><Relation Name="r" Master="Head_Dimmer" Follower="Lens_Dimmer.Dimmer.x" Type="Multiply"/></Relations></DMXMode>"#;
    let modes = mode(&channels).replace("</DMXMode>", relation);
    let imported = Parts { modes: &modes, ..Parts::default() }.import().unwrap();
    assert!(!imported.findings.iter().any(|f| f.what.contains("no relation")));
}

#[test]
fn pictures_and_facets_become_patterns_and_prisms() {
    // Annex E: white passes. Table 13 with the standard's example of three facets.
    let mut picture = tiny_skia::Pixmap::new(64, 64).unwrap();
    picture.fill(tiny_skia::Color::BLACK);
    let white = tiny_skia::Paint {
        shader: tiny_skia::Shader::SolidColor(tiny_skia::Color::WHITE),
        ..Default::default()
    };
    let square = tiny_skia::Rect::from_xywh(16.0, 16.0, 32.0, 32.0).unwrap();
    picture.fill_rect(square, &white, tiny_skia::Transform::identity(), None);
    let png = picture.encode_png().unwrap();
    let wheels = r#"<Wheel Name="G"><Slot Name="Open"/><Slot Name="Square" MediaFileName="sq"/></Wheel>
        <Wheel Name="P"><Slot Name="Open"/><Slot Name="Three"><Facet Rotation="{0.6,0,0}{0,0.6,0}{-0.12,0.15,1}"/>
        <Facet Rotation="{0.6,0,0}{0,0.6,0}{0.17,0,1}"/><Facet Rotation="{0.6,0,0}{0,0.6,0}{-0.12,-0.15,1}"/></Slot></Wheel>"#;
    let select = |attribute: &str, wheel: &str| {
        format!(
            r#"<ChannelFunction Attribute="{attribute}" Wheel="{wheel}"><ChannelSet Name="open" DMXFrom="0/1" WheelSlotIndex="1"/><ChannelSet Name="in" DMXFrom="128/1" WheelSlotIndex="2"/></ChannelFunction>"#
        )
    };
    let channels = channel("1", "Head", "Gobo1", &select("Gobo1", "G"))
        + &channel("2", "Head", "Prism1", &select("Prism1", "P"));
    let parts = Parts { wheels, modes: &mode(&channels), ..Parts::default() };
    let xml = parts.xml();
    let file = pack(&[("description.xml", xml.as_bytes()), ("wheels/sq.png", &png)]);
    let profile = import(&file, None).unwrap().profile;
    assert_eq!(
        profile.wheels["G"].slots[1],
        WheelSlot::Pattern("Square".to_owned(), "sq".to_owned())
    );
    assert_eq!(profile.drawings["sq"].len(), 1);
    let WheelSlot::Prism { facets, spread_deg, .. } = profile.wheels["P"].slots[1] else {
        panic!()
    };
    // A mean throw of 0.1847 of a field of 16 deg (calc).
    assert_eq!(facets, 3);
    assert_near(spread_deg, 2.956, 5e-3);
}
