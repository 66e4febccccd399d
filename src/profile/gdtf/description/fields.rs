//! How the typed parts of a description are read from its elements and written back to them.

use std::borrow::Cow;

use super::super::said::Said;
use super::super::values::{self, CieColour, DmxValue, Matrix};
use super::super::xml::{Element, MOST_ATTRIBUTES};
use crate::finding::{TextPlace, one_line};

/// A value that an attribute holds as text.
pub trait Value: Sized {
    /// Reads it.
    ///
    /// # Errors
    ///
    /// Why it cannot be read, as one sentence.
    fn from_attribute(text: &str) -> Result<Self, String>;

    /// Writes it.
    fn to_attribute(&self) -> String;
}

/// A part of a description that is one kind of element.
pub trait Record: Sized {
    /// The name of its element.
    const TAG: &'static str;

    /// Reads it, and adds what there is to say about it.
    fn read(element: &Element<'_>, said: &mut Said) -> Self;

    /// Writes it as an element.
    fn write(&self) -> Element<'static>;
}

/// What of an element nothing here gives a meaning to, kept as it was.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Other {
    /// Attributes with their values.
    pub attributes: Vec<(String, String)>,
    /// Elements in it.
    pub elements: Vec<Element<'static>>,
}

/// Elements of the standard that say nothing about what a value on a channel does. They are kept, and
/// it is said once that they were not used.
const UNUSED: [&str; 12] = [
    "AdditionalColorSpaces",
    "CRIs",
    "ColorSpace",
    "Connectors",
    "FTMacros",
    "FTPresets",
    "FTRDMInfo",
    "Gamuts",
    "LegHeight",
    "OperatingTemperature",
    "Protocols",
    "SubPhysicalUnit",
];

/// The attributes and elements of an element, taken one by one.
pub(super) struct Fields<'a, 's> {
    element: &'a Element<'a>,
    said: &'s mut Said,
    /// Which attributes were taken, a bit each in their order.
    taken: u64,
    entered: Vec<&'static str>,
}

impl<'a, 's> Fields<'a, 's> {
    pub(super) fn new(element: &'a Element<'a>, said: &'s mut Said) -> Self {
        Self { element, said, taken: 0, entered: Vec::new() }
    }

    /// The value of an attribute; `None` where it is missing, empty or cannot be read.
    pub(super) fn value<T: Value>(&mut self, key: &'static str) -> Option<T> {
        let place = self.element.attributes.iter().position(|(name, _)| name == key)?;
        self.taken |= bit(place);
        let text = &self.element.attributes[place].1;
        if text.trim().is_empty() {
            return None;
        }
        match T::from_attribute(text) {
            Ok(value) => Some(value),
            Err(why) => {
                self.said.error_at(self.element, format!("`{key}`: {why}"), "mend the file");
                None
            }
        }
    }

    /// The elements of a kind, right here or in the element `group`.
    pub(super) fn children<T: Record>(&mut self, group: Option<&'static str>) -> Vec<T> {
        let Some(group) = group else {
            self.enter(T::TAG);
            return self.element.named(T::TAG).map(|child| T::read(child, self.said)).collect();
        };
        self.enter(group);
        let mut records = Vec::new();
        for inside in self.element.named(group) {
            for child in &inside.children {
                if child.name == T::TAG {
                    records.push(T::read(child, self.said));
                } else {
                    self.unknown(child);
                }
            }
        }
        records
    }

    /// Elements that are taken by whoever calls this, and are not left over.
    pub(super) fn enter(&mut self, name: &'static str) {
        // Most elements have none in them, and keep no list.
        if !self.element.children.is_empty() {
            self.entered.push(name);
        }
    }

    /// What says something.
    pub(super) fn said(&mut self) -> &mut Said {
        self.said
    }

    /// What nobody has taken.
    pub(super) fn rest(self) -> Other {
        let mut other = Other::default();
        for (place, (key, value)) in self.element.attributes.iter().enumerate() {
            if self.taken & bit(place) != 0 {
                continue;
            }
            if !key.starts_with("xmlns") && !key.starts_with("xsi:") {
                let what = format!("the attribute `{}` is not known", one_line(key));
                self.said.note_at(self.element, what, "it is left alone");
            }
            other.attributes.push((key.to_string(), value.to_string()));
        }
        let left = |child: &&Element| !self.entered.contains(&child.name.as_ref());
        for child in self.element.children.iter().filter(left) {
            say_unknown(child, self.said);
            other.elements.push(child.clone().into_owned());
        }
        other
    }

