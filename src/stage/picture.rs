//! The picture: a list of plain 2D shapes, the one thing that the window, the SVG and the PNG draw.
//!
//! # Conventions
//!
//! * Coordinates are points, x to the right and y down, with the picture's upper left corner at 0, 0.
//! * [`Ink`] is what is *drawn*: straight-alpha sRGB, blended over what is below it.
//! * [`Glow`] is *light*: linear light per channel, after exposure. It adds; it never covers.
//!
//! # How light becomes a colour
//!
//! The light of all glows of a pane is summed to `L`, per channel. A display has a highest value and
//! light has none, so the sum goes through a response that rises like the light while it is weak and
//! bends towards 1 as film does: `1 - exp(-L)`, in linear light. Over a background of linear value
//! `b` it is `1 - (1 - b) * exp(-L)`, and that is then encoded as sRGB ([`respond`]).
//!
//! Because `exp(-(L1 + L2)) = exp(-L1) * exp(-L2)`, putting one glow's `1 - exp(-L)` over another by
//! *screen* blending, `1 - (1 - a) * (1 - b)`, in linear light is **exactly** the sum of the two
//! lights. The raster adds and the SVG screens, and both show the same thing.

use glam::Vec2;

/// An sRGB colour with straight (not premultiplied) alpha, as `[red, green, blue, alpha]`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Ink(pub [u8; 4]);

impl Ink {
    /// Nothing at all.
    pub const NONE: Self = Self([0; 4]);

    /// An opaque colour.
    pub const fn rgb(red: u8, green: u8, blue: u8) -> Self {
        Self([red, green, blue, 255])
    }

    /// An opaque neutral grey.
    pub const fn grey(level: u8) -> Self {
        Self([level, level, level, 255])
    }

    /// The same colour with another alpha: 0 is clear, 255 opaque.
    pub const fn with_alpha(self, alpha: u8) -> Self {
        Self([self.0[0], self.0[1], self.0[2], alpha])
    }

    /// The alpha: 0 is clear, 255 opaque.
    pub const fn alpha(self) -> u8 {
        self.0[3]
    }

    /// The colour's linear light, 0..1 a channel; the alpha is not looked at.
    pub fn linear(self) -> [f32; 3] {
        [self.0[0], self.0[1], self.0[2]].map(|value| linear_from_srgb(f32::from(value) / 255.0))
    }
}

/// An axis-parallel rectangle, in points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rect {
    /// Upper left corner.
    pub min: Vec2,
    /// Lower right corner.
    pub max: Vec2,
}

impl Rect {
    /// The rectangle with these corners.
    pub const fn new(min: Vec2, max: Vec2) -> Self {
        Self { min, max }
    }

    /// The rectangle with this upper left corner and size.
    pub fn at(min: Vec2, size: Vec2) -> Self {
        Self { min, max: min + size }
    }

    /// Width and height; negative where the corners are the wrong way round.
    pub fn size(&self) -> Vec2 {
        self.max - self.min
    }

    /// The middle.
    pub fn centre(&self) -> Vec2 {
        (self.min + self.max) * 0.5
    }

    /// Whether the point is inside or on the edge.
    pub fn contains(&self, point: Vec2) -> bool {
        point.cmpge(self.min).all() && point.cmple(self.max).all()
    }

    /// The four corners, clockwise on screen from the upper left.
    pub fn corners(&self) -> [Vec2; 4] {
        [self.min, Vec2::new(self.max.x, self.min.y), self.max, Vec2::new(self.min.x, self.max.y)]
    }
}

/// A whole picture: panes of light and drawing, then shapes over all of them.
#[derive(Clone, Debug, PartialEq)]
pub struct Picture {
    /// Width and height.
    pub size: Vec2,
    /// What lies behind everything.
    pub background: Ink,
    /// What the picture shows, in words, for those who read it rather than see it.
    pub title: String,
    /// The panes, in the order they are painted.
    pub panes: Vec<Pane>,
    /// Shapes drawn last and clipped to nothing, e.g. titles and dimensions between panes.
    pub shapes: Vec<Shape>,
}

impl Picture {
    /// An empty picture.
    pub fn new(size: Vec2, background: Ink, title: impl Into<String>) -> Self {
        Self { size, background, title: title.into(), panes: Vec::new(), shapes: Vec::new() }
    }
}

/// A part of a picture with light in it. Everything in it is clipped to `rect`, and painted in the
/// order background, light, shapes.
#[derive(Clone, Debug, PartialEq)]
pub struct Pane {
    /// Where it is in the picture.
    pub rect: Rect,
    /// What lies behind the light. Its alpha is not looked at: a pane is opaque.
    pub background: Ink,
    /// The light; the order means nothing, since light adds.
    pub glows: Vec<Glow>,
    /// The drawing over the light, in order.
    pub shapes: Vec<Shape>,
}

