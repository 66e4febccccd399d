//! The elements of an XML text, read within bounds.
//!
//! A document type, and with it every entity but the five of XML itself, is refused: descriptions need
//! none, and they are how a short text becomes a long one. Bounds: [`MOST_ELEMENTS`] elements,
//! [`MOST_DEPTH`] deep, [`MOST_ATTRIBUTES`] attributes on one, [`MOST_ATTRIBUTES_IN_ALL`] on all,
//! [`MOST_ATTRIBUTE`] bytes in one.
//!
//! Names and values are borrowed from the text: a description has tens of thousands of them, and few
//! hold an entity that must be put in its place.

use std::borrow::Cow;

use quick_xml::XmlVersion;
use quick_xml::events::attributes::Attributes;
use quick_xml::events::{BytesStart, Event};
use quick_xml::reader::Reader;

use crate::finding::{Finding, Place, TextPlace};

/// Elements a text may have.
pub const MOST_ELEMENTS: usize = 200_000;

/// How deep elements may stand in one another.
pub const MOST_DEPTH: usize = 64;

/// Attributes an element may have.
pub const MOST_ATTRIBUTES: usize = 64;

/// Attributes all elements may have together: five on each, as channel functions and sets have.
pub const MOST_ATTRIBUTES_IN_ALL: usize = 5 * MOST_ELEMENTS;

/// Bytes the value of an attribute may have. The longest that are meant are descriptions in words.
pub const MOST_ATTRIBUTE: usize = 64 << 10;

/// The name and the value of an attribute.
pub type Attribute<'t> = (Cow<'t, str>, Cow<'t, str>);

/// An element with its attributes and the elements in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Element<'t> {
    /// Its name.
    pub name: Cow<'t, str>,
    /// Names and values, in the order of the text.
    pub attributes: Vec<Attribute<'t>>,
    /// The elements in it, in order.
    pub children: Vec<Element<'t>>,
    /// Where it begins.
    pub at: TextPlace,
}

impl Element<'_> {
    /// The value of an attribute.
    pub fn attribute(&self, name: &str) -> Option<&str> {
        self.attributes.iter().find(|(key, _)| key == name).map(|(_, value)| value.as_ref())
    }

    /// The element without the text that it was read from.
    pub fn into_owned(self) -> Element<'static> {
        let owned = |text: Cow<'_, str>| Cow::Owned(text.into_owned());
        let attributes = self.attributes.into_iter();
        Element {
            name: owned(self.name),
            attributes: attributes.map(|(key, value)| (owned(key), owned(value))).collect(),
            children: self.children.into_iter().map(Element::into_owned).collect(),
            at: self.at,
        }
    }

    /// The elements of a name in it.
    pub fn named<'a>(&'a self, name: &str) -> impl Iterator<Item = &'a Self> {
        self.children.iter().filter(move |child| child.name == name)
    }

    /// Where it is, for a finding: its place in the text, and its kind and name.
    pub fn place(&self) -> Place {
        let item = match self.attribute("Name") {
            Some(name) if !name.is_empty() => format!("{} \"{name}\"", self.name),
            _ => self.name.clone().into_owned(),
        };
        Place { text: Some(self.at), item: Some(item), ..Place::default() }
    }
}

/// Reads the outermost element of a text.
///
/// # Errors
///
/// Why the text is refused, with the place.
pub fn parse(bytes: &[u8]) -> Result<Element<'_>, Finding> {
    let text = decode(bytes)?;
    let mut parser = Parser {
        reader: Reader::from_str(text),
        cursor: Cursor { text, offset: 0, at: START },
        open: Vec::new(),
        elements: 0,
        attributes: 0,
    };
    parser.run()
}

/// Attributes for which room is made at once. A value can be full of `=`, so there is an end to it.
const USUAL_ATTRIBUTES: usize = 8;

const START: TextPlace = TextPlace { line: 1, column: 1 };

fn decode(bytes: &[u8]) -> Result<&str, Finding> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    std::str::from_utf8(bytes).map_err(|error| {
        let line = 1 + bytes[..error.valid_up_to()].iter().filter(|byte| **byte == b'\n').count();
        let at = TextPlace { line: u32::try_from(line).unwrap_or(u32::MAX), column: 1 };
        refuse(at, "the description is not UTF-8 text", "save it as UTF-8")
    })
}

