//! Text: the embedded fonts, the width of a line and its outline.
//!
//! The window lays text out with the shaper that is used here, over the same font files, so that a
//! label is equally wide and equally placed in a picture on screen and in a file. A line reaches
//! from the ascent of its weight's own font down to its descent, plus the font's line gap, and the
//! `at` of a text lies on that box as its alignment says ([`anchor`]).

use std::sync::LazyLock;

use glam::Vec2;
use harfrust::{ShaperData, UnicodeBuffer};
use skrifa::instance::{LocationRef, Size};
use skrifa::outline::{DrawSettings, OutlinePen};
use skrifa::{FontRef, GlyphId, MetadataProvider as _};
use tiny_skia::{Path, PathBuilder};

use super::picture::{AlignH, AlignV, Weight};
use crate::finding::one_line;

/// Inter Regular, an OpenType file.
pub const REGULAR_FONT: &[u8] = include_bytes!("../../assets/fonts/Inter-Regular.otf");
/// Inter SemiBold, an OpenType file.
pub const STRONG_FONT: &[u8] = include_bytes!("../../assets/fonts/Inter-SemiBold.otf");
/// JetBrains Mono Regular, a TrueType file.
pub const MONO_FONT: &[u8] = include_bytes!("../../assets/fonts/JetBrainsMono-Regular.ttf");

/// The largest size of text that is drawn, in points. Larger text is drawn at this size.
pub const MAX_SIZE: f32 = 512.0;

/// The fonts that a weight looks for a letter in, in order. The last resort is the first font's sign
/// for a letter it does not have.
pub fn fallbacks(weight: Weight) -> &'static [Weight] {
    match weight {
        Weight::Regular => &[Weight::Regular, Weight::Mono],
        Weight::Strong => &[Weight::Strong, Weight::Regular, Weight::Mono],
        Weight::Mono => &[Weight::Mono, Weight::Regular],
    }
}

/// The size that text of a size is drawn at, in points; `None` if it is not drawn at all.
pub fn drawn_size(size: f32) -> Option<f32> {
    (size.is_finite() && size > 0.0).then_some(size.min(MAX_SIZE))
}

/// How far a halo reaches beyond the letters, in points.
pub fn halo_reach(size: f32) -> f32 {
    (size * 0.14).clamp(1.0, 3.0)
}

/// Heights of a line of text, in points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LineHeights {
    /// From the top of the line to what the letters stand on.
    pub ascent: f32,
    /// The whole line.
    pub line: f32,
}

/// Heights of a line of text of a size in points.
pub fn line_heights(size: f32, weight: Weight) -> LineHeights {
    let Some(font) = FONTS.get(weight) else { return LineHeights { ascent: size, line: size } };
    let scale = size / font.units_per_em;
    LineHeights {
        ascent: font.ascent * scale,
        line: (font.ascent - font.descent + font.leading) * scale,
    }
}

/// Width of a line of text, in points; 0 if it is not drawn.
pub fn text_width(text: &str, size: f32, weight: Weight) -> f32 {
    drawn_size(size).map_or(0.0, |size| FONTS.lay_out(text, weight, |_| ()) * size)
}

/// From the `at` of a text to the left end of its baseline, before it is turned, for a text that is
/// `width` points wide.
pub fn anchor(width: f32, size: f32, weight: Weight, align: (AlignH, AlignV)) -> Vec2 {
    let heights = line_heights(size, weight);
    let x = match align.0 {
        AlignH::Left => 0.0,
        AlignH::Centre => -0.5 * width,
        AlignH::Right => -width,
    };
    let y = match align.1 {
        AlignV::Top => heights.ascent,
        AlignV::Middle => heights.ascent - 0.5 * heights.line,
        AlignV::Baseline => 0.0,
        AlignV::Bottom => heights.ascent - heights.line,
    };
    Vec2::new(x, y)
}

/// The outline of a line of text, in points, its baseline starting at 0, 0; `None` if there is
/// nothing to draw. Inside is where the winding number is not zero.
pub fn text_path(text: &str, size: f32, weight: Weight) -> Option<Path> {
    let size = drawn_size(size)?;
    let mut pen = Pen { path: PathBuilder::new(), at: Vec2::ZERO, open: false };
    FONTS.lay_out(text, weight, |glyph| {
        let Some(outline) = glyph.font.font.outline_glyphs().get(glyph.id) else { return };
        pen.at = glyph.at * size;
        let settings = DrawSettings::unhinted(Size::new(size), LocationRef::default());
        // A glyph that cannot be drawn is left out: its place stays empty.
        let _ = outline.draw(settings, &mut pen);
        OutlinePen::close(&mut pen);
    });
    pen.path.finish()
}