impl Pane {
    /// An empty pane.
    pub fn new(rect: Rect, background: Ink) -> Self {
        Self { rect, background, glows: Vec::new(), shapes: Vec::new() }
    }
}

/// An area of light. It adds to the other light of its pane.
#[derive(Clone, Debug, PartialEq)]
pub struct Glow {
    /// The edge, as a polygon that closes itself and may be concave; inside is where the winding
    /// number is not zero. With fewer than three points, or a point that is not finite, there is no
    /// light.
    pub outline: Vec<Vec2>,
    /// How much light.
    pub fill: Fill,
}

impl Glow {
    /// Even light inside an outline.
    pub fn flat(outline: Vec<Vec2>, light: [f32; 3]) -> Self {
        Self { outline, fill: Fill::Flat(light) }
    }
}

/// Linear light, after exposure, per channel of linear sRGB. Values below 0 and values that are not
/// finite count as no light.
#[derive(Clone, Debug, PartialEq)]
pub enum Fill {
    /// The same all over.
    Flat([f32; 3]),
    /// Changing along a line and constant across it, with the end values beyond its ends. A line
    /// without a length, or with an end that is not finite, has the last stop's light all over.
    Along {
        /// Where position 0 is.
        from: Vec2,
        /// Where position 1 is.
        to: Vec2,
        /// Positions 0..1, in rising order, and the light there; linear between them.
        stops: Vec<(f32, [f32; 3])>,
    },
}

/// How the outline of a shape is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// Width, in points, half of it to either side.
    pub width: f32,
    /// Colour.
    pub ink: Ink,
    /// Lengths drawn and left out in turn, in points; `None`, or a length that is not above 0.05,
    /// draws all of it.
    pub dash: Option<(f32, f32)>,
}

impl Stroke {
    /// A solid stroke.
    pub const fn solid(width: f32, ink: Ink) -> Self {
        Self { width, ink, dash: None }
    }

    /// A dashed stroke: `on` points drawn, `off` left out.
    pub const fn dashed(width: f32, ink: Ink, on: f32, off: f32) -> Self {
        Self { width, ink, dash: Some((on, off)) }
    }

    /// The dash as it is drawn: `None` where the lengths make no visible dash.
    pub fn drawn_dash(&self) -> Option<(f32, f32)> {
        let seen = |length: f32| length > 0.05 && length.is_finite();
        self.dash.filter(|(on, off)| seen(*on) && seen(*off))
    }

    fn is_drawable(&self) -> bool {
        self.width > 0.0 && self.width < FARTHEST
    }
}

/// How far from 0 a shape may reach, in points: beyond it, 32-bit numbers no longer tell neighbouring
/// points apart.
const FARTHEST: f32 = 1e7;

/// Which part of a text lies at its `at`, sideways.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AlignH {
    /// `at` is the left end.
    Left,
    /// `at` is the middle.
    Centre,
    /// `at` is the right end.
    Right,
}

/// Which part of a text lies at its `at`, up and down. A line of text reaches from the font's ascent
/// to its descent, whatever letters are in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AlignV {
    /// `at` is the top of the line.
    Top,
    /// `at` is the middle of the line.
    Middle,
    /// `at` is the line the letters stand on.
    Baseline,
    /// `at` is the bottom of the line.
    Bottom,
}

/// Which of the three fonts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Weight {
    /// Body text.
    Regular,
    /// Headings, and what is selected.
    Strong,
    /// Figures in columns: every letter is as wide as the next.
    Mono,
}

/// One thing drawn. A shape with a number that is not finite, a point farther than 1e7 points away or
/// a stroke without a width is left out ([`Shape::is_drawable`]).
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// A polyline or polygon.
    Line {
        /// Its points.
        points: Vec<Vec2>,
        /// Whether the last point joins the first.
        closed: bool,
        /// How the line is drawn, if it is.
        stroke: Option<Stroke>,
        /// What is inside, if anything; the line is closed for this either way. A filled line has to
        /// be convex: the window fills no other.
        fill: Option<Ink>,
    },
    /// A circle.
    Circle {
        /// Its centre.
        centre: Vec2,
        /// Its radius, in points.
        radius: f32,
        /// How the circle is drawn, if it is.
        stroke: Option<Stroke>,
        /// What is inside, if anything.
        fill: Option<Ink>,
    },
    /// One line of text.
    Text {
        /// Where it is; `align` says which part of it lies here.
        at: Vec2,
        /// Which part of the text lies at `at`.
        align: (AlignH, AlignV),
        /// Size of the font (its em), in points.
        size: f32,
        /// Font.
        weight: Weight,
        /// Colour.
        ink: Ink,
        /// What it says. A control character, such as a line end, is drawn as a blank.
        text: String,
        /// A rim in this colour behind the letters, so that they can be read over anything.
        halo: Option<Ink>,
        /// Turned clockwise on screen about `at`, in degrees.
        turn_deg: f32,
    },
}

