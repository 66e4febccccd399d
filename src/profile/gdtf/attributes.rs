//! The attributes that the standard knows (DIN SPEC 15800, annexes A and B), with their units.

use std::iter;
use std::sync::LazyLock;

use super::description::PhysicalUnit;

/// The table: name, feature group, unit, main attribute, activation group, tab-separated, with a first
/// line of titles.
const TABLE: &str = include_str!("../../../assets/gdtf-attributes.tsv");

/// An attribute of the standard.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Attribute {
    /// Its name, with `(n)` and `(m)` where a number stands: `Gobo(n)Pos`.
    pub name: &'static str,
    /// Its feature group and feature: `Gobo.Gobo`.
    pub feature: &'static str,
    /// The unit of its physical values.
    pub unit: PhysicalUnit,
    /// The attribute it belongs to; empty where there is none.
    pub main: &'static str,
    /// The attributes it is sent with; empty where there are none.
    pub activation: &'static str,
}

/// An attribute as a description names it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Named {
    /// What the standard says of it.
    pub attribute: &'static Attribute,
    /// Its first number; 1 where it has none.
    pub n: u32,
}

static ALL: LazyLock<Vec<Attribute>> = LazyLock::new(|| {
    let row = |line: &'static str| {
        let mut cells = line.split('\t');
        let mut cell = || cells.next().unwrap_or_default();
        Attribute {
            name: cell(),
            feature: cell(),
            unit: PhysicalUnit::from_text(cell()),
            main: cell(),
            activation: cell(),
        }
    };
    TABLE.lines().skip(1).filter(|line| !line.is_empty()).map(row).collect()
});

/// In the order of their names in lower case.
static BY_NAME: LazyLock<Vec<(String, &'static Attribute)>> = LazyLock::new(|| {
    let mut rows: Vec<_> = ALL.iter().map(|row| (row.name.to_ascii_lowercase(), row)).collect();
    rows.sort_by(|(a, _), (b, _)| a.cmp(b));
    rows
});

/// Every attribute of the standard, in its order.
pub fn all() -> &'static [Attribute] {
    &ALL
}

/// The attribute that a description means by a name such as `Gobo2Pos`. Case does not matter (annex B).
pub fn find(name: &str) -> Option<Named> {
    let name = name.trim();
    if name.len() > 100 {
        return None;
    }
    // No name of the standard has a digit in it, so one with digits can only be meant as a pattern.
    let index = BY_NAME.binary_search_by(|(row, _)| row.bytes().cmp(pattern(name))).ok()?;
    let n = first_number(name).unwrap_or(1);
    Some(Named { attribute: BY_NAME[index].1, n })
}

/// The bytes of a name in lower case, with `(n)`, then `(m)`, in place of its numbers.
fn pattern(name: &str) -> impl Iterator<Item = u8> {
    let mut rest = name.bytes().peekable();
    let mut sign: &[u8] = b"(n)";
    let mut pending: &[u8] = &[];
    iter::from_fn(move || {
        if let [first, tail @ ..] = pending {
            pending = tail;
            return Some(*first);
        }
        let byte = rest.next()?;
        if !byte.is_ascii_digit() {
            return Some(byte.to_ascii_lowercase());
        }
        while rest.next_if(u8::is_ascii_digit).is_some() {}
        pending = &sign[1..];
        sign = b"(m)";
        Some(b'(')
    })
}

/// The first number in a name; the largest there is for one that fits in none.
fn first_number(name: &str) -> Option<u32> {
    let start = name.find(|c: char| c.is_ascii_digit())?;
    let digits = &name[start..];
    let end = digits.find(|c: char| !c.is_ascii_digit()).unwrap_or(digits.len());
    Some(digits[..end].parse().unwrap_or(u32::MAX))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_attribute_is_found_under_its_own_name_with_a_number_in_it() {
        assert_eq!(all().len(), 279);
        for row in all() {
            let name = row.name.replace("(n)", "3").replace("(m)", "12");
            let found = find(&name).unwrap();
            assert_eq!(found.attribute.name, row.name);
            assert_eq!(found.n, if row.name.contains("(n)") { 3 } else { 1 });
            assert!(!row.name.contains(|c: char| c.is_ascii_digit()), "{row:?}");
            assert!(!matches!(row.unit, PhysicalUnit::Other(_)), "{row:?}");
        }
    }

    #[test]
    fn case_does_not_matter_and_what_is_not_there_is_not_found() {
        assert_eq!(find("gobo1POS").unwrap().attribute.name, "Gobo(n)Pos");
        assert_eq!(find(" Gobo12WheelSpin ").map(|found| found.n), Some(12));
        assert_eq!(find("Gobo99999999999").map(|found| found.n), Some(u32::MAX));
        for name in ["", "Gobo", "Gobo1Pos2", "Lasergnome", "Gobo(n)Posx", &"9".repeat(5000)] {
            assert_eq!(find(name), None, "{name}");
        }
    }
}
