//! Which values of a channel do what is asked for. The ranges are the shipped profiles' own; what is checked
//! of them is a rule of this program, so no outside source is named.

use slotwright::decode::{CompiledMode, answers};
use slotwright::paper::chart::Chart;
use slotwright::profile::{Library, Unit};

/// Every mode of every shipped profile, compiled.
fn modes() -> Vec<CompiledMode> {
    let profiles = Library::embedded().profiles();
    let modes = profiles.flat_map(|profile| profile.modes.iter().map(move |mode| (profile, mode)));
    modes.map(|(profile, mode)| CompiledMode::new(profile, mode)).collect()
}

/// A physical value as a person types it.
fn typed(value: f64, unit: Unit) -> String {
    match unit {
        Unit::Slot => format!("slot {value:.9}"),
        _ => format!("{value:.9} {}", unit.symbol()),
    }
}

#[test]
fn what_a_value_gives_is_answered_with_that_value_in_its_range() {
    let mut asked = 0;
    for mode in modes() {
        for channel in &mode.channels {
            for (r, range) in channel.ranges.iter().enumerate() {
                for value in [range.first, range.first + (range.last - range.first) / 3, range.last]
                {
                    let (Some(pair), Some(gives)) = (range.physical, range.physical_at(value))
                    else {
                        continue;
                    };
                    let text = typed(gives, pair.unit);
                    let found = answers(channel, &text, |_| Some(0)).expect("it is within reach");
                    let answer = found.iter().find(|answer| answer.range == r);
                    let answer = answer.unwrap_or_else(|| panic!("{}: {text}", channel.name));
                    let near = answer.near.expect("a physical value was asked for");
                    // A range that gives one value everywhere is answered with any of its values.
                    let flat = pair.span.0 == pair.span.1;
                    assert!(flat || answer.first == value, "{} {text}: {answer:?}", channel.name);
                    assert!(near.error.abs() < 1e-6, "{} {text}: {answer:?}", channel.name);
                    asked += 1;
                }
            }
        }
    }
    assert!(asked > 500, "only {asked} values were asked for");
}

#[test]
fn every_range_answers_to_its_name() {
    for mode in modes() {
        for channel in &mode.channels {
            for (r, range) in channel.ranges.iter().enumerate() {
                // A name that begins as a number is read as one.
                if range.label.starts_with(|c: char| c.is_ascii_digit()) {
                    continue;
                }
                let found =
                    answers(channel, &range.label, |_| Some(0)).expect("a name of the channel");
                let answer = found.iter().find(|answer| answer.range == r);
                let answer = answer.unwrap_or_else(|| panic!("{}: {}", channel.name, range.label));
                assert_eq!((answer.first, answer.last), (range.first, range.last));
            }
        }
    }
}

#[test]
fn a_chart_covers_every_value_once_and_its_round_steps_are_right() {
    for mode in modes() {
        let chart = Chart::new(&mode);
        assert_eq!(chart.channels.len(), mode.channels.len());
        for channel in &chart.channels {
            let compiled = mode.channels.iter().find(|other| other.name == channel.name);
            let compiled = compiled.expect("a channel of the mode");
            // Rows without a condition follow each other without a hole; gaps are rows of their own.
            let mut next = 0u64;
            for row in channel.rows.iter().filter(|row| row.when.is_empty()) {
                assert!(u64::from(row.from) >= next, "{}: {row:?}", channel.name);
                next = u64::from(row.to) + 1;
            }
            let free = channel.rows.iter().all(|row| row.when.is_empty());
            assert!(!free || next == u64::from(compiled.max_value()) + 1, "{}", channel.name);
            for row in &channel.rows {
                let Some((a, b, _)) = row.physical else { continue };
                let range = compiled.ranges.iter().find(|range| {
                    (range.first, range.last) == (row.from, row.to)
                        && Some(&range.label) == row.function.as_ref()
                });
                let range = range.expect("the row is a range");
                assert_eq!(range.physical_at(row.from), Some(a));
                assert_eq!(range.physical_at(row.to), Some(b));
                for (value, round) in &row.steps {
                    let off = |value| (range.physical_at(value).unwrap_or(f64::NAN) - round).abs();
                    let here = off(*value) - 1e-9;
                    assert!(here <= off(value - 1) && here <= off(value + 1), "{row:?}");
                }
            }
        }
    }
}
