//! The attributes that channels use, and the history of a description.

use super::fields::{record, words};

words! {
    /// The unit of a physical value.
    PhysicalUnit {
        /// None.
        None = "None",
        /// Percent.
        Percent = "Percent",
        /// Metres.
        Length = "Length",
        /// Kilograms.
        Mass = "Mass",
        /// Seconds.
        Time = "Time",
        /// Kelvin.
        Temperature = "Temperature",
        /// Candela.
        LuminousIntensity = "LuminousIntensity",
        /// Degrees.
        Angle = "Angle",
        /// Newtons.
        Force = "Force",
        /// Hertz.
        Frequency = "Frequency",
        /// Amperes.
        Current = "Current",
        /// Volts.
        Voltage = "Voltage",
        /// Watts.
        Power = "Power",
        /// Joules.
        Energy = "Energy",
        /// Square metres.
        Area = "Area",
        /// Cubic metres.
        Volume = "Volume",
        /// Metres a second.
        Speed = "Speed",
        /// Metres a second squared.
        Acceleration = "Acceleration",
        /// Degrees a second.
        AngularSpeed = "AngularSpeed",
        /// Degrees a second squared; the standard spells it so.
        AngularAcceleration = "AngularAccc",
        /// Nanometres.
        WaveLength = "WaveLength",
        /// A share of one colour, 0..1.
        ColorComponent = "ColorComponent",
    }
}

record! {
    /// The attributes that channels use.
    AttributeDefinitions = "AttributeDefinitions" {} {
        /// Attributes that are sent together.
        activation_groups: ActivationGroup => Some("ActivationGroups"),
        /// How attributes are grouped.
        feature_groups: FeatureGroup => Some("FeatureGroups"),
        /// The attributes.
        attributes: AttributeDefinition => Some("Attributes"),
    }
}

record! {
    /// Attributes that are sent together.
    ActivationGroup = "ActivationGroup" {
        /// Its name.
        name: String = "Name",
    } {}
}

record! {
    /// A group of features.
    FeatureGroup = "FeatureGroup" {
        /// Its name.
        name: String = "Name",
        /// Its name on a screen.
        pretty: String = "Pretty",
    } {
        /// What is in it.
        features: Feature => None,
    }
}

record! {
    /// A feature.
    Feature = "Feature" {
        /// Its name.
        name: String = "Name",
    } {}
}

record! {
    /// An attribute that channels use.
    AttributeDefinition = "Attribute" {
        /// Its name, of the standard's table or the file's own.
        name: String = "Name",
        /// Its name on a screen.
        pretty: String = "Pretty",
        /// Attributes it is sent with.
        activation_group: String = "ActivationGroup",
        /// The feature it belongs to, `Group.Feature`.
        feature: String = "Feature",
        /// The attribute it belongs to.
        main_attribute: String = "MainAttribute",
        /// The unit of its physical values.
        physical_unit: PhysicalUnit = "PhysicalUnit",
        /// Its colour on a screen, `x,y,Y`.
        color: String = "Color",
    } {}
}

record! {
    /// One change of a description.
    Revision = "Revision" {
        /// What was done.
        text: String = "Text",
        /// When.
        date: String = "Date",
        /// By whom, a number.
        user_id: String = "UserID",
        /// With what.
        modified_by: String = "ModifiedBy",
    } {}
}
