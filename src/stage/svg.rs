//! The SVG writer: a picture as vectors, light included.
//!
//! # Light
//!
//! SVG knows no light that adds, but it knows *screen* blending, which adds the exponents of
//! `1 - exp(-k L)` ([`picture`](super::picture) shows why). So each glow is painted with
//! `w = 1 - exp(-2.5 L)` per channel, screened over the others in a group of its own, over a
//! background painted with the `w` that its linear value comes from. A filter on the group then turns
//! each `w` into the colour on screen, the sRGB encoding of `1 - (1 - w)^(1 / 2.5)`. The factor 2.5
//! spreads the 256 levels of `w` over light as the eye needs them; what is left of the steps is some
//! levels in the darkest tones.

use std::fmt::Write as _;

use glam::Vec2;

use super::picture::{
    AlignH, Fill, Glow, Ink, Pane, Picture, Rect, Shape, Stroke, Weight, srgb_from_linear,
};
use super::png::write_light;
use super::text;
use crate::finding::{one_line, rounded};

/// How much faster `w` rises with light than a display does.
const DENSITY: f32 = 2.5;

/// Writes a picture as an SVG document. The same picture always gives the same text.
///
/// Coordinates keep two decimals. Text stays text, in the program's own fonts where they are
/// installed and in the reader's own otherwise.
pub fn write_svg(picture: &Picture) -> String {
    write(picture, None)
}

/// The same with the light as pixels, `scale` of them a point, and everything else as vectors: a quarter of
/// the size where many beams cross, for pictures that are shown small. Light that cannot be made pixels of stays
/// vectors.
pub fn write_svg_with_pixels(picture: &Picture, scale: f32) -> String {
    write(picture, Some(scale))
}

fn write(picture: &Picture, scale: Option<f32>) -> String {
    let mut out = String::new();
    let image = |pane: &Pane| scale.and_then(|scale| write_light(pane, scale).ok());
    let images: Vec<Option<Vec<u8>>> = picture.panes.iter().map(image).collect();
    let (width, height) = (num(picture.size.x), num(picture.size.y));
    push(
        &mut out,
        format_args!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" \
             viewBox=\"0 0 {width} {height}\" role=\"img\" xml:space=\"preserve\">\n\
             <title>{}</title>\n",
            escaped(&picture.title)
        ),
    );
    definitions(&mut out, picture, &images);
    let whole = Rect::new(Vec2::ZERO, picture.size);
    rect(&mut out, whole, &ink("fill", picture.background));
    for (index, (pane, image)) in picture.panes.iter().zip(&images).enumerate() {
        write_pane(&mut out, index, pane, image.as_deref());
    }
    for shape in &picture.shapes {
        write_shape(&mut out, shape);
    }
    out.push_str("</svg>\n");
    out
}

/// Writing to a string cannot fail, so there is no error to hand on.
fn push(out: &mut String, text: std::fmt::Arguments<'_>) {
    let _ = out.write_fmt(text);
}

fn definitions(out: &mut String, picture: &Picture, images: &[Option<Vec<u8>>]) {
    out.push_str("<defs>\n");
    let mut panes = picture.panes.iter().zip(images);
    if panes.any(|(pane, image)| !pane.glows.is_empty() && image.is_none()) {
        let levels: Vec<String> = (0..=255).map(|level| tone(level as f32 / 255.0)).collect();
        let table = levels.join(" ");
        let (width, height) = (num(picture.size.x), num(picture.size.y));
        push(
            out,
            format_args!(
                "<filter id=\"tone\" filterUnits=\"userSpaceOnUse\" x=\"0\" y=\"0\" \
                 width=\"{width}\" height=\"{height}\" color-interpolation-filters=\"sRGB\">\
                 <feComponentTransfer>"
            ),
        );
        for channel in ["R", "G", "B"] {
            push(out, format_args!("<feFunc{channel} type=\"table\" tableValues=\"{table}\"/>\n"));
        }
        out.push_str("</feComponentTransfer></filter>\n");
    }
    for (index, (pane, image)) in picture.panes.iter().zip(images).enumerate() {
        push(out, format_args!("<clipPath id=\"pane{index}\">"));
        rect(out, pane.rect, "");
        out.push_str("</clipPath>\n");
        let glows = pane.glows.iter().filter(|_| image.is_none());
        for (glow_index, glow) in glows.enumerate() {
            gradient(out, &format!("glow{index}-{glow_index}"), glow);
        }
    }
    out.push_str("</defs>\n");
}

/// Bytes as RFC 4648, clause 4, writes them.
fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut out = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for three in bytes.chunks(3) {
        let byte = |nth: usize| three.get(nth).copied().map_or(0, u32::from);
        let bits = byte(0) << 16 | byte(1) << 8 | byte(2);
        for nth in 0..4 {
            let letter = LETTERS[(bits >> (18 - 6 * nth)) as usize & 63];
            out.push(if nth <= three.len() { char::from(letter) } else { '=' });
        }
    }
    out
}