/// Line and column of a place in the text that only ever moves on.
struct Cursor<'a> {
    text: &'a str,
    offset: usize,
    at: TextPlace,
}

impl<'a> Cursor<'a> {
    /// The text from the place on.
    fn rest(&self) -> &'a str {
        self.text.get(self.offset..).unwrap_or_default()
    }

    fn move_to(&mut self, offset: u64) -> TextPlace {
        let offset = usize::try_from(offset).unwrap_or(usize::MAX).min(self.text.len());
        if let Some(passed) = self.text.get(self.offset..offset) {
            let lines = passed.bytes().filter(|byte| *byte == b'\n').count() as u32;
            match passed.rsplit_once('\n') {
                Some((_, tail)) => {
                    self.at.line += lines;
                    self.at.column = 1 + tail.chars().count() as u32;
                }
                None => self.at.column += passed.chars().count() as u32,
            }
            self.offset = offset;
        }
        self.at
    }
}

struct Parser<'a> {
    reader: Reader<&'a [u8]>,
    cursor: Cursor<'a>,
    open: Vec<Element<'a>>,
    elements: usize,
    attributes: usize,
}

impl<'a> Parser<'a> {
    fn run(&mut self) -> Result<Element<'a>, Finding> {
        loop {
            let at = self.cursor.move_to(self.reader.buffer_position());
            let event = self.reader.read_event().map_err(|error| {
                let at = self.cursor.move_to(self.reader.error_position());
                refuse(at, format!("the text cannot be read: {error}"), "mend or fetch it again")
            })?;
            match event {
                Event::Start(start) => {
                    let element = self.element(&start, at)?;
                    self.open.push(element);
                }
                Event::Empty(start) => {
                    let element = self.element(&start, at)?;
                    if let Some(done) = self.close(element) {
                        return Ok(done);
                    }
                }
                Event::End(_) => {
                    let Some(element) = self.open.pop() else { continue };
                    if let Some(done) = self.close(element) {
                        return Ok(done);
                    }
                }
                Event::DocType(_) => {
                    return Err(refuse(
                        at,
                        "the text brings a document type of its own",
                        "descriptions need none, and it could unfold without end: remove it",
                    ));
                }
                Event::GeneralRef(_) => {
                    return Err(refuse(at, "there is an entity in the text", "remove it"));
                }
                Event::Eof => {
                    let mend = "fetch the file again";
                    return Err(match self.open.last() {
                        None => refuse(at, "the text has no element", mend),
                        Some(open) => {
                            refuse(at, format!("the element `{}` has no end", open.name), mend)
                        }
                    });
                }
                Event::Text(_)
                | Event::CData(_)
                | Event::Comment(_)
                | Event::Decl(_)
                | Event::PI(_) => {}
            }
        }
    }

    /// Puts a finished element into the one around it, or hands it back if there is none.
    fn close(&mut self, element: Element<'a>) -> Option<Element<'a>> {
        match self.open.last_mut() {
            Some(parent) => {
                parent.children.push(element);
                None
            }
            None => Some(element),
        }
    }

    /// The element of a tag; the cursor stands where it begins.
    fn element(&mut self, start: &BytesStart<'_>, at: TextPlace) -> Result<Element<'a>, Finding> {
        self.elements += 1;
        if self.elements > MOST_ELEMENTS {
            let mend = "no fixture description has so many";
            return Err(refuse(at, format!("more than {MOST_ELEMENTS} elements"), mend));
        }
        if self.open.len() >= MOST_DEPTH {
            let mend = "no fixture description is so deep";
            return Err(refuse(at, format!("elements nest more than {MOST_DEPTH} deep"), mend));
        }
        // The event lends its text only as long as it lives itself; the text around it lives longer.
        let tag = self.cursor.rest().get(1..=start.len()).unwrap_or_default();
        let Some(name) = tag.get(..start.name().into_inner().len()) else {
            return Err(refuse(at, "the name of an element cannot be read", "mend it"));
        };
        let expected = tag.bytes().filter(|byte| *byte == b'=').count().min(USUAL_ATTRIBUTES);
        let attributes = attributes(Attributes::new(tag, name.len()), expected, at)?;
        self.attributes += attributes.len();
        if self.attributes > MOST_ATTRIBUTES_IN_ALL {
            let mend = "no fixture description has so many";
            return Err(refuse(at, format!("more than {MOST_ATTRIBUTES_IN_ALL} attributes"), mend));
        }
        Ok(Element { name: Cow::Borrowed(name), attributes, children: Vec::new(), at })
    }
}

/// Names and values of the attributes of one element.
fn attributes<'a>(
    read: Attributes<'a>,
    expected: usize,
    at: TextPlace,
) -> Result<Vec<Attribute<'a>>, Finding> {
    let mut attributes = Vec::with_capacity(expected);
    for attribute in read {
        let attribute = attribute.map_err(|error| {
            refuse(at, format!("an attribute cannot be read: {error}"), "mend it")
        })?;
        let key = attribute.key.into_inner();
        if attributes.len() == MOST_ATTRIBUTES {
            let what = format!("more than {MOST_ATTRIBUTES} attributes on one element");
            return Err(refuse(at, what, "no element of a description has so many"));
        }
        if key.len() + attribute.value.len() > MOST_ATTRIBUTE {
            let what = format!("an attribute of {} bytes", attribute.value.len());
            return Err(refuse(at, what, &format!("{MOST_ATTRIBUTE} are allowed")));
        }
        let value = attribute.normalized_value(XmlVersion::Explicit1_0).map_err(|error| {
            refuse(at, format!("the attribute `{key}` cannot be read: {error}"), "mend it")
        })?;
        attributes.push((Cow::Borrowed(key), value));
    }
    Ok(attributes)
}

