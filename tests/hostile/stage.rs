//! Shows that can be read and are absurd all the same: the pipeline ends, and every number of it is one.

use std::time::{Duration, Instant};

use glam::Vec2;
use slotwright::decode::Plan;
use slotwright::show::{Show, parse_show};
use slotwright::stage::{DrawOptions, Rect, Scene, Sheet, ViewKind, draw};

/// A show of these fixtures, with every slot of so many universes at one value.
fn show(room: &str, fixtures: &str, universes: usize, value: u8) -> Show {
    let values = format!("{value},").repeat(512);
    let levels: String =
        (1..=universes).map(|n| format!("{n}: [(at: 1, values: [{values}])],")).collect();
    let text = format!(
        "(format: 1, name: \"x\", {room} fixtures: [{fixtures}], \
         looks: [(name: \"all\", universes: {{{levels}}})])"
    );
    match parse_show(&text, None, &|_| true) {
        Ok((show, _)) => show,
        Err(findings) => panic!("{findings}"),
    }
}

fn scene(show: &Show) -> Scene {
    let plan = Plan::new(&show.rig, &show.profiles);
    let mut decoded = plan.start();
    plan.decode(&show.levels, &mut decoded);
    Scene::new(&show.room, &show.rig, &plan, &show.levels, &decoded)
}

/// Draws a show; everything that would be drawn has a place, and light that is a number.
#[track_caller]
fn check_drawn(show: &Show) {
    let scene = scene(show);
    assert!(scene.reference_lx.is_finite() && scene.reference_lx > 0.0, "{}", scene.reference_lx);
    for size in [Vec2::new(800.0, 600.0), Vec2::splat(16.0)] {
        for lower in [ViewKind::Front, ViewKind::Side] {
            let views = Sheet::fit(&show.room, Rect::new(Vec2::ZERO, size), lower).views();
            let picture = draw(&scene, &views, size, &DrawOptions::default());
            for pane in &picture.panes {
                let corners = pane.glows.iter().flat_map(|glow| &glow.outline);
                assert!(corners.into_iter().all(|corner| corner.is_finite()));
                assert!(pane.shapes.iter().all(|shape| shape.is_drawable()));
            }
            let svg = slotwright::stage::svg::write_svg(&picture);
            assert!(!svg.contains("NaN") && !svg.contains("inf"), "{size}");
        }
    }
}

fn head(id: usize, more: &str) -> String {
    format!(
        "(id: {id}, profile: \"Tarnfell S1 Spot\", mode: \"compact\", universe: {}, slot: {}, {more}),",
        (id - 1) / 32 + 1,
        (id - 1) % 32 * 16 + 1
    )
}

#[test]
fn nothing_at_all_is_drawn() {
    check_drawn(&show("", "", 0, 0));
    check_drawn(&show("", "", 64, 255));
}

#[test]
fn the_smallest_and_the_largest_room_are_drawn() {
    for room in [
        "room: (width_m: 0.5, depth_m: 0.5, front_m: 0, height_m: 0.5),",
        "room: (width_m: 1000, depth_m: 1000, front_m: 1000, height_m: 1000),",
        "room: (width_m: 1000, depth_m: 0.5, front_m: 0, height_m: 0.5, \
         trusses: [(name: \"point\", from: (0, 0, 0), to: (0, 0, 0), width_m: 0)], \
         blocks: [(name: \"flat\", min: (1, 1, 1), max: (1, 1, 1))]),",
    ] {
        for value in [0, 28, 100, 255] {
            // On the floor, in a corner, and far out of the room on all sides.
            let places = ["(0, 0, 0)", "(0.25, 0.5, 0.5)", "(1000, -1000, 1000)", "(0, 0, -1000)"];
            let fixtures: String = places
                .iter()
                .enumerate()
                .map(|(i, at)| {
                    head(
                        i + 1,
                        &format!("at: {at}, hang: Turned(x_deg: 36000, y_deg: 90, z_deg: -1)"),
                    )
                })
                .collect();
            check_drawn(&show(room, &fixtures, 1, value));
        }
    }
}

#[test]
fn ten_thousand_fixtures_in_more_universes_than_a_house_has_are_read_soon() {
    let start = Instant::now();
    let fixtures: String =
        (1..=10_000).map(|id| head(id, &format!("at: ({}, 2, 5)", id % 10))).collect();
    let show = show("", &fixtures, 313, 200);
    assert_eq!(scene(&show).marks.len(), 10_000);
    assert!(start.elapsed() < Duration::from_secs(60), "took {:?}", start.elapsed());
}
