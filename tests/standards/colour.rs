//! Colour conversions against the `palette` crate, and colour temperatures against the black-body locus.

use palette::chromatic_adaptation::AdaptIntoUnclamped as _;
use palette::convert::IntoColorUnclamped as _;
use palette::white_point::{D50, D65};
use palette::{LinSrgb, Srgb, Xyz as PaletteXyz, Yxy};
use slotwright::light::colour::{
    Rgb, Xy, Xyz, cmy_transmission, planckian_xy, srgb_decode, srgb_encode, white,
};

use crate::assert_near;

// IEC 61966-2-1, through the `palette` crate.
#[test]
fn every_srgb_byte_decodes_as_palette_does_and_comes_back() {
    for byte in 0..=255u8 {
        let ours = Rgb::from_srgb8([byte, 255 - byte, byte / 2]);
        let theirs: LinSrgb<f64> = Srgb::new(byte, 255 - byte, byte / 2).into_linear();
        for (ours, theirs) in ours.0.into_iter().zip([theirs.red, theirs.green, theirs.blue]) {
            assert_near(ours, theirs, 1e-6);
        }
        assert_eq!(ours.to_srgb8(), [byte, 255 - byte, byte / 2]);
    }
}

// IEC 61966-2-1 (from memory; palette agrees): sampled bytes and levels.
#[test]
fn sampled_bytes_have_their_published_levels() {
    for (byte, linear) in
        [(1, 0.000304), (10, 0.003035), (64, 0.051269), (128, 0.215861), (188, 0.502886)]
    {
        assert_near(srgb_decode(f64::from(byte) / 255.0), linear, 5e-7);
    }
    assert_near(srgb_encode(0.18), 0.461356, 5e-7);
    assert_near(srgb_encode(0.5), 0.735357, 5e-7);
    // WCAG 2 prints the knee as 0.03928: no 8-bit value falls between the two.
    assert!((0..=255).all(|byte| !(0.03928..=0.04045).contains(&(f64::from(byte) / 255.0))));
}

// WCAG 2, Understanding 2.3.1: linear sRGB to XYZ.
#[test]
fn the_primaries_have_the_tristimulus_values_wcag_prints() {
    for (primary, column) in [
        ([1.0, 0.0, 0.0], [0.4124564, 0.2126729, 0.0193339]),
        ([0.0, 1.0, 0.0], [0.3575761, 0.7151522, 0.1191920]),
        ([0.0, 0.0, 1.0], [0.1804375, 0.0721750, 0.9503041]),
    ] {
        for (got, expected) in Rgb(primary).to_xyz().0.into_iter().zip(column) {
            assert_near(got, expected, 1e-6);
        }
    }
}

// DIN SPEC 15800 table 21 (sRGB): primaries, white and luminance shares.
#[test]
fn the_primaries_have_their_chromaticities() {
    for (rgb, x, y) in [
        ([1.0, 0.0, 0.0], 0.64, 0.33),
        ([0.0, 1.0, 0.0], 0.30, 0.60),
        ([0.0, 0.0, 1.0], 0.15, 0.06),
        ([1.0, 1.0, 1.0], 0.3127, 0.3290),
    ] {
        let xy = Rgb(rgb).to_xyz().to_xy().unwrap();
        assert_near(xy.x, x, 5e-5);
        assert_near(xy.y, y, 5e-5);
    }
    assert_near(Rgb([1.0, 0.0, 0.0]).luminance(), 0.2126, 1e-4);
    assert_near(Rgb([0.0, 1.0, 0.0]).luminance(), 0.7152, 1e-4);
    assert_near(Rgb([0.0, 0.0, 1.0]).luminance(), 0.0722, 1e-4);
    assert_near(Rgb::WHITE.luminance(), 1.0, 1e-12);
}

// D65 at Y = 1 (palette; from the rounded chromaticity by calculation).
#[test]
fn d65_has_its_tristimulus_values() {
    for (got, expected) in Rgb::WHITE.to_xyz().0.into_iter().zip([0.95047, 1.0, 1.08883]) {
        assert_near(got, expected, 1e-9);
    }
    for (got, expected) in Xy::D65.to_xyz(1.0).0.into_iter().zip([0.95046, 1.0, 1.08906]) {
        assert_near(got, expected, 1e-5);
    }
}

// Cyan, magenta and yellow of sRGB as xyY (palette; calculated).
#[test]
fn the_secondaries_have_their_chromaticities() {
    for (rgb, [x, y, luminance]) in [
        ([0.0, 1.0, 1.0], [0.2247, 0.3288, 0.7873]),
        ([1.0, 0.0, 1.0], [0.3209, 0.1542, 0.2848]),
        ([1.0, 1.0, 0.0], [0.4193, 0.5052, 0.9278]),
    ] {
        let xyz = Rgb(rgb).to_xyz();
        let xy = xyz.to_xy().unwrap();
        assert_near(xy.x, x, 1e-4);
        assert_near(xy.y, y, 1e-4);
        assert_near(xyz.0[1], luminance, 1e-4);
    }
}

