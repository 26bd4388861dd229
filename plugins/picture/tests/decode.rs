//! Pictures of every kind a maker may have, good and bad: each is read with the right notes, or
//! refused with a sentence that names what is wrong.

#![allow(clippy::unwrap_used, reason = "a test that cannot set itself up should fail")]
use image::codecs::{jpeg::JpegEncoder, png::PngEncoder, webp::WebPEncoder};
use image::{ExtendedColorType, ImageEncoder};
use moxcms::ColorProfile;
use swatchfold_picture::{Encoding, Format, Limits, Note, Picture, PictureError, decode};

/// A red picture wider than high, with a blue top left quarter.
fn flag() -> Vec<u8> {
    (0..24 * 16).flat_map(|at| if at % 24 < 12 && at / 24 < 8 { [20, 40, 200] } else { [200, 30, 40] }).collect()
}

fn png(pixels: &[u8], kind: ExtendedColorType, icc: Option<Vec<u8>>) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = PngEncoder::new(&mut bytes);
    if let Some(icc) = icc {
        encoder.set_icc_profile(icc).unwrap();
    }
    encoder.write_image(pixels, 24, 16, kind).unwrap();
    bytes
}

fn jpeg() -> Vec<u8> {
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, 95).write_image(&flag(), 24, 16, ExtendedColorType::Rgb8).unwrap();
    bytes
}

fn webp() -> Vec<u8> {
    let mut bytes = Vec::new();
    WebPEncoder::new_lossless(&mut bytes).write_image(&flag(), 24, 16, ExtendedColorType::Rgb8).unwrap();
    bytes
}

fn read(bytes: &[u8]) -> Picture {
    decode(bytes, Limits::COMMON).unwrap_or_else(|problem| panic!("{problem}"))
}

fn refused(bytes: &[u8]) -> PictureError {
    decode(bytes, Limits::COMMON).expect_err("refused")
}

fn pixel(picture: &Picture, x: u32, y: u32) -> [u8; 3] {
    let at = (y * picture.width() + x) as usize * 3;
    picture.rgb()[at..at + 3].try_into().unwrap()
}

fn near(one: [u8; 3], two: [u8; 3], by: u8) -> bool {
    one.iter().zip(two).all(|(one, two)| one.abs_diff(two) <= by)
}

#[test]
fn the_three_kinds_are_read_whatever_they_are_called() {
    for (bytes, format) in [
        (png(&flag(), ExtendedColorType::Rgb8, None), Format::Png),
        (jpeg(), Format::Jpeg),
        (webp(), Format::WebP),
        (include_bytes!("pictures/progressive.jpg").to_vec(), Format::Jpeg),
    ] {
        assert_eq!(Format::of(&bytes), Ok(format));
        let picture = read(&bytes);
        assert!(picture.notes().is_empty(), "{format}: {:?}", picture.notes());
        let corner = pixel(&picture, picture.width() - 2, picture.height() - 2);
        assert!(near(corner, [200, 30, 40], 4), "{format}: {corner:?}");
    }
}

#[test]
fn the_size_is_checked_before_a_pixel_is_decoded() {
    // A PNG whose header says 20,000 × 20,000, with hardly any data behind it: a decoder that went
    // on to the pixels would complain of the missing data instead.
    let mut bytes = png(&flag(), ExtendedColorType::Rgb8, None);
    bytes[16..20].copy_from_slice(&20_000_u32.to_be_bytes());
    bytes[20..24].copy_from_slice(&20_000_u32.to_be_bytes());
    let crc = crc(&bytes[12..29]);
    bytes[29..33].copy_from_slice(&crc.to_be_bytes());
    assert_eq!(refused(&bytes), PictureError::TooManyPixels { width: 20_000, height: 20_000, limit: 60_000_000 });
    let small = Limits { pixels: 24 * 16 - 1, ..Limits::COMMON };
    assert_eq!(decode(&jpeg(), small), Err(PictureError::TooManyPixels { width: 24, height: 16, limit: 24 * 16 - 1 }));
    assert!(decode(&jpeg(), Limits { pixels: 24 * 16, ..Limits::COMMON }).is_ok());
}

