//! What a person sees of a head, in plain terms.

use glam::DVec3;

use crate::decode::{Asked, Command, Reading};
use crate::light::beam::{add_beams, beam_frame};
use crate::light::colour::Rgb;
use crate::motion::{Flash, Pose, settle};
use crate::profile::{Head, Profile, WheelSlot};
use crate::rig::Fixture;
use crate::rig::orientation::BeamFrame;

/// Share of a colour's strongest channel that all three must have for it to pass as white.
const WHITE: f64 = 0.72;

/// A colour by its everyday name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Hue {
    /// Of no hue that anybody would name.
    White,
    /// Red.
    Red,
    /// Between red and yellow.
    Amber,
    /// Yellow.
    Yellow,
    /// Green.
    Green,
    /// Between green and blue.
    Cyan,
    /// Blue.
    Blue,
    /// Between blue and magenta.
    Violet,
    /// Between blue and red, and pink.
    Magenta,
}

impl Hue {
    /// All of them; those with a hue in the order of the colour circle.
    pub const ALL: [Self; 9] = [
        Self::White,
        Self::Red,
        Self::Amber,
        Self::Yellow,
        Self::Green,
        Self::Cyan,
        Self::Blue,
        Self::Violet,
        Self::Magenta,
    ];

    /// The nearest name of a colour in linear sRGB. `None` for black.
    pub fn of(rgb: Rgb) -> Option<Self> {
        let [r, g, b] = rgb.into_gamut().unit_luminance().0.map(|c| c.max(0.0));
        let most = r.max(g).max(b);
        if most.is_nan() || most <= 0.0 {
            return None;
        }
        // The eye's own steps: equal steps of the signal look equally far apart.
        let [r, g, b] =
            Rgb([r / most, g / most, b / most]).to_srgb8().map(|c| f64::from(c) / 255.0);
        let least = r.min(g).min(b);
        if least >= WHITE {
            return Some(Self::White);
        }
        let span = 1.0 - least;
        let sixth = match () {
            () if r >= g && r >= b => ((g - b) / span).rem_euclid(6.0),
            () if g >= b => (b - r) / span + 2.0,
            () => (r - g) / span + 4.0,
        };
        Some(match sixth * 60.0 {
            deg if deg < 15.0 => Self::Red,
            deg if deg < 45.0 => Self::Amber,
            deg if deg < 70.0 => Self::Yellow,
            deg if deg < 165.0 => Self::Green,
            deg if deg < 200.0 => Self::Cyan,
            deg if deg < 258.0 => Self::Blue,
            deg if deg < 290.0 => Self::Violet,
            deg if deg < 345.0 => Self::Magenta,
            _ => Self::Red,
        })
    }

    /// Its name.
    pub fn words(self) -> &'static str {
        match self {
            Self::White => "white",
            Self::Red => "red",
            Self::Amber => "amber",
            Self::Yellow => "yellow",
            Self::Green => "green",
            Self::Cyan => "cyan",
            Self::Blue => "blue",
            Self::Violet => "violet",
            Self::Magenta => "magenta",
        }
    }

    /// Whether two people might call one colour by these two names.
    fn near(self, other: Self) -> bool {
        let place = |hue| Self::ALL.iter().position(|known| *known == hue).unwrap_or(0);
        match (place(self), place(other)) {
            (0, _) | (_, 0) => false,
            (a, b) => matches!(a.abs_diff(b), 1 | 7),
        }
    }
}

/// A direction in the room.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Way {
    /// To the ceiling.
    Up,
    /// To the floor.
    Down,
    /// Towards the audience.
    Audience,
    /// Away from the audience.
    Upstage,
    /// To the audience's left.
    Left,
    /// To the audience's right.
    Right,
}

impl Way {
    /// All of them.
    pub const ALL: [Self; 6] =
        [Self::Up, Self::Down, Self::Audience, Self::Upstage, Self::Left, Self::Right];

    /// The unit vector that points this way.
    pub fn vector(self) -> DVec3 {
        match self {
            Self::Up => DVec3::Z,
            Self::Down => DVec3::NEG_Z,
            Self::Audience => DVec3::NEG_Y,
            Self::Upstage => DVec3::Y,
            Self::Left => DVec3::NEG_X,
            Self::Right => DVec3::X,
        }
    }

