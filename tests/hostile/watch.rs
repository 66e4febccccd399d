//! Conditions that somebody typed with a fist, or a machine wrote.

use std::time::{Duration, Instant};

use slotwright::check::watch::{LONGEST, Watch, complete};
use slotwright::decode::Plan;
use slotwright::show::{Show, demo_show};

fn demo() -> (Show, Plan) {
    let show = demo_show(&|_| true).expect("the demo show reads");
    let plan = Plan::new(&show.rig, &show.profiles);
    (show, plan)
}

/// Whatever is typed is read or refused within its own text, and soon.
#[track_caller]
fn check(show: &Show, plan: &Plan, text: &str) {
    let start = Instant::now();
    if let Err(mistake) = Watch::new(text, show, plan) {
        assert!(mistake.at.end <= text.len(), "{text:?}: {mistake:?}");
        let words = mistake.words(text);
        assert!(words.len() < 20_000, "a message of {} bytes", words.len());
    }
    for at in [0, text.len() / 2, text.len(), text.len() + 7] {
        for offer in complete(text, at, &show.rig, plan) {
            assert!(offer.replaces.end <= text.len(), "{text:?}: {offer:?}");
            assert!(text.is_char_boundary(offer.replaces.start), "{text:?}: {offer:?}");
        }
    }
    assert!(start.elapsed() < Duration::from_secs(10), "took {:?}", start.elapsed());
}

#[test]
fn deep_nesting_and_long_texts_are_refused() {
    let (show, plan) = demo();
    for open in
        ["(", "not ", "-", "fixture 101 (", "any fixture ", "lit and (", "\"", "beam of 1 ("]
    {
        check(&show, &plan, &open.repeat(LONGEST / open.len()));
        check(&show, &plan, &open.repeat(1_000_000 / open.len()));
        assert!(Watch::new(&open.repeat(200), &show, &plan).is_err(), "{open}");
    }
    let long = vec!["any fixture lit"; 100].join(" and ");
    check(&show, &plan, &long);
    check(&show, &plan, &vec!["1"; 900].join("+"));
    check(&show, &plan, &format!("slot 1.1 > {}", vec!["1"; 900].join("<")));
}

#[test]
fn odd_letters_and_numbers_are_read_or_refused() {
    let (show, plan) = demo();
    for text in [
        "\u{feff}lit",
        "fixture \u{0661} lit",
        "\u{1f39a} > 3",
        "\u{202e}lit",
        "fixture 101 \"\u{1f39a}\u{301}\" is \"\0\"",
        "slot 99999999999999999999.1 > 3",
        "slot 1.99999999999999999999 > 3",
        "slot -1.7 > 3",
        "fixture 99999999999999999999 lit",
        "fixture 1.5 lit",
        "any of 0..4294967295 lit",
        "any of 0..99999999999 lit",
        "slot 1.1 > 1e308",
        "slot 1.1 / 0 > 1",
        "slot 1.1 > 9999999999999999999999999999999999999999999999",
        "pan < \u{221e}",
        "\u{201c}Shutter\u{201d} is \u{201e}open\u{201c}",
        "lit \u{2265} 3",
        "....",
        "1..2..3",
        "= = =",
        "is is is",
        "not",
        "of of of",
        "fixture fixture",
        "beam beam beam",
        "beam over over",
        "\u{130}\u{130} lit",
    ] {
        check(&show, &plan, text);
    }
}

#[test]
fn random_words_and_signs_never_panic() {
    let (show, plan) = demo();
    let pieces = [
        "fixture",
        "101",
        "any",
        "all",
        "no",
        "of",
        "lit",
        "moving",
        "and",
        "or",
        "not",
        "(",
        ")",
        "pan",
        ">",
        "<=",
        "35",
        "deg",
        "/",
        "s",
        "%",
        "\"Shutter\"",
        "is",
        "open",
        "leaves",
        "slot",
        "1.7",
        "..",
        ",",
        "beam",
        "below",
        "2 m",
        "over",
        "the",
        "audience",
        "-",
        "+",
        "*",
        "time",
        "starts",
        "shutter",
        "\u{e9}",
        "\"",
    ];
    let mut random = 11u32;
    let mut next = |below: usize| {
        random = random.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (random >> 8) as usize % below
    };
    for _ in 0..3000 {
        let words: Vec<&str> = (0..next(12) + 1).map(|_| pieces[next(pieces.len())]).collect();
        let text = words.join(" ");
        if let Ok(watch) = Watch::new(&text, &show, &plan) {
            // What is read can be looked at.
            let _ = watch.over_frame(&show.levels);
        }
        let at = next(text.len() + 1);
        let _ = complete(&text, at, &show.rig, &plan);
    }
}
