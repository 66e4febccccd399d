//! Percent as values of a slot: three readings are in circulation, and they differ by one.

use super::rows::{Rows, TableChannel};
use super::values::Amount;

/// First and last value, and what is unsure about them.
type Ends = (u32, u32, String);

/// A reading of percent as a value: rounded down, rounded half up, or in 256ths.
type Reading = fn(f64) -> u32;

const READINGS: [(&str, Reading); 3] =
    [("rounded half up", half_up), ("rounded down", down), ("in 256ths", in_256ths)];

fn half_up(percent: f64) -> u32 {
    (percent * 255.0 / 100.0 + 0.5).floor().clamp(0.0, 255.0) as u32
}

fn down(percent: f64) -> u32 {
    (percent * 255.0 / 100.0).floor().clamp(0.0, 255.0) as u32
}

fn in_256ths(percent: f64) -> u32 {
    (percent * 256.0 / 100.0).floor().clamp(0.0, 255.0) as u32
}

/// The values of each row that is printed in percent.
///
/// The reading under which the rows follow each other without a gap is kept; where none does, a row
/// ends where the next one begins. Where the readings differ a warning says so.
pub(super) fn read(table: &TableChannel, rows: &mut Rows) -> Vec<Option<Ends>> {
    let percents: Vec<Option<(f64, f64)>> = table
        .rows
        .iter()
        .map(|row| match row.value.as_ref().map(|value| value.amount) {
            Some(Amount::Percent(from, to)) if to <= 100.0 => Some((from, to)),
            _ => None,
        })
        .collect();
    let all: Vec<(f64, f64)> = percents.iter().copied().flatten().collect();
    if all.is_empty() {
        return percents.iter().map(|_| None).collect();
    }
    let chosen = READINGS.iter().find(|(_, reading)| is_gapless(&all, *reading));
    let mut firsts: Vec<f64> = all.iter().map(|(from, _)| *from).collect();
    firsts.sort_by(f64::total_cmp);
    let (word, reading) = chosen.unwrap_or(&READINGS[0]);
    let made: Vec<Option<Ends>> = percents
        .iter()
        .map(|percent| percent.map(|(from, to)| ends(from, to, &firsts, *reading)))
        .collect();
    if made.iter().flatten().any(|(.., doubt)| !doubt.is_empty()) {
        let what =
            format!("`{}` is printed in percent, which can be read in three ways", table.name);
        let mend = format!("it is read {word}: look at the values at the ends of its ranges");
        rows.warn(table.line, what, mend);
    }
    made
}

/// Whether each row begins one above the value that the one before ends with.
fn is_gapless(all: &[(f64, f64)], reading: Reading) -> bool {
    all.len() > 1 && all.windows(2).all(|two| reading(two[0].1) + 1 == reading(two[1].0))
}

fn ends(from: f64, to: f64, firsts: &[f64], reading: Reading) -> Ends {
    let at = firsts.partition_point(|next| *next <= from || *next < to);
    let next = firsts.get(at).copied();
    let first = reading(from);
    let last = match next {
        // The next row begins here or at the next whole percent.
        Some(next) if next - to <= 1.0 => reading(next).saturating_sub(1).max(first),
        _ => reading(to),
    };
    let differs =
        |percent: f64| READINGS.iter().any(|(_, other)| other(percent) != reading(percent));
    let upper = next.filter(|next| next - to <= 1.0).unwrap_or(to);
    let doubt = if differs(from) || differs(upper) {
        "percent can be read in three ways, which differ here by a value".to_owned()
    } else {
        String::new()
    };
    (first, last, doubt)
}

#[cfg(test)]
mod tests {
    use super::*;

    // 50 % of 255 is 127 rounded down, 128 rounded half up and in 256ths: worked example.
    #[test]
    fn the_three_readings_of_half() {
        assert_eq!((down(50.0), half_up(50.0), in_256ths(50.0)), (127, 128, 128));
        assert_eq!((down(100.0), half_up(100.0), in_256ths(100.0)), (255, 255, 255));
        assert_eq!((down(25.0), half_up(25.0), in_256ths(25.0)), (63, 64, 64));
    }

    #[test]
    fn rows_in_percent_leave_no_gap() {
        let all = [(0.0, 9.0), (10.0, 49.0), (50.0, 100.0)];
        let firsts = [0.0, 10.0, 50.0];
        let made: Vec<_> = all.iter().map(|(a, b)| ends(*a, *b, &firsts, half_up)).collect();
        assert_eq!(made[0].0, 0);
        assert_eq!(made[0].1 + 1, made[1].0);
        assert_eq!(made[1].1 + 1, made[2].0);
        assert_eq!(made[2].1, 255);
        assert!(!made[1].2.is_empty());
    }
}
