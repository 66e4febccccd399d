//! Colour of light: linear mixing, filters, colour temperatures, and the way to the screen.
//!
//! Everything here is linear light over the sRGB primaries (which are those of Rec. ITU-R BT.709)
//! until [`Rgb::to_srgb8`] writes a pixel. A channel may exceed 1: light has no upper end.

use std::ops::{Add, Mul};

use crate::profile::srgb;

/// Chromaticities of the red, green and blue primaries (Rec. ITU-R BT.709, IEC 61966-2-1).
const PRIMARIES: [[f64; 2]; 3] = [[0.64, 0.33], [0.30, 0.60], [0.15, 0.06]];

/// Tristimulus values of D65, the white of sRGB.
const WHITE_XYZ: [f64; 3] = [0.950_47, 1.0, 1.088_83];

/// Linear sRGB to CIE 1931 XYZ, worked out from the above, so that white has a luminance of 1 to the
/// last digit (the seven digits usually printed add up to 1.0000001).
const RGB_TO_XYZ: [[f64; 3]; 3] = rgb_to_xyz();

/// Inverted rather than copied, so that the way there and back is exact.
const XYZ_TO_RGB: [[f64; 3]; 3] = inverse(RGB_TO_XYZ);

/// XYZ to the sharpened cone responses in which a white point is scaled (Bradford; from memory).
const XYZ_TO_CONES: [[f64; 3]; 3] =
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]];

const CONES_TO_XYZ: [[f64; 3]; 3] = inverse(XYZ_TO_CONES);

/// Coolest and warmest colour temperature the locus fit is made for, in kelvin.
pub const CCT_RANGE_K: (f64, f64) = (1667.0, 25_000.0);

/// Light as linear red, green and blue over the sRGB primaries. `Rgb([1.0; 3])` is D65 white.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Rgb(pub [f64; 3]);

/// CIE 1931 tristimulus values of the 2 degree observer. Y is the luminance of [`Rgb`].
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Xyz(pub [f64; 3]);

/// CIE 1931 chromaticity of the 2 degree observer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Xy {
    /// X / (X + Y + Z).
    pub x: f64,
    /// Y / (X + Y + Z).
    pub y: f64,
}

impl Xy {
    /// D65, the white of sRGB (IEC 61966-2-1).
    pub const D65: Self = Self { x: 0.3127, y: 0.3290 };

    /// Tristimulus values at the luminance `y_rel`; black where the chromaticity has no light in it
    /// (y at or below 0, or not a number).
    pub fn to_xyz(self, y_rel: f64) -> Xyz {
        if !(self.x.is_finite() && self.y > 1e-9 && self.y.is_finite()) {
            return Xyz::default();
        }
        let scale = y_rel / self.y;
        Xyz([self.x * scale, y_rel, (1.0 - self.x - self.y) * scale])
    }
}

impl Xyz {
    /// Chromaticity; `None` for black or for what is not a number.
    pub fn to_xy(self) -> Option<Xy> {
        let [x, y, z] = self.0;
        let sum = x + y + z;
        (sum.is_finite() && sum > 0.0).then(|| Xy { x: x / sum, y: y / sum })
    }

    /// The same colour in linear sRGB. Channels are negative where sRGB cannot show it; see
    /// [`Rgb::into_gamut`].
    pub fn to_rgb(self) -> Rgb {
        Rgb(apply(XYZ_TO_RGB, self.0))
    }

    /// How this colour looks once an observer or camera takes `from` for white, when shown where
    /// `to` is white: the linear Bradford transform (as ICC.1 annex E uses it; from memory).
    /// Unchanged where either white has no light in it.
    pub fn adapted(self, from: Xy, to: Xy) -> Self {
        let from_cones = apply(XYZ_TO_CONES, from.to_xyz(1.0).0);
        let to_cones = apply(XYZ_TO_CONES, to.to_xyz(1.0).0);
        if from_cones.iter().chain(&to_cones).any(|&cone| !cone.is_finite() || cone <= 0.0) {
            return self;
        }
        let mut cones = apply(XYZ_TO_CONES, self.0);
        for (cone, (from, to)) in cones.iter_mut().zip(from_cones.iter().zip(&to_cones)) {
            *cone *= to / from;
        }
        Self(apply(CONES_TO_XYZ, cones))
    }
}

