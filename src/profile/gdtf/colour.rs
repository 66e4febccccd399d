//! The colours of a description as the profile writes them.

use super::values::CieColour;
use crate::profile::srgb;

/// Linear sRGB from XYZ with D65 white (IEC 61966-2-1).
const FROM_XYZ: [[f64; 3]; 3] = [
    [3.240_454_2, -1.537_138_5, -0.498_531_4],
    [-0.969_266_0, 1.876_010_8, 0.041_556_0],
    [0.055_643_4, -0.204_025_9, 1.057_225_2],
];

/// Luminance of the sRGB primaries (IEC 61966-2-1).
const LUMINANCE: [f64; 3] = [0.212_672_9, 0.715_152_2, 0.072_175_0];

/// What white light becomes behind a filter of this colour, as `#rrggbb`. `full` is the luminance that
/// the file calls all of it, 100 or 1.
///
/// A colour that sRGB cannot show loses saturation at the same luminance; one that is brighter than
/// sRGB can show in that colour is darkened to the brightest it can.
pub(super) fn hex(colour: CieColour, full: f64) -> String {
    let share = (colour.luminance / full).clamp(0.0, 1.0);
    let mut rgb = [0.0; 3];
    if colour.y > 1e-6 && share > 0.0 {
        let scale = share / colour.y;
        let xyz = [colour.x * scale, share, (1.0 - colour.x - colour.y) * scale];
        for (channel, row) in rgb.iter_mut().zip(FROM_XYZ) {
            *channel = row.iter().zip(xyz).map(|(a, b)| a * b).sum();
        }
    }
    let bytes = into_gamut(rgb).map(|linear| (encode(linear) * 255.0).round() as u8);
    srgb::text(bytes)
}

/// XYZ with D65 white from linear sRGB (IEC 61966-2-1).
const TO_XYZ: [[f64; 3]; 3] =
    [[0.412_456_4, 0.357_576_1, 0.180_437_5], LUMINANCE, [0.019_333_9, 0.119_192_0, 0.950_304_1]];

/// The colour of `#rrggbb` with a luminance of 0..100; `None` for what is none. Black is white without
/// luminance.
pub(super) fn of_hex(hex: &str) -> Option<CieColour> {
    let digits = hex.strip_prefix('#').filter(|d| d.len() == 6 && d.is_ascii())?;
    let mut rgb = [0.0; 3];
    for (i, channel) in rgb.iter_mut().enumerate() {
        let byte = u8::from_str_radix(&digits[2 * i..2 * i + 2], 16).ok()?;
        *channel = decode(f64::from(byte) / 255.0);
    }
    let [x, y, z] = TO_XYZ
        .map(|row| row.iter().zip(rgb).map(|(factor, channel)| factor * channel).sum::<f64>());
    let sum = x + y + z;
    if sum <= 0.0 {
        return Some(CieColour { luminance: 0.0, ..CieColour::WHITE });
    }
    Some(CieColour { x: x / sum, y: y / sum, luminance: y * 100.0 })
}

fn decode(encoded: f64) -> f64 {
    if encoded <= 0.040_45 { encoded / 12.92 } else { ((encoded + 0.055) / 1.055).powf(2.4) }
}

fn into_gamut(rgb: [f64; 3]) -> [f64; 3] {
    let luminance: f64 = rgb.iter().zip(LUMINANCE).map(|(a, b)| a * b).sum();
    let least = rgb.into_iter().fold(f64::INFINITY, f64::min);
    let mut rgb = rgb;
    if least < 0.0 && luminance > 0.0 {
        let toward_white = -least / (luminance - least);
        rgb = rgb.map(|channel| (channel + toward_white * (luminance - channel)).max(0.0));
    }
    let most = rgb.into_iter().fold(1.0, f64::max);
    rgb.map(|channel| (channel / most).clamp(0.0, 1.0))
}

fn encode(linear: f64) -> f64 {
    if linear <= 0.003_130_8 { 12.92 * linear } else { 1.055 * linear.powf(1.0 / 2.4) - 0.055 }
}

/// Chromaticity of light of a wavelength in nanometres, for an emitter that gives no other colour;
/// `None` outside what can be seen. The analytic fit to the CIE 1931 observer by Wyman, Sloan and
/// Shirley (2013), multi-lobe; from memory.
pub(super) fn of_wavelength(nm: f64) -> Option<(f64, f64)> {
    if !(380.0..=720.0).contains(&nm) {
        return None;
    }
    let lobe = |peak: f64, at: f64, below: f64, above: f64| {
        let t = (nm - at) * if nm < at { below } else { above };
        peak * (-0.5 * t * t).exp()
    };
    let x = lobe(0.362, 442.0, 0.0624, 0.0374)
        + lobe(1.056, 599.8, 0.0264, 0.0323)
        + lobe(-0.065, 501.1, 0.0490, 0.0382);
    let y = lobe(0.821, 568.8, 0.0213, 0.0247) + lobe(0.286, 530.9, 0.0613, 0.0322);
    let z = lobe(1.217, 437.0, 0.0845, 0.0278) + lobe(0.681, 459.0, 0.0385, 0.0725);
    let sum = x + y + z;
    (sum > 1e-9).then(|| ((x / sum).max(1e-4), (y / sum).max(1e-4)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::colour::{Rgb, Xy};

    #[test]
    fn colours_are_those_of_the_light() {
        // IEC 61966-2-1: the primaries and the white.
        for (x, y, luminance, expected) in [
            (0.64, 0.33, 21.26, "#ff0000"),
            (0.30, 0.60, 71.52, "#00ff00"),
            (0.15, 0.06, 7.22, "#0000ff"),
            (0.3127, 0.3290, 100.0, "#ffffff"),
            (0.3127, 0.3290, 0.0, "#000000"),
        ] {
            assert_eq!(hex(CieColour { x, y, luminance }, 100.0), expected);
        }
        let of_light = Rgb::from_xyy(Xy { x: 0.4, y: 0.4 }, 0.3).to_srgb8();
        let ours = hex(CieColour { x: 0.4, y: 0.4, luminance: 0.3 }, 1.0);
        assert_eq!(Rgb::from_hex(&ours).map(Rgb::to_srgb8), Some(of_light));
        // Amber said to pass everything is shown as bright as amber can be.
        assert!(hex(CieColour { x: 0.55, y: 0.44, luminance: 100.0 }, 100.0).starts_with("#ff"));
    }

    #[test]
    fn wavelengths_lie_near_the_edge_of_what_can_be_seen() {
        // CIE 1931, 2 degrees: 620 nm is at (.6915, .3083), 520 nm at (.0743, .8338).
        let (x, y) = of_wavelength(620.0).unwrap();
        assert!((x - 0.6915).abs() < 0.01 && (y - 0.3083).abs() < 0.01, "{x} {y}");
        let (x, y) = of_wavelength(520.0).unwrap();
        assert!((x - 0.0743).abs() < 0.03 && (y - 0.8338).abs() < 0.03, "{x} {y}");
        assert_eq!(of_wavelength(f64::NAN), None);
    }
}
