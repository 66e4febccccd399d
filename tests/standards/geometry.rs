//! Where beams land, against trigonometry, the conic sections and plain numeric integration.
//!
//! Axes of DIN SPEC 15800: right-handed, z up, a hanging head's beam along -z, pan about z, tilt about x.
//! The sense of rotation is not defined there; the right-hand rule is taken.

use std::f64::consts::FRAC_1_SQRT_2;

use glam::{DMat3, DVec2, DVec3};
use proptest::prelude::*;
use slotwright::light::cone::{Cone, Face, Scratch, circle, clip_half_plane, project};
use slotwright::light::conic::Footprint;

use crate::assert_near;

/// A head at `apex` turned by pan, then tilted: d = Rz(pan) Rx(tilt) (0, 0, -1).
fn head(apex: DVec3, pan_deg: f64, tilt_deg: f64, half_angle_deg: f64) -> Cone {
    let turn = DMat3::from_rotation_z(pan_deg.to_radians())
        * DMat3::from_rotation_x(tilt_deg.to_radians());
    Cone::new(apex, turn * -DVec3::Z, turn * DVec3::Y, half_angle_deg.to_radians())
        .expect("a finite cone")
}

fn floor(half_m: f64) -> Face {
    let corner = DVec3::new(-half_m, -half_m, 0.0);
    Face::new(corner, DVec3::X, DVec3::Y, 2.0 * half_m, 2.0 * half_m)
}

fn landed(face: &Face, cone: &Cone, shape: &[DVec2]) -> Vec<DVec3> {
    let (mut directions, mut out) = (Vec::new(), Vec::new());
    cone.directions(shape, &mut directions);
    project(face, cone.apex, &directions, &mut Scratch::default(), &mut out);
    out
}

/// Area of a flat polygon in the room, in square metres.
fn area_m2(polygon: &[DVec3]) -> f64 {
    let next = polygon.iter().cycle().skip(1);
    polygon.iter().zip(next).map(|(a, b)| a.cross(*b)).sum::<DVec3>().length() / 2.0
}

// Worked from d = Rz(pan) Rx(tilt) (0, 0, -1), axes of DIN SPEC 15800, height 6 m.
#[test]
fn a_head_lands_where_its_pan_and_tilt_point() {
    let apex = DVec3::Z * 6.0;
    for (pan_deg, tilt_deg, direction, hit) in [
        (0.0, 0.0, [0.0, 0.0, -1.0], Some((0.0, 0.0, 6.0))),
        (0.0, 30.0, [0.0, 0.5, -0.8660], Some((0.0, 3.4641, 6.9282))),
        (90.0, 45.0, [-FRAC_1_SQRT_2, 0.0, -FRAC_1_SQRT_2], Some((-6.0, 0.0, 8.4853))),
        (-45.0, 45.0, [0.5, 0.5, -FRAC_1_SQRT_2], Some((4.2426, 4.2426, 8.4853))),
        (0.0, 90.0, [0.0, 1.0, 0.0], None),
    ] {
        let cone = head(apex, pan_deg, tilt_deg, 5.0);
        assert_near(cone.axis.distance(direction.into()), 0.0, 1e-4);
        // Level to within rounding: a floor of 50 m is too small for it to reach.
        let point = floor(50.0).hit(apex, cone.axis);
        assert_eq!(point.is_some(), hit.is_some());
        if let (Some(point), Some((x, y, throw_m))) = (point, hit) {
            assert_near(point.x, x, 5e-5);
            assert_near(point.y, y, 5e-5);
            assert_near(point.distance(apex), throw_m, 5e-5);
        }
    }
}

// Trigonometry: height h, tilt t lands at h tan t.
#[test]
fn tilt_moves_the_spot_by_the_height_times_its_tangent() {
    for height_m in [2.5, 6.0, 9.0] {
        for tilt_deg in [-80.0f64, -30.0, 0.0, 12.5, 45.0, 80.0] {
            let cone = head(DVec3::Z * height_m, 0.0, tilt_deg, 5.0);
            let point = floor(60.0).hit(cone.apex, cone.axis).unwrap();
            assert_near(point.y, height_m * tilt_deg.to_radians().tan(), 1e-9);
            assert_near(point.x, 0.0, 1e-12);
        }
    }
}