impl Rgb {
    /// No light.
    pub const BLACK: Self = Self([0.0; 3]);
    /// D65 white of luminance 1.
    pub const WHITE: Self = Self([1.0; 3]);

    /// Reads `#rrggbb` (either case, the hash required) as sRGB. `None` for anything else.
    pub fn from_hex(text: &str) -> Option<Self> {
        srgb::parse(text).map(Self::from_srgb8)
    }

    /// Decodes 8-bit sRGB (IEC 61966-2-1).
    pub fn from_srgb8(bytes: [u8; 3]) -> Self {
        Self(bytes.map(|byte| srgb_decode(f64::from(byte) / 255.0)))
    }

    /// Encodes as 8-bit sRGB (IEC 61966-2-1), each channel cut to 0..1 first. What is not a number
    /// becomes 0.
    pub fn to_srgb8(self) -> [u8; 3] {
        self.0.map(|channel| {
            let encoded = srgb_encode(channel.clamp(0.0, 1.0));
            // A cast from NaN is 0, and the clamp above keeps the rest in range.
            (encoded * 255.0).round() as u8
        })
    }

    /// The colour at chromaticity `xy` and luminance `y_rel`, brought into gamut.
    pub fn from_xyy(xy: Xy, y_rel: f64) -> Self {
        xy.to_xyz(y_rel).to_rgb().into_gamut()
    }

    /// Tristimulus values.
    pub fn to_xyz(self) -> Xyz {
        Xyz(apply(RGB_TO_XYZ, self.0))
    }

    /// Relative luminance, the Y of [`Rgb::to_xyz`]: the Rec. ITU-R BT.709 weights, which WCAG 2 rounds
    /// to .2126 .7152 .0722.
    pub fn luminance(self) -> f64 {
        dot(RGB_TO_XYZ[1], self.0)
    }

    /// The same colour at luminance 1; black where there is no luminance to scale.
    pub fn unit_luminance(self) -> Self {
        let luminance = self.luminance();
        if luminance > 1e-12 && luminance.is_finite() {
            self * (1.0 / luminance)
        } else {
            Self::BLACK
        }
    }

    /// The nearest showable colour along the line to white: it is desaturated toward D65 at
    /// constant luminance until no channel is negative. Black where there is no luminance.
    pub fn into_gamut(self) -> Self {
        let luminance = self.luminance();
        if !(luminance > 0.0 && luminance.is_finite()) {
            return Self::BLACK;
        }
        let least = self.0.into_iter().fold(f64::INFINITY, f64::min);
        if least >= 0.0 {
            return self;
        }
        let share = -least / (luminance - least);
        Self(self.0.map(|channel| (channel + share * (luminance - channel)).max(0.0)))
    }

    /// True when every channel is a number, neither negative nor infinite.
    pub fn is_light(self) -> bool {
        self.0.iter().all(|channel| channel.is_finite() && *channel >= 0.0)
    }
}

impl Add for Rgb {
    type Output = Self;

    /// Two lights on one spot.
    fn add(self, other: Self) -> Self {
        Self(std::array::from_fn(|i| self.0[i] + other.0[i]))
    }
}

impl Mul for Rgb {
    type Output = Self;

    /// A light through a filter, or two filters one behind the other.
    fn mul(self, other: Self) -> Self {
        Self(std::array::from_fn(|i| self.0[i] * other.0[i]))
    }
}

impl Mul<f64> for Rgb {
    type Output = Self;

    fn mul(self, factor: f64) -> Self {
        Self(self.0.map(|channel| channel * factor))
    }
}

