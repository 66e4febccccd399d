//! `slotwright stray`.

use crate::harness::{Bench, HEAD};

/// Three heads of one mode in universe 1, at slots 1, 11 and 21.
const THREE: &str = r#"(format: 1, name: "Three", profile_files: ["head.ron"], fixtures: [
  (id: 1, profile: "Neutral ROWAN-6", mode: "six", universe: 1, slot: 1, at: (-2, 3, 5)),
  (id: 2, profile: "Neutral ROWAN-6", mode: "six", universe: 1, slot: 11, at: (0, 3, 5)),
  (id: 3, profile: "Neutral ROWAN-6", mode: "six", universe: 1, slot: 21, at: (2, 3, 5)),
])"#;

fn bench(last_shutter: u8) -> Bench {
    let bench = Bench::new();
    bench.write("head.ron", HEAD);
    bench.write("three.ron", THREE);
    bench.write("f.csv", format!("universe,slot,value\n1,4,40\n1,14,40\n1,24,{last_shutter}\n"));
    bench
}

#[test]
fn the_lone_shutter_is_told_and_makes_the_exit_code_1() {
    let ran = bench(0).run(&["stray", "three.ron", "--frame", "f.csv"]);
    assert_eq!(ran.code, 1, "{} {}", ran.out, ran.err);
    assert!(ran.out.contains("fixture 3 differs in slot 4 `Shutter` = 0 (closed)"), "{}", ran.out);
    assert!(ran.out.contains("2 twins have 40 (open)"), "{}", ran.out);
    let ran = bench(0).run(&["stray", "three.ron", "--frame", "f.csv", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!((json[0]["fixture"].as_u64(), json[0]["usual"].as_u64()), (Some(3), Some(40)));
}

#[test]
fn where_none_is_stray_the_cause_is_not_in_the_data() {
    let ran = bench(40).run(&["stray", "three.ron", "--frame", "f.csv", "--fixture", "3"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("not in the data; look at the head's own menu"), "{}", ran.out);
    let ran = bench(40).run(&["stray", "three.ron", "--fixture", "99"]);
    assert_eq!(ran.code, 2);
}

#[test]
fn a_value_in_no_range_is_told() {
    let ran = bench(200).run(&["stray", "three.ron", "--frame", "f.csv"]);
    assert_eq!(ran.code, 1);
    assert!(ran.out.contains("lies in no range") && ran.out.contains("[gap]"), "{}", ran.out);
}
