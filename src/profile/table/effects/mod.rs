//! From a row's words to an effect: which rules are asked, in which order.
//!
//! A rule that is not sure says why. Words that no rule knows stay [`Effect::Unknown`], which is not
//! nothing.

mod aim;
mod beam;
mod control;
mod level;
mod rate;
mod shutter;
mod turn;
mod wheel;

pub(super) use wheel::pattern_wheel as wheel_of_patterns;

use super::super::effect::Effect;
use super::names::{EMITTERS, Kind, Named, Standing};
use super::wheels::Wheels;
use super::words::Words;

/// How far what was recognised can be trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Confidence {
    /// Not recognised, or in conflict with itself: look at it.
    Unsure,
    /// What it does is clear; something about it was taken as is usual.
    Likely,
    /// The table says it.
    Sure,
}

impl Confidence {
    /// The word shown for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Sure => "sure",
            Self::Likely => "likely",
            Self::Unsure => "unsure",
        }
    }
}

/// What a row was taken to do.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Guess {
    pub(super) does: Effect,
    pub(super) also: Vec<Effect>,
    /// The table gives the physical values of the effect.
    pub(super) stated: bool,
    pub(super) confidence: Confidence,
    /// Why it is not sure. Empty for what is.
    pub(super) why: String,
}

impl Guess {
    pub(super) fn sure(does: Effect) -> Self {
        let why = String::new();
        Self { does, also: Vec::new(), stated: true, confidence: Confidence::Sure, why }
    }

    pub(super) fn likely(does: Effect, why: impl Into<String>) -> Self {
        Self { confidence: Confidence::Likely, why: why.into(), ..Self::sure(does) }
    }

    pub(super) fn unsure(does: Effect, why: impl Into<String>) -> Self {
        Self { confidence: Confidence::Unsure, why: why.into(), ..Self::sure(does) }
    }

    pub(super) fn unknown(why: impl Into<String>) -> Self {
        Self::unsure(Effect::Unknown, why)
    }

    /// The same with another effect beside it.
    pub(super) fn with(mut self, also: Effect) -> Self {
        self.also.push(also);
        self
    }

    /// The same with a reason for less trust.
    pub(super) fn doubted(mut self, confidence: Confidence, why: &str) -> Self {
        self.confidence = self.confidence.min(confidence);
        if !self.why.is_empty() {
            self.why.push_str("; ");
        }
        self.why.push_str(why);
        self
    }
}

/// A row to be understood, with what is around it.
pub(super) struct Job<'a> {
    /// The channel.
    pub(super) named: Named,
    /// The channel's name.
    pub(super) name: &'a str,
    /// The row's own text with what the heading above says.
    pub(super) text: String,
    /// The words of that.
    pub(super) words: Words,
    /// It covers every value of the channel.
    pub(super) is_whole: bool,
    /// How many values of the coarse slot it covers.
    pub(super) values: u32,
    /// The wheels so far.
    pub(super) wheels: &'a mut Wheels,
    /// The wheel of patterns that a rotation channel turns.
    pub(super) turned: String,
    /// The mode has red, green or blue emitters.
    pub(super) has_emitters: bool,
}

/// What a row does.
pub(super) fn read(job: &mut Job<'_>) -> Guess {
    if job.words.is_empty() {
        if !job.is_whole {
            return Guess::unknown("the table does not say what these values do");
        }
        // The name of a channel says what all its values do.
        job.text = job.name.to_owned();
        job.words = Words::new(job.name);
        if job.words.is_empty() {
            job.words = Words::new(job.named.kind.word());
        }
    }
    if let Some(guess) = several(job) {
        return guess;
    }
    if let Some(guess) = control::everywhere(job) {
        return guess;
    }
    let kind = kind_of_row(job);
    by_kind(job, kind).unwrap_or_else(|| {
        control::leftover(job).unwrap_or_else(|| Guess::unknown("its words are not recognised"))
    })
}