/// How far a point of the plane is from lying on the curve, as the left side of the curve's normal
/// form less its right side.
fn off_curve(footprint: &Footprint, normal: DVec3, point: DVec3) -> f64 {
    let along_across = |from: DVec3, along: DVec3| {
        let offset = point - from;
        (offset.dot(along), offset.dot(normal.cross(along)))
    };
    match *footprint {
        Footprint::Ellipse { centre, semi_major_m, semi_minor_m, major_dir } => {
            let (x, y) = along_across(centre, major_dir);
            (x / semi_major_m).powi(2) + (y / semi_minor_m).powi(2) - 1.0
        }
        Footprint::Parabola { vertex, semi_latus_m, opens } => {
            let (x, y) = along_across(vertex, opens);
            (y * y - 2.0 * semi_latus_m * x) / (semi_latus_m + x).powi(2)
        }
        Footprint::Hyperbola { centre, semi_transverse_m, semi_conjugate_m, opens } => {
            let (x, y) = along_across(centre, opens);
            assert!(x > 0.0, "on the far branch");
            let (p, q) = ((x / semi_transverse_m).powi(2), (y / semi_conjugate_m).powi(2));
            (p - q - 1.0) / (p + q)
        }
        Footprint::None => panic!("no footprint"),
    }
}

// Conic sections: the plane section of a right circular cone, by where its edge rays land.
#[test]
fn the_edge_of_a_beam_lands_on_the_closed_form_of_its_conic() {
    let disc = circle(64);
    for (tilt_deg, half_deg, kind) in [
        (0.0, 12.5, "ellipse"),
        (20.0, 5.0, "ellipse"),
        (-50.0, 20.0, "ellipse"),
        (65.0, 20.0, "ellipse"),
        (70.0, 20.0, "parabola"),
        (-75.0, 15.0, "parabola"),
        (80.0, 20.0, "hyperbola"),
        (95.0, 30.0, "hyperbola"),
    ] {
        for pan_deg in [0.0, 37.0, 200.0] {
            let cone = head(DVec3::new(1.0, 2.0, 5.0), pan_deg, tilt_deg, half_deg);
            let footprint = Footprint::on_plane(&cone, DVec3::ZERO, DVec3::Z);
            let got = match footprint {
                Footprint::Ellipse { .. } => "ellipse",
                Footprint::Parabola { .. } => "parabola",
                Footprint::Hyperbola { .. } => "hyperbola",
                Footprint::None => "none",
            };
            assert_eq!(got, kind, "tilt {tilt_deg}, half angle {half_deg}");
            let half_m = 400.0;
            let mut on_edge = 0;
            for point in landed(&floor(half_m), &cone, &disc) {
                // Where the far side is cut off, points lie on the edge of the floor or on the
                // straight bridge along it.
                if point.x.abs().max(point.y.abs()) > half_m - 1e-6 {
                    continue;
                }
                assert_near(off_curve(&footprint, DVec3::Z, point), 0.0, 1e-9);
                on_edge += 1;
            }
            assert!(on_edge > 12, "{on_edge} points, tilt {tilt_deg}");
        }
    }
}

// Conic sections: eccentricity sin t / cos a, ends at h tan(t - a) and h tan(t + a).
#[test]
fn an_ellipse_has_the_axes_of_its_closed_form() {
    let (height_m, tilt, half) = (6.0, 35f64.to_radians(), 12f64.to_radians());
    let cone = head(DVec3::Z * height_m, 0.0, 35.0, 12.0);
    let Footprint::Ellipse { centre, semi_major_m, semi_minor_m, major_dir } =
        Footprint::on_plane(&cone, DVec3::ZERO, DVec3::Z)
    else {
        panic!("no ellipse");
    };
    let (near, far) = (height_m * (tilt - half).tan(), height_m * (tilt + half).tan());
    let eccentricity = tilt.sin() / half.cos();
    assert_near(semi_major_m, (far - near) / 2.0, 1e-12);
    assert_near(semi_minor_m, semi_major_m * (1.0 - eccentricity.powi(2)).sqrt(), 1e-12);
    assert_near(centre.distance(DVec3::Y * (near + far) / 2.0), 0.0, 1e-12);
    assert_near(major_dir.distance(DVec3::Y), 0.0, 1e-12);
    // The middle of the ellipse lies beyond the point the axis meets.
    assert!(centre.y > height_m * tilt.tan());
    // The projected polygon agrees: its farthest and nearest points, and its area.
    let points = landed(&floor(50.0), &cone, &circle(720));
    let reach = |f: fn(f64, f64) -> f64, start| points.iter().map(|p| p.y).fold(start, f);
    assert_near(reach(f64::max, f64::NEG_INFINITY), far, 1e-3);
    assert_near(reach(f64::min, f64::INFINITY), near, 1e-3);
    let ellipse_m2 = std::f64::consts::PI * semi_major_m * semi_minor_m;
    assert_near(area_m2(&points) / ellipse_m2, 1.0, 1e-4);
}