/// What the filter makes of `w`.
fn tone(w: f32) -> String {
    format!("{:.4}", srgb_from_linear(1.0 - (1.0 - w).powf(1.0 / DENSITY)))
}

fn write_pane(out: &mut String, index: usize, pane: &Pane, image: Option<&[u8]>) {
    push(out, format_args!("<g clip-path=\"url(#pane{index})\">\n"));
    if let Some(image) = image {
        let (size, Vec2 { x, y }) = (pane.rect.size(), pane.rect.min);
        push(
            out,
            format_args!(
                "<image x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" preserveAspectRatio=\"none\" \
                 href=\"data:image/png;base64,{}\"/>\n",
                num(x),
                num(y),
                num(size.x),
                num(size.y),
                base64(image)
            ),
        );
    } else if pane.glows.is_empty() {
        rect(out, pane.rect, &ink("fill", pane.background.with_alpha(255)));
    } else {
        out.push_str("<g filter=\"url(#tone)\" style=\"isolation:isolate\">\n");
        let behind = pane.background.linear().map(|linear| 1.0 - (1.0 - linear).powf(DENSITY));
        rect(out, pane.rect, &format!(" fill=\"{}\"", hex(behind)));
        for (glow_index, glow) in pane.glows.iter().enumerate() {
            write_glow(out, &format!("glow{index}-{glow_index}"), glow);
        }
        out.push_str("</g>\n");
    }
    for shape in &pane.shapes {
        write_shape(out, shape);
    }
    out.push_str("</g>\n");
}

fn write_glow(out: &mut String, id: &str, glow: &Glow) {
    if glow.outline.len() < 3 || glow.outline.iter().any(|point| !point.is_finite()) {
        return;
    }
    let fill = match &glow.fill {
        Fill::Flat(light) => hex(painted(*light)),
        Fill::Along { stops, .. } if stops.is_empty() => return,
        Fill::Along { .. } => format!("url(#{id})"),
    };
    push(
        out,
        format_args!(
            "<polygon points=\"{}\" fill=\"{fill}\" style=\"mix-blend-mode:screen\"/>\n",
            points(&glow.outline)
        ),
    );
}

/// Writes the gradient of a glow that has one. Light is straight between two stops and `w` is not, so
/// stops are put in between where they differ much.
fn gradient(out: &mut String, id: &str, glow: &Glow) {
    let Fill::Along { from, to, stops } = &glow.fill else { return };
    if stops.is_empty() {
        return;
    }
    let line = from.is_finite() && to.is_finite();
    let (from, to) = if line { (*from, *to) } else { (Vec2::ZERO, Vec2::ZERO) };
    push(
        out,
        format_args!(
            "<linearGradient id=\"{id}\" gradientUnits=\"userSpaceOnUse\" \
             x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\">",
            num(from.x),
            num(from.y),
            num(to.x),
            num(to.y)
        ),
    );
    let mut last: Option<(f32, [f32; 3])> = None;
    for (position, light) in stops.iter().filter(|(position, _)| position.is_finite()) {
        let light = light.map(sound);
        if let Some((before, dark)) = last {
            let change = (0..3).map(|i| (light[i] - dark[i]).abs()).fold(0.0, f32::max);
            let parts = (change * DENSITY / 0.2).ceil().clamp(1.0, 24.0);
            for part in 1..parts as u32 {
                let share = part as f32 / parts;
                let between = std::array::from_fn(|i| dark[i] + (light[i] - dark[i]) * share);
                stop(out, before + (position - before) * share, between);
            }
        }
        stop(out, *position, light);
        last = Some((*position, light));
    }
    out.push_str("</linearGradient>\n");
}

fn stop(out: &mut String, position: f32, light: [f32; 3]) {
    let colour = hex(painted(light));
    push(
        out,
        format_args!("<stop offset=\"{}\" stop-color=\"{colour}\"/>", rounded(position.into(), 3)),
    );
}

/// Light as light: what is below 0 or not a number is none, and past 16 it shows no difference.
fn sound(light: f32) -> f32 {
    if light > 0.0 { light.min(16.0) } else { 0.0 }
}

/// The `w` of light, per channel.
fn painted(light: [f32; 3]) -> [f32; 3] {
    light.map(|value| 1.0 - (-DENSITY * sound(value)).exp())
}

fn hex(channels: [f32; 3]) -> String {
    let [red, green, blue] = channels.map(|value| (value * 255.0).round() as u8);
    format!("#{red:02x}{green:02x}{blue:02x}")
}