/// A parsed font; lengths in font units.
struct Font {
    font: FontRef<'static>,
    shaping: ShaperData,
    units_per_em: f32,
    ascent: f32,
    descent: f32,
    leading: f32,
}

impl Font {
    fn parse(bytes: &'static [u8]) -> Option<Self> {
        let font = FontRef::new(bytes).ok()?;
        let metrics = font.metrics(Size::unscaled(), LocationRef::default());
        Some(Self {
            shaping: ShaperData::new(&font),
            units_per_em: f32::from(metrics.units_per_em.max(1)),
            ascent: metrics.ascent,
            descent: metrics.descent,
            leading: metrics.leading,
            font,
        })
    }

    fn has(&self, letter: char) -> bool {
        self.font.charmap().map(letter).is_some_and(|glyph| glyph != GlyphId::NOTDEF)
    }
}

/// A glyph in its place, in ems from the start of the line, y down.
struct Placed<'a> {
    font: &'a Font,
    id: GlyphId,
    at: Vec2,
}

struct Fonts {
    regular: Option<Font>,
    strong: Option<Font>,
    mono: Option<Font>,
}

static FONTS: LazyLock<Fonts> = LazyLock::new(|| Fonts {
    regular: Font::parse(REGULAR_FONT),
    strong: Font::parse(STRONG_FONT),
    mono: Font::parse(MONO_FONT),
});

impl Fonts {
    fn get(&self, weight: Weight) -> Option<&Font> {
        match weight {
            Weight::Regular => self.regular.as_ref(),
            Weight::Strong => self.strong.as_ref(),
            Weight::Mono => self.mono.as_ref(),
        }
    }

    fn resolve(&self, letter: char, weight: Weight) -> Weight {
        let has = |weight: &&Weight| self.get(**weight).is_some_and(|font| font.has(letter));
        fallbacks(weight).iter().find(has).copied().unwrap_or(weight)
    }

    /// Places every glyph and returns the width of the line, in ems.
    fn lay_out(&self, text: &str, weight: Weight, mut place: impl FnMut(Placed<'_>)) -> f32 {
        let text = one_line(text);
        let mut runs: Vec<(Weight, String)> = Vec::new();
        for letter in text.chars() {
            let found = self.resolve(letter, weight);
            match runs.last_mut() {
                Some((last, run)) if *last == found => run.push(letter),
                _ => runs.push((found, String::from(letter))),
            }
        }
        let mut x = 0.0;
        for (weight, run) in runs {
            let Some(font) = self.get(weight) else { continue };
            let mut buffer = UnicodeBuffer::new();
            buffer.push_str(&run);
            buffer.guess_segment_properties();
            let shaper = font.shaping.shaper(&font.font).build();
            let glyphs = shaper.shape(buffer, harfrust::ShapeOptions::new());
            for (info, step) in glyphs.glyph_infos().iter().zip(glyphs.glyph_positions()) {
                let offset = Vec2::new(step.x_offset as f32, -step.y_offset as f32);
                let at = offset / font.units_per_em + Vec2::new(x, 0.0);
                place(Placed { font, id: GlyphId::new(info.glyph_id), at });
                x += step.x_advance as f32 / font.units_per_em;
            }
        }
        x
    }
}

/// Writes glyph outlines, which have y up, into a path, which has y down.
struct Pen {
    path: PathBuilder,
    at: Vec2,
    open: bool,
}

impl OutlinePen for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.close();
        self.open = true;
        self.path.move_to(self.at.x + x, self.at.y - y);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.path.line_to(self.at.x + x, self.at.y - y);
    }

    fn quad_to(&mut self, cx0: f32, cy0: f32, x: f32, y: f32) {
        let Vec2 { x: dx, y: dy } = self.at;
        self.path.quad_to(dx + cx0, dy - cy0, dx + x, dy - y);
    }

    fn curve_to(&mut self, cx0: f32, cy0: f32, cx1: f32, cy1: f32, x: f32, y: f32) {
        let Vec2 { x: dx, y: dy } = self.at;
        self.path.cubic_to(dx + cx0, dy - cy0, dx + cx1, dy - cy1, dx + x, dy - y);
    }

    fn close(&mut self) {
        if self.open {
            self.path.close();
            self.open = false;
        }
    }
}
