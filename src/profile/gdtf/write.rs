//! Elements as XML text, and a file of them with its pictures as a zip archive.
//!
//! The same profile always gives the same bytes: no clock is read, and every entry has the first time
//! that a zip archive can have.

use std::io::{self, Cursor, Write as _};

use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, Event};
use quick_xml::writer::Writer;
use zip::write::{SimpleFileOptions, ZipWriter};
use zip::{CompressionMethod, DateTime};

use super::DESCRIPTION;
use super::xml::Element;

/// The text of an element with all that is in it.
///
/// Characters that XML cannot hold, such as a control character in a name, become U+FFFD.
///
/// # Errors
///
/// What the writer says; memory itself does not fail.
pub fn text(root: &Element<'_>) -> io::Result<Vec<u8>> {
    let mut writer = Writer::new_with_indent(Vec::new(), b' ', 1);
    writer.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
    put(&mut writer, root)?;
    let mut text = writer.into_inner();
    text.push(b'\n');
    Ok(text)
}

fn put(writer: &mut Writer<Vec<u8>>, element: &Element<'_>) -> io::Result<()> {
    let mut start = BytesStart::new(element.name.as_ref());
    for (key, value) in &element.attributes {
        let value = allowed(value);
        start.push_attribute((key.as_ref(), value.as_str()));
    }
    if element.children.is_empty() {
        return writer.write_event(Event::Empty(start));
    }
    writer.write_event(Event::Start(start))?;
    for child in &element.children {
        put(writer, child)?;
    }
    writer.write_event(Event::End(BytesEnd::new(element.name.as_ref())))
}

/// A value without what an attribute cannot hold (XML 1.0, 2.2). A reader makes a space of each line's
/// end (XML 1.0, 3.3.3), so one is written.
fn allowed(value: &str) -> String {
    let one = |c: char| match c {
        '\t' | '\n' | '\r' => ' ',
        c if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') => '\u{fffd}',
        c => c,
    };
    value.chars().map(one).collect()
}

/// A file of a description and pictures, the latter by their names without folder and ending.
///
/// # Errors
///
/// What the packer says; memory itself does not fail.
pub fn pack<'a>(
    description: &[u8],
    pictures: impl IntoIterator<Item = (&'a str, &'a [u8])>,
) -> io::Result<Vec<u8>> {
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .last_modified_time(DateTime::default());
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    zip.start_file(DESCRIPTION, options)?;
    zip.write_all(description)?;
    for (name, png) in pictures {
        zip.start_file(format!("wheels/{name}.png"), options)?;
        zip.write_all(png)?;
    }
    Ok(zip.finish()?.into_inner())
}

#[cfg(test)]
mod tests {
    use super::super::xml::parse;
    use super::*;

    #[test]
    fn what_is_written_reads_back() {
        let text_of = "<A n=\"1 &lt; 2 &quot;&amp;&apos; é\"><B/><C><D x=\"\"/></C></A>";
        let root = parse(text_of.as_bytes()).unwrap();
        let written = text(&root).unwrap();
        let again = parse(&written).unwrap();
        assert_eq!(again.attributes, root.attributes);
        assert_eq!(
            again.children[1].children[0].attributes,
            root.children[1].children[0].attributes
        );
    }

    #[test]
    fn characters_that_xml_cannot_hold_are_replaced() {
        assert_eq!(allowed("a\u{1}b\nc"), "a\u{fffd}b c");
    }
}
