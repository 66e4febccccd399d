//! Colour, cone, footprint and photometry: what leaves a fixture and where it lands.