    fn unknown(&mut self, child: &Element<'_>) {
        say_unknown(child, self.said);
    }
}

/// The bit of an attribute by its place. An element that was read has no more than bits.
fn bit(place: usize) -> u64 {
    const { assert!(MOST_ATTRIBUTES <= u64::BITS as usize) };
    1u64.checked_shl(u32::try_from(place).unwrap_or(u32::MAX)).unwrap_or(0)
}

fn say_unknown(child: &Element<'_>, said: &mut Said) {
    let name = one_line(&child.name);
    if UNUSED.contains(&child.name.as_ref()) {
        if !child.children.is_empty() || !child.attributes.is_empty() {
            said.note_at(child, format!("`{name}` has no counterpart here"), "it is left alone");
        }
    } else {
        said.note_at(child, format!("the element `{name}` is not known"), "it is left alone");
    }
}

/// An element without anything in it.
pub(super) fn empty(name: impl Into<Cow<'static, str>>) -> Element<'static> {
    Element {
        name: name.into(),
        attributes: Vec::new(),
        children: Vec::new(),
        at: TextPlace { line: 1, column: 1 },
    }
}

/// Writes an attribute that is there.
pub(super) fn put<T: Value>(element: &mut Element<'_>, key: &'static str, value: Option<&T>) {
    if let Some(value) = value {
        element.attributes.push((key.into(), value.to_attribute().into()));
    }
}

/// Writes elements right into another, or into a group in it.
pub(super) fn put_all<T: Record>(
    element: &mut Element<'static>,
    group: Option<&'static str>,
    records: &[T],
) {
    let written = records.iter().map(Record::write);
    match group {
        None => element.children.extend(written),
        Some(_) if records.is_empty() => {}
        Some(group) => {
            let mut inside = empty(group);
            inside.children.extend(written);
            element.children.push(inside);
        }
    }
}

impl Other {
    /// Writes back what was left alone.
    pub(super) fn put(&self, element: &mut Element<'static>) {
        let attributes = self.attributes.iter().cloned();
        element.attributes.extend(attributes.map(|(key, value)| (key.into(), value.into())));
        element.children.extend(self.elements.iter().cloned());
    }
}

/// Defines an enum of words that a file may say, with a place for those that it should not.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $( $(#[$vdoc:meta])* $variant:ident = $text:literal, )* }) => {
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq, Eq)]
        pub enum $name {
            $( $(#[$vdoc])* $variant, )*
            /// A word that the standard does not have.
            Other(String),
        }

        impl $name {
            /// What a text means. Case does not matter.
            pub fn from_text(text: &str) -> Self {
                let text = text.trim();
                $( if text.eq_ignore_ascii_case($text) { return Self::$variant; } )*
                Self::Other(text.to_owned())
            }

            /// The word in a file.
            pub fn text(&self) -> &str {
                match self {
                    $( Self::$variant => $text, )*
                    Self::Other(text) => text,
                }
            }
        }

        impl $crate::profile::gdtf::description::Value for $name {
            fn from_attribute(text: &str) -> Result<Self, String> {
                Ok(Self::from_text(text))
            }

            fn to_attribute(&self) -> String {
                self.text().to_owned()
            }
        }
    };
}

