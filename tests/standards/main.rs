//! Checks against the outside world: published standards, handbooks and independent programs. The
//! source of each value stands beside it.

mod colour;
mod dmx;
mod flashes;
mod gdtf;
#[path = "../pipeline/gdtf_file.rs"]
mod gdtf_file;
#[path = "../pipeline/gdtf_import.rs"]
mod gdtf_import;
mod geometry;
mod motion;
mod photometry;

/// Fails with both values if they differ by more than `within`.
#[track_caller]
pub fn assert_near(got: f64, expected: f64, within: f64) {
    assert!((got - expected).abs() <= within, "{got} is not {expected} within {within}");
}
