//! From frames to light in a room: how much of it, of what colour, through what openings.

use std::sync::Arc;

use glam::DVec3;
use slotwright::light::pattern::drawing;
use slotwright::light::{Beam, Rgb};
use slotwright::profile::Profile;
use slotwright::rig::Fixture;
use slotwright::stage::{MarkState, Room, Scene};
use slotwright::wire::Frame;

use crate::heads::{ALDER_LIT, Stage, alder, alder_with, birch, fixture, profile};

#[track_caller]
fn near(got: f64, expected: f64, within: f64) {
    assert!((got - expected).abs() <= within, "{got} is not {expected} within {within}");
}

/// A room that nothing in these tests leaves.
fn hall() -> Room {
    Room { width_m: 60.0, depth_m: 60.0, front_m: 60.0, height_m: 40.0, ..Room::default() }
}

/// A still fixture of exactly 50 000 cd, lit by its one dimmer.
fn lamp() -> Arc<Profile> {
    profile(
        r#"(maker: "Neutral", model: "LAMP", head: Fixed, source: White(flux_lm: 1000.0, cct_k: 5600.0),
            optics: (beam_deg: 20.0, field_deg: 30.0, peak_cd: 50000.0),
            modes: [(name: "1", slots: 1, channels: [
              (name: "Dimmer", at: [1], ranges: [
                (from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0), curve: Linear))])])])"#,
    )
}

/// Lamps at these places, all at one level.
fn lamps(places: &[DVec3], level: u8) -> Scene {
    let rig = places.iter().enumerate().map(|(i, at)| {
        let slot = i as u16 + 1;
        Fixture { at: *at, ..fixture(&lamp(), u32::from(slot), slot) }
    });
    let mut stage = Stage::of(&[lamp()], rig.collect());
    stage.send(&Frame::levels(vec![level; places.len()]).expect("few slots"));
    stage.scene_in(&hall())
}

#[track_caller]
fn lux(scene: &Scene, point: DVec3, normal: DVec3) -> f64 {
    scene.illuminance_at(point, normal).iter().map(|(_, lux)| lux).sum()
}

// Inverse-square law with the cosine of incidence, E = I cos a / d^2 (any photometry handbook); worked
// values for 50 000 cd.
#[test]
fn illuminance_falls_with_the_square_of_the_distance() {
    for (height_m, angle_deg, expected) in [
        (5.0, 0.0, 2000.0),
        (10.0, 0.0, 500.0),
        (10.0, 30.0, 433.01),
        (10.0, 60.0, 250.0),
        (20.0, 0.0, 125.0),
    ] {
        let scene = lamps(&[DVec3::Z * height_m], 255);
        let angle_rad = f64::to_radians(angle_deg);
        let normal = DVec3::new(angle_rad.sin(), 0.0, angle_rad.cos());
        near(lux(&scene, DVec3::ZERO, normal), expected, 0.005);
    }
    let scene = lamps(&[DVec3::Z * 10.0], 255);
    assert_eq!(lux(&scene, DVec3::ZERO, DVec3::NEG_Z), 0.0, "the far side of a surface");
}

// Cosine-cubed law of a floor under a tilted beam, E = I cos^3 t / h^2, relative to straight down.
#[test]
fn a_tilted_head_follows_the_cosine_cubed_law() {
    let peak_at = |tilt: u16| {
        let mut levels = ALDER_LIT;
        levels[2..4].copy_from_slice(&tilt.to_be_bytes());
        let scene = Stage::sent(&alder(), &levels).scene_in(&hall());
        let cone = scene.beams[0].cone;
        let spot = cone.apex - cone.axis * (cone.apex.z / cone.axis.z);
        (cone.axis, lux(&scene, spot, DVec3::Z))
    };
    let (_, below) = peak_at(32_768);
    for tilt_deg in [30.0, 45.0_f64] {
        let value = ((tilt_deg + 135.0) / 270.0 * 65_535.0).round() as u16;
        let (axis, got) = peak_at(value);
        near(got / below, (-axis.z).powi(3), 1e-6);
        near(-axis.z, tilt_deg.to_radians().cos(), 1e-4);
    }
}