/// sRGB signal (0..1) to linear light (IEC 61966-2-1; WCAG 2 prints a knee of 0.03928, and no 8-bit
/// value falls between the two).
pub fn srgb_decode(signal: f64) -> f64 {
    if signal <= 0.040_45 { signal / 12.92 } else { ((signal + 0.055) / 1.055).powf(2.4) }
}

/// Linear light (0..1) to sRGB signal (IEC 61966-2-1).
pub fn srgb_encode(linear: f64) -> f64 {
    if linear <= 0.003_130_8 { 12.92 * linear } else { 1.055 * linear.powf(1.0 / 2.4) - 0.055 }
}

/// Chromaticity of a black body at `cct_k` kelvin: the cubic fit of Kim et al. (2002), within 0.0006
/// of Planck's law. The temperature is clamped to [`CCT_RANGE_K`]; `None` if it is not finite.
pub fn planckian_xy(cct_k: f64) -> Option<Xy> {
    if !cct_k.is_finite() {
        return None;
    }
    let t = cct_k.clamp(CCT_RANGE_K.0, CCT_RANGE_K.1);
    let x = if t <= 4000.0 {
        cubic([-0.266_123_9e9, -0.234_358_9e6, 0.877_695_6e3, 0.179_910], 1.0 / t)
    } else {
        cubic([-3.025_846_9e9, 2.107_037_9e6, 0.222_634_7e3, 0.240_390], 1.0 / t)
    };
    let y = if t <= 2222.0 {
        cubic([-1.106_381_4, -1.348_110_20, 2.185_558_32, -0.202_196_83], x)
    } else if t <= 4000.0 {
        cubic([-0.954_947_6, -1.374_185_93, 2.091_370_15, -0.167_488_67], x)
    } else {
        cubic([3.081_758_0, -5.873_386_70, 3.751_129_97, -0.370_014_83], x)
    };
    Some(Xy { x, y })
}

/// Colour of a black body at `cct_k` as a camera shows it whose white is set to `reference_cct_k`:
/// luminance 1, in gamut, and exactly white when the two are equal. White where either
/// temperature is not finite.
pub fn white(cct_k: f64, reference_cct_k: f64) -> Rgb {
    let (Some(lamp), Some(reference)) = (planckian_xy(cct_k), planckian_xy(reference_cct_k)) else {
        return Rgb::WHITE;
    };
    let Some(d65) = Xyz(WHITE_XYZ).to_xy() else { return Rgb::WHITE };
    lamp.to_xyz(1.0).adapted(reference, d65).to_rgb().into_gamut().unit_luminance()
}

/// Adds emitters up in linear light. Each part is an emitter's colour (of any brightness above
/// none), its flux in lumens at full, and its level 0..1. Gives the colour of the sum at luminance 1,
/// or black if all are out, and the flux of the sum in lumens. Parts that are negative or not
/// finite count as out.
pub fn mix(parts: impl IntoIterator<Item = (Rgb, f64, f64)>) -> (Rgb, f64) {
    let mut sum = Rgb::BLACK;
    let mut flux_lm = 0.0;
    for (colour, full_lm, level) in parts {
        let part_lm = full_lm * level;
        if part_lm > 0.0 && part_lm.is_finite() {
            flux_lm += part_lm;
            sum = sum + colour.unit_luminance() * part_lm;
        }
    }
    (sum.unit_luminance(), flux_lm)
}

/// Transmission of ideal cyan, magenta and yellow flags, each 0 (out of the light) to 1 (all the way
/// in), in linear light: red is held back by cyan alone, and so on. Real flags are not ideal.
pub fn cmy_transmission(cyan: f64, magenta: f64, yellow: f64) -> Rgb {
    Rgb([cyan, magenta, yellow].map(|flag| 1.0 - flag.clamp(0.0, 1.0)))
}