/// A row that says several things at once names no effect.
fn several(job: &Job<'_>) -> Option<Guess> {
    let both = super::words::turning(&job.words) == super::words::Turning::Both;
    let stops = job.words.any(&["stop", "no rotation"]);
    (both && stops)
        .then(|| Guess::unknown("the row holds several things: give each its own values"))
}

/// The kind by which a row is read: the channel's, unless the row names another thing.
fn kind_of_row(job: &Job<'_>) -> Kind {
    let own = job.named.kind;
    let words = &job.words;
    let names: [(&[&str], Kind); 7] = [
        (&["prism"], Kind::Prism),
        (&["frost"], Kind::Frost),
        (&["iris"], Kind::Iris),
        (&["zoom"], Kind::Zoom),
        (&["strobe", "shutter"], Kind::Shutter),
        (&["gobo", "pattern"], Kind::Pattern(Standing::Unsaid)),
        (&["dimmer", "dimming", "intensity"], Kind::Dimmer),
    ];
    let is_wheel = |kind: Kind| {
        matches!(kind, Kind::Pattern(_) | Kind::PatternTurn | Kind::Prism | Kind::PrismTurn)
    };
    for (words_of_kind, kind) in names {
        if !words.any(words_of_kind) {
            continue;
        }
        let same = match (own, kind) {
            (Kind::Pattern(_) | Kind::PatternTurn, Kind::Pattern(_)) => true,
            (Kind::PrismTurn, Kind::Prism) => true,
            // An iris, a zoom or a frost that strobes or dims is read by its own rules.
            (Kind::Iris | Kind::Frost | Kind::Zoom, Kind::Shutter | Kind::Dimmer) => true,
            (Kind::Emitter(_) | Kind::Control | Kind::Program, Kind::Dimmer) => true,
            _ => own == kind,
        };
        if same {
            return own;
        }
        let foreign = !(is_wheel(own) && kind == Kind::Dimmer);
        if foreign && !matches!(own, Kind::Control | Kind::Program) || own == Kind::Unknown {
            return kind;
        }
    }
    own
}

fn by_kind(job: &mut Job<'_>, kind: Kind) -> Option<Guess> {
    match kind {
        Kind::Pan | Kind::Tilt | Kind::PanSpin | Kind::TiltSpin => aim::angle(job, kind),
        Kind::AimSpeed => aim::speed(job),
        Kind::Dimmer => {
            shutter::flashes(job).or_else(|| level::dimmer(job)).or_else(|| shutter::gate(job))
        }
        Kind::Shutter => shutter::read(job),
        Kind::Colour => wheel::colour(job),
        Kind::Pattern(_) => wheel::pattern(job, kind),
        Kind::PatternTurn => turn::pattern(job),
        Kind::Prism => turn::prism(job),
        Kind::PrismTurn => turn::prism_turn(job),
        Kind::Zoom => beam::zoom(job),
        Kind::Focus => beam::focus(job),
        Kind::Iris => beam::iris(job),
        Kind::Frost => beam::frost(job),
        Kind::Emitter(name) => level::emitter(job, name),
        Kind::Temperature => beam::temperature(job),
        Kind::Blade(blade) => beam::blade(job, blade),
        Kind::BladeTurn(blade) => beam::blade_turn(job, Some(blade)),
        Kind::FrameTurn => beam::blade_turn(job, None),
        Kind::Spare => Some(Guess::sure(Effect::Idle)),
        Kind::Control | Kind::Program => None,
        Kind::Unknown => unnamed(job),
    }
}

/// A channel whose name says nothing: only what a row names outright.
fn unnamed(job: &mut Job<'_>) -> Option<Guess> {
    let own = super::names::named(&job.text).kind;
    if own == Kind::Unknown || matches!(own, Kind::Control | Kind::Program) {
        return None;
    }
    // A colour by itself may be a wheel, an emitter or a macro.
    if matches!(own, Kind::Emitter(_) | Kind::Colour) || job.words.any(&EMITTERS) {
        return None;
    }
    by_kind(job, own)
        .map(|guess| guess.doubted(Confidence::Likely, "the channel's name says nothing"))
}