impl Shape {
    /// A straight line.
    pub fn segment(from: Vec2, to: Vec2, stroke: Stroke) -> Self {
        Self::polyline(vec![from, to], stroke)
    }

    /// An open line through points.
    pub fn polyline(points: Vec<Vec2>, stroke: Stroke) -> Self {
        Self::Line { points, closed: false, stroke: Some(stroke), fill: None }
    }

    /// A closed polygon.
    pub fn polygon(points: Vec<Vec2>, stroke: Option<Stroke>, fill: Option<Ink>) -> Self {
        Self::Line { points, closed: true, stroke, fill }
    }

    /// A rectangle.
    pub fn rect(rect: Rect, stroke: Option<Stroke>, fill: Option<Ink>) -> Self {
        Self::polygon(rect.corners().to_vec(), stroke, fill)
    }

    /// A circle.
    pub fn circle(centre: Vec2, radius: f32, stroke: Option<Stroke>, fill: Option<Ink>) -> Self {
        Self::Circle { centre, radius, stroke, fill }
    }

    /// Whether the shape can be drawn at all: its numbers are finite and not too large.
    pub fn is_drawable(&self) -> bool {
        let near = |point: &Vec2| point.abs().cmple(Vec2::splat(FARTHEST)).all();
        match self {
            Self::Line { points, stroke, .. } => {
                points.len() >= 2
                    && points.iter().all(near)
                    && stroke.as_ref().is_none_or(Stroke::is_drawable)
            }
            Self::Circle { centre, radius, stroke, .. } => {
                near(centre)
                    && *radius > 0.0
                    && *radius <= FARTHEST
                    && stroke.as_ref().is_none_or(Stroke::is_drawable)
            }
            Self::Text { at, size, turn_deg, .. } => {
                near(at) && *size > 0.0 && size.is_finite() && turn_deg.is_finite()
            }
        }
    }

    /// Plain level text in the regular weight, without a halo.
    pub fn text(
        at: Vec2,
        align: (AlignH, AlignV),
        size: f32,
        ink: Ink,
        text: impl Into<String>,
    ) -> Self {
        let weight = Weight::Regular;
        Self::Text { at, align, size, weight, ink, text: text.into(), halo: None, turn_deg: 0.0 }
    }

    /// The same text in another weight; other shapes stay as they are.
    pub fn weighing(mut self, new: Weight) -> Self {
        if let Self::Text { weight, .. } = &mut self {
            *weight = new;
        }
        self
    }

    /// The same text with a halo; other shapes stay as they are.
    pub fn haloed(mut self, new: Ink) -> Self {
        if let Self::Text { halo, .. } = &mut self {
            *halo = Some(new);
        }
        self
    }

    /// The same text turned clockwise about its `at`; other shapes stay as they are.
    pub fn turned(mut self, new_deg: f32) -> Self {
        if let Self::Text { turn_deg, .. } = &mut self {
            *turn_deg = new_deg;
        }
        self
    }
}

/// Where light over a background ends up on a display, per channel: sRGB-encoded, 0..1.
///
/// `light` is the sum of all glows there and `background` the linear value 0..1 of what is behind
/// them. Light that is not above 0 (also not a number) counts as none. See the module's start for the
/// formula and for why screen blending is the addition of light.
pub fn respond(light: [f32; 3], background: [f32; 3]) -> [f32; 3] {
    std::array::from_fn(|i| {
        srgb_from_linear(1.0 - (1.0 - background[i]) * (-light[i].max(0.0)).exp())
    })
}

/// The linear light of an sRGB-encoded value, both 0..1; values outside are clamped.
///
/// Source: IEC 61966-2-1:1999, the transfer function of sRGB.
pub fn linear_from_srgb(encoded: f32) -> f32 {
    let encoded = encoded.clamp(0.0, 1.0);
    if encoded <= 0.04045 { encoded / 12.92 } else { ((encoded + 0.055) / 1.055).powf(2.4) }
}

/// The sRGB encoding of linear light, both 0..1; values outside are clamped.
///
/// Source: IEC 61966-2-1:1999, the transfer function of sRGB.
pub fn srgb_from_linear(linear: f32) -> f32 {
    let linear = linear.clamp(0.0, 1.0);
    if linear <= 0.003_130_8 { linear * 12.92 } else { 1.055 * linear.powf(1.0 / 2.4) - 0.055 }
}
