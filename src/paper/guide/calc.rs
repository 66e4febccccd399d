//! Small sums, so that a page's own arithmetic can be checked.

/// Works out a sum of numbers, `+ - * /` and brackets. `None` where it is none, or has no finite value.
pub(super) fn calc(text: &str) -> Option<f64> {
    let mut rest = text.trim();
    let value = sum(&mut rest, 0)?;
    (rest.is_empty() && value.is_finite()).then_some(value)
}

/// How deep brackets may go.
const DEEPEST: usize = 16;

/// Takes one of some signs off the front, with the blanks behind it.
fn take(rest: &mut &str, signs: &[char]) -> Option<char> {
    let sign = rest.chars().next().filter(|c| signs.contains(c))?;
    *rest = rest[sign.len_utf8()..].trim_start();
    Some(sign)
}

fn sum(rest: &mut &str, depth: usize) -> Option<f64> {
    let mut value = product(rest, depth)?;
    while let Some(sign) = take(rest, &['+', '-']) {
        let next = product(rest, depth)?;
        value = if sign == '+' { value + next } else { value - next };
    }
    Some(value)
}

fn product(rest: &mut &str, depth: usize) -> Option<f64> {
    let mut value = factor(rest, depth)?;
    while let Some(sign) = take(rest, &['*', '/']) {
        let next = factor(rest, depth)?;
        value = if sign == '*' { value * next } else { value / next };
    }
    Some(value)
}

fn factor(rest: &mut &str, depth: usize) -> Option<f64> {
    if take(rest, &['(']).is_some() {
        let value = (depth < DEEPEST).then(|| sum(rest, depth + 1))??;
        take(rest, &[')'])?;
        return Some(value);
    }
    let end = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
    let value = rest[..end].parse().ok()?;
    *rest = rest[end..].trim_start();
    Some(value)
}

#[cfg(test)]
mod tests {
    use super::calc;

    #[test]
    fn sums_have_the_usual_order() {
        assert_eq!(calc("92+12+44*513"), Some(22_676.0));
        assert_eq!(calc("(170*256 + 85) / 65535 * 540"), Some(43_605.0 / 65_535.0 * 540.0));
        assert_eq!(calc("0-270"), Some(-270.0));
    }

    #[test]
    fn what_is_no_sum_has_no_value() {
        for text in ["", "1+", "1/0", "(1", "1)", "x", "1 2", &"(".repeat(10_000)] {
            assert_eq!(calc(text), None, "{text:.20}");
        }
    }
}
