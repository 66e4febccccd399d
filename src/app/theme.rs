//! How the window looks: neutral greys with one accent, in dark and in light.
//!
//! Only light has colour. Chrome, text and rulers are greys; the accent marks what is selected or
//! in force; a finding's severity has a hue of its own besides its shape and its word.

use egui::{
    Color32, CornerRadius, FontFamily, FontId, Margin, Shape, Stroke, Style, TextStyle, Theme,
    Visuals, pos2, vec2,
};

use super::canvas::{STRONG_FAMILY, install_fonts};
use crate::finding::Severity;

/// The step of the layout grid, in points: gaps and paddings are multiples of it.
pub const GRID: f32 = 4.0;

/// Room that a list keeps on its right for its scroll bar, in points: bars never lie over contents.
pub const BAR: f32 = 12.0;

/// The family of headings and of what is in force.
pub fn strong_family() -> FontFamily {
    FontFamily::Name(STRONG_FAMILY.into())
}

/// Text at body size that must stand out.
pub fn strong() -> FontId {
    FontId::new(13.0, strong_family())
}

/// Small text that must stand out.
pub fn small_strong() -> FontId {
    FontId::new(11.0, strong_family())
}

/// Small text.
pub fn small() -> FontId {
    FontId::proportional(11.0)
}

/// Numbers in rows and cells.
pub fn number() -> FontId {
    FontId::monospace(12.0)
}

/// Small numbers: slot numbers, scales.
pub fn small_number() -> FontId {
    FontId::monospace(10.0)
}

/// The colours of one theme.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Palette {
    /// Behind panels.
    pub panel: Color32,
    /// Behind fields, rulers and cells.
    pub field: Color32,
    /// The other fill where two alternate (ranges of a ruler, neighbouring fixtures).
    pub field_alt: Color32,
    /// A thing that is pointed at.
    pub hover: Color32,
    /// Hairlines between rows and around fields.
    pub line: Color32,
    /// Lines that carry meaning: range boundaries, hatching.
    pub strong_line: Color32,
    /// Text.
    pub text: Color32,
    /// Text of second rank: units, slot numbers, labels of what is not in force.
    pub weak_text: Color32,
    /// What is selected or in force: outlines, cursors, text.
    pub accent: Color32,
    /// Behind what is selected; text on it is [`Self::text`].
    pub accent_fill: Color32,
    /// Marks and text of a note.
    pub note: Color32,
    /// Marks and text of a warning.
    pub warning: Color32,
    /// Marks and text of an error.
    pub error: Color32,
}

impl Palette {
    /// Light on dark.
    pub const DARK: Self = Self {
        panel: Color32::from_gray(27),
        field: Color32::from_gray(37),
        field_alt: Color32::from_gray(48),
        hover: Color32::from_gray(62),
        line: Color32::from_gray(56),
        strong_line: Color32::from_gray(124),
        text: Color32::from_gray(228),
        weak_text: Color32::from_gray(168),
        accent: Color32::from_rgb(168, 156, 255),
        accent_fill: Color32::from_rgb(62, 55, 112),
        note: Color32::from_rgb(122, 196, 206),
        warning: Color32::from_rgb(240, 184, 84),
        error: Color32::from_rgb(255, 138, 128),
    };

    /// Dark on light.
    pub const LIGHT: Self = Self {
        panel: Color32::from_gray(244),
        field: Color32::from_gray(254),
        field_alt: Color32::from_gray(233),
        hover: Color32::from_gray(216),
        line: Color32::from_gray(212),
        strong_line: Color32::from_gray(132),
        text: Color32::from_gray(28),
        weak_text: Color32::from_gray(88),
        accent: Color32::from_rgb(80, 60, 196),
        accent_fill: Color32::from_rgb(214, 208, 250),
        note: Color32::from_rgb(0, 92, 108),
        warning: Color32::from_rgb(126, 76, 0),
        error: Color32::from_rgb(172, 28, 24),
    };

    /// The palette that goes with these visuals.
    pub fn of(visuals: &Visuals) -> Self {
        if visuals.dark_mode { Self::DARK } else { Self::LIGHT }
    }

    /// The hue of a severity.
    pub fn severity(&self, severity: Severity) -> Color32 {
        match severity {
            Severity::Note => self.note,
            Severity::Warning => self.warning,
            Severity::Error => self.error,
        }
    }
}

/// Gives the window its fonts and both its themes. Call it once, before the first pass.
pub fn apply(ctx: &egui::Context) {
    install_fonts(ctx);
    for (theme, palette) in [(Theme::Dark, Palette::DARK), (Theme::Light, Palette::LIGHT)] {
        ctx.style_mut_of(theme, |style| dress(style, &palette));
    }
}

/// The mark of a severity, centred on `at`: a dot, a triangle or a square, so that it reads without
/// its hue. `size` is its height in points.
pub fn severity_mark(
    painter: &egui::Painter,
    severity: Severity,
    at: egui::Pos2,
    size: f32,
    palette: &Palette,
) {
    let colour = palette.severity(severity);
    let r = size / 2.0;
    match severity {
        Severity::Note => {
            painter.circle_filled(at, r * 0.8, colour);
        }
        Severity::Warning => {
            let points = vec![
                pos2(at.x, at.y - r),
                pos2(at.x + r, at.y + r * 0.8),
                pos2(at.x - r, at.y + r * 0.8),
            ];
            painter.add(Shape::convex_polygon(points, colour, Stroke::NONE));
        }
        Severity::Error => {
            let rect = egui::Rect::from_center_size(at, vec2(size, size) * 0.85);
            painter.rect_filled(rect, CornerRadius::ZERO, colour);
        }
    }
}

