//! What a fixture description can cost in memory, whatever it holds: each bound of the archive, of the
//! text and of the parts is run into, and the most bytes that were held at once are counted.

use allocation_counter::measure;
use slotwright::profile::gdtf::archive::{MOST_ENTRIES, MOST_ENTRY, MOST_TOTAL, SMALL_ENTRY};
use slotwright::profile::gdtf::import::MOST_PARTS;
use slotwright::profile::gdtf::xml::{MOST_ATTRIBUTE, MOST_ATTRIBUTES, MOST_DEPTH, MOST_ELEMENTS};
use slotwright::profile::gdtf::{self, Imported};

use super::gdtf_file::pack;
use super::gdtf_files::{
    description, lying, million_entries, references_to_references, sets_on_many_parts, sound,
};

/// Bytes that none of these files makes the import hold at once: [`MOST_TOTAL`] six times.
const MOST_PEAK: u64 = 6 * MOST_TOTAL;

/// Bytes that small files may need besides what is counted by their own size.
const SPARE: u64 = 4 << 20;

/// The most bytes held at once while a file is read and imported, without the file itself, and
/// whether a profile came of it.
fn peak(file: &[u8]) -> (u64, bool) {
    let mut made = false;
    let counted = measure(|| {
        let imported = gdtf::read(file).and_then(|gdtf| gdtf::import(&gdtf, None));
        made = imported.as_ref().is_ok_and(|Imported { profile, .. }| !profile.modes.is_empty());
    });
    (counted.bytes_max, made)
}

/// Holds a file to `times` the `bytes` that it stands for, and to the bound of all files.
#[track_caller]
fn check(what: &str, file: &[u8], times: u64, bytes: usize) {
    let (peak, _) = peak(file);
    let most = (times * bytes as u64 + SPARE).min(MOST_PEAK);
    println!("{what}: {} bytes of file, {bytes} unpacked, {peak} held", file.len());
    assert!(peak <= most, "{what}: {peak} bytes held, {most} allowed");
}

/// Holds what is made of a text, sound or not, to `times` its bytes. A text is read as it stands here,
/// since most of these would not pass as an archive: they pack too well.
#[track_caller]
fn check_text(what: &str, text: &str, times: u64) {
    let counted = measure(|| drop(gdtf::Description::read(text.as_bytes())));
    let (held, bytes) = (counted.bytes_max, text.len());
    let most = times * bytes as u64;
    println!("{what}: {bytes} bytes of text, {held} held");
    assert!(held <= most, "{what}: {held} bytes held, {most} allowed");
    // The pictures of the same archive are held beside it.
    assert!(held + MOST_TOTAL <= MOST_PEAK, "{what}: {held} bytes held");
}

/// A text of as many copies of a part as fit in the largest description.
fn full(part: &str) -> String {
    let copies = (MOST_ENTRY as usize - 100) / part.len();
    format!("<GDTF>{}</GDTF>", part.repeat(copies.min(MOST_ELEMENTS - 1)))
}

#[test]
fn many_entries_hold_little_more_than_their_names() {
    let xml = sound();
    let names: Vec<String> =
        (0..MOST_ENTRIES - 1).map(|i| format!("{i:04}{}", "x".repeat(2000))).collect();
    let mut entries: Vec<(&str, &[u8])> = vec![("description.xml", xml.as_bytes())];
    entries.extend(names.iter().map(|name| (name.as_str(), &b""[..])));
    let file = pack(&entries);
    assert!(peak(&file).1, "it is within bounds");
    check("many entries", &file, 4, file.len());
}

#[test]
fn entries_beyond_the_bound_cost_nothing() {
    let file = million_entries();
    check("a million entries", &file, 0, file.len());
}

#[test]
fn high_ratios_hold_what_is_allowed_and_no_more() {
    let xml = sound();
    let zeros = vec![0u8; SMALL_ENTRY as usize];
    let names: Vec<String> =
        (0..MOST_TOTAL / SMALL_ENTRY - 1).map(|i| format!("wheels/{i}.png")).collect();
    let mut entries: Vec<(&str, &[u8])> = vec![("description.xml", xml.as_bytes())];
    entries.extend(names.iter().map(|name| (name.as_str(), zeros.as_slice())));
    let file = pack(&entries);
    assert!(file.len() < 1 << 20 && peak(&file).1, "{} bytes", file.len());
    check("many entries of zeros", &file, 1, MOST_TOTAL as usize);
    let bomb = vec![0u8; MOST_ENTRY as usize];
    check("one entry of zeros", &pack(&[("description.xml", &bomb)]), 0, bomb.len());
    // A list that says 7 bytes of them: no more than these are unpacked.
    let file = lying(pack(&[("description.xml", &bomb)]), MOST_ENTRY as u32, 7);
    check("a list that lies", &file, 0, bomb.len());
}

#[test]
fn deep_texts_stop_at_their_bound() {
    check("depth without end", &description(&"<Geometry>".repeat(1_000_000)), 2, 10_000_000);
    let deep = format!("{}{}", "<A>".repeat(MOST_DEPTH - 2), "</A>".repeat(MOST_DEPTH - 2));
    let text = full(&deep);
    check_text("as deep as allowed, again and again", &text, 5);
}

#[test]
fn texts_full_of_elements_and_attributes_hold_a_multiple_of_their_bytes() {
    let names: String = (0..MOST_ATTRIBUTES).map(|i| format!(" a{i}=\"\"")).collect();
    let few: String = (0..5).map(|i| format!(" a{i}=\"\"")).collect();
    let long = "xyz12345".repeat(MOST_ATTRIBUTE / 8 - 1);
    let entities = "&lt;".repeat(MOST_ATTRIBUTE / 4 - 8);
    for (what, part, times) in [
        ("small elements", "<A/>".to_owned(), 80),
        ("elements with attributes", format!("<A{few}/>"), 30),
        ("as many attributes as allowed", format!("<A{names}/>"), 5),
        ("elements that are known", format!("<FixtureType{few}/>"), 40),
        ("attributes as long as allowed", format!("<A x=\"{long}\"/>"), 4),
        ("entities", format!("<A x=\"{entities}\"/>"), 4),
    ] {
        let text = full(&part);
        check_text(what, &text, times);
    }
}

#[test]
fn parts_and_functions_that_multiply_stop_at_their_bounds() {
    check("references to references", &references_to_references(), 1000, MOST_PARTS);
    let text = sets_on_many_parts();
    check("functions on many parts", &description(&text), 1000, text.len());
}
