//! The written values of a fixture description (DIN SPEC 15800, table 1) and their arithmetic.

use std::fmt;

use crate::profile::model::max_value;

/// Size beyond which a number is refused: no length, angle, flux or rate is so large.
const MOST: f64 = 1e12;

/// A number as descriptions write it. A decimal comma is forgiven, since examples have it.
///
/// # Errors
///
/// Why it is no number that could be meant.
pub fn number(text: &str) -> Result<f64, String> {
    let plain = text.trim().replace(',', ".");
    match plain.parse::<f64>() {
        Ok(value) if value.is_finite() && value.abs() <= MOST => Ok(value),
        Ok(_) => Err(format!("`{}` is no number that could be meant", short(text))),
        Err(_) => Err(format!("`{}` is no number", short(text))),
    }
}

/// A text from a file, cut to what a message can show.
pub(super) fn short(text: &str) -> String {
    let cut: String = text.chars().take(60).collect();
    if cut.len() < text.len() { format!("{cut}...") } else { cut }
}

/// A value of a channel with the number of bytes it is written in: `255/1`, `32768/2`, `128/1s`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DmxValue {
    /// The number.
    pub value: u32,
    /// Bytes it is written in, 1..4.
    pub bytes: u8,
    /// A wider channel pads it with zero bytes instead of repeating its bytes.
    pub shifted: bool,
}

impl DmxValue {
    /// The value of a missing attribute, `0/1`.
    pub const ZERO: Self = Self { value: 0, bytes: 1, shifted: false };

    /// Reads `value/bytes` or `value/bytes s`.
    ///
    /// # Errors
    ///
    /// Why it cannot be read.
    pub fn parse(text: &str) -> Result<Self, String> {
        let wrong = || format!("`{}` is no DMX value; one is written `128/1`", short(text));
        let (value, bytes) = text.trim().split_once('/').ok_or_else(wrong)?;
        let (bytes, shifted) = match bytes.trim().strip_suffix('s') {
            Some(bytes) => (bytes, true),
            None => (bytes.trim(), false),
        };
        let bytes: u8 = bytes.trim().parse().map_err(|_| wrong())?;
        let value: u32 = value.trim().parse().map_err(|_| wrong())?;
        if !(1..=4).contains(&bytes) {
            return Err(format!("`{}` has {bytes} bytes; a channel has 1 to 4", short(text)));
        }
        if value > max_value(usize::from(bytes)) {
            return Err(format!("`{}` does not fit in its own bytes", short(text)));
        }
        Ok(Self { value, bytes, shifted })
    }

    /// The value in a channel of `width` slots, 1..4.
    ///
    /// Wider: the plain form repeats its bytes (255/1 is 65535 of 65535), the `s` form pads zero bytes
    /// (65280); how a plain form of several bytes repeats is not stated and taken as its bytes over
    /// and over. Narrower: the most significant bytes stay, cut and not rounded.
    pub fn to_width(self, width: usize) -> u32 {
        let bytes = usize::from(self.bytes.clamp(1, 4));
        let width = width.clamp(1, 4);
        if width <= bytes {
            return self.value >> (8 * (bytes - width));
        }
        let own = &self.value.to_be_bytes()[4 - bytes..];
        let all = (0..width).map(|i| {
            let repeated = if self.shifted { own.get(i) } else { own.get(i % bytes) };
            repeated.copied().unwrap_or(0)
        });
        all.fold(0, |value, byte| value << 8 | u32::from(byte))
    }

    /// Whether it says less than a channel of `width` slots can tell apart, so that where exactly it
    /// lies depends on how it is widened.
    pub fn is_widened(self, width: usize) -> bool {
        usize::from(self.bytes) < width && !self.shifted && self.value != 0
    }
}

impl fmt::Display for DmxValue {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}{}", self.value, self.bytes, if self.shifted { "s" } else { "" })
    }
}

