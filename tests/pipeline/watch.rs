//! Conditions: what they mean, when they are true, and what is said of one that means nothing. Worked examples on
//! neutral heads.

use slotwright::check::rehearse::straight_run;
use slotwright::check::watch::{Found, Live, Moment, Watch, complete};
use slotwright::decode::Plan;
use slotwright::motion::Playback;
use slotwright::show::Show;
use slotwright::wire::{Frames, Slot, TimedFrames, Universe, parse_timed_frames};

use crate::cues::cue;
use crate::heads::{ALDER_LIT, alder, fixture};
use crate::rehearse::{show, timed};

/// Two ALDER-16, fixtures 1 and 2, at slots 1 and 17, 6 m high over the middle of the stage front edge.
fn two() -> Show {
    show(&[alder()], vec![fixture(&alder(), 1, 1), fixture(&alder(), 2, 17)], Vec::new())
}

/// Both lit and straight ahead.
fn lit() -> Frames {
    let mut frames = Frames::default();
    for (nth, value) in ALDER_LIT.iter().chain(&ALDER_LIT).enumerate() {
        frames.set(Universe::ONE, Slot::from_index(nth).expect("32 slots"), *value);
    }
    frames
}

#[track_caller]
fn watch(show: &Show, text: &str) -> Watch {
    let plan = Plan::new(&show.rig, &show.profiles);
    Watch::new(text, show, &plan).unwrap_or_else(|mistake| panic!("{}", mistake.words(text)))
}

#[track_caller]
fn found(text: &str, csv: &str) -> Found {
    let timed = parse_timed_frames(csv, None).expect("the timed frames read").timed;
    watch(&two(), text).over_timed(&lit(), &timed, &|_| true).expect("nobody stopped it")
}

/// The spans, rounded to a thousandth of a second.
#[track_caller]
fn spans(text: &str, csv: &str) -> Vec<(f64, f64)> {
    let round = |s: f64| (s * 1000.0).round() / 1000.0;
    found(text, csv).spans.iter().map(|span| (round(span.from_s), round(span.to_s))).collect()
}

/// Whether it is true of both heads lit with these slots of universe 1 set.
#[track_caller]
fn holds(text: &str, slots: &[(u16, u8)]) -> bool {
    let mut frames = lit();
    for (slot, value) in slots {
        frames.set(Universe::ONE, Slot::new(*slot).expect("a slot"), *value);
    }
    watch(&two(), text).over_frame(&frames).is_some()
}

/// What is wrong with it: the character at which it is, and the words.
#[track_caller]
fn mistake(text: &str) -> (usize, String) {
    let show = two();
    let plan = Plan::new(&show.rig, &show.profiles);
    let mistake = Watch::new(text, &show, &plan).expect_err("it means nothing");
    (mistake.character(text), mistake.words(text))
}

#[test]
fn a_slot_is_true_from_the_packet_that_makes_it_so_to_the_one_that_ends_it() {
    let csv = "0,1,100,0\n1.25,1,100,101\n2.5,1,100,100\n4,1,100,255\n5,1,99,1\n";
    assert_eq!(spans("slot 1.100 > 100", csv), [(1.25, 2.5), (4.0, 5.0)]);
    let found = found("slot 100 > 100", csv);
    assert_eq!((found.count, found.end_s), (2, 5.0));
    assert_eq!(found.spans[0].values, ["slot 1.100 = 101"]);
}

#[test]
fn what_was_never_sent_is_neither_so_nor_otherwise() {
    assert!(!holds("slot 1.200 = 0", &[]));
    assert!(!holds("not slot 1.200 = 0", &[]));
    assert!(holds("slot 1.200 = 0 or fixture 1 lit", &[]));
}

#[test]
fn states_follow_what_the_heads_do() {
    assert!(holds("fixture 1 lit", &[]));
    assert!(!holds("fixture 1 lit", &[(6, 0)]));
    assert!(holds("fixture 1 dark and fixture 2 lit", &[(6, 0)]));
    assert!(holds("fixture 1 is not lit", &[(6, 0)]));
    assert!(holds("fixture 1 level > 45 % and level < 55 %", &[(6, 128)]));
}

