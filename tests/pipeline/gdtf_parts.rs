//! What of a fixture description of DIN SPEC 15800 a profile says in several ranges or by other means, and
//! what is lost where it cannot.

use slotwright::profile::{
    Channel, Condition, Effect, Head, Profile, Shape, Source, Timing, WheelSlot,
};

use super::gdtf_import::*;

#[track_caller]
fn channel_called<'a>(profile: &'a Profile, name: &str) -> &'a Channel {
    let names: Vec<&str> = profile.modes[0].channels.iter().map(|c| c.name.as_str()).collect();
    profile.modes[0].channel(name).unwrap_or_else(|| panic!("{name} is none of {names:?}"))
}

/// Kinds of flashes on slot 2, their rate on slot 1.
fn split_strobe(kinds: &str) -> String {
    plain("1", "Lens", "StrobeFrequency", r#"PhysicalFrom="1" PhysicalTo="20""#)
        + &channel("2", "Lens", "StrobeModeStrobe", kinds)
}

#[test]
fn a_rate_and_a_kind_of_flashes_on_two_channels_depend_on_one_another() {
    // Annex A: StrobeMode attributes give the type, "used with StrobeFrequency".
    let kinds = r#"<ChannelFunction Attribute="StrobeModeStrobe"/>
        <ChannelFunction Attribute="StrobeModePulseOpen" DMXFrom="64/1"/>
        <ChannelFunction Attribute="StrobeModeRandomPulse" DMXFrom="128/1"/>
        <ChannelFunction Attribute="StrobeModeShutter" DMXFrom="192/1"/>"#;
    let modes = mode(&split_strobe(kinds));
    let imported = Parts { modes: &modes, ..Parts::default() }.import().unwrap();
    let rate = channel_called(&imported.profile, "Strobe frequency");
    let kind = channel_called(&imported.profile, "Strobe mode strobe");
    assert!(kind.ranges.iter().all(|range| range.does == Effect::Select), "{:?}", kind.ranges);
    let when = |first: i64, last: i64| vec![Condition(kind.name.clone(), first, last)];
    let flashes: Vec<_> = rate
        .ranges
        .iter()
        .map(|range| match &range.does {
            Effect::Strobe { hz: (1.0, 20.0), shape, timing, .. } => {
                (range.when.clone(), Some((*shape, *timing)))
            }
            _ => (range.when.clone(), None),
        })
        .collect();
    let expected = [
        (when(0, 63), Some((Shape::Hard, Timing::Even))),
        (when(64, 127), Some((Shape::Opening, Timing::Even))),
        (when(128, 191), Some((Shape::Swell, Timing::Random))),
        (when(192, 255), None),
    ];
    for one in &expected {
        assert!(flashes.contains(one), "{flashes:?}");
    }
    assert_eq!(flashes.len(), expected.len());
    says(&imported.findings, "what it then does is not stated");
}

#[test]
fn a_kind_of_flashes_that_depends_on_a_third_channel_is_told_and_taken_as_even() {
    let kinds = r#"<ChannelFunction Attribute="StrobeModeStrobe" ModeMaster="Lens_Iris" ModeFrom="0/1" ModeTo="127/1"/>
        <ChannelFunction Attribute="StrobeModePulseOpen" ModeMaster="Lens_Iris" ModeFrom="128/1" ModeTo="255/1"/>"#;
    let modes = mode(&(split_strobe(kinds) + &plain("3", "Lens", "Iris", "")));
    let imported = Parts { modes: &modes, ..Parts::default() }.import().unwrap();
    says(&imported.findings, "the kind of flashes depends on more channels than");
    let rate = channel_called(&imported.profile, "Strobe frequency");
    let [range] = rate.ranges.as_slice() else { panic!("{:?}", rate.ranges) };
    assert!(matches!(range.does, Effect::Strobe { shape: Shape::Hard, timing: Timing::Even, .. }));
}

#[test]
fn a_rate_of_flashes_by_itself_is_even_and_hard() {
    let rate = plain("1", "Lens", "StrobeFrequency", r#"PhysicalFrom="1" PhysicalTo="20""#);
    let profile = Parts { modes: &mode(&rate), ..Parts::default() }.profile();
    let range = &profile.modes[0].channels[0].ranges[0];
    assert!(range.when.is_empty());
    assert!(matches!(range.does, Effect::Strobe { shape: Shape::Hard, timing: Timing::Even, .. }));
}

#[test]
fn what_is_lost_of_flashes_blades_and_masters_is_said() {
    let channels = plain("1", "Lens", "StrobeDuration", r#"PhysicalFrom="0" PhysicalTo="0.2""#)
        + &plain("2", "Lens", "Blade1A", "")
        + &plain("3", "Lens", "Blade1B", "")
        + &plain("4", "Lens", "Zoom", r#"Name="z" PhysicalFrom="5" PhysicalTo="50""#)
        + &plain("5", "Lens", "Dimmer", r#"Name="d""#);
    let relations = r#"<Relations><Relation Name="r" Master="Lens_Dimmer" Follower="Lens_Zoom.Zoom.z" Type="Override"/>
        <Relation Name="s" Master="Lens_Dimmer" Follower="Lens_Zoom.Zoom.z" Type="Multiply"/></Relations></DMXMode>"#;
    let modes = mode(&channels).replace("</DMXMode>", relations);
    let imported = Parts { modes: &modes, ..Parts::default() }.import().unwrap();
    says(&imported.findings, "how long one flash lasts is lost");
    says(&imported.findings, "the slant that this one gives it is lost");
    says(&imported.findings, "so that both channels act here");
    says(&imported.findings, "the follower acts unscaled");
    let blade = &channel_called(&imported.profile, "Blade 1 a").ranges[0].does;
    assert_eq!(*blade, Effect::Blade { blade: 1, percent: (0.0, 100.0) });
}

#[test]
fn a_curve_of_what_is_no_dimmer_is_cut_into_straight_parts() {
    // Table 24; the corner lies at 40 % of the values and 10 % of the way (worked example).
    let physical = r#"<DMXProfiles><DMXProfile Name="late"><Point DMXPercentage="0" CFC1="0.25"/><Point DMXPercentage="40" CFC0="10" CFC1="1.5"/></DMXProfile></DMXProfiles>"#;
    let zoom = r#"<ChannelFunction Attribute="Zoom" PhysicalFrom="10" PhysicalTo="60" DMXProfile="late"><ChannelSet Name="narrow" DMXFrom="0/1"/><ChannelSet Name="wide" DMXFrom="200/1"/></ChannelFunction>"#;
    let modes = mode(&channel("1", "Lens", "Zoom", zoom));
    let imported = Parts { physical, modes: &modes, ..Parts::default() }.import().unwrap();
    let ranges = &imported.profile.modes[0].channels[0].ranges;
    let drawn: Vec<_> = ranges.iter().map(|r| (r.bounds(1).unwrap(), r.label.as_str())).collect();
    assert_eq!(drawn, [((0, 101), "narrow"), ((102, 199), "narrow"), ((200, 255), "wide")]);
    let Effect::Zoom { deg: (corner, _) } = ranges[1].does else { panic!("{ranges:?}") };
    let Effect::Zoom { deg: (_, end) } = ranges[2].does else { panic!("{ranges:?}") };
    assert!((corner - 15.0).abs() < 1e-6 && (end - 60.0).abs() < 1e-6, "{ranges:?}");
    says(&imported.findings, "`Zoom` follows a curve; straight parts stand for it here");
    // A curve that is not there is told.
    let modes = modes.replace("\"late\"", "\"none\"");
    let imported = Parts { modes: &modes, ..Parts::default() }.import().unwrap();
    says(&imported.findings, "none can stand for it here; taken as even");
}

#[test]
fn a_part_called_a_mirror_that_pans_makes_a_mirror_head() {
    let geometries =
        HEAD.replace("\"Yoke\"", "\"Mirror pan\"").replace("\"Head\"", "\"Mirror tilt\"");
    let channels = plain("1", "Mirror pan", "Pan", r#"PhysicalFrom="-90" PhysicalTo="90""#)
        + &plain("2", "Mirror tilt", "Tilt", r#"PhysicalFrom="-35" PhysicalTo="35""#);
    let parts = Parts { geometries: &geometries, modes: &mode(&channels), ..Parts::default() };
    let imported = parts.import().unwrap();
    let Head::Mirror { pan, tilt } = &imported.profile.head else {
        panic!("{:?}", imported.profile.head)
    };
    assert_eq!((pan.travel_deg, tilt.travel_deg), (180.0, 70.0));
    says(&imported.findings, "taken as a mirror");
}

#[test]
fn a_slot_without_light_blocks_and_one_that_is_no_texture_is_none() {
    let wheels = r#"<Wheel Name="W"><Slot Name="Open"/><Slot Name="Stop" Color="0.3127,0.3290,0"/><Slot Name="Half" Color="0.3127,0.3290,50"/></Wheel>"#;
    let gobo = r#"<ChannelFunction Attribute="Gobo1" Wheel="W"><ChannelSet Name="a" DMXFrom="0/1" WheelSlotIndex="1"/></ChannelFunction>"#;
    let modes = mode(&channel("1", "Lens", "Gobo1", gobo));
    let profile = Parts { wheels, modes: &modes, ..Parts::default() }.profile();
    let slots = &profile.wheels["W"].slots;
    assert_eq!(slots[1], WheelSlot::Blocked("Stop".to_owned()));
    assert!(matches!(&slots[2], WheelSlot::Tint(name, _) if name == "Half"), "{slots:?}");
}

#[test]
fn a_body_drawn_as_one_has_its_size_and_one_of_several_parts_is_told() {
    let dimmer = mode(&plain("1", "Lens", "Dimmer", ""));
    let models =
        r#"<Models><Model Name="Box" Length="0.4" Width="0.3" Height="0.5"/></Models><Geometries>"#;
    let sized = |geometries: &str| {
        let xml = Parts { geometries, modes: &dimmer, ..Parts::default() }.xml();
        let xml = xml.replace("<Geometries>", models);
        import(&pack(&[("description.xml", xml.as_bytes())]), None).unwrap()
    };
    let one = HEAD.replace("Name=\"Body\"", "Name=\"Body\" Model=\"Box\"");
    assert_eq!(sized(&one).profile.body.size_m, Some((0.4, 0.3, 0.5)));
    let two = one.replace("Name=\"Yoke\"", "Name=\"Yoke\" Model=\"Box\"");
    let imported = sized(&two);
    assert_eq!(imported.profile.body.size_m, None);
    says(&imported.findings, "the fixture is drawn with 2 bodies");
}

#[test]
fn cells_sit_where_the_parts_stand_in_the_fixture() {
    let geometries = r#"<Geometry Name="Body">
        <GeometryReference Name="a" Geometry="Cell" Position="{1,0,0,0.1}{0,1,0,0}{0,0,1,0}{0,0,0,1}"><Break DMXOffset="1"/></GeometryReference>
        <GeometryReference Name="b" Geometry="Cell" Position="{1,0,0,0.5}{0,1,0,0.2}{0,0,1,0}{0,0,0,1}"><Break DMXOffset="2"/></GeometryReference>
        </Geometry><Beam Name="Cell" LampType="LED" LuminousFlux="100"/>"#;
    let channels = plain("1", "Cell", "Dimmer", "");
    let profile = Parts { geometries, modes: &mode(&channels), ..Parts::default() }.profile();
    assert_eq!(profile.cells, [(0.1, 0.0), (0.5, 0.2)]);
    assert!(matches!(profile.source, Source::White { flux_lm: 200.0, .. }));
}
