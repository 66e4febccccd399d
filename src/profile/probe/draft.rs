//! What was seen as a draft profile. Whatever was not seen for certain stays unknown, with the words of
//! whoever saw it.

use std::collections::BTreeMap;

use super::ranges::{RangeMaker, Travel};
use super::runs::{Run, runs};
use super::{Probe, Seen};
use crate::finding::{Finding, Place};
use crate::profile::model::{Body, Channel, Lamp, Mode, Optics, Profile, Provenance, Source};
use crate::profile::times::{OnLoss, Times};
use crate::profile::to_ron;

/// Light, beam and colour temperature of a head of which nothing was measured. A profile must have
/// them; common practice, no source, and said to be no more than that at the top of every draft.
const PLACEHOLDER: (f64, f64, Optics) =
    (5000.0, 6500.0, Optics { beam_deg: 15.0, field_deg: 20.0, peak_cd: None });

/// A draft and what there is to say about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Draft {
    /// The profile.
    pub profile: Profile,
    /// What was assumed, and what is still to be looked at.
    pub findings: Vec<Finding>,
    comment: String,
}

impl Draft {
    /// The text of a profile file: what is assumed as comments, then the profile.
    pub fn to_ron(&self) -> String {
        format!("{}{}", self.comment, to_ron(&self.profile))
    }
}

/// Makes a draft of what was seen so far.
pub fn draft(probe: &Probe) -> Draft {
    let mut wheels = BTreeMap::new();
    let mut findings = Vec::new();
    let mut travel = Travel::default();
    let mut channels = Vec::new();
    for slot in 1..=probe.slots.max(1) {
        let runs = runs(probe, slot);
        open_questions(slot, &runs, &mut findings);
        let mut maker = RangeMaker { probe, slot, wheels: &mut wheels, travel: &mut travel };
        let parts = runs.iter().flat_map(Run::parts);
        let ranges = parts.map(|(run, measured)| maker.range(&run, measured)).collect();
        channels.push(Channel {
            name: format!("Slot {slot}"),
            at: vec![slot],
            default: 0,
            snap: false,
            cell: None,
            ranges,
        });
    }
    if !wheels.is_empty() {
        let what = "colours are taken to sit on a wheel, in the order of their values";
        findings.push(Finding::note(Place::default(), what, "their tints are those of the words"));
    }
    let (head, said) = travel.head(&mut channels);
    findings.extend(said);
    let (flux_lm, cct_k, optics) = PLACEHOLDER;
    let what =
        format!("{flux_lm} lm, {cct_k} K and a beam of {} deg were not measured", optics.beam_deg);
    findings.push(Finding::note(Place::default(), what, "they stand for what is not known"));
    let named = |text: &str, other: &str| match text.trim() {
        "" => other.to_owned(),
        text => text.to_owned(),
    };
    let profile = Profile {
        maker: named(&probe.maker, "Unknown"),
        model: named(&probe.model, "head"),
        revision: "draft".to_owned(),
        provenance: Provenance {
            chart: "none: probed slot by slot".to_owned(),
            ..Provenance::default()
        },
        body: Body::default(),
        head,
        source: Source::White { flux_lm, cct_k, lamp: Lamp::default() },
        optics,
        wheels,
        times: Times::default(),
        on_loss: OnLoss::default(),
        cells: Vec::new(),
        accepted: Vec::new(),
        drawings: BTreeMap::new(),
        modes: vec![Mode { name: "probed".to_owned(), slots: probe.slots.max(1), channels }],
    };
    let comment = comment(&findings);
    Draft { profile, findings, comment }
}

fn comment(findings: &[Finding]) -> String {
    let mut text = String::from(
        "// A draft, made of what was seen while the head was probed. What is `Unknown` is not known:\n\
         // it may do something all the same.\n",
    );
    for finding in findings {
        let mend =
            if finding.mend.is_empty() { String::new() } else { format!("; {}", finding.mend) };
        text.push_str(&format!("// - {}{mend}.\n", crate::finding::one_line(&finding.what)));
    }
    text
}