#[test]
fn who_is_spoken_of_holds_up_to_the_next_one_who_is_named() {
    // One is dark and one is lit: nobody is both.
    assert!(!holds("any fixture lit and dark", &[(6, 0)]));
    assert!(holds("any fixture lit and any fixture dark", &[(6, 0)]));
    assert!(holds("all fixtures (lit or dark)", &[(6, 0)]));
    assert!(!holds("all fixtures lit", &[(6, 0)]));
    assert!(holds("no fixture lit", &[(6, 0), (22, 0)]));
    assert!(holds("not any fixture lit", &[(6, 0), (22, 0)]));
    assert!(holds("any of 1..2 lit", &[]) && holds("all of \"ALDER-16\" lit", &[]));
    assert!(holds("any of \"head 2\" dark", &[(22, 0)]));
    assert!(!holds("any of \"head 1\" dark", &[(22, 0)]));
}

#[test]
fn nobody_named_is_any_fixture() {
    assert!(holds("dark", &[(6, 0)]));
    assert!(holds("shutter is closed", &[(7, 0)]) || holds("shutter is shut", &[(7, 0)]));
    assert!(!holds("shutter is shut", &[]));
}

#[test]
fn channels_are_compared_by_value_or_by_what_they_ask_for() {
    assert!(holds("fixture 1 \"Dimmer\" = 255", &[]));
    assert!(holds("fixture 1 \"Dimmer\" > 99 %", &[]));
    assert!(holds("fixture 1 \"Pan\" > 32767", &[]), "at full resolution");
    assert!(holds("-1 deg < fixture 1 \"Pan\" < 1 deg", &[]));
    assert!(holds("fixture 1 pan < fixture 2 pan", &[(1, 100)]));
    assert!(!holds("fixture 1 pan < fixture 2 pan", &[(17, 100)]));
}

#[test]
fn an_edge_is_one_packet_long() {
    let csv = "0,1,7,40\n1,1,7,0\n3,1,7,40\n";
    assert_eq!(spans("fixture 1 shutter leaves open", csv), [(1.0, 1.023)]);
    assert_eq!(spans("shutter enters open", csv), [(3.0, 3.023)], "nothing comes after it");
}

#[test]
fn lit_while_moving_ends_as_the_head_arrives() {
    // ALDER-16 goes 67.5 degrees at its own pace: what a second look through the pipeline says.
    let csv = "0,1,1,128\n2,1,1,160\n";
    let show = two();
    let all = found("fixture 1 lit while moving", csv);
    assert_eq!(all.spans.len(), 1);
    let plan = Plan::new(&show.rig, &show.profiles);
    let timed = parse_timed_frames(csv, None).expect("it reads").timed;
    let mut playback = Playback::new(timed.into(), &show.rig, &plan, &lit());
    playback.seek(&plan, 2.0);
    let arrives_s = playback.motion().head(0).and_then(|head| head.arrives_s().aim_s());
    let arrives_s = arrives_s.expect("it is on its way");
    let span = &all.spans[0];
    assert!(span.from_s < 2.03 && span.from_s >= 2.0, "{span:?}");
    assert!((span.to_s - arrives_s).abs() < 0.0227, "{span:?} {arrives_s}");
    assert!(span.values.iter().any(|words| words.contains("moving")), "{span:?}");
}