/// The checksum of a PNG chunk (ISO/IEC 15948, annex D).
fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |crc, &byte| {
        (0..8).fold(crc ^ u32::from(byte), |crc, _| if crc & 1 == 1 { 0xedb8_8320 ^ (crc >> 1) } else { crc >> 1 })
    })
}

#[test]
fn a_picture_cut_short_anywhere_is_never_read_as_if_whole() {
    for whole in [png(&flag(), ExtendedColorType::Rgb8, None), jpeg(), webp()] {
        let picture = read(&whole);
        for length in 0..whole.len() {
            match decode(&whole[..length], Limits::COMMON) {
                Err(_) => {}
                // A PNG may lack its closing chunk and yet have every pixel.
                Ok(read) => assert_eq!(read.rgb(), picture.rgb(), "{length} of {} bytes", whole.len()),
            }
        }
    }
    let bytes = jpeg();
    let half = bytes.len() - 40;
    assert_eq!(refused(&bytes[..half]), PictureError::CutShort { format: Format::Jpeg, bytes: half });
    let bytes = png(&flag(), ExtendedColorType::Rgb8, None);
    assert_eq!(refused(&bytes[..60]), PictureError::CutShort { format: Format::Png, bytes: 60 });
}

#[test]
fn damage_anywhere_ends_as_a_picture_or_a_sentence() {
    // A small congruential generator; the seed is printed on failure.
    for seed in 0..3_000_u64 {
        let mut state = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let mut next = |below: usize| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            usize::try_from(state >> 33).unwrap() % below
        };
        let mut bytes = match seed % 4 {
            0 => png(&flag(), ExtendedColorType::Rgb8, None),
            1 => jpeg(),
            2 => webp(),
            _ => include_bytes!("pictures/progressive.jpg").to_vec(),
        };
        for _ in 0..=next(6) {
            let at = next(bytes.len());
            bytes[at] = u8::try_from(next(256)).unwrap();
        }
        match decode(&bytes, Limits::COMMON) {
            Ok(picture) => assert!(picture.width() > 0, "seed {seed}"),
            Err(problem) => assert!(!problem.to_string().contains("gave up"), "seed {seed}: a decoder panicked"),
        }
    }
}

#[test]
fn wide_gamut_pictures_are_converted_by_their_profile() {
    let icc = ColorProfile::new_display_p3().encode().unwrap();
    // Display P3 (0.5, 0.5, 0.5) is grey in both; P3 (200, 80, 80) is redder in sRGB. By the
    // matrices of both spaces (IEC 61966-2-1; SMPTE EG 432-1 with a D65 white) it is sRGB (216, 69, 75).
    let pixels: Vec<u8> = (0..24 * 16).flat_map(|at| if at < 192 { [128; 3] } else { [200, 80, 80] }).collect();
    let picture = read(&png(&pixels, ExtendedColorType::Rgb8, Some(icc)));
    assert!(near(pixel(&picture, 0, 0), [128; 3], 1), "{:?}", pixel(&picture, 0, 0));
    assert!(near(pixel(&picture, 5, 15), [216, 69, 75], 1), "{:?}", pixel(&picture, 5, 15));
    assert!(matches!(picture.notes(), [Note::ProfileFollowed { .. }]), "{:?}", picture.notes());
    assert_ne!(picture.notes()[0].to_string(), "");
}

#[test]
fn an_srgb_profile_changes_nothing_and_a_broken_one_is_said() {
    let icc = ColorProfile::new_srgb().encode().unwrap();
    let picture = read(&png(&flag(), ExtendedColorType::Rgb8, Some(icc)));
    assert_eq!((picture.rgb(), picture.notes()), (&flag()[..], &[][..]));
    let picture = read(&png(&flag(), ExtendedColorType::Rgb8, Some(vec![7; 200])));
    assert_eq!(picture.rgb(), flag());
    assert_eq!(
        picture.notes()[0].to_string(),
        "the picture's colour profile could not be read; its colours were taken as sRGB"
    );
}

