//! The drawings of the guide.

use glam::Vec2;

use crate::stage::{AlignH, AlignV, Ink, Picture, Rect, Shape, Stroke, Weight};

/// A drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Drawing {
    /// A packet on the line, and one slot of it bit by bit.
    Packet,
    /// A coarse and a fine slot, and where they point together.
    Pair {
        /// The coarse slot.
        coarse: u8,
        /// The fine slot.
        fine: u8,
    },
    /// Heads on one cable, with a terminator at its end.
    Chain,
}

/// The colours that a drawing is made with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Inks {
    /// Behind everything.
    pub back: Ink,
    /// Lines.
    pub line: Ink,
    /// Words.
    pub text: Ink,
    /// What the drawing is about.
    pub accent: Ink,
}

impl Inks {
    /// Dark on white, as paper has it.
    pub const PAPER: Self = Self {
        back: Ink::rgb(255, 255, 255),
        line: Ink::grey(90),
        text: Ink::grey(26),
        accent: Ink::rgb(74, 66, 190),
    };
}

/// Size of the words, in points.
const SIZE: f32 = 11.0;

impl Drawing {
    /// The drawing that a page asks for in words: `packet`, `pair 170 85`, `chain`.
    pub(super) fn parse(words: &str) -> Option<Self> {
        let mut words = words.split_whitespace();
        let drawing = match words.next()? {
            "packet" => Self::Packet,
            "chain" => Self::Chain,
            "pair" => Self::Pair {
                coarse: words.next()?.parse().ok()?,
                fine: words.next()?.parse().ok()?,
            },
            _ => return None,
        };
        words.next().is_none().then_some(drawing)
    }

    /// What there is to see, for those who read it rather than see it.
    pub fn words(self) -> String {
        match self {
            Self::Packet => "A packet on the line: break low for at least 92 µs, mark high for at least 12 µs, \
                the start code and up to 512 slots of 44 µs each. Below it one slot of value 5: a low start \
                bit, eight data bits with the smallest first, two high stop bits."
                .to_owned(),
            Self::Pair { coarse, fine } => format!(
                "Two rulers of 0 to 255. The upper one is the coarse slot at {coarse}; the lower one \
                 is its step {coarse} drawn large, with the fine slot at {fine}."
            ),
            Self::Chain => "A sender, from it a cable to the first head, from that to the second, and so on to the last \
                head; in the output of the last one is a terminator of 120 ohms."
                .to_owned(),
        }
    }

    /// The height of the drawing, in points.
    pub fn height(self) -> f32 {
        match self {
            Self::Packet => 176.0,
            Self::Pair { .. } => 140.0,
            Self::Chain => 84.0,
        }
    }

    /// Draws it this wide, in points.
    pub fn picture(self, width: f32, inks: &Inks) -> Picture {
        let width = width.max(200.0);
        let picture = Picture::new(Vec2::new(width, self.height()), inks.back, self.words());
        let mut pen = Pen { picture, inks: *inks };
        match self {
            Self::Packet => packet(&mut pen, width),
            Self::Pair { coarse, fine } => pair(&mut pen, width, coarse, fine),
            Self::Chain => chain(&mut pen, width),
        }
        pen.picture
    }
}

struct Pen {
    picture: Picture,
    inks: Inks,
}

impl Pen {
    fn line(&mut self, points: &[(f32, f32)], width: f32, ink: Ink) {
        let points = points.iter().map(|(x, y)| Vec2::new(*x, *y)).collect();
        self.picture.shapes.push(Shape::polyline(points, Stroke::solid(width, ink)));
    }

    fn text(&mut self, at: (f32, f32), align: AlignH, text: impl Into<String>) {
        let ink = self.inks.text;
        self.words(at, align, text.into(), ink);
    }

    fn words(&mut self, at: (f32, f32), align: AlignH, text: String, ink: Ink) {
        self.picture.shapes.push(Shape::Text {
            at: Vec2::new(at.0, at.1),
            align: (align, AlignV::Middle),
            size: SIZE,
            weight: Weight::Regular,
            ink,
            text,
            halo: None,
            turn_deg: 0.0,
        });
    }

    fn frame(&mut self, left: f32, top: f32, right: f32, bottom: f32, fill: Option<Ink>) {
        let rect = Rect::new(Vec2::new(left, top), Vec2::new(right, bottom));
        let stroke = Stroke::solid(1.0, self.inks.line);
        self.picture.shapes.push(Shape::rect(rect, Some(stroke), fill));
    }
}