/// At every packet of random frames the spans say what looking at the whole rig at that packet says.
#[test]
fn spans_are_what_looking_at_every_packet_says() {
    let mut random = 5u32;
    let mut next = |below: u32| {
        random = random.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (random >> 8) % below
    };
    let mut csv = String::new();
    for frame in 0..300u32 {
        for _ in 0..next(4) {
            let at_s = f64::from(frame) * 0.022_676;
            // Lamp and control stay as they are, so that all moves.
            let slot = next(2) * 16 + next(14) + 1;
            csv.push_str(&format!("{at_s},1,{slot},{}\n", next(256)));
        }
    }
    let timed: TimedFrames = parse_timed_frames(&csv, None).expect("it reads").timed;
    let show = two();
    let plan = Plan::new(&show.rig, &show.profiles);
    for text in [
        "fixture 1 lit while moving",
        "any fixture level > 20 % and tilt > 10 deg",
        "no fixture flashing",
        "slot 1.3 > 100 or slot 1.19 < 50",
        "fixture 2 \"Shutter\" is not open",
        "beam below 2 m over the audience",
        "all fixtures flux > 100 lm",
        "lux at eye > 50",
        "fixture 1 pan - fixture 2 pan > 10 deg",
        "starts moving or shutter enters open",
    ] {
        let watch = watch(&show, text);
        let found = watch.over_timed(&lit(), &timed, &|_| true).expect("nobody stopped it");
        let mut playback = Playback::new(timed.clone().into(), &show.rig, &plan, &lit());
        let mut live = Live::new(&watch);
        let mut trues = 0;
        for (t_s, _) in (0..timed.len()).filter_map(|nth| timed.frame(nth)) {
            playback.seek(&plan, t_s);
            let moment = Moment {
                t_s,
                frames: playback.frames(),
                plan: &plan,
                decoded: playback.decoded(),
                motion: playback.motion(),
                rig: &show.rig,
                room: &show.room,
                places: &[],
            };
            live.look(&watch, moment);
            let is_edge = text.contains("starts");
            let within = found.spans.iter().any(|span| span.from_s <= t_s && t_s < span.to_s);
            // Between two packets that are far apart an edge may come and go, and what is true at the end
            // ends there.
            if !is_edge && t_s < found.end_s {
                assert_eq!(live.is_true(), Some(within), "{text} at {t_s}");
            }
            trues += usize::from(within);
        }
        assert!(is_told(text, trues, timed.len()), "{text}: true at {trues} of {}", timed.len());
    }
}

/// A condition that is always true, or never, would test nothing here.
fn is_told(text: &str, trues: usize, packets: usize) -> bool {
    (1..packets).contains(&trues) || text.contains("no fixture")
}

#[test]
fn a_cue_list_is_looked_through_packet_by_packet() {
    let cues = vec![
        timed("1", 0.0, &[(1, "Dimmer", "100 %"), (1, "Shutter", "open")]),
        timed("2", 2.0, &[(1, "Dimmer", "0 %")]),
        cue("3", &[(1, "Pan", "40 deg")]),
    ];
    let show = show(&[alder()], vec![fixture(&alder(), 1, 1), fixture(&alder(), 2, 17)], cues);
    let plan = Plan::new(&show.rig, &show.profiles);
    let run = straight_run(&show, &plan, &[0]);
    let lit = watch(&show, "fixture 1 lit").over_run(&run, &|_| true).expect("it ran");
    assert_eq!(lit.spans.len(), 1, "{lit:?}");
    let second_s = run.starts()[1].at_s;
    let to_s = lit.spans[0].to_s;
    assert!(to_s > second_s + 1.5 && to_s < second_s + 2.1, "{to_s} after {second_s}");
    let moving = watch(&show, "moving while dark").over_run(&run, &|_| true).expect("it ran");
    assert_eq!(moving.count, 1, "{moving:?}");
    assert!(moving.spans[0].from_s >= run.starts()[2].at_s);
    let slot = watch(&show, "slot 1.6 > 127").over_run(&run, &|_| true).expect("it ran");
    assert_eq!(slot.count, 1, "the slot is driven by the head that owns it: {slot:?}");
    assert_eq!(watch(&show, "lit").over_run(&run, &|_| false), lit_anyway(&show, &run));
}

/// Progress is asked every few thousand packets: a short run is over before.
fn lit_anyway(show: &Show, run: &std::sync::Arc<slotwright::cue::Run>) -> Option<Found> {
    watch(show, "lit").over_run(run, &|_| true)
}

#[test]
fn what_is_stopped_says_nothing() {
    let timed = parse_timed_frames("0,1,1,1\n", None).expect("it reads").timed;
    assert_eq!(watch(&two(), "lit").over_timed(&lit(), &timed, &|_| false), None);
}

