//! How much light leaves a fixture: the luminous flux of all its beams together, as the mean over a flash.

use super::aperture;
use super::beam::source_light;
use super::colour::Rgb;
use super::photometry::Distribution;
use crate::motion::Pose;
use crate::profile::Profile;

/// Measures the light of one fixture model.
#[derive(Clone, Copy, Debug)]
pub struct FluxMeter<'a> {
    profile: &'a Profile,
    /// Lumens that leave for each that the profile gives for its source: not 1 where a peak is measured.
    scale: f64,
}

impl<'a> FluxMeter<'a> {
    /// A meter for fixtures of a profile.
    pub fn new(profile: &'a Profile) -> Self {
        let optics = &profile.optics;
        let full_lm = profile.source.full_flux_lm();
        let scale = match optics.peak_cd {
            Some(peak_cd) if full_lm > 0.0 => {
                Distribution::new(optics.beam_deg, optics.field_deg).flux_lm(peak_cd) / full_lm
            }
            _ => 1.0,
        };
        Self { profile, scale }
    }

    /// The profile whose fixtures it measures.
    pub fn profile(&self) -> &'a Profile {
        self.profile
    }

    /// Flux with everything at full and nothing in the way, in lumens.
    pub fn full_lm(&self) -> f64 {
        self.profile.source.full_flux_lm() * self.scale
    }

    /// Flux that leaves in a pose, in lumens: 0 where the lamp gives none, and where something else than
    /// the frame runs the fixture, of which nothing is known.
    pub fn flux_lm(&self, pose: &Pose) -> f64 {
        let mut cells_lm = Vec::with_capacity(pose.cells.len());
        self.cells_lm(pose, &mut cells_lm);
        cells_lm.iter().sum()
    }

    /// The same cell by cell, in place of what `out` had.
    pub fn cells_lm(&self, pose: &Pose, out: &mut Vec<f64>) {
        out.clear();
        if pose.light() <= 0.0 {
            out.resize(pose.cells.len(), 0.0);
            return;
        }
        let share = self.scale / self.profile.cell_count() as f64;
        // Cells mostly stand behind the same filters.
        let mut through: Option<([f64; 3], Rgb)> = None;
        for cell in &pose.cells {
            if cell.light <= 0.0 {
                out.push(0.0);
                continue;
            }
            let transmission = match through {
                Some((filters, transmission)) if filters == cell.filters => transmission,
                _ => {
                    let openings = aperture::openings(self.profile, pose, cell.filters, 0.0);
                    aperture::mean_transmission(&openings)
                }
            };
            through = Some((cell.filters, transmission));
            let (colour, flux_lm) = source_light(self.profile, cell);
            let left = (colour.unit_luminance() * transmission).luminance();
            out.push(left.max(0.0) * flux_lm * cell.light * share);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::motion::settle;
    use crate::profile::Library;
    use crate::rig::{Aim, InHead};

    #[test]
    fn every_shipped_head_gives_its_full_flux_with_nothing_in_the_way() {
        for profile in Library::embedded().profiles() {
            let asked = crate::decode::Asked {
                cells: vec![
                    crate::decode::CellAsk {
                        emitters: vec![None; profile.source.emitters().len()],
                        ..Default::default()
                    };
                    profile.cell_count()
                ],
                ..Default::default()
            };
            let pose = settle(profile, &Aim::default(), &InHead::default(), &asked);
            let meter = FluxMeter::new(profile);
            let (found, full) = (meter.flux_lm(&pose), meter.full_lm());
            assert!((found - full).abs() <= full * 1e-9, "{}: {found} of {full}", profile.model);
        }
    }
}
