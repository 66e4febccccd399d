//! A discharge lamp over time: what its history says of it.

use super::pose::Lamp;

/// What is known of a lamp.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LampState {
    /// No lamp to strike.
    Ready,
    /// A discharge lamp of which nothing was heard.
    Unknown,
    /// It was struck, and gives light from then on.
    Struck {
        /// When it gives light.
        lit_s: f64,
    },
    /// It was put out, and cannot be struck before then.
    PutOut {
        /// When it is cool enough.
        cool_s: f64,
    },
}

impl LampState {
    /// Strikes it or puts it out. A lamp that is still hot refuses: the time when it will not is
    /// returned. A refused strike is lost, and must be given again.
    pub fn order(&mut self, t_s: f64, on: bool, (strike_s, cool_s): (f64, f64)) -> Result<(), f64> {
        match (*self, on) {
            (Self::Ready, _) | (Self::Struck { .. }, true) | (Self::PutOut { .. }, false) => {}
            (Self::PutOut { cool_s }, true) if t_s < cool_s => return Err(cool_s),
            (Self::Unknown | Self::PutOut { .. }, true) => {
                *self = Self::Struck { lit_s: t_s + strike_s };
            }
            // Whether a lamp of which nothing was heard did burn is not known; it may have.
            (Self::Unknown | Self::Struck { .. }, false) => {
                *self = Self::PutOut { cool_s: t_s + cool_s };
            }
        }
        Ok(())
    }

    /// The lamp at a time.
    pub fn at(&self, t_s: f64) -> Lamp {
        match *self {
            Self::Ready => Lamp::Ready,
            Self::Unknown => Lamp::Unknown,
            Self::Struck { lit_s } if t_s < lit_s => Lamp::Striking,
            Self::Struck { .. } => Lamp::On,
            Self::PutOut { cool_s } if t_s < cool_s => Lamp::Hot,
            Self::PutOut { .. } => Lamp::Off,
        }
    }
}