#[test]
fn a_beam_over_the_audience_is_told_by_its_height() {
    let over = "beam of 1 below 2 m over the audience";
    assert!(!holds(over, &[]), "straight down on the edge of the stage");
    // Tilt 16-bit about the middle; towards the audience is negative.
    assert!(holds(over, &[(3, 100)]));
    assert!(!holds(over, &[(3, 100), (6, 0)]), "a dark head has no beam");
    assert!(holds("fixture 1 beam over the audience", &[(3, 100)]));
    assert!(holds("fixture 1 beam height over the audience < 100 cm", &[(3, 100)]));
}

#[test]
fn mistakes_are_told_where_they_are() {
    for (text, at, part) in [
        ("", 1, "there is no condition"),
        ("fixture 1 lit and", 18, "ends too early"),
        ("fixture 1 litt", 11, "did you mean `lit`?"),
        ("fixture 9 lit", 1, "no fixture 9; it has `1`, `2`".split(';').next().unwrap()),
        ("fixture 1 pan > 5 Hz", 17, "write it in deg"),
        ("slot 1.7 > 50 %", 12, "a plain number"),
        ("fixture 1 pan", 11, "compare it"),
        ("fixture lit", 1, "which fixture is meant?"),
        ("fixtures 1..2 lit", 1, "`any of 1..12` or `all of 1..12`"),
        ("slot 1.513 > 3", 1, "slots 1..512"),
        ("slot 0.1 > 3", 1, "universes are 1..63999"),
        ("fixture 1 \"Shutter\" is \"opne\"", 24, "did you mean `open`?"),
        ("fixture 1 \"Shuter\" is open", 11, "did you mean `Shutter`?"),
        ("fixture 1 \"Pan\" > 3 Hz", 11, "asks for nothing in Hz"),
        ("(fixture 1 lit", 1, "close it with `)`"),
        ("fixture 1 lit)", 14, "closes nothing"),
        ("fixture 1 lit & moving", 15, "write `and`"),
        ("fixture 1 \"Shutter", 11, "close it"),
        ("fixture 1 lit moving", 15, "`and`, `or`"),
        ("3..1 lit", 2, "cannot stand here"),
        ("any of 3..1 lit", 8, "write 1..3"),
        ("lit > 3", 1, "no number"),
        ("fixture 1 pan * tilt > 3", 11, "cannot be put together"),
        ("35 deg < pan", 10, "pan of which fixture?"),
        ("any of \"CEDAR\" lit", 1, "no model or label"),
    ] {
        let (character, words) = mistake(text);
        assert_eq!(character, at, "{text}: {words}");
        assert!(words.contains(part), "{text}: {words}");
    }
}

#[test]
fn what_fits_is_offered_in_its_place() {
    let show = two();
    let plan = Plan::new(&show.rig, &show.profiles);
    let offers = |text: &str| -> Vec<String> {
        complete(text, text.len(), &show.rig, &plan).into_iter().map(|c| c.text).collect()
    };
    let has = |text: &str, word: &str| offers(text).iter().any(|offer| offer == word);
    assert!(has("", "any fixture") && has("", "slot") && has("", "lit"));
    assert!(has("fixture ", "1") && has("fixture ", "2"));
    assert!(has("fixture 1 mo", "moving") && !has("fixture 1 mo", "lit"));
    assert!(has("fixture 1 lit ", "while") && !has("fixture 1 lit ", "moving"));
    assert!(has("fixture 1 pan ", ">") && !has("fixture 1 pan ", "and"));
    assert!(has("fixture 1 pan > 5 ", "deg") && !has("fixture 1 pan > 5 ", "Hz"));
    assert!(has("fixture 1 \"Sh", "\"Shutter\""));
    assert!(
        has("fixture 1 \"Shutter\" is ", "\"open\""),
        "{:?}",
        offers("fixture 1 \"Shutter\" is ")
    );
    // What is offered can be read, or goes on.
    for offer in offers("fixture 1 lit and ") {
        let text = format!("fixture 1 lit and {offer}");
        if let Err(mistake) = Watch::new(&text, &show, &plan) {
            assert!(mistake.at.start >= 18, "{text}: {}", mistake.words(&text));
        }
    }
}