// Definition of beam and field angle: 50 % and 10 % of the peak intensity (IES, CIE).
#[test]
fn the_peak_is_on_the_axis_and_halves_at_the_beam_angle() {
    let scene = lamps(&[DVec3::Z * 10.0], 255);
    let toward = |angle_deg: f64| {
        let angle_rad = angle_deg.to_radians();
        let beam = &scene.beams[0];
        let point = beam.cone.apex + DVec3::new(angle_rad.sin(), 0.0, -angle_rad.cos());
        beam.intensity_toward(point).luminance()
    };
    near(toward(0.0), 50_000.0, 1e-6);
    near(toward(10.0), 25_000.0, 1e-6);
    near(toward(15.0), 5000.0, 1e-6);
    assert!(toward(25.0) < 500.0, "it fades on past the field");
    assert_eq!(toward(91.0), 0.0, "no light leaves backwards");
    assert!((1..250).all(|i| toward(f64::from(i) / 10.0) < toward(f64::from(i - 1) / 10.0)));
}

#[test]
fn half_the_dimmer_is_half_the_light() {
    let at = |level| lux(&lamps(&[DVec3::Z * 10.0], level), DVec3::ZERO, DVec3::Z);
    near(at(51), 500.0 * 0.2, 1e-9);
    assert_eq!(lamps(&[DVec3::Z * 10.0], 0).beams.len(), 0);
}

#[test]
fn pools_that_overlap_add_and_each_fixture_is_told_apart() {
    let places = [DVec3::new(0.0, 0.0, 10.0), DVec3::new(1.0, 0.0, 10.0)];
    let both = lamps(&places, 255);
    let alone: Vec<f64> =
        places.iter().map(|at| lux(&lamps(&[*at], 255), DVec3::ZERO, DVec3::Z)).collect();
    let lit = both.illuminance_at(DVec3::ZERO, DVec3::Z);
    let fixtures: Vec<usize> = lit.iter().map(|(fixture, _)| *fixture).collect();
    assert_eq!(fixtures, [0, 1], "brightest first");
    for (fixture, lux) in lit {
        near(lux, alone[fixture], 1e-9);
    }
    near(lux(&both, DVec3::ZERO, DVec3::Z), alone[0] + alone[1], 1e-9);
}

// Mixing in linear light over the sRGB primaries, against an independent implementation.
#[test]
fn emitters_mix_as_their_chromaticities_say() {
    use palette::convert::FromColorUnclamped as _;
    use palette::{LinSrgb, Xyz, Yxy};
    for levels in [[255u8, 0, 0, 0], [0, 255, 0, 0], [0, 0, 0, 255], [90, 200, 10, 40]] {
        let mut slots = [128, 128, 0, 0, 255, 2, 0, 0, 0, 0, 0, 0];
        slots[6..10].copy_from_slice(&levels);
        let stage = Stage::sent(&birch(), &slots);
        let beam = &stage.beams()[0];
        // Emitters outside the screen's gamut are brought into it, one by one, before they add.
        let sum = birch().source.emitters().iter().zip(levels).fold([0.0; 3], |sum, (e, level)| {
            let lumens = e.flux_lm * f64::from(level) / 255.0;
            let xyz = Xyz::from_color_unclamped(Yxy::<palette::white_point::D65, f64>::new(
                e.xy.0, e.xy.1, 1.0,
            ));
            let rgb = LinSrgb::<f64>::from_color_unclamped(xyz);
            let grey = rgb.red.min(rgb.green).min(rgb.blue).min(0.0);
            let [r, g, b] = [rgb.red, rgb.green, rgb.blue].map(|c| c - grey);
            let luminance = 0.2126 * r + 0.7152 * g + 0.0722 * b;
            let part = [r, g, b].map(|c| c / luminance * lumens);
            [sum[0] + part[0], sum[1] + part[1], sum[2] + part[2]]
        });
        let strongest = sum.into_iter().fold(0.0, f64::max);
        let got = beam.rgb_cd.0;
        let got_strongest = got.into_iter().fold(0.0, f64::max);
        for (got, expected) in got.into_iter().zip(sum) {
            near(got / got_strongest, expected / strongest, 0.01);
        }
    }
}