/// What should be looked at again.
fn open_questions(slot: u16, runs: &[Run<'_>], findings: &mut Vec<Finding>) {
    let seen = || runs.iter().filter_map(|run| run.seen);
    let flashes = |seen: &Seen| matches!(seen, Seen::Strobes(_) | Seen::Pulses(_));
    let place = || Place::item(format!("slot {slot}"));
    if seen().any(flashes) && seen().all(|it| flashes(it) || *it == Seen::LightOff) {
        let what = format!("no value of slot {slot} was seen to leave the light steady");
        let mend = "look between the values that flash";
        findings.push(Finding::warning(place(), what, mend));
    }
    let left_out: u32 = runs
        .iter()
        .filter(|run| run.seen.is_none())
        .map(|run| u32::from(run.to - run.from) + 1)
        .sum();
    if left_out > 0 && left_out < 256 {
        let what = format!("{left_out} values of slot {slot} were not looked at");
        findings.push(Finding::note(place(), what, "they stay unknown"));
    } else if left_out == 256 {
        findings.push(Finding::note(place(), format!("slot {slot} was not looked at"), ""));
    }
    if seen().any(|it| *it == Seen::Homes) {
        let what = format!("how long slot {slot} must be held for a reset was not measured");
        findings.push(Finding::note(place(), what, "take it to act at once"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::any_error;
    use crate::profile::coverage::gaps;
    use crate::profile::parse_profile;
    use crate::profile::probe::parse_notes;
    use crate::profile::{Curve, Effect, Head};

    fn draft_of(notes: &str) -> Draft {
        let draft = draft(&parse_notes(notes, None).unwrap().0);
        // Whatever was seen, the draft is a profile that can be read.
        let (again, findings) = parse_profile(&draft.to_ron(), None, &|_| false).unwrap();
        assert_eq!(again, draft.profile);
        assert!(!any_error(&findings));
        for channel in &draft.profile.modes[0].channels {
            assert!(gaps(channel).is_empty(), "every value is spoken for: {channel:?}");
        }
        draft
    }

    fn ranges(draft: &Draft, slot: usize) -> Vec<(i64, i64, Effect, &str)> {
        let ranges = &draft.profile.modes[0].channels[slot - 1].ranges;
        ranges
            .iter()
            .map(|r| (r.from.unwrap(), r.to.unwrap(), r.does.clone(), r.label.as_str()))
            .collect()
    }

    #[test]
    fn a_head_of_which_nothing_was_seen_is_all_unknown() {
        let draft = draft_of("# maker: Wold\n# model: X\n# slots: 3\nslot,from,to,seen\n");
        assert_eq!(draft.profile.key().0, "Wold X");
        assert_eq!(draft.profile.modes[0].slots, 3);
        for slot in 1..=3 {
            assert_eq!(ranges(&draft, slot), [(0, 255, Effect::Unknown, "not looked at")]);
        }
        assert_eq!(draft.profile.modes[0].channels[2].name, "Slot 3");
    }

    #[test]
    fn nothing_seen_is_not_nothing_done() {
        let draft = draft_of("all,0,0,nothing\n1,32,255,nothing\n");
        assert_eq!(ranges(&draft, 1), [(0, 255, Effect::Unknown, "nothing seen")]);
    }

    #[test]
    fn what_was_seen_becomes_ranges_and_what_lies_between_stays_unknown() {
        let draft = draft_of(
            "all,0,0,nothing\n\
             1,20,20,light on\n1,64,64,light on\n1,99,99,light on\n1,100,100,light off\n1,255,255,light off\n\
             2,1,1,brighter\n2,128,128,brighter\n2,255,255,brighter\n",
        );
        assert_eq!(
            ranges(&draft, 1),
            [
                (0, 0, Effect::Unknown, "nothing seen"),
                (1, 19, Effect::Unknown, "not looked at"),
                (20, 99, Effect::Open, "light on"),
                (100, 255, Effect::Shut, "light off"),
            ]
        );
        let dimmer = Effect::Dimmer { percent: (0.0, 100.0), curve: Curve::Unknown };
        assert_eq!(ranges(&draft, 2), [(0, 255, dimmer, "brighter")]);
    }

    #[test]
    fn numbers_are_only_what_was_measured() {
        let draft = draft_of(
            "1,0,99,strobes slow to fast\n1,100,199,strobes slow to fast,1..12\n1,200,255,strobes\n",
        );
        // What was measured of a part is not known of the rest.
        let found = ranges(&draft, 1);
        assert_eq!(
            (found.len(), &found[0].2, &found[2].2),
            (3, &Effect::Unknown, &Effect::Unknown)
        );
        assert!(
            matches!(found[1], (100, 199, Effect::Strobe { hz: (1.0, 12.0), .. }, _)),
            "{found:?}"
        );
        // Step by step: the first and the last value that were measured.
        let draft = draft_of(
            "2,9,9,pulses,2\n3,1,1,strobes,1\n3,128,128,strobes slow to fast\n3,255,255,strobes slow to fast,9\n",
        );
        assert!(matches!(ranges(&draft, 2)[1], (9, 9, Effect::Strobe { hz: (2.0, 2.0), .. }, _)));
        assert!(matches!(ranges(&draft, 3)[1], (1, 255, Effect::Strobe { hz: (1.0, 9.0), .. }, _)));
        let draft = draft_of("1,0,99,strobes slow to fast\n1,100,255,strobes\n");
        assert!(draft.findings.iter().any(|f| f.what.contains("leave the light steady")));
        let draft = draft_of("1,0,255,strobes fast to slow,1..12\n2,0,255,pulses\n");
        assert_eq!(ranges(&draft, 1)[0].2, Effect::Unknown, "it was seen to run the other way");
        assert_eq!(ranges(&draft, 2)[0].2, Effect::Unknown);
    }

    #[test]
    fn a_head_turns_only_if_both_axes_were_measured() {
        let draft = draft_of("1,0,255,turns left,0..540\n2,0,255,turns up,0..270\n");
        assert_eq!(ranges(&draft, 1)[0].2, Effect::Pan { deg: (-270.0, 270.0) });
        assert_eq!(ranges(&draft, 2)[0].2, Effect::Tilt { deg: (-135.0, 135.0) });
        let draft = draft_of(
            "all,0,0,nothing\n1,1,1,turns right\n1,255,255,turns right,400\n2,0,255,turns up,0..270\n",
        );
        assert_eq!(
            ranges(&draft, 1),
            [(0, 255, Effect::Pan { deg: (200.0, -200.0) }, "turns right")]
        );
        let draft = draft_of("# it stood\n1,0,255,turns left,0..540\n2,0,255,turns down,0..270\n");
        assert_eq!(ranges(&draft, 1)[0].2, Effect::Pan { deg: (270.0, -270.0) });
        let draft = draft_of("1,0,255,turns left,0..540\n2,0,255,turns up\n");
        assert_eq!(draft.profile.head, Head::Fixed);
        assert_eq!(ranges(&draft, 1)[0].2, Effect::Unknown);
        assert!(draft.findings.iter().any(|f| f.what.starts_with("the head turns")));
    }

    #[test]
    fn colours_come_on_a_wheel_and_resets_keep_their_hold_unknown() {
        let draft = draft_of(
            "4,0,9,colour white\n4,10,19,colour Red\n4,20,29,colour red\n4,30,39,colour blurple\n\
             4,40,200,nothing\n4,201,255,goes dark then homes\n",
        );
        let slot = |slot| Effect::Slot { wheel: "slot 4".to_owned(), slot };
        let found = ranges(&draft, 4);
        assert_eq!(found[0], (0, 9, slot(1), "white"));
        assert_eq!(found[1], (10, 29, slot(2), "Red"));
        assert_eq!(found[2], (30, 39, Effect::Unknown, "colour blurple"));
        assert!(matches!(found[4].2, Effect::Reset { hold_s: None, takes_s: None, .. }));
    }

    #[test]
    fn light_that_stays_on_whatever_a_slot_does_is_not_that_slots_doing() {
        let draft = draft_of("all,0,0,nothing\n1,1,255,brighter\n2,1,255,light on,,1=255\n");
        assert!(ranges(&draft, 2).iter().all(|range| range.2 == Effect::Unknown));
        let draft =
            draft_of("1,1,255,brighter\n2,1,99,light on,,1=255\n2,100,255,light off,,1=255\n");
        assert_eq!(ranges(&draft, 2)[1].2, Effect::Open);
        assert_eq!(ranges(&draft, 2)[2].2, Effect::Shut);
    }
}
