//! Profiles that read and make no sense, or are absurdly large: looking through them, charting them and
//! asking them for values never panics and takes a bounded time.

use std::sync::Arc;
use std::time::{Duration, Instant};

use slotwright::check::{check_profile, lint_profile};
use slotwright::decode::{CompiledMode, answers};
use slotwright::paper::chart::{Chart, csv, html, text};
use slotwright::profile::Profile;
use slotwright::profile::library::FILES;

use crate::mutation::{Dice, damaged};

/// Everything that is worked out from a profile, whether or not it makes sense.
fn work_out(profile: Profile) {
    let profile = Arc::new(profile);
    for (_, finding) in lint_profile(&profile, &|_| true).list() {
        assert!(!finding.code.is_empty() && !finding.what.is_empty(), "{finding}");
    }
    for mode in &profile.modes {
        let compiled = CompiledMode::new(&profile, mode);
        let chart = Chart::new(&compiled);
        for written in [text(&chart), csv(&chart), html(&chart)] {
            assert!(!written.is_empty());
        }
        for channel in &compiled.channels {
            for asked in ["5 Hz", "0 deg", "-1e3 rpm", "50 %", "open", "", "#7", "0 s", "inf K"] {
                let found = answers(channel, asked, |_| None);
                for answer in found.into_iter().flatten() {
                    assert!(answer.range < channel.ranges.len() && answer.first <= answer.last);
                }
            }
        }
    }
}

#[test]
fn damaged_profiles_are_looked_through_charted_and_asked() {
    let mut dice = Dice(0x11_47_0b_ad);
    let mut read = 0;
    for (_, text) in FILES {
        for _ in 0..40 {
            // Read without any check: the pipeline is made for a profile that was not checked.
            if let Ok(profile) = ron::from_str::<Profile>(&damaged(text, &mut dice)) {
                read += 1;
                work_out(profile);
            }
        }
    }
    assert!(read > 0, "the damage is too great");
}

/// A head with `slots` channels of `ranges` ranges each, with conditions on a first channel.
fn large(slots: usize, ranges: usize, does: &str) -> String {
    let mut channels =
        String::from("(name: \"c1\", at: [1], ranges: [(from: 0, to: 255, does: Select)]),");
    for slot in 2..=slots {
        channels.push_str(&format!("(name: \"c{slot}\", at: [{slot}], ranges: ["));
        for i in 0..ranges {
            let (value, setting) = (i % 256, i / 256 * 64);
            channels.push_str(&format!(
                "(from: {value}, to: {value}, does: {does}, when: [(\"c1\", {setting}, {})]),",
                setting + 63
            ));
        }
        channels.push_str("]),");
    }
    format!(
        "(maker: \"Neutral\", model: \"LARGE\", head: Fixed, source: White(flux_lm: 1, cct_k: 3000), \
         optics: (beam_deg: 1, field_deg: 2), \
         wheels: {{\"w\": (slots: [{}])}}, \
         modes: [(name: \"m\", slots: {slots}, channels: [{channels}])])",
        "Pattern(\"a\", \"b\"), ".repeat(255)
    )
}

#[test]
fn the_largest_profiles_take_a_bounded_time() {
    for (slots, ranges, does) in [
        (64, 1024, "Strobe(hz: (1, 2))"),
        (64, 1024, "Shut"),
        (512, 128, "Slot(wheel: \"w\", slot: 255)"),
        (512, 128, "Unknown"),
    ] {
        let text = large(slots, ranges, does);
        let start = Instant::now();
        let findings = check_profile(&text, None, &|_| true);
        let took = start.elapsed();
        assert!(!findings.is_empty() && findings.len() < 250, "{}", findings.len());
        // Unoptimised, on a busy machine.
        assert!(took < Duration::from_secs(20), "{slots} x {ranges} {does}: {took:?}");
        println!("{slots} x {ranges} {does}: {} kB, {took:?}", text.len() >> 10);
    }
}
