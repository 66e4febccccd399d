//! How fast a fixture description of DIN SPEC 15800 becomes a profile: an archive of 2 MB with a large
//! head in it, forty modes of sixty channels, twenty pictures of patterns, and a model that is left
//! packed. The bound is 100 ms on one core.

use std::hint::black_box;
use std::io::{Cursor, Write as _};
use std::time::{Duration, Instant};

use criterion::{Criterion, criterion_group, criterion_main};
use slotwright::profile::gdtf;
use tiny_skia::{Color, Paint, Pixmap, Rect, Shader, Transform};
use zip::CompressionMethod;
use zip::write::{SimpleFileOptions, ZipWriter};

/// Bytes of the archive, about.
const SIZE: usize = 2 << 20;

fn picture(number: u32) -> Vec<u8> {
    let mut picture = Pixmap::new(256, 256).expect("a small picture");
    picture.fill(Color::BLACK);
    let paint = Paint { shader: Shader::SolidColor(Color::WHITE), ..Paint::default() };
    for i in 0..=number {
        let at = (i * 37 % 200) as f32;
        let rect = Rect::from_xywh(at, (i * 53 % 190) as f32, 30.0, 24.0).expect("a rectangle");
        let turned = Transform::from_rotate_at(i as f32 * 20.0, 128.0, 128.0);
        picture.fill_rect(rect, &paint, turned, None);
    }
    picture.encode_png().expect("a small picture")
}

fn mode(number: usize) -> String {
    let mut channels = String::new();
    for i in 0..60 {
        let (attribute, more, ends) = match i {
            0 => ("Pan".to_owned(), "", r#"PhysicalFrom="-270" PhysicalTo="270""#),
            1 => ("Tilt".to_owned(), "", r#"PhysicalFrom="-135" PhysicalTo="135""#),
            2 => ("Gobo1".to_owned(), r#"Wheel="W""#, ""),
            3..=30 => (format!("Control{i}"), "", ""),
            _ => (format!("Effects{i}"), "", ""),
        };
        let sets: String = (0..20)
            .map(|set| {
                let from = set * 12;
                let slot = set + 1;
                format!(
                    r#"<ChannelSet Name="Set {slot}" DMXFrom="{from}/1" WheelSlotIndex="{slot}"/>"#
                )
            })
            .collect();
        channels += &format!(
            r#"<DMXChannel DMXBreak="1" Offset="{},{}" Geometry="Body"><LogicalChannel Attribute="{attribute}" Snap="No" Master="None">
            <ChannelFunction Name="f" Attribute="{attribute}" DMXFrom="0/1" Default="0/1" {more} {ends}>{sets}</ChannelFunction></LogicalChannel></DMXChannel>"#,
            2 * i + 1,
            2 * i + 2,
        );
    }
    format!(
        r#"<DMXMode Name="m{number}" Geometry="Body"><DMXChannels>{channels}</DMXChannels></DMXMode>"#
    )
}

fn archive() -> Vec<u8> {
    let slots: String =
        (0..20).map(|i| format!(r#"<Slot Name="Pattern {i}" MediaFileName="p{i}"/>"#)).collect();
    let modes: String = (0..40).map(mode).collect();
    let xml = format!(
        r#"<GDTF DataVersion="1.2"><FixtureType Name="BENCH" Manufacturer="Neutral"><Wheels><Wheel Name="W">{slots}</Wheel></Wheels>
        <Geometries><Geometry Name="Body"><Beam Name="Lens"/></Geometry></Geometries><DMXModes>{modes}</DMXModes></FixtureType></GDTF>"#
    );
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
    let mut put = |name: &str, bytes: &[u8]| {
        zip.start_file(name, options).expect("memory");
        zip.write_all(bytes).expect("memory");
    };
    put("description.xml", xml.as_bytes());
    for i in 0..20 {
        put(&format!("wheels/p{i}.png"), &picture(i));
    }
    let mut seed = 0x5107_u64;
    let noise: Vec<u8> = (0..SIZE - 200_000)
        .map(|_| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            (seed >> 40) as u8
        })
        .collect();
    put("models/gltf/body.glb", &noise);
    zip.finish().expect("memory").into_inner()
}

fn import(c: &mut Criterion) {
    let archive = archive();
    let run = || {
        let file = gdtf::read(&archive).expect("the bench's own file reads");
        gdtf::import(&file, None).expect("the bench's own file imports")
    };
    let best = (0..20)
        .map(|_| {
            let began = Instant::now();
            black_box(run());
            began.elapsed()
        })
        .min();
    println!("import: {} bytes, best: {:?}", archive.len(), best.unwrap_or_default());
    c.bench_function("import/2 MB", |b| b.iter(|| black_box(run())));
}

criterion_group! {
    name = benches;
    config = Criterion::default()
        .sample_size(20)
        .warm_up_time(Duration::from_millis(500))
        .measurement_time(Duration::from_secs(3));
    targets = import
}
criterion_main!(benches);