/// An address: `17`, or `2.5` for slot 5 of the second universe. Both count from 1.
///
/// # Errors
///
/// Why it cannot be read.
pub fn address(text: &str) -> Result<u32, String> {
    let wrong = || format!("`{}` is no DMX address", short(text));
    let (universe, slot) = match text.trim().split_once('.') {
        Some((universe, slot)) => (universe.parse().map_err(|_| wrong())?, slot),
        None => (1u32, text.trim()),
    };
    let slot: u32 = slot.trim().parse().map_err(|_| wrong())?;
    if universe == 0 || slot == 0 {
        return Err(format!("`{}` has a 0; addresses count from 1", short(text)));
    }
    (universe - 1).checked_mul(512).and_then(|base| base.checked_add(slot)).ok_or_else(wrong)
}

/// A colour as CIE 1931 x, y and luminance Y. The standard uses both 0..100 and 0..1 for Y.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CieColour {
    /// Chromaticity x.
    pub x: f64,
    /// Chromaticity y.
    pub y: f64,
    /// Luminance, in the scale of the file.
    pub luminance: f64,
}

impl CieColour {
    /// The colour of a missing attribute of a wheel slot: the white of D65.
    pub const WHITE: Self = Self { x: 0.3127, y: 0.3290, luminance: 100.0 };

    /// Reads `x,y,Y`. A decimal comma in Y, or in all three, is forgiven.
    ///
    /// # Errors
    ///
    /// Why it cannot be read.
    pub fn parse(text: &str) -> Result<Self, String> {
        let parts: Vec<&str> = text.split(',').map(str::trim).collect();
        let joined = |a: &str, b: &str| number(&format!("{a}.{b}"));
        let (x, y, luminance) = match parts.as_slice() {
            [x, y, luminance] => (number(x)?, number(y)?, number(luminance)?),
            [x, y, whole, decimals] => (number(x)?, number(y)?, joined(whole, decimals)?),
            [a, b, c, d, e, f] => (joined(a, b)?, joined(c, d)?, joined(e, f)?),
            _ => return Err(format!("`{}` is no colour; one is written `x,y,Y`", short(text))),
        };
        let colour = Self { x, y, luminance };
        if !(x >= 0.0 && y >= 0.0 && x + y <= 1.001 && luminance >= 0.0) {
            return Err(format!("`{}` is no colour that can be seen", short(text)));
        }
        Ok(colour)
    }

    /// Whether it is white, near enough that nobody would call it a colour.
    pub fn is_white(self) -> bool {
        (self.x - Self::WHITE.x).abs() < 0.003 && (self.y - Self::WHITE.y).abs() < 0.003
    }
}

impl fmt::Display for CieColour {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.6},{:.6},{:.6}", self.x, self.y, self.luminance)
    }
}

/// A matrix, row by row: 4 x 4 for a place in space with the translation in the 4th column, 3 x 3 for
/// a facet with the translation in the 3rd row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Matrix<const N: usize>(pub [[f64; N]; N]);

/// A place in space.
pub type Matrix4 = Matrix<4>;

/// A facet of a prism.
pub type Matrix3 = Matrix<3>;

impl<const N: usize> Default for Matrix<N> {
    fn default() -> Self {
        let mut rows = [[0.0; N]; N];
        for (i, row) in rows.iter_mut().enumerate() {
            row[i] = 1.0;
        }
        Self(rows)
    }
}

impl<const N: usize> Matrix<N> {
    /// Reads rows in braces: `{1,0,0,0}{0,1,0,0}{0,0,1,-0.2}{0,0,0,1}`.
    ///
    /// # Errors
    ///
    /// Why it cannot be read.
    pub fn parse(text: &str) -> Result<Self, String> {
        let wrong = || format!("`{}` is no {N} x {N} matrix", short(text));
        let mut rows = [[0.0; N]; N];
        let inner = text.trim().strip_prefix('{').and_then(|text| text.strip_suffix('}'));
        let mut parts = inner.ok_or_else(wrong)?.split('}');
        for row in &mut rows {
            let part = parts.next().ok_or_else(wrong)?;
            let mut numbers = part.trim().trim_start_matches('{').split(',');
            for cell in row.iter_mut() {
                *cell = number(numbers.next().ok_or_else(wrong)?)?;
            }
            if numbers.next().is_some() {
                return Err(wrong());
            }
        }
        if parts.next().is_some() { Err(wrong()) } else { Ok(Self(rows)) }
    }

