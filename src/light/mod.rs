//! Colour, cone, footprint and photometry: what leaves a fixture and where it lands.

pub mod aperture;
pub mod beam;
pub mod colour;
pub mod cone;
pub mod conic;
pub mod estimate;
pub mod flux;
pub mod pattern;
pub mod photometry;

pub use aperture::Opening;
pub use beam::{Beam, add_beams};
pub use colour::{Rgb, Xy, Xyz};
pub use cone::{Cone, Face};
pub use conic::Footprint;
pub use estimate::{estimates, level_estimates};
pub use flux::FluxMeter;
pub use pattern::Drawing;
pub use photometry::Distribution;