// Against the `palette` crate over a grid of chromaticities and luminances, in gamut or not.
#[test]
fn chromaticities_convert_as_palette_converts_them() {
    for i in 1..16 {
        for j in 1..16 {
            for luminance in [0.02, 0.4, 1.0] {
                let xy = Xy { x: f64::from(i) * 0.05, y: f64::from(j) * 0.05 };
                let theirs: PaletteXyz<D65, f64> =
                    Yxy::<D65, f64>::new(xy.x, xy.y, luminance).into_color_unclamped();
                let ours = xy.to_xyz(luminance);
                for (ours, theirs) in ours.0.into_iter().zip([theirs.x, theirs.y, theirs.z]) {
                    assert_near(ours, theirs, 1e-12 * (1.0 + theirs.abs()));
                }
                let unclamped: LinSrgb<f64> = theirs.into_color_unclamped();
                let scale = 1.0 + theirs.x.abs() + theirs.z.abs();
                let rgb = ours.to_rgb();
                for (ours, theirs) in
                    rgb.0.into_iter().zip([unclamped.red, unclamped.green, unclamped.blue])
                {
                    assert_near(ours, theirs, 2e-6 * scale);
                }
                for (back, there) in rgb.to_xyz().0.into_iter().zip(ours.0) {
                    assert_near(back, there, 1e-12 * scale);
                }
                let back = ours.to_xy().unwrap();
                assert_near(back.x, xy.x, 1e-12);
                assert_near(back.y, xy.y, 1e-12);
            }
        }
    }
}

// Bradford adaptation from D50 to D65, against the `palette` crate.
#[test]
fn whites_adapt_as_palette_adapts_them() {
    let (d50, d65) = (Xyz([0.96422, 1.0, 0.82521]), Xyz([0.95047, 1.0, 1.08883]));
    for xyz in [[0.3, 0.4, 0.2], [0.9, 1.0, 0.8], [0.05, 0.02, 0.3]] {
        let theirs: PaletteXyz<D65, f64> =
            PaletteXyz::<D50, f64>::new(xyz[0], xyz[1], xyz[2]).adapt_into_unclamped();
        let ours = Xyz(xyz).adapted(d50.to_xy().unwrap(), d65.to_xy().unwrap());
        for (ours, theirs) in ours.0.into_iter().zip([theirs.x, theirs.y, theirs.z]) {
            assert_near(ours, theirs, 1e-5);
        }
    }
}

// Exact x, y from Planck's law with the CIE 1931 observer (calculated); the cubic of Kim et al. (2002),
// coefficients from memory, stays within 0.0006 of it.
#[test]
fn the_black_body_locus_is_within_its_stated_error() {
    for (cct_k, exact, fit) in [
        (2700.0, [0.45986, 0.41060], [0.45931, 0.41066]),
        (3200.0, [0.42336, 0.39895], [0.42318, 0.39908]),
        (4000.0, [0.38044, 0.37675], [0.38053, 0.37673]),
        (5600.0, [0.33020, 0.33908], [0.33011, 0.33909]),
        (6500.0, [0.31353, 0.32363], [0.31349, 0.32366]),
        (10_000.0, [0.28063, 0.28829], [0.28070, 0.28831]),
    ] {
        let xy = planckian_xy(cct_k).unwrap();
        assert_near(xy.x, exact[0], 0.0006);
        assert_near(xy.y, exact[1], 0.0006);
        assert_near(xy.x, fit[0], 1e-5);
        assert_near(xy.y, fit[1], 1e-5);
    }
    assert_eq!(planckian_xy(f64::NAN), None);
    assert_eq!(planckian_xy(f64::INFINITY), None);
    assert_eq!(planckian_xy(0.0), planckian_xy(1667.0));
    assert_eq!(planckian_xy(1e300), planckian_xy(25_000.0));
}

// The pieces of the fit of Kim et al. (2002) meet at 2222 K and 4000 K, so that a fade across does not
// jump.
#[test]
fn the_black_body_locus_has_no_steps() {
    let mut last = planckian_xy(1667.0).unwrap();
    for cct_k in 1668..=25_000 {
        let xy = planckian_xy(f64::from(cct_k)).unwrap();
        let step = (xy.x - last.x).hypot(xy.y - last.y);
        assert!(step < 3e-4, "{step} at {cct_k} K");
        last = xy;
    }
}

// Definition of a camera's white: the reference temperature shows neutral, lower ones warmer.
#[test]
fn a_lamp_below_the_reference_looks_warm_and_above_it_cold() {
    let neutral = white(5600.0, 5600.0);
    let (warm, cold) = (white(3200.0, 5600.0), white(8000.0, 5600.0));
    assert_eq!((neutral * 0.5).to_srgb8(), (Rgb::WHITE * 0.5).to_srgb8());
    assert!(warm.0[0] > warm.0[1] && warm.0[1] > warm.0[2]);
    assert!(cold.0[0] < cold.0[1] && cold.0[1] < cold.0[2]);
    for colour in [warm, neutral, cold] {
        assert_near(colour.luminance(), 1.0, 1e-12);
    }
}

// Ideal subtractive filters in linear light, R, G, B = 1 - C, 1 - M, 1 - Y; stacked ones multiply (from
// memory; real flags are not ideal).
#[test]
fn ideal_flags_subtract_and_stack() {
    assert_eq!(cmy_transmission(1.0, 0.0, 0.0), Rgb([0.0, 1.0, 1.0]));
    assert_eq!(cmy_transmission(0.25, 0.5, 1.0), Rgb([0.75, 0.5, 0.0]));
    let stacked = cmy_transmission(0.5, 0.0, 0.0) * cmy_transmission(0.5, 0.5, 0.0);
    assert_eq!(stacked, Rgb([0.25, 0.5, 1.0]));
    // Magenta and yellow leave red, with the luminance share of the red primary (BT.709).
    let red = Rgb::WHITE * cmy_transmission(0.0, 1.0, 1.0);
    assert_near(red.luminance(), 0.2126, 1e-4);
    assert_eq!(red.0[1..], [0.0, 0.0]);
}