    /// The place of `inner` where `self` is the place of what it stands in.
    pub fn then(&self, inner: &Self) -> Self {
        let mut rows = [[0.0; N]; N];
        for (i, row) in rows.iter_mut().enumerate() {
            for (j, cell) in row.iter_mut().enumerate() {
                *cell = (0..N).map(|k| self.0[i][k] * inner.0[k][j]).sum();
            }
        }
        Self(rows)
    }
}

impl<const N: usize> fmt::Display for Matrix<N> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for row in &self.0 {
            // To a billionth; the sum makes a plain zero of a negative one.
            let cell = |cell: &f64| ((cell * 1e9).round() / 1e9 + 0.0).to_string();
            let cells: Vec<String> = row.iter().map(cell).collect();
            write!(f, "{{{}}}", cells.join(","))?;
        }
        Ok(())
    }
}

/// Slots of a channel, relative to the start address and from 1, most significant first; none for a
/// channel that takes no slot.
///
/// # Errors
///
/// Why it cannot be read.
pub fn offsets(text: &str) -> Result<Vec<u16>, String> {
    let text = text.trim();
    if text.is_empty() || text.eq_ignore_ascii_case("none") {
        return Ok(Vec::new());
    }
    let parts: Vec<&str> = text.split(',').collect();
    if parts.len() > 4 {
        return Err(format!("`{}` has {} slots; a channel has 1 to 4", short(text), parts.len()));
    }
    let slot = |part: &&str| match part.trim().parse::<u16>() {
        Ok(slot @ 1..=512) => Ok(slot),
        _ => Err(format!("`{}` is no slot; they count from 1 to 512", short(part))),
    };
    parts.iter().map(slot).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_that_cannot_be_meant_are_refused() {
        assert_eq!(number(" 0,5 "), Ok(0.5));
        assert_eq!(number("-1e3"), Ok(-1000.0));
        for text in ["NaN", "inf", "-inf", "1e308", "1e999", "", "1.2.3", "1;2"] {
            assert!(number(text).is_err(), "{text}");
        }
    }

    #[test]
    fn values_that_cannot_be_read_say_why() {
        for text in ["", "12", "256/1", "1/0", "1/5", "-1/1", "1/1x", "/", "4294967296/4"] {
            assert!(DmxValue::parse(text).is_err(), "{text}");
        }
        for text in ["255/1", "128/1s", "4294967295/4"] {
            assert_eq!(DmxValue::parse(text).unwrap().to_string(), text);
        }
    }

    #[test]
    fn addresses_and_offsets_count_from_one() {
        assert_eq!(address("17"), Ok(17));
        assert_eq!(address("2.1"), Ok(513));
        assert!(address("0").is_err() && address("0.4").is_err() && address("x").is_err());
        assert!(address("9999999.1").is_err());
        assert_eq!(offsets("3,4"), Ok(vec![3, 4]));
        assert_eq!(offsets("None"), Ok(vec![]));
        assert!(offsets("0").is_err() && offsets("1,2,3,4,5").is_err() && offsets("513").is_err());
    }

    #[test]
    fn matrices_multiply_down_the_tree() {
        let down: Matrix4 = Matrix::parse("{1,0,0,0.5}{0,1,0,0}{0,0,1,-0.2}{0,0,0,1}").unwrap();
        let turned: Matrix4 = Matrix::parse("{0,-1,0,0}{1,0,0,1}{0,0,1,-0.1}{0,0,0,1}").unwrap();
        let both = down.then(&turned);
        assert_eq!([both.0[0][3], both.0[1][3]], [0.5, 1.0]);
        assert!((both.0[2][3] + 0.3).abs() < 1e-12);
        for text in ["", "{}", "{1,0,0,0}", "1,0,0", "{1,0,0,0}{0,1,0,0}{0,0,1,0}{0,0,0}"] {
            assert!(Matrix4::parse(text).is_err(), "{text}");
        }
    }
}
