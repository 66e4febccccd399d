//! Wheels, emitters, filters, curves and properties.

use super::super::values::{CieColour, Matrix3};
use super::fields::{record, words};

record! {
    /// A wheel.
    Wheel = "Wheel" {
        /// Its name.
        name: String = "Name",
    } {
        /// Its slots, in order; the first is slot 1.
        slots: Slot => None,
    }
}

record! {
    /// A slot of a wheel.
    Slot = "Slot" {
        /// Its name.
        name: String = "Name",
        /// Its colour; white where it is missing.
        color: CieColour = "Color",
        /// The filter in it, which replaces the colour.
        filter: String = "Filter",
        /// Its picture in `wheels/`, without the ending.
        media: String = "MediaFileName",
    } {
        /// Facets of a prism.
        facets: Facet => None,
        /// How a moving texture passes.
        animation: AnimationSystem => None,
    }
}

record! {
    /// A facet of a prism.
    Facet = "Facet" {
        /// Its colour.
        color: CieColour = "Color",
        /// What it does to the picture: turned and scaled, and thrown by the third row.
        rotation: Matrix3 = "Rotation",
    } {}
}

record! {
    /// The way of a moving texture across the beam.
    AnimationSystem = "AnimationSystem" {
        /// First point of its way.
        p1: String = "P1",
        /// Second point of its way.
        p2: String = "P2",
        /// Third point of its way.
        p3: String = "P3",
        /// Size of the lit part.
        radius: f64 = "Radius",
    } {}
}

record! {
    /// Emitters, filters, curves and properties.
    PhysicalDescriptions = "PhysicalDescriptions" {} {
        /// What makes light.
        emitters: Emitter => Some("Emitters"),
        /// What takes light away.
        filters: Filter => Some("Filters"),
        /// How outputs follow values.
        profiles: DmxProfile => Some("DMXProfiles"),
        /// Weight and power. One at most is meant.
        properties: Properties => None,
    }
}

record! {
    /// What makes light of one colour.
    Emitter = "Emitter" {
        /// Its name.
        name: String = "Name",
        /// Its colour.
        color: CieColour = "Color",
        /// Its wavelength in nanometres, where it has no colour.
        wavelength_nm: f64 = "DominantWaveLength",
        /// Maker's part.
        diode_part: String = "DiodePart",
    } {
        /// What was measured of it.
        measurements: Measurement => None,
    }
}

record! {
    /// What takes light away.
    Filter = "Filter" {
        /// Its name.
        name: String = "Name",
        /// Its colour wholly in the light.
        color: CieColour = "Color",
    } {
        /// What was measured of it.
        measurements: Measurement => None,
    }
}

words! {
    /// How what lies between two measurements follows.
    Interpolation {
        /// Evenly.
        Linear = "Linear",
        /// As the lower one.
        Step = "Step",
        /// Evenly in the logarithm.
        Log = "Log",
    }
}

record! {
    /// Output at one level.
    Measurement = "Measurement" {
        /// The level in percent.
        percent: f64 = "Physical",
        /// Intensity in candela, of an emitter.
        luminous_intensity_cd: f64 = "LuminousIntensity",
        /// Share of light that passes in percent, of a filter.
        transmission_percent: f64 = "Transmission",
        /// How what lies up to the next one follows.
        interpolation_to: Interpolation = "InterpolationTo",
    } {
        /// The spectrum.
        points: MeasurementPoint => None,
    }
}

record! {
    /// A point of a spectrum.
    MeasurementPoint = "MeasurementPoint" {
        /// Wavelength in nanometres.
        wavelength_nm: f64 = "WaveLength",
        /// Energy.
        energy: f64 = "Energy",
    } {}
}

record! {
    /// How an output follows a value.
    DmxProfile = "DMXProfile" {
        /// Its name.
        name: String = "Name",
    } {
        /// Where its pieces begin.
        points: ProfilePoint => None,
    }
}

record! {
    /// A piece of a curve.
    ProfilePoint = "Point" {
        /// Where it begins, in percent of the values.
        percent: f64 = "DMXPercentage",
        /// Output there, in percent.
        cfc0: f64 = "CFC0",
        /// How it rises from there.
        cfc1: f64 = "CFC1",
        /// Its second power.
        cfc2: f64 = "CFC2",
        /// Its third power.
        cfc3: f64 = "CFC3",
    } {}
}

impl DmxProfile {
    /// Output in percent at a value in percent of the range: the piece with the greatest beginning
    /// that is not beyond it, a polynomial in what lies beyond that beginning (DIN SPEC 15800,
    /// table 24). 0 before the first piece.
    pub fn output(&self, percent: f64) -> f64 {
        let begin = |point: &&ProfilePoint| point.percent.unwrap_or(0.0);
        let piece = self.points.iter().filter(|point| begin(point) <= percent);
        let Some(piece) = piece.max_by(|a, b| begin(a).total_cmp(&begin(b))) else { return 0.0 };
        let d = percent - begin(&piece);
        let factor = |factor: Option<f64>| factor.unwrap_or(0.0);
        let (c0, c1) = (factor(piece.cfc0), factor(piece.cfc1));
        let (c2, c3) = (factor(piece.cfc2), factor(piece.cfc3));
        ((c3 * d + c2) * d + c1) * d + c0
    }
}

record! {
    /// Weight and power.
    Properties = "Properties" {} {
        /// The weight.
        weight: Weight => None,
        /// What it draws.
        power: PowerConsumption => None,
    }
}

record! {
    /// Weight.
    Weight = "Weight" {
        /// In kilograms.
        kg: f64 = "Value",
    } {}
}

record! {
    /// Power drawn through one connector.
    PowerConsumption = "PowerConsumption" {
        /// In watts.
        watts: f64 = "Value",
        /// Power factor.
        power_factor: f64 = "PowerFactor",
        /// The connector.
        connector: String = "ConnectorLink",
        /// Least voltage.
        voltage_low: f64 = "VoltageLow",
        /// Greatest voltage.
        voltage_high: f64 = "VoltageHigh",
        /// Least frequency.
        frequency_low: f64 = "FrequencyLow",
        /// Greatest frequency.
        frequency_high: f64 = "FrequencyHigh",
    } {}
}