fn packet(pen: &mut Pen, width: f32) {
    let Inks { line, accent, text, .. } = pen.inks;
    let (high, low) = (24.0, 48.0);
    let (left, right) = (6.0, width - 6.0);
    let across = right - left;
    // Not to scale: a break to scale would be two slots wide, and 512 slots wider than any page.
    let x = |share: f32| left + across * share;
    let (fall, rise, begin) = (x(0.05), x(0.22), x(0.34));
    pen.line(
        &[(left, high), (fall, high), (fall, low), (rise, low), (rise, high), (begin, high)],
        1.5,
        line,
    );
    let cells = ["start", "slot 1", "slot 2", "…", "512"];
    let cell = (x(0.97) - begin) / cells.len() as f32;
    for (i, words) in cells.iter().enumerate() {
        let from = begin + cell * i as f32;
        pen.frame(from, high, from + cell, low, None);
        pen.text((from + cell / 2.0, (high + low) / 2.0), AlignH::Centre, *words);
    }
    pen.line(&[(begin + cell * cells.len() as f32, high), (right, high)], 1.5, line);
    pen.text((begin + cell * cells.len() as f32 / 2.0, 60.0), AlignH::Centre, "44 µs each");
    pen.text(((fall + rise) / 2.0, 60.0), AlignH::Centre, "break");
    pen.text(((fall + rise) / 2.0, 74.0), AlignH::Centre, "≥ 92 µs");
    pen.text(((rise + begin) / 2.0, 10.0), AlignH::Centre, "mark ≥ 12 µs");
    pen.text((right, 74.0), AlignH::Right, "not to scale");
    pen.text((left, 98.0), AlignH::Left, "One slot of value 5, the smallest bit first:");
    one_slot(pen, left, right, accent, text);
}

/// One slot of value 5, bit by bit.
fn one_slot(pen: &mut Pen, left: f32, right: f32, accent: Ink, text: Ink) {
    const VALUE: u8 = 5;
    let (high, low) = (114.0, 138.0);
    let mut levels = vec![false];
    levels.extend((0..8).map(|bit| VALUE >> bit & 1 == 1));
    levels.extend([true, true]);
    let bit = (right - left - 16.0) / levels.len() as f32;
    let mut points: Vec<(f32, f32)> = vec![(left, high), (left + 8.0, high)];
    for (i, level) in levels.iter().enumerate() {
        let (from, y) = (left + 8.0 + bit * i as f32, if *level { high } else { low });
        points.extend([(from, y), (from + bit, y)]);
        let words = match i {
            0 => "start",
            9 | 10 => "stop",
            _ if *level => "1",
            _ => "0",
        };
        // The words of stop bits stand as low as the others, beside the line and not on it.
        pen.words((from + bit / 2.0, 150.0), AlignH::Centre, words.to_owned(), text);
    }
    points.push((right, high));
    pen.line(&points, 1.5, accent);
    pen.text((left, 168.0), AlignH::Left, "11 bits of 4 µs");
}

fn pair(pen: &mut Pen, width: f32, coarse: u8, fine: u8) {
    let Inks { line, accent, .. } = pen.inks;
    let (left, right) = (8.0, width - 8.0);
    let at = |value: f32| left + (right - left) * value / 256.0;
    pen.text((left, 8.0), AlignH::Left, format!("coarse: {coarse}"));
    pen.frame(left, 18.0, right, 36.0, None);
    let (from, to) = (at(f32::from(coarse)), at(f32::from(coarse) + 1.0));
    pen.frame(from, 18.0, to, 36.0, Some(accent));
    pen.line(&[(from, 36.0), (left, 78.0)], 1.0, line);
    pen.line(&[(to, 36.0), (right, 78.0)], 1.0, line);
    pen.text(((left + right) / 2.0, 66.0), AlignH::Centre, format!("step {coarse}, drawn large"));
    pen.frame(left, 78.0, right, 96.0, None);
    let x = at(f32::from(fine) + 0.5);
    pen.line(&[(x, 74.0), (x, 100.0)], 2.0, accent);
    pen.text((left, 110.0), AlignH::Left, format!("fine: {fine}"));
    let sum = u32::from(coarse) * 256 + u32::from(fine);
    let words = format!("{coarse} × 256 + {fine} = {sum} of 65535");
    pen.text((left, 128.0), AlignH::Left, words);
}

fn chain(pen: &mut Pen, width: f32) {
    let Inks { line, accent, .. } = pen.inks;
    let boxes = ["desk", "head 1", "head 2", "last"];
    let gap = 18.0;
    let end = 58.0;
    let cell = ((width - 16.0 - end - gap * 4.0) / 4.0).max(10.0);
    for (i, words) in boxes.iter().enumerate() {
        let from = 8.0 + (cell + gap) * i as f32;
        pen.frame(from, 14.0, from + cell, 42.0, None);
        pen.text((from + cell / 2.0, 28.0), AlignH::Centre, *words);
        pen.line(&[(from + cell, 28.0), (from + cell + gap, 28.0)], 1.5, line);
    }
    let from = 8.0 + (cell + gap) * 4.0;
    pen.frame(from, 18.0, from + end, 38.0, None);
    pen.words((from + end / 2.0, 28.0), AlignH::Centre, "120 Ω".to_owned(), accent);
    pen.text((8.0, 58.0), AlignH::Left, "out to in, out to in: one line, no forks,");
    pen.text((8.0, 74.0), AlignH::Left, "and the terminator in the last output");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_drawing_can_be_drawn_and_is_told_in_words() {
        for words in ["packet", "pair 170 85", "pair 255 255", "chain"] {
            let drawing = Drawing::parse(words).unwrap();
            for width in [0.0, 320.0, 700.0] {
                let picture = drawing.picture(width, &Inks::PAPER);
                assert!(picture.shapes.iter().all(Shape::is_drawable), "{words} at {width}");
                assert!(!picture.title.is_empty());
            }
        }
        for words in ["", "pair 1", "pair 1 256", "chain 2"] {
            assert_eq!(Drawing::parse(words), None);
        }
    }
}