// Numeric integration: a grid of points of the floor, each lit if its angle from the axis is below the
// half angle.
#[test]
fn a_footprint_cut_at_the_edges_of_the_room_has_the_area_a_grid_counts() {
    let disc = circle(720);
    let face = floor(4.0);
    for (apex, pan_deg, tilt_deg, half_deg) in [
        ([3.0, 0.0, 5.0], 0.0, 10.0, 20.0),
        ([3.0, 3.0, 5.0], 120.0, 15.0, 25.0),
        ([0.0, 0.0, 5.0], 30.0, 60.0, 35.0),
        ([0.0, -6.0, 3.0], 0.0, 75.0, 30.0),
        ([0.0, 0.0, 2.0], 0.0, 0.0, 80.0),
    ] {
        let cone = head(apex.into(), pan_deg, tilt_deg, half_deg);
        let polygon_m2 = area_m2(&landed(&face, &cone, &disc));
        let steps = 1000;
        let cell_m = 8.0 / f64::from(steps);
        let mut lit = 0;
        for i in 0..steps {
            for j in 0..steps {
                let (x, y) = (f64::from(i) + 0.5, f64::from(j) + 0.5);
                let point = DVec3::new(x * cell_m - 4.0, y * cell_m - 4.0, 0.0);
                let toward = (point - cone.apex).normalize();
                lit += i32::from(toward.dot(cone.axis) >= cone.half_angle_rad.cos());
            }
        }
        let grid_m2 = f64::from(lit) * cell_m * cell_m;
        assert_near(polygon_m2, grid_m2, 0.01 + 1e-3 * grid_m2);
    }
}

// Geometry of the plane: what one wall and the floor catch of a beam into their corner is the whole beam.
#[test]
fn a_beam_into_a_corner_is_shared_without_gap_or_overlap() {
    let wall = Face::new(DVec3::new(-10.0, 4.0, 0.0), DVec3::X, DVec3::Z, 20.0, 10.0);
    // Faces the audience: u x v points downstage.
    assert_eq!(wall.normal, -DVec3::Y);
    let ground = Face::new(DVec3::new(-10.0, -6.0, 0.0), DVec3::X, DVec3::Y, 20.0, 10.0);
    let cone = head(DVec3::new(0.0, 0.0, 4.0), 0.0, 45.0, 15.0);
    let disc = circle(90);
    // As seen from the apex both parts are areas of the aperture: turn points back into the disc.
    let seen = |points: &[DVec3]| -> f64 {
        let spread = cone.half_angle_rad.tan();
        let back: Vec<DVec3> = points
            .iter()
            .map(|p| {
                let d = *p - cone.apex;
                let w = d.dot(cone.axis) * spread;
                DVec3::new(d.dot(cone.right()) / w, d.dot(cone.up) / w, 0.0)
            })
            .collect();
        area_m2(&back)
    };
    let whole: Vec<DVec3> = disc.iter().map(|p| p.extend(0.0)).collect();
    let (on_wall, on_ground) = (landed(&wall, &cone, &disc), landed(&ground, &cone, &disc));
    assert!(seen(&on_wall) > 0.5 && seen(&on_ground) > 0.5);
    assert_near(seen(&on_wall) + seen(&on_ground), area_m2(&whole), 1e-9);
}