/// Value at `x` of the cubic with these coefficients, highest power first.
fn cubic([a, b, c, d]: [f64; 4], x: f64) -> f64 {
    ((a * x + b) * x + c) * x + d
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn apply(rows: [[f64; 3]; 3], v: [f64; 3]) -> [f64; 3] {
    rows.map(|row| dot(row, v))
}

/// Each primary scaled so that the three at full make [`WHITE_XYZ`].
const fn rgb_to_xyz() -> [[f64; 3]; 3] {
    let mut columns = [[0.0; 3]; 3];
    let mut i = 0;
    while i < 3 {
        let [x, y] = PRIMARIES[i];
        columns[0][i] = x / y;
        columns[1][i] = 1.0;
        columns[2][i] = (1.0 - x - y) / y;
        i += 1;
    }
    let shares = inverse(columns);
    let mut i = 0;
    while i < 3 {
        let [x, y, z] = shares[i];
        let scale = x * WHITE_XYZ[0] + y * WHITE_XYZ[1] + z * WHITE_XYZ[2];
        let mut row = 0;
        while row < 3 {
            columns[row][i] *= scale;
            row += 1;
        }
        i += 1;
    }
    columns
}

/// Inverse of a 3 by 3 matrix of rows, by cofactors; only used on the constants above.
const fn inverse(m: [[f64; 3]; 3]) -> [[f64; 3]; 3] {
    let [[a, b, c], [d, e, f], [g, h, i]] = m;
    let det = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g);
    [
        [(e * i - f * h) / det, (c * h - b * i) / det, (b * f - c * e) / det],
        [(f * g - d * i) / det, (a * i - c * g) / det, (c * d - a * f) / det],
        [(d * h - e * g) / det, (b * g - a * h) / det, (a * e - b * d) / det],
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn assert_near(a: f64, b: f64, within: f64) {
        assert!((a - b).abs() <= within, "{a} is not {b} within {within}");
    }

    #[test]
    fn hex_reads_six_digits_and_nothing_else() {
        assert_eq!(Rgb::from_hex("#FFb000").map(Rgb::to_srgb8), Some([255, 176, 0]));
        for bad in ["", "#", "ffb000", "#ffb00", "#ffb0000", "#ggb000", "#+fb000", "#ffb0é"] {
            assert_eq!(Rgb::from_hex(bad), None, "{bad}");
        }
    }

    #[test]
    fn what_is_no_number_writes_black() {
        assert_eq!(Rgb([f64::NAN, -1.0, f64::INFINITY]).to_srgb8(), [0, 0, 255]);
    }

    #[test]
    fn gamut_mapping_keeps_luminance_and_leaves_no_negative_channel() {
        let green = Xy { x: 0.10, y: 0.80 };
        let raw = green.to_xyz(0.4).to_rgb();
        assert!(raw.0.iter().any(|&channel| channel < 0.0));
        let shown = raw.into_gamut();
        assert!(shown.is_light());
        assert_near(shown.luminance(), 0.4, 1e-12);
    }

    #[test]
    fn a_lamp_at_the_reference_temperature_is_white() {
        for cct_k in [2000.0, 3200.0, 5600.0, 10_000.0] {
            for channel in white(cct_k, cct_k).0 {
                assert_near(channel, 1.0, 1e-9);
            }
        }
        let [red, _, blue] = white(3200.0, 5600.0).0;
        assert!(red > 1.0 && blue < 1.0, "a warmer lamp is redder");
        assert_eq!(white(f64::NAN, 5600.0), Rgb::WHITE);
    }

    #[test]
    fn mixing_weights_colours_by_their_flux() {
        let red = Rgb([1.0, 0.0, 0.0]);
        let green = Rgb([0.0, 1.0, 0.0]);
        let (colour, flux_lm) = mix([(red, 300.0, 0.5), (green, 400.0, 1.0), (red, f64::NAN, 1.0)]);
        assert_near(flux_lm, 550.0, 1e-9);
        assert_near(colour.luminance(), 1.0, 1e-12);
        assert_near(colour.0[0] * red.luminance(), 150.0 / 550.0, 1e-12);
        assert_eq!(mix([(red, 300.0, 0.0)]), (Rgb::BLACK, 0.0));
    }
}
