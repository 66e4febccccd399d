//! A head whose chart is known is probed as if it were not, and the draft is held against the chart.

use std::sync::Arc;

use slotwright::profile::probe::{Probe, Seen, Step, Trend, draft};
use slotwright::profile::{Curve, Effect, Mode, Profile, parse_profile};

/// A neutral head; a worked example. The shutter shuts the light out at 0, so that no slot alone gives
/// light, and its control resets the head.
const HEAD: &str = r##"(
  maker: "Neutral", model: "HAZEL-5", head: Fixed,
  source: White(flux_lm: 9000.0, cct_k: 6500.0), optics: (beam_deg: 14.0, field_deg: 20.0),
  wheels: {"colour": (slots: [Open, Tint("red", "#ff0000"), Tint("green", "#00d020")])},
  modes: [(name: "five", slots: 5, channels: [
    (name: "Colour", at: [1], ranges: [
      (from: 0, to: 31, does: Slot(wheel: "colour", slot: 1)),
      (from: 32, to: 63, does: Slot(wheel: "colour", slot: 2)),
      (from: 64, to: 100, does: Slot(wheel: "colour", slot: 3)),
      (from: 101, to: 255, does: Scroll(wheel: "colour", rpm: (1, 60))),
    ]),
    (name: "Unused", at: [2], ranges: [(from: 0, to: 255, does: Idle)]),
    (name: "Dimmer", at: [3], ranges: [(from: 0, to: 255, does: Dimmer(percent: (0, 100)))]),
    (name: "Shutter", at: [4], ranges: [
      (from: 0, to: 19, does: Shut),
      (from: 20, to: 49, does: Open),
      (from: 50, to: 199, does: Strobe(hz: (1, 20))),
      (from: 200, to: 255, does: Open),
    ]),
    (name: "Control", at: [5], ranges: [
      (from: 0, to: 239, does: Idle), (from: 240, to: 255, does: Reset(hold_s: 3)),
    ]),
  ])],
)"##;

fn head() -> Arc<Profile> {
    Arc::new(parse_profile(HEAD, None, &|_| true).expect("a sound profile").0)
}

/// What the chart says that a slot does while the others stand where the step has them.
fn effect(mode: &Mode, slot: u16, step: &Step) -> Effect {
    let settings = step.settings();
    let value = settings.iter().find(|(at, _)| *at == slot).map_or(0, |(_, value)| *value);
    let channel = mode.channels.iter().find(|channel| channel.at == [slot]).expect("one slot each");
    let holds = |(from, to): (u32, u32)| (from..=to).contains(&u32::from(value));
    let range = channel.ranges.iter().find(|range| range.bounds(1).is_some_and(holds));
    range.expect("no gaps").does.clone()
}

/// What a person sees of it who stands before the head.
fn seen(mode: &Mode, step: &Step) -> Seen {
    let Some(slot) = step.slot else { return Seen::Nothing };
    let open = !matches!(effect(mode, 4, step), Effect::Shut);
    let up = step.settings().iter().any(|(at, value)| *at == 3 && *value > 0);
    match effect(mode, slot, step) {
        Effect::Reset { .. } => Seen::Homes,
        _ if slot == 4 && up && !open => Seen::LightOff,
        // In the dark there is nothing to see.
        _ if !(open && up) => Seen::Nothing,
        Effect::Dimmer { .. } => Seen::Brighter,
        Effect::Open => Seen::LightOn,
        Effect::Strobe { .. } => Seen::Strobes(Trend::Faster),
        Effect::Slot { slot: 1, .. } => Seen::Colour("white".to_owned()),
        Effect::Slot { slot: 2, .. } => Seen::Colour("red".to_owned()),
        Effect::Slot { .. } => Seen::Colour("green".to_owned()),
        Effect::Scroll { .. } => Seen::ColoursScroll,
        _ => Seen::Nothing,
    }
}

#[test]
fn a_draft_agrees_with_the_chart_wherever_it_says_anything() {
    let head = head();
    let chart = &head.modes[0];
    let mut probe = Probe::new("Neutral", "HAZEL-5", 5);
    while let Some(step) = probe.next_step() {
        let what = seen(chart, &step);
        probe.note(&step, what, None);
        assert!(probe.notes.len() < 800, "the plan never ends");
    }
    let resets = probe.notes.iter().filter(|note| note.seen == Seen::Homes).count();
    assert_eq!(resets, 1, "what resets the head is not sent again");
    let draft = draft(&probe).profile;
    let word = |effect: &Effect| match effect {
        Effect::Slot { slot, .. } => format!("colour {slot}"),
        other => other.key().to_owned(),
    };
    let (mut known, mut wrong) = (0, Vec::new());
    for (slot, (drawn, real)) in draft.modes[0].channels.iter().zip(&chart.channels).enumerate() {
        for value in 0..=255u32 {
            let at = |channel: &slotwright::profile::Channel| {
                let holds = |(from, to): (u32, u32)| (from..=to).contains(&value);
                let range = channel.ranges.iter().find(|it| it.bounds(1).is_some_and(holds));
                range.expect("no gaps").does.clone()
            };
            let (drawn, real) = (at(drawn), at(real));
            if drawn == Effect::Unknown {
                continue;
            }
            known += 1;
            if word(&drawn) != word(&real) {
                wrong.push((slot + 1, value, drawn, real));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:?}");
    // The dimmer whole; of the shutter all that is steady; the colours but for open at rest, where
    // nothing changed; and the one value that was seen to reset it.
    assert!(known > 256 + 86 + 68, "{known} values of 1280");
    let dimmer = &draft.modes[0].channels[2].ranges;
    let whole = Effect::Dimmer { percent: (0.0, 100.0), curve: Curve::Unknown };
    assert_eq!((dimmer.len(), &dimmer[0].does), (1, &whole));
}