// Geometry of the disc: a framing blade at depth c leaves pi - (acos c - c sqrt(1 - c^2)).
#[test]
fn a_framing_blade_takes_a_circular_segment() {
    for offset in [-0.6, 0.0, 0.35, 0.9f64] {
        let kept = clip_half_plane(&circle(2000), DVec2::from_angle(0.7), offset);
        let flat: Vec<DVec3> = kept.iter().map(|p| p.extend(0.0)).collect();
        let segment = offset.acos() - offset * (1.0 - offset * offset).sqrt();
        assert_near(area_m2(&flat), std::f64::consts::PI - segment, 1e-4);
    }
}

// Continuity of rotation: through straight down and past the horizon, pole to pole.
#[test]
fn a_sweep_from_pole_to_pole_never_jumps() {
    let step_deg = 0.1f64;
    let longest = step_deg.to_radians() * 1.0001;
    for fixed_deg in [0.0, 90.0, 179.95, 333.3] {
        let mut last: Option<(Cone, Cone)> = None;
        for i in -2700..=2700 {
            let swept_deg = f64::from(i) * step_deg;
            let now = (
                head(DVec3::Z, fixed_deg, swept_deg, 5.0),
                head(DVec3::Z, swept_deg, fixed_deg, 5.0),
            );
            if let Some(last) = last {
                for (a, b) in [(last.0, now.0), (last.1, now.1)] {
                    assert!(a.axis.angle_between(b.axis) <= longest, "axis at {swept_deg}");
                    assert!(a.up.distance(b.up) <= longest, "up at {swept_deg}");
                    let edge = DVec2::new(0.6, -0.8);
                    let (from, to) = (a.direction(edge), b.direction(edge));
                    assert!(from.distance(to) <= 2.0 * longest, "edge at {swept_deg}");
                }
            }
            last = Some(now);
        }
    }
}

/// Numbers as a bad file or an unlucky pose may hold them.
fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![
        8 => -20.0..20.0f64,
        1 => prop_oneof![Just(0.0), Just(1e-300), Just(-1e-12), Just(1e16), Just(1e300)],
        1 => any::<f64>(),
    ]
}

fn any_vec() -> impl Strategy<Value = DVec3> {
    [any_number(), any_number(), any_number()].prop_map(DVec3::from)
}

proptest! {
    // Property: whatever the pose, what lands is numbers, on the face.
    #[test]
    fn what_lands_is_on_the_face_and_is_numbers(
        apex in any_vec(), axis in any_vec(), up in any_vec(), half in any_number(),
        sides in 0usize..60,
    ) {
        let face = floor(7.0);
        if let Some(cone) = Cone::new(apex, axis, up, half) {
            prop_assert!((cone.axis.length() - 1.0).abs() < 1e-9);
            prop_assert!(cone.axis.dot(cone.up).abs() < 1e-9);
            for p in landed(&face, &cone, &circle(sides)) {
                prop_assert!(p.is_finite(), "{p}");
                prop_assert!(p.x.abs() <= 7.0 && p.y.abs() <= 7.0 && p.z == 0.0, "{p}");
            }
            let footprint = Footprint::on_plane(&cone, DVec3::ZERO, DVec3::Z);
            prop_assert!(footprint.area_m2().is_none_or(|m2| m2 >= 0.0));
        }
    }

    // Property: directions nobody checked land nowhere rather than anywhere odd.
    #[test]
    fn loose_directions_land_on_the_face_or_nowhere(
        apex in any_vec(), directions in prop::collection::vec(any_vec(), 0..12),
    ) {
        let mut out = Vec::new();
        project(&floor(7.0), apex, &directions, &mut Scratch::default(), &mut out);
        for p in out {
            prop_assert!(p.is_finite() && p.x.abs() <= 7.0 && p.y.abs() <= 7.0 && p.z == 0.0);
        }
    }

    // Property: every point of a footprint lies within the cone that made it.
    #[test]
    fn what_lands_was_in_the_cone(
        x in -6.0..6.0f64, y in -6.0..6.0f64, z in 0.1..8.0f64,
        pan in 0.0..360.0f64, tilt in -170.0..170.0f64, half in 1.0..60.0f64,
    ) {
        let cone = head(DVec3::new(x, y, z), pan, tilt, half);
        for p in landed(&floor(7.0), &cone, &circle(24)) {
            let off_rad = cone.off_axis_rad(p).unwrap();
            prop_assert!(off_rad <= cone.half_angle_rad + 1e-9, "{off_rad}");
        }
    }
}