#[test]
fn grey_alpha_and_16_bit_are_read_and_said() {
    let picture = read(&png(&[90; 24 * 16], ExtendedColorType::L8, None));
    assert_eq!((pixel(&picture, 3, 3), picture.notes()), ([90; 3], &[Note::Grey][..]));
    let icc = ColorProfile::new_gray_with_gamma(1.0).encode().unwrap();
    let picture = read(&png(&[55; 24 * 16], ExtendedColorType::L8, Some(icc)));
    assert!(near(pixel(&picture, 3, 3), [128; 3], 1), "55/255 of the light is sRGB 128: {:?}", pixel(&picture, 3, 3));

    let clear: Vec<u8> =
        (0..24 * 16).flat_map(|at| if at % 2 == 0 { [200, 30, 40, 255] } else { [0, 0, 0, 0] }).collect();
    let picture = read(&png(&clear, ExtendedColorType::Rgba8, None));
    assert_eq!((pixel(&picture, 0, 0), pixel(&picture, 1, 0)), ([200, 30, 40], [255; 3]));
    assert_eq!(picture.notes(), [Note::LaidOnWhite]);

    let deep: Vec<u8> = (0..24 * 16).flat_map(|_| [51_400_u16, 7_710, 10_280]).flat_map(u16::to_ne_bytes).collect();
    let picture = read(&png(&deep, ExtendedColorType::Rgb16, None));
    assert_eq!((pixel(&picture, 0, 0), picture.notes()), ([200, 30, 40], &[Note::SixteenBit][..]));
}

#[test]
fn print_colours_are_converted_and_said() {
    let picture = read(include_bytes!("pictures/cmyk-red.jpg"));
    let [red, green, blue] = pixel(&picture, 8, 8);
    assert!(red > 200 && green < 60 && blue < 60, "{red} {green} {blue}");
    assert_eq!(picture.notes(), [Note::PrintColours]);
}

#[test]
fn a_picture_is_turned_as_the_camera_noted() {
    // An EXIF block (little-endian TIFF, one entry: orientation 6, a quarter turn clockwise) after
    // the start-of-image marker.
    let mut exif = b"\xff\xe1\x00\x22Exif\0\0II*\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0\x06\0\0\0\0\0\0\0".to_vec();
    let bytes = jpeg();
    let mut turned = bytes[..2].to_vec();
    turned.append(&mut exif);
    turned.extend_from_slice(&bytes[2..]);
    let picture = read(&turned);
    assert_eq!((picture.width(), picture.height()), (16, 24));
    assert_eq!(picture.notes(), [Note::Turned]);
    // The blue quarter, top left before, is top right now.
    assert!(near(pixel(&picture, 13, 2), [20, 40, 200], 6) && near(pixel(&picture, 2, 2), [200, 30, 40], 6));
}

#[test]
fn what_is_not_a_picture_is_refused_by_name() {
    for (bytes, words) in [
        (&b""[..], "empty"),
        (b"kind = \"pad\"\n", "not a picture"),
        (b"\0\0\0\x18ftypheic\0\0\0\0", "HEIC"),
        (b"GIF89a\x01\0\x01\0", "GIF"),
        (b"%PDF-1.7", "PDF"),
        (b"\xff\xd8\xff", "cut short"),
    ] {
        let problem = refused(bytes);
        assert!(problem.to_string().contains(words), "{problem}");
        assert!(!problem.remedy().is_empty());
    }
}

#[test]
fn thumbnails_are_small_true_and_the_same_every_time() {
    let picture = read(&png(&flag(), ExtendedColorType::Rgb8, None));
    let small = picture.thumbnail(12, Encoding::Png).unwrap();
    assert_eq!(small, picture.thumbnail(12, Encoding::Png).unwrap());
    let small = read(&small);
    assert_eq!((small.width(), small.height()), (12, 8));
    assert_eq!((pixel(&small, 0, 0), pixel(&small, 11, 7)), ([20, 40, 200], [200, 30, 40]));
    let large = read(&picture.thumbnail(500, Encoding::Jpeg { quality: 90 }).unwrap());
    assert_eq!((large.width(), large.height()), (24, 16), "never enlarged");
}

#[test]
fn one_pixel_is_a_picture() {
    let picture = Picture::from_rgb(1, 1, vec![1, 2, 3]).unwrap();
    assert_eq!(read(&picture.thumbnail(1, Encoding::Png).unwrap()).rgb(), [1, 2, 3]);
    assert_eq!(Picture::from_rgb(0, 1, vec![]), None);
    assert_eq!(Picture::from_rgb(u32::MAX, u32::MAX, vec![]), None);
}