/// Defines a part of a description: its attributes (each with its key) and the elements in it, right
/// there (`=> None`) or in a group (`=> Some("...")`).
macro_rules! record {
    (
        $(#[$doc:meta])* $name:ident = $tag:literal
        { $( $(#[$adoc:meta])* $attribute:ident : $kind:ty = $key:literal, )* }
        { $( $(#[$cdoc:meta])* $child:ident : $inner:ty => $group:expr, )* }
    ) => {
        $(#[$doc])*
        #[derive(Clone, Debug, Default, PartialEq)]
        pub struct $name {
            $( $(#[$adoc])* pub $attribute: Option<$kind>, )*
            $( $(#[$cdoc])* pub $child: Vec<$inner>, )*
            /// What else stood there.
            pub other: $crate::profile::gdtf::description::Other,
        }

        impl $name {
            /// Takes what belongs to it from an element.
            fn take(fields: &mut $crate::profile::gdtf::description::fields::Fields<'_, '_>) -> Self {
                // A part without attributes or without elements leaves this untouched.
                let _ = &fields;
                Self {
                    $( $attribute: fields.value($key), )*
                    $( $child: fields.children($group), )*
                    other: Default::default(),
                }
            }

            /// Writes what belongs to it to an element.
            fn put(&self, element: &mut $crate::profile::gdtf::xml::Element<'static>) {
                $( $crate::profile::gdtf::description::fields::put(
                    element, $key, self.$attribute.as_ref(),
                ); )*
                $( $crate::profile::gdtf::description::fields::put_all(
                    element, $group, &self.$child,
                ); )*
                self.other.put(element);
            }
        }

        impl $crate::profile::gdtf::description::Record for $name {
            const TAG: &'static str = $tag;

            fn read(
                element: &$crate::profile::gdtf::xml::Element<'_>,
                said: &mut $crate::profile::gdtf::said::Said,
            ) -> Self {
                let mut fields =
                    $crate::profile::gdtf::description::fields::Fields::new(element, said);
                let record = Self::take(&mut fields);
                Self { other: fields.rest(), ..record }
            }

            fn write(&self) -> $crate::profile::gdtf::xml::Element<'static> {
                let mut element = $crate::profile::gdtf::description::fields::empty($tag);
                self.put(&mut element);
                element
            }
        }
    };
}

pub(super) use {record, words};

impl Value for String {
    fn from_attribute(text: &str) -> Result<Self, String> {
        Ok(text.trim().to_owned())
    }

    fn to_attribute(&self) -> String {
        self.clone()
    }
}

impl Value for f64 {
    fn from_attribute(text: &str) -> Result<Self, String> {
        values::number(text)
    }

    fn to_attribute(&self) -> String {
        format!("{self:?}")
    }
}

impl Value for u32 {
    fn from_attribute(text: &str) -> Result<Self, String> {
        let wrong = || format!("`{}` is no whole number from 0", values::short(text));
        text.trim().parse().map_err(|_| wrong())
    }

    fn to_attribute(&self) -> String {
        self.to_string()
    }
}

impl Value for bool {
    fn from_attribute(text: &str) -> Result<Self, String> {
        match text.trim().to_ascii_lowercase().as_str() {
            "yes" | "on" | "true" | "1" => Ok(true),
            "no" | "off" | "false" | "0" => Ok(false),
            _ => Err(format!("`{}` is neither yes nor no", values::short(text))),
        }
    }

    fn to_attribute(&self) -> String {
        if *self { "Yes" } else { "No" }.to_owned()
    }
}

impl Value for DmxValue {
    fn from_attribute(text: &str) -> Result<Self, String> {
        Self::parse(text)
    }

    fn to_attribute(&self) -> String {
        self.to_string()
    }
}

impl Value for Option<DmxValue> {
    fn from_attribute(text: &str) -> Result<Self, String> {
        if text.trim().eq_ignore_ascii_case("none") {
            return Ok(None);
        }
        DmxValue::parse(text).map(Some)
    }

    fn to_attribute(&self) -> String {
        self.map_or_else(|| "None".to_owned(), |value| value.to_string())
    }
}

impl Value for CieColour {
    fn from_attribute(text: &str) -> Result<Self, String> {
        Self::parse(text)
    }

    fn to_attribute(&self) -> String {
        self.to_string()
    }
}

impl<const N: usize> Value for Matrix<N> {
    fn from_attribute(text: &str) -> Result<Self, String> {
        Self::parse(text)
    }

    fn to_attribute(&self) -> String {
        self.to_string()
    }
}

impl Value for Vec<u16> {
    fn from_attribute(text: &str) -> Result<Self, String> {
        values::offsets(text)
    }

    fn to_attribute(&self) -> String {
        if self.is_empty() {
            return "None".to_owned();
        }
        let slots: Vec<String> = self.iter().map(u16::to_string).collect();
        slots.join(",")
    }
}