fn write_shape(out: &mut String, shape: &Shape) {
    if !shape.is_drawable() {
        return;
    }
    match shape {
        Shape::Line { points: line, closed, stroke, fill } => {
            let name = if *closed { "polygon" } else { "polyline" };
            let looks = looks(*stroke, *fill);
            push(out, format_args!("<{name} points=\"{}\"{looks}/>\n", points(line)));
        }
        Shape::Circle { centre, radius, stroke, fill } => {
            let (x, y, radius) = (num(centre.x), num(centre.y), num(*radius));
            let looks = looks(*stroke, *fill);
            push(out, format_args!("<circle cx=\"{x}\" cy=\"{y}\" r=\"{radius}\"{looks}/>\n"));
        }
        Shape::Text { .. } => write_text(out, shape),
    }
}

fn write_text(out: &mut String, shape: &Shape) {
    let Shape::Text { at, align, size, weight, ink: letters, text: words, halo, turn_deg } = shape
    else {
        return;
    };
    let Some(size) = text::drawn_size(*size) else { return };
    let baseline = *at + Vec2::new(0.0, text::anchor(0.0, size, *weight, *align).y);
    let anchor = match align.0 {
        AlignH::Left => "",
        AlignH::Centre => " text-anchor=\"middle\"",
        AlignH::Right => " text-anchor=\"end\"",
    };
    let font = match weight {
        Weight::Regular => "Inter, system-ui, sans-serif\" font-weight=\"400",
        Weight::Strong => "Inter, system-ui, sans-serif\" font-weight=\"600",
        Weight::Mono => "'JetBrains Mono', ui-monospace, monospace\" font-weight=\"400",
    };
    let mut looks = ink("fill", *letters);
    if let Some(halo) = halo {
        looks.push_str(&ink("stroke", *halo));
        let width = num(2.0 * text::halo_reach(size));
        push(
            &mut looks,
            format_args!(
                " stroke-width=\"{width}\" stroke-linejoin=\"round\" paint-order=\"stroke\""
            ),
        );
    }
    if *turn_deg != 0.0 {
        let (turn, x, y) = (num(*turn_deg), num(at.x), num(at.y));
        push(&mut looks, format_args!(" transform=\"rotate({turn} {x} {y})\""));
    }
    push(
        out,
        format_args!(
            "<text x=\"{}\" y=\"{}\" font-family=\"{font}\" font-size=\"{}\"{anchor}{looks}>{}</text>\n",
            num(baseline.x),
            num(baseline.y),
            num(size),
            escaped(words)
        ),
    );
}

fn looks(stroke: Option<Stroke>, fill: Option<Ink>) -> String {
    let mut looks = fill.map_or_else(|| String::from(" fill=\"none\""), |fill| ink("fill", fill));
    if let Some(stroke) = stroke {
        looks.push_str(&ink("stroke", stroke.ink));
        push(&mut looks, format_args!(" stroke-width=\"{}\"", num(stroke.width)));
        if let Some((on, off)) = stroke.drawn_dash() {
            push(&mut looks, format_args!(" stroke-dasharray=\"{} {}\"", num(on), num(off)));
        }
    }
    looks
}

/// A paint as attributes: the colour, and the opacity where there is some.
fn ink(name: &str, ink: Ink) -> String {
    let [red, green, blue, alpha] = ink.0;
    let mut text = format!(" {name}=\"#{red:02x}{green:02x}{blue:02x}\"");
    if alpha != 255 {
        let opacity = num(f32::from(alpha) / 255.0);
        push(&mut text, format_args!(" {name}-opacity=\"{opacity}\""));
    }
    text
}

fn rect(out: &mut String, rect: Rect, looks: &str) {
    let size = rect.size().max(Vec2::ZERO);
    let (x, y, width, height) = (num(rect.min.x), num(rect.min.y), num(size.x), num(size.y));
    push(
        out,
        format_args!("<rect x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\"{looks}/>\n"),
    );
}

fn points(points: &[Vec2]) -> String {
    let pairs: Vec<String> =
        points.iter().map(|point| format!("{},{}", num(point.x), num(point.y))).collect();
    pairs.join(" ")
}

/// A number with at most two decimals, and 0 where it is not finite.
fn num(value: f32) -> String {
    if !value.is_finite() {
        return String::from("0");
    }
    rounded(f64::from(value), 2)
}

/// Text for between tags or in quotes: what XML or HTML reads as markup is escaped, and what XML forbids is
/// replaced.
pub fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in one_line(text).chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            other => out.push(other),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::base64;

    /// RFC 4648, clause 10.
    #[test]
    fn bytes_are_written_as_the_test_vectors_of_the_standard() {
        let vectors = ["", "Zg==", "Zm8=", "Zm9v", "Zm9vYg==", "Zm9vYmE=", "Zm9vYmFy"];
        for (length, expected) in vectors.iter().enumerate() {
            assert_eq!(base64(&b"foobar"[..length]), *expected);
        }
    }
}