fn dress(style: &mut Style, palette: &Palette) {
    style.text_styles = [
        (TextStyle::Small, small()),
        (TextStyle::Body, FontId::proportional(13.0)),
        (TextStyle::Button, FontId::proportional(13.0)),
        (TextStyle::Monospace, number()),
        (TextStyle::Heading, FontId::new(15.0, strong_family())),
    ]
    .into();
    let spacing = &mut style.spacing;
    spacing.item_spacing = vec2(2.0 * GRID, GRID);
    spacing.button_padding = vec2(2.0 * GRID, 3.0);
    spacing.interact_size = vec2(32.0, 22.0);
    spacing.window_margin = Margin::same(12);
    spacing.menu_margin = Margin::same(6);
    spacing.indent = 16.0;
    spacing.tooltip_width = 320.0;
    spacing.scroll = egui::style::ScrollStyle {
        bar_width: 8.0,
        bar_inner_margin: BAR - 8.0,
        bar_outer_margin: 0.0,
        ..egui::style::ScrollStyle::solid()
    };
    dress_visuals(&mut style.visuals, palette);
}

fn dress_visuals(visuals: &mut Visuals, palette: &Palette) {
    let radius = CornerRadius::same(3);
    visuals.panel_fill = palette.panel;
    visuals.window_fill = palette.panel;
    visuals.window_stroke = Stroke::new(1.0, palette.line);
    visuals.window_corner_radius = CornerRadius::same(6);
    visuals.menu_corner_radius = CornerRadius::same(4);
    visuals.extreme_bg_color = palette.field;
    visuals.text_edit_bg_color = Some(palette.field);
    visuals.faint_bg_color = palette.field_alt;
    visuals.code_bg_color = palette.field_alt;
    visuals.weak_text_color = Some(palette.weak_text);
    visuals.hyperlink_color = palette.accent;
    visuals.warn_fg_color = palette.warning;
    visuals.error_fg_color = palette.error;
    visuals.selection.bg_fill = palette.accent_fill;
    visuals.selection.stroke = Stroke::new(1.0, palette.accent);
    let widgets = &mut visuals.widgets;
    let states = [
        (&mut widgets.noninteractive, palette.panel, palette.line, palette.text),
        (&mut widgets.inactive, palette.field_alt, palette.line, palette.text),
        (&mut widgets.hovered, palette.hover, palette.strong_line, palette.text),
        (&mut widgets.active, palette.accent_fill, palette.accent, palette.text),
        (&mut widgets.open, palette.field_alt, palette.strong_line, palette.text),
    ];
    for (state, fill, line, text) in states {
        state.bg_fill = fill;
        state.weak_bg_fill = fill;
        state.bg_stroke = Stroke::new(1.0, line);
        state.fg_stroke = Stroke::new(1.0, text);
        state.corner_radius = radius;
        state.expansion = 0.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Contrast of two colours, WCAG 2.1, "contrast ratio" and "relative luminance".
    fn contrast(a: Color32, b: Color32) -> f64 {
        let luminance = |colour: Color32| {
            let channel = |byte: u8| {
                let c = f64::from(byte) / 255.0;
                if c <= 0.03928 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
            };
            0.2126 * channel(colour.r())
                + 0.7152 * channel(colour.g())
                + 0.0722 * channel(colour.b())
        };
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn text_stands_out_from_everything_it_stands_on() {
        // WCAG 2.1, 1.4.3 Contrast (Minimum): 4.5:1 for text.
        for (name, p) in [("dark", Palette::DARK), ("light", Palette::LIGHT)] {
            let words = [p.text, p.weak_text, p.accent, p.note, p.warning, p.error];
            for text in words {
                for ground in [p.panel, p.field, p.field_alt] {
                    let ratio = contrast(text, ground);
                    assert!(ratio >= 4.5, "{name}: {text:?} on {ground:?} is {ratio:.2}");
                }
            }
            for ground in [p.hover, p.accent_fill] {
                assert!(contrast(p.text, ground) >= 4.5, "{name}: text on {ground:?}");
            }
        }
    }

    #[test]
    fn lines_that_carry_meaning_stand_out() {
        // WCAG 2.1, 1.4.11 Non-text Contrast: 3:1 for what is needed to see a control's state.
        for p in [Palette::DARK, Palette::LIGHT] {
            for ground in [p.panel, p.field, p.field_alt] {
                assert!(contrast(p.accent, ground) >= 3.0);
                assert!(contrast(p.strong_line, ground) >= 3.0, "{ground:?}");
            }
        }
    }

    #[test]
    fn chrome_and_text_have_no_hue() {
        for p in [Palette::DARK, Palette::LIGHT] {
            for c in
                [p.panel, p.field, p.field_alt, p.hover, p.line, p.strong_line, p.text, p.weak_text]
            {
                assert!(c.r() == c.g() && c.g() == c.b());
            }
        }
    }
}
