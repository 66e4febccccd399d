//! The attributes that the standard knows (DIN SPEC 15800, annexes A and B), with their units.

use std::collections::HashMap;
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

static BY_NAME: LazyLock<HashMap<String, &'static Attribute>> =
    LazyLock::new(|| ALL.iter().map(|row| (row.name.to_ascii_lowercase(), row)).collect());

/// Every attribute of the standard, in its order.
pub fn all() -> &'static [Attribute] {
    &ALL
}

/// The attribute that a description means by a name such as `Gobo2Pos`. Case does not matter (annex B).
pub fn find(name: &str) -> Option<Named> {
    if name.len() > 100 {
        return None;
    }
    let lower = name.trim().to_ascii_lowercase();
    if let Some(attribute) = BY_NAME.get(&lower) {
        return Some(Named { attribute, n: 1 });
    }
    let (pattern, numbers) = numbered(&lower);
    let attribute = BY_NAME.get(&pattern)?;
    Some(Named { attribute, n: *numbers.first()? })
}

/// A name with `(n)`, `(m)` in place of its numbers, and these numbers.
fn numbered(name: &str) -> (String, Vec<u32>) {
    let (mut pattern, mut numbers) = (String::new(), Vec::new());
    let mut rest = name;
    while let Some(start) = rest.find(|c: char| c.is_ascii_digit()) {
        let (before, tail) = rest.split_at(start);
        let end = tail.find(|c: char| !c.is_ascii_digit()).unwrap_or(tail.len());
        pattern.push_str(before);
        pattern.push_str(if numbers.is_empty() { "(n)" } else { "(m)" });
        numbers.push(tail[..end].parse().unwrap_or(u32::MAX));
        rest = &tail[end..];
    }
    pattern.push_str(rest);
    (pattern, numbers)
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
            assert!(!matches!(row.unit, PhysicalUnit::Other(_)), "{row:?}");
        }
    }

    #[test]
    fn case_does_not_matter_and_what_is_not_there_is_not_found() {
        assert_eq!(find("gobo1POS").unwrap().attribute.name, "Gobo(n)Pos");
        for name in ["", "Gobo", "Gobo1Pos2", "Lasergnome", "Gobo(n)Posx", &"9".repeat(5000)] {
            assert_eq!(find(name), None, "{name}");
        }
    }
}