    /// In words: `up`, `to the audience`.
    pub fn words(self) -> &'static str {
        match self {
            Self::Up => "up",
            Self::Down => "down",
            Self::Audience => "to the audience",
            Self::Upstage => "upstage",
            Self::Left => "to the left",
            Self::Right => "to the right",
        }
    }

    /// The way that a direction points most.
    pub(super) fn nearest(direction: DVec3) -> Self {
        let along = |way: &Self| way.vector().dot(direction);
        Self::ALL.into_iter().max_by(|a, b| along(a).total_cmp(&along(b))).unwrap_or(Self::Up)
    }
}

/// What is seen of a head at one moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sight {
    /// No light leaves it.
    Dark,
    /// Light leaves it.
    Lit,
    /// Its light flashes.
    Flashes,
    /// Its light is steady.
    Steady,
    /// Its light has this colour.
    Colour(Hue),
    /// It points this way.
    Points(Way),
    /// There is a pattern in its light.
    Pattern,
    /// Its light is plain.
    Plain,
    /// It runs a program of its own, or resets.
    RunsItself,
}

impl Sight {
    /// All that can be seen, in the order of the lists that offer it.
    pub fn all() -> impl Iterator<Item = Self> {
        let first = [Self::Dark, Self::Lit, Self::Flashes, Self::Steady];
        let last = [Self::Pattern, Self::Plain, Self::RunsItself];
        first
            .into_iter()
            .chain(Hue::ALL.map(Self::Colour))
            .chain(Way::ALL.map(Self::Points))
            .chain(last)
    }

    /// Whether light leaves a head of which this is seen. `None` where it may or may not.
    pub fn lit(self) -> Option<bool> {
        match self {
            Self::Dark => Some(false),
            Self::Lit | Self::Steady => Some(true),
            _ => None,
        }
    }

    /// In words, after `it`: `is dark`, `points up`.
    pub fn words(self) -> String {
        match self {
            Self::Dark => "is dark".to_owned(),
            Self::Lit => "is lit".to_owned(),
            Self::Flashes => "flashes".to_owned(),
            Self::Steady => "is lit and steady".to_owned(),
            Self::Colour(hue) => format!("is {}", hue.words()),
            Self::Points(way) => format!("points {}", way.words()),
            Self::Pattern => "shows a pattern".to_owned(),
            Self::Plain => "shows no pattern".to_owned(),
            Self::RunsItself => "runs by itself or resets".to_owned(),
        }
    }
}

/// The pose as far as it decides what the middle of the beam looks like. Where iris, blades and patterns leave
/// some light, their outlines only shape it, and to cut one out of the other takes long.
fn middle(profile: &Profile, pose: &Pose) -> Pose {
    let mut plain = pose.clone();
    if plain.iris > 0.0 {
        plain.iris = 1.0;
    }
    let [top, right, bottom, left] = plain.blades.map(|(depth, _)| depth);
    if top + bottom < 1.0 && left + right < 1.0 {
        plain.blades = [(0.0, 0.0); 4];
    }
    // Of wheels one after the other, the first that shows a pattern stands for all.
    let mut shown = false;
    for (wheel, stands) in profile.wheels.values().zip(&mut plain.wheels) {
        let slot = (stands.place.round() as usize).checked_sub(1);
        let slot = slot.and_then(|slot| wheel.slots.get(slot));
        if matches!(slot, Some(WheelSlot::Pattern { .. })) {
            let open = wheel.slots.iter().position(|slot| matches!(slot, WheelSlot::Open));
            if let Some(open) = open.filter(|_| shown) {
                stands.place = open as f64 + 1.0;
            }
            shown = true;
        }
    }
    plain
}

/// What a person sees of a head once everything asked has arrived.
#[derive(Clone, Debug, PartialEq)]
pub struct Look {
    /// Light in the middle of its beams, in candela; 0 where it is dark.
    pub peak_cd: f64,
    /// Its flashes, where there is light.
    pub flash: Option<Flash>,
    /// The colour of its light; `None` where it is dark.
    pub hue: Option<Hue>,
    /// Whether there is a pattern in its light.
    pub pattern: bool,
    /// The field angle of its beam, in degrees.
    pub field_deg: f64,
    /// Where it points.
    pub frame: BeamFrame,
    /// Angles of its axes, in degrees; `None` for one that does not move.
    pub axes_deg: Option<[f64; 2]>,
    /// The axis about which it pans, as it stands in the room.
    pub pan_axis: DVec3,
    /// It runs a program of its own, listens to sound or resets: the rest is not known.
    pub runs_itself: bool,
    /// Its lamp is put out by what is asked.
    pub puts_out: bool,
}