fn refuse(at: TextPlace, what: impl Into<String>, mend: &str) -> Finding {
    Finding::error(Place { text: Some(at), ..Place::default() }, what, mend)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn elements_know_where_they_begin() {
        let root = parse(
            "\u{feff}<?xml version=\"1.0\"?>\n<A x='1 &lt; 2'>\n  <B/>é<C n=\"2\"/>\n</A>"
                .as_bytes(),
        )
        .unwrap();
        assert_eq!((root.name.as_ref(), root.attribute("x")), ("A", Some("1 < 2")));
        let places: Vec<(u32, u32)> =
            root.children.iter().map(|child| (child.at.line, child.at.column)).collect();
        assert_eq!(places, [(3, 3), (3, 8)]);
    }

    #[test]
    fn only_what_holds_an_entity_is_copied() {
        let root = parse(b"<A><B plain='1, 2' odd='1 &lt; 2'></B></A>").unwrap();
        let values: Vec<bool> = root.children[0]
            .attributes
            .iter()
            .map(|(key, value)| {
                assert!(matches!(key, Cow::Borrowed(_)));
                matches!(value, Cow::Borrowed(_))
            })
            .collect();
        assert_eq!(values, [true, false]);
        assert_eq!(root.clone().into_owned(), root);
    }

    #[test]
    fn a_text_that_is_none_says_why_and_where() {
        for (text, expected) in [
            ("", "line 1, column 1: error: the text has no element"),
            ("<A>\n<B>", "error: the element `B` has no end"),
            ("<A>\n</B>", "line 2, column 1: error: the text cannot be read"),
            ("<A x='1' x='2'/>", "line 1, column 1: error: an attribute cannot be read"),
            ("<A x='&bomb;'/>", "error: the attribute `x` cannot be read"),
            ("<A>&bomb;</A>", "error: there is an entity in the text"),
            ("<!DOCTYPE A [<!ENTITY b 'bb'>]><A/>", "brings a document type of its own"),
        ] {
            let finding = parse(text.as_bytes()).unwrap_err().to_string();
            assert!(finding.contains(expected), "{finding}\n{expected}");
        }
        assert!(parse(b"<A x='\xff'/>").unwrap_err().to_string().contains("not UTF-8"));
    }
}