#[test]
fn a_tint_colours_the_beam_and_takes_light_out_of_it() {
    let (white, red) = (alder_with(&[]).beams(), alder_with(&[(8, 20)]).beams());
    let through = |beam: &Beam| beam.openings[0].transmission;
    assert_eq!(through(&white[0]), Rgb::WHITE);
    // #ff2020 by the sRGB transfer function, IEC 61966-2-1.
    let expected: palette::LinSrgb<f64> = palette::Srgb::<u8>::new(255, 32, 32).into_linear();
    let Rgb([r, g, b]) = through(&red[0]);
    near(r, expected.red, 1e-6);
    near(g, expected.green, 1e-6);
    near(b, expected.blue, 1e-6);
}

#[test]
fn a_pattern_leaves_the_openings_of_its_drawing() {
    let open = alder_with(&[]).beams();
    assert_eq!(open[0].openings.len(), 1);
    let far = (11, 255);
    for (level, name) in [(10, "dots"), (18, "bars"), (34, "star")] {
        let drawing = drawing(name).expect("a shipped drawing");
        let beams = alder_with(&[(9, level), far]).beams();
        let cut = beams[0].openings.iter().filter(|opening| opening.outline.is_some());
        assert_eq!(cut.count(), drawing.openings.len(), "{name}");
        // Light through the openings is their share of the disc, in focus or out of it.
        let share: f64 = beams[0]
            .openings
            .iter()
            .map(|opening| opening.area_share() * opening.transmission.luminance())
            .sum();
        near(share, drawing.open_fraction, 1e-6);
    }
}

#[test]
fn a_prism_makes_one_beam_a_facet_and_keeps_the_light() {
    let one = alder_with(&[]).beams();
    let three = alder_with(&[(13, 200)]).beams();
    assert_eq!((one.len(), three.len()), (1, 3));
    let light = |beams: &[Beam]| beams.iter().map(|beam| beam.rgb_cd.luminance()).sum::<f64>();
    near(light(&three) / light(&one), 1.0, 1e-12);
    for beam in &three {
        let thrown = beam.cone.axis.angle_between(one[0].cone.axis);
        near(thrown.to_degrees(), 5.0, 1e-9);
    }
    let axes: DVec3 = three.iter().map(|beam| beam.cone.axis).sum();
    near(axes.normalize().distance(one[0].cone.axis), 0.0, 1e-12);
}

#[test]
fn a_blocked_place_lets_no_light_out() {
    let stage = alder_with(&[(9, 122)]);
    assert!(stage.beams().is_empty());
    assert_eq!(stage.scene_in(&hall()).marks[0].state, MarkState::Dark);
}

#[test]
fn a_head_that_something_else_runs_has_no_beam_and_says_why() {
    let scene = alder_with(&[(15, 12)]).scene_in(&hall());
    assert!(scene.beams.is_empty());
    let MarkState::Overridden(words) = &scene.marks[0].state else { panic!("a program runs") };
    assert!(words.contains("Programs"), "{words}");
}

#[test]
fn zoom_keeps_the_flux_while_the_peak_falls() {
    let at = |level: u8| {
        let beams = alder_with(&[(12, level)]).beams();
        let beam = &beams[0];
        (beam.distribution.beam_deg(), beam.rgb_cd.luminance(), beam.distribution)
    };
    let ((narrow_deg, narrow_cd, narrow), (wide_deg, wide_cd, wide)) = (at(0), at(255));
    near(narrow_deg, 8.0, 1e-9);
    near(wide_deg, 40.0, 1e-9);
    assert!(narrow_cd > 20.0 * wide_cd);
    near(narrow.flux_lm(narrow_cd) / wide.flux_lm(wide_cd), 1.0, 1e-9);
}

#[test]
fn an_unpatched_fixture_is_shown_and_not_read() {
    let head = Fixture { address: None, ..fixture(&alder(), 7, 1) };
    let scene = Stage::of(&[alder()], vec![head]).scene_in(&hall());
    assert_eq!(scene.marks[0].state, MarkState::Unread);
    assert_eq!((scene.marks[0].id, scene.beams.len()), (7, 0));
}
