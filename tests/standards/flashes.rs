//! Flashes, counted by WCAG 2.2 (success criterion 2.3.1, terms "general flash and red flash thresholds" and
//! "relative luminance").

use proptest::prelude::*;
use slotwright::check::flashes::{RedTurns, Together, Turn, Turns, Way, Window};
use slotwright::decode::ShutterAsk;
use slotwright::light::Rgb;
use slotwright::motion::shutter::ShutterMotion;
use slotwright::profile::{Shape, Timing};

/// The most flashes in any second of a signal, sampled often enough for 65 Hz and more.
fn worst(for_s: f64, signal: impl Fn(f64) -> f64) -> f64 {
    let (mut turns, mut window) = (Turns::default(), Window::default());
    for nth in 0..(for_s * 1024.0) as u32 {
        let t_s = f64::from(nth) / 1024.0;
        if let Some(turn) = turns.sample(t_s, signal(t_s)) {
            window.push(turn.at_s);
        }
    }
    window.worst().flashes
}

fn square(hz: f64, low: f64, high: f64) -> impl Fn(f64) -> f64 {
    move |t_s| if (t_s * hz).fract() < 0.5 { high } else { low }
}

/// "No more than three flashes in any one second period": constructed signals on both sides of it.
#[test]
fn regular_flashes_are_counted_on_both_sides_of_the_limit() {
    for (hz, flashes) in
        [(0.5, 0.5), (1.0, 1.0), (2.0, 2.0), (2.9, 3.0), (3.0, 3.0), (8.0, 8.0), (16.0, 16.0)]
    {
        assert_eq!(worst(5.0, square(hz, 0.0, 1.0)), flashes, "{hz} Hz");
    }
    assert!(worst(5.0, square(3.2, 0.0, 1.0)) > 3.0);
}

/// "a pair of opposing changes in relative luminance of 10% or more of the maximum relative luminance (1.0)
/// where the relative luminance of the darker image is below 0.80".
#[test]
fn only_changes_that_are_large_and_dark_enough_count() {
    assert_eq!(worst(3.0, square(4.0, 0.30, 0.39)), 0.0);
    assert_eq!(worst(3.0, square(4.0, 0.30, 0.40)), 4.0);
    assert_eq!(worst(3.0, square(4.0, 0.80, 1.00)), 0.0);
    assert_eq!(worst(3.0, square(4.0, 0.79, 1.00)), 4.0);
    // A slow rise in small steps is one change, and half a flash.
    assert_eq!(worst(3.0, |t_s| t_s / 3.0), 0.5);
}

#[test]
fn a_single_flash_and_a_double_one_are_told_apart() {
    let pulse =
        |from_s: f64| move |t_s: f64| f64::from(u8::from((from_s..from_s + 0.05).contains(&t_s)));
    assert_eq!(worst(2.0, pulse(0.5)), 1.0);
    let (first, second) = (pulse(0.5), pulse(0.7));
    assert_eq!(worst(2.0, |t_s| first(t_s) + second(t_s)), 2.0);
    let late = pulse(1.56);
    // More than a second apart they are never in one window, and their nearest changes are.
    assert_eq!(worst(3.0, |t_s| first(t_s) + late(t_s)), 1.0);
}

/// A red flash: to or from a state with R/(R + G + B) >= 0.8, and more than 0.2 apart in u'v'. Red and the
/// white of sRGB lie 0.2587 apart.
#[test]
fn red_flashes_count_whatever_their_luminance() {
    let (red, white, pink) = (Rgb([0.5, 0.0, 0.0]), Rgb([0.2, 0.2, 0.2]), Rgb([0.5, 0.2, 0.2]));
    let count = |colours: &[Rgb]| {
        let mut turns = RedTurns::default();
        let found =
            colours.iter().enumerate().filter_map(|(nth, c)| turns.sample(nth as f64 * 0.1, *c));
        found.count()
    };
    assert_eq!(count(&[red, white, red, white]), 3);
    assert_eq!(count(&[pink, white, pink]), 0);
    assert_eq!(count(&[red, Rgb([0.5, 0.06, 0.06]), red]), 0, "both are saturated");
    assert_eq!(count(&[red, Rgb([0.5, 0.08, 0.08]), red]), 0, "not far enough apart");
    assert_eq!(count(&[red, Rgb::BLACK, red]), 0);
}

/// Two strobes at 3 Hz out of step can show 6 a second; in step they show 3.
#[test]
fn heads_out_of_step_add_up_and_heads_in_step_do_not() {
    let turns = |hz: f64, phase: f64| {
        let mut turns = Turns::default();
        let signal = square(hz, 0.0, 1.0);
        let at = move |nth: u32| f64::from(nth) / 1000.0;
        (0..4000)
            .filter_map(|nth| turns.sample(at(nth), signal(at(nth) + phase)))
            .collect::<Vec<Turn>>()
    };
    let both = |phase: f64| {
        let mut all = turns(3.0, 0.0);
        all.extend(turns(3.0, phase));
        all.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
        let mut window = Window::default();
        let mut together = Together::default();
        all.into_iter().filter(|turn| together.take(*turn)).for_each(|turn| window.push(turn.at_s));
        window.worst().flashes
    };
    assert_eq!(both(0.0), 3.0);
    assert_eq!(both(0.01), 3.0);
    assert_eq!(both(1.0 / 12.0), 6.0);
}

/// A random strobe of 2 Hz flashes twice a second on the mean: over a long time the count is that, and the
/// worst second holds more.
#[test]
fn a_random_strobe_comes_to_its_rate_and_bunches_up() {
    let mut shutter = ShutterMotion::open(7);
    shutter.ask(0.0, ShutterAsk::Flash { hz: 2.0, shape: Shape::Hard, timing: Timing::Random });
    let (mut turns, mut window) = (Turns::default(), Window::default());
    for nth in 0..1_000_000u32 {
        let t_s = f64::from(nth) / 1000.0;
        if let Some(Turn { at_s, .. }) = turns.sample(t_s, shutter.at(t_s)) {
            window.push(at_s);
        }
    }
    let rate = window.total() as f64 / 2.0 / 1000.0;
    // Flashes that touch are one, so that some of the 2 a second are not seen as such.
    assert!((1.6..=2.0).contains(&rate), "{rate}");
    assert!(window.worst().flashes > 2.0);
}

proptest! {
    /// Changes alternate, whatever the signal.
    #[test]
    fn changes_alternate(samples in prop::collection::vec(0.0f64..1.0, 0..200)) {
        let mut turns = Turns::default();
        let ways: Vec<Way> =
            samples.iter().enumerate().filter_map(|(nth, v)| turns.sample(nth as f64, *v)).map(|t| t.way).collect();
        prop_assert!(ways.windows(2).all(|pair| pair[0] != pair[1]));
    }
}