impl Look {
    /// What is seen of a fixture of which a frame asks this.
    pub fn new(fixture: &Fixture, reading: &Reading<'_>) -> Self {
        Self::of_asked(fixture, reading, &reading.asked())
    }

    fn of_asked(fixture: &Fixture, reading: &Reading<'_>, asked: &Asked) -> Self {
        let profile = &reading.mode.profile;
        let pose = settle(profile, &fixture.aim, &fixture.in_head, asked);
        let mut beams = Vec::new();
        add_beams(0, fixture, profile, &middle(profile, &pose), &mut beams);
        let light =
            beams.iter().fold(Rgb::BLACK, |sum, beam| sum + beam.rgb_cd * beam.mean_transmission());
        let lit = !beams.is_empty();
        let wheels = profile.wheels.values().zip(&pose.wheels);
        let pattern = lit
            && wheels.into_iter().any(|(wheel, stands)| {
                let slot = (stands.place.round() as usize).checked_sub(1);
                let slot = slot.and_then(|slot| wheel.slots.get(slot));
                matches!(slot, Some(WheelSlot::Pattern { .. }))
            });
        let resets = asked.commands.iter().any(|command| matches!(command, Command::Reset { .. }));
        let puts_out = asked.commands.iter().any(|c| matches!(c, Command::Lamp { on: false, .. }));
        let moves = !matches!(profile.head, Head::Fixed);
        Self {
            peak_cd: if lit { light.luminance() } else { 0.0 },
            flash: if lit { pose.flash() } else { None },
            hue: if lit { Hue::of(light) } else { None },
            pattern,
            field_deg: beams
                .first()
                .map_or(0.0, |beam| 2.0 * beam.cone.half_angle_rad.to_degrees()),
            frame: beam_frame(fixture, profile, &pose),
            axes_deg: moves.then_some([pose.pan_deg, pose.tilt_deg]),
            pan_axis: fixture.hang.rotation() * DVec3::Z,
            runs_itself: pose.overridden_by.is_some() || resets,
            puts_out,
        }
    }

    /// Whether light leaves it.
    pub fn lit(&self) -> bool {
        self.peak_cd > 0.0
    }

    /// The same with its lamp out.
    pub fn without_light(mut self) -> Self {
        (self.peak_cd, self.field_deg, self.pattern) = (0.0, 0.0, false);
        (self.flash, self.hue) = (None, None);
        self
    }

    /// Whether this is what is seen: `None` where nobody could say for sure.
    pub fn shows(&self, sight: Sight) -> Option<bool> {
        if self.runs_itself {
            return (sight == Sight::RunsItself).then_some(true);
        }
        match sight {
            Sight::Dark => Some(!self.lit()),
            Sight::Lit => Some(self.lit()),
            Sight::Flashes => Some(self.flash.is_some()),
            Sight::Steady => Some(self.lit() && self.flash.is_none()),
            Sight::Colour(hue) => match self.hue {
                Some(seen) if seen == hue => Some(true),
                Some(seen) if seen.near(hue) => None,
                _ => Some(false),
            },
            Sight::Points(way) => match self.frame.axis.dot(way.vector()) {
                along if along >= 0.6 => Some(true),
                along if along <= 0.35 => Some(false),
                _ => None,
            },
            Sight::Pattern => Some(self.pattern),
            Sight::Plain => Some(self.lit() && !self.pattern),
            Sight::RunsItself => Some(false),
        }
    }

    /// Whether a test that ends so is one to ask a person for: no reset, no program, no lamp put out, and
    /// no flashes over 3 a second (WCAG 2.3.1).
    pub fn is_safe(&self) -> bool {
        !self.runs_itself && !self.puts_out && self.flash.is_none_or(|flash| flash.hz <= 3.0)
    }
}
