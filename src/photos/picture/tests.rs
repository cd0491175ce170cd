use super::*;
use image::{ImageEncoder, Rgba, RgbaImage};

/// Wide, red on the left and blue on the right.
fn two_colors(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, _| if x < width / 2 { Rgb([220, 30, 30]) } else { Rgb([30, 30, 220]) })
}

fn as_jpeg(image: &RgbImage) -> Vec<u8> {
    jpeg(image).unwrap()
}

fn as_png(image: &DynamicImage) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    image.write_to(&mut bytes, ImageFormat::Png).unwrap();
    bytes.into_inner()
}

/// The same with Exif data in it: a quarter turn and a location. Layout by the Exif
/// standard (JEITA CP-3451, 4.5 and 4.6), from memory.
fn with_exif(jpeg: &[u8]) -> Vec<u8> {
    let mut exif = b"Exif\0\0MM\0*\0\0\0\x08\0\x02".to_vec();
    // Orientation, one short: 6, the top is on the right.
    exif.extend(b"\x01\x12\0\x03\0\0\0\x01\0\x06\0\0");
    // A description with the location, 16 characters at offset 38.
    exif.extend(b"\x01\x0e\0\x02\0\0\0\x10\0\0\0\x26\0\0\0\0");
    exif.extend(b"12 Invented Lane");
    let length = u16::try_from(exif.len() + 2).unwrap().to_be_bytes();
    [&jpeg[..2], &[0xff, 0xe1], &length, &exif, &jpeg[2..]].concat()
}

fn read(bytes: &[u8]) -> RgbImage {
    image::load_from_memory_with_format(bytes, ImageFormat::Jpeg).unwrap().into_rgb8()
}

#[test]
fn a_photo_is_turned_upright_and_loses_what_the_camera_noted() {
    let sent = with_exif(&as_jpeg(&two_colors(400, 200)));
    assert!(sent.windows(8).any(|part| part == b"Invented"));
    let kept = pictures(&sent).unwrap();
    assert_eq!((kept.width, kept.height), (200, 400), "a quarter turn");
    let large = read(&kept.large);
    let [top, _, _] = large.get_pixel(100, 20).0;
    let [_, _, bottom] = large.get_pixel(100, 380).0;
    assert!(top > 180 && bottom > 180, "the left side is on top now: {top} {bottom}");
    for bytes in [&kept.large, &kept.small] {
        assert!(!bytes.windows(4).any(|part| part == b"Exif" || part == b"Lane"));
    }
}

#[test]
fn what_is_kept_is_small_and_keeps_its_shape() {
    let kept = pictures(&as_jpeg(&two_colors(4000, 3000))).unwrap();
    assert_eq!((kept.width, kept.height), (1600, 1200));
    assert_eq!(read(&kept.small).dimensions(), (320, 240));
    let thin = pictures(&as_png(&two_colors(9000, 2).into())).unwrap();
    assert_eq!((thin.width, thin.height), (1600, 1));
    let little = pictures(&as_png(&two_colors(12, 8).into())).unwrap();
    assert_eq!((little.width, little.height), (12, 8), "never made larger");
}

#[test]
fn png_and_webp_are_taken_and_what_shows_through_is_white() {
    let image = RgbaImage::from_pixel(20, 20, Rgba([0, 0, 0, 0]));
    let kept = pictures(&as_png(&image.clone().into())).unwrap();
    assert!(read(&kept.large).get_pixel(10, 10).0.iter().all(|channel| *channel > 250));
    let mut webp = Vec::new();
    let encoder = image::codecs::webp::WebPEncoder::new_lossless(&mut webp);
    encoder.write_image(&image, 20, 20, image::ExtendedColorType::Rgba8).unwrap();
    assert!(read(&pictures(&webp).unwrap().large).get_pixel(3, 3).0.iter().all(|channel| *channel > 250));
}

#[test]
fn what_is_broken_or_no_photo_is_refused_in_words() {
    let whole = as_png(&two_colors(200, 200).into());
    for part in [whole.len() / 2, 60, 20] {
        let why = pictures(&whole[..part]).unwrap_err();
        assert!(why.contains("broken"), "{part}: {why}");
    }
    let refused = |bytes: &[u8]| pictures(bytes).unwrap_err();
    assert!(refused(b"").contains("empty"));
    for other in [
        b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>".as_slice(),
        b"<!doctype html><script>alert(1)</script>",
        b"GIF89a\x01\0\x01\0\0\0\0;",
        b"%PDF-1.7",
    ] {
        assert!(refused(other).contains("Choose a JPEG, PNG or WebP"), "{}", refused(other));
    }
    assert!(refused(b"\0\0\0\x18ftypheic\0\0\0\0mif1heic").contains("HEIC"));
    assert!(refused(&vec![0xff; MOST_BYTES + 1]).contains("16 MB"));
}

/// A PNG that declares its size and holds almost nothing. Layout by RFC 2083 (PNG), 3.2
/// and 4.1.1.
fn only_a_header(width: u32, height: u32, depth: u8) -> Vec<u8> {
    let mut header = b"IHDR".to_vec();
    header.extend(width.to_be_bytes());
    header.extend(height.to_be_bytes());
    header.extend([depth, 6, 0, 0, 0]);
    let check = crc(&header).to_be_bytes();
    [b"\x89PNG\r\n\x1a\n\0\0\0\x0d".as_slice(), &header, &check, b"\0\0\0\0IDAT\x35\xaf\x06\x1e"].concat()
}

/// CRC-32, from the appendix of RFC 2083.
fn crc(bytes: &[u8]) -> u32 {
    let step = |crc: u32| if crc & 1 == 1 { 0xedb8_8320 ^ (crc >> 1) } else { crc >> 1 };
    !bytes.iter().fold(!0, |crc, byte| (0..8).fold(crc ^ u32::from(*byte), |crc, _| step(crc)))
}

#[test]
fn a_picture_of_too_many_pixels_is_refused_by_its_header() {
    assert!(pictures(&only_a_header(10_000, 10_000, 8)).unwrap_err().contains("10,000 × 10,000 pixels"));
    assert!(pictures(&only_a_header(7_000, 7_000, 16)).unwrap_err().contains("7,000 × 7,000"), "16 bits per channel");
    // Enough pixels to overflow 32 bits.
    assert!(pictures(&only_a_header(1_000_000, 1_000_000, 8)).is_err());
}

#[test]
fn a_truncated_jpeg_is_refused() {
    let whole = with_exif(&as_jpeg(&two_colors(800, 600)));
    for part in [whole.len() - 2, whole.len() / 2, 700, 100, 12, 3] {
        assert_eq!(pictures(&whole[..part]).err().as_deref(), Some(BROKEN), "{part}");
    }
    let with_more = [whole.as_slice(), b"a film of two seconds"].concat();
    assert!(pictures(&with_more).is_ok(), "some cameras add to it");
}
