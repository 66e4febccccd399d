//! The form of a show file.
//!
//! Numbers are read as wide as they come, so that slot 513 or value 256 is a finding of ours with its
//! place and its mend, and not a complaint about number types.

use std::collections::BTreeMap;
use std::fmt;

use serde::de::{Deserializer, Error, Visitor};
use serde::{Deserialize, Serialize};

use super::cue_file::{ListFile, ReferenceFile};
use crate::cue::Watched;
use crate::profile::Accepted;
use crate::profile::effect::{is_default, plain_option};
use crate::profile::ron_text::unique_map;
use crate::rig::{Aim, Hang, InHead};
use crate::stage::Room;

/// The format that is written, and the only one that is read.
pub(super) const FORMAT: i64 = 1;

/// A show file.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename = "Show")]
pub(super) struct ShowFile {
    pub(super) format: i64,
    pub(super) name: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub(super) notes: String,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(super) profile_files: Vec<String>,
    #[serde(default)]
    pub(super) room: Room,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(super) fixtures: Vec<FixtureFile>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(super) looks: Vec<LookFile>,
    /// Absent: the show stands at its first look.
    #[serde(
        default,
        skip_serializing_if = "Option::is_none",
        serialize_with = "plain_option::serialize",
        deserialize_with = "levels"
    )]
    pub(super) levels: Option<UniversesFile>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(super) references: Vec<ReferenceFile>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(super) lists: Vec<ListFile>,
    /// What the dry run says of the lists and is meant to be so.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(super) accepted: Vec<Accepted>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(super) watches: Vec<Watched>,
}

/// A show file of any format, with all but its number passed over.
#[derive(Debug, Deserialize)]
pub(super) struct AnyFormat {
    pub(super) format: i64,
}

/// Runs of slots by universe.
pub(super) type UniversesFile = BTreeMap<i64, Vec<RunFile>>;

/// A fixture.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename = "Fixture")]
pub(super) struct FixtureFile {
    pub(super) id: i64,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub(super) label: String,
    pub(super) profile: String,
    pub(super) mode: String,
    #[serde(default, skip_serializing_if = "Option::is_none", with = "number_or_unset")]
    pub(super) universe: Option<i64>,
    #[serde(default, skip_serializing_if = "Option::is_none", with = "number_or_unset")]
    pub(super) slot: Option<i64>,
    pub(super) at: (f64, f64, f64),
    #[serde(default)]
    pub(super) hang: Hang,
    #[serde(default, skip_serializing_if = "is_default")]
    pub(super) aim: Aim,
    #[serde(default, skip_serializing_if = "is_default")]
    pub(super) in_head: InHead,
}

/// A look.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename = "Look")]
pub(super) struct LookFile {
    pub(super) name: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub(super) note: String,
    #[serde(default, deserialize_with = "unique_map")]
    pub(super) universes: UniversesFile,
}

/// Slots side by side, from `at` on.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename = "Run")]
pub(super) struct RunFile {
    pub(super) at: i64,
    pub(super) values: Vec<i64>,
    /// An earlier frame carried them and the last one did not reach so far.
    #[serde(default, skip_serializing_if = "is_default")]
    pub(super) kept: bool,
}

fn levels<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Option<UniversesFile>, D::Error> {
    unique_map(deserializer).map(Some)
}

/// A number, or `""` or nothing at all where there is none. Never 0 for "none".
mod number_or_unset {
    use super::*;

    pub(super) fn serialize<S: serde::Serializer>(
        value: &Option<i64>,
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        match value {
            Some(value) => serializer.serialize_i64(*value),
            None => serializer.serialize_str(""),
        }
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<Option<i64>, D::Error> {
        struct NumberOrUnset;

        impl Visitor<'_> for NumberOrUnset {
            type Value = Option<i64>;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a whole number, or `\"\"` where there is none,")
            }

            fn visit_i64<E: Error>(self, value: i64) -> Result<Self::Value, E> {
                Ok(Some(value))
            }

            fn visit_u64<E: Error>(self, value: u64) -> Result<Self::Value, E> {
                // Far too big in any case; the check of the model says so.
                Ok(Some(i64::try_from(value).unwrap_or(i64::MAX)))
            }

            fn visit_str<E: Error>(self, value: &str) -> Result<Self::Value, E> {
                if value.trim().is_empty() {
                    Ok(None)
                } else {
                    Err(E::invalid_value(serde::de::Unexpected::Str(value), &self))
                }
            }
        }

        deserializer.deserialize_any(NumberOrUnset)
    }
}
