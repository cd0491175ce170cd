//! Turns a file from a camera or scanner into two plain JPEGs. Pure.

use crate::web::words;
use image::codecs::jpeg::JpegEncoder;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, Limits, Rgb, RgbImage};
use std::io::Cursor;

/// For the `accept` attribute of a form: it makes phones that store another format send a
/// JPEG.
pub const ACCEPTED: &str = "image/jpeg,image/png,image/webp";

/// The largest file.
pub const MOST_BYTES: usize = 16 * 1024 * 1024;

/// The most pixels in a picture: what the better phones take.
pub const MOST_PIXELS: u64 = 50_000_000;

/// The most memory for its pixels. With 16 bits per channel they take twice as much as with
/// 8.
const MOST_MEMORY: u64 = 200 * 1024 * 1024;

/// The longer side of the saved picture and of the one shown in lists, in pixels.
const LARGE: u32 = 1600;
const SMALL: u32 = 320;

/// JPEG quality, out of 100. At 82 the eye sees no difference on paper.
const QUALITY: u8 = 82;

/// What is saved of a picture.
#[derive(Debug)]
pub(super) struct Pictures {
    pub large: Vec<u8>,
    pub small: Vec<u8>,
    pub width: u32,
    pub height: u32,
}

/// Reads a picture by its content, never by its name, turns it upright, shrinks it and
/// encodes it again. Nothing but its colors is kept.
///
/// # Errors
/// Why it is refused, for whoever chose it.
pub(super) fn pictures(bytes: &[u8]) -> Result<Pictures, String> {
    if bytes.len() > MOST_BYTES {
        return Err(too_large());
    }
    let upright = flat(decode(bytes)?);
    let large = shrunk(&upright, LARGE);
    let small = shrunk(&large, SMALL);
    let (width, height) = large.dimensions();
    Ok(Pictures { large: jpeg(&large)?, small: jpeg(&small)?, width, height })
}

/// The refusal of a file with too many bytes.
pub(super) fn too_large() -> String {
    format!("This file is larger than {} MB. Choose a smaller photo.", MOST_BYTES / 1024 / 1024)
}

const BROKEN: &str = "This photo is broken, or only part of it arrived. Send it again, or take another.";

fn decode(bytes: &[u8]) -> Result<DynamicImage, String> {
    let format = format(bytes)?;
    let broken = |_| BROKEN.to_owned();
    let kind = if format == ImageFormat::Jpeg { jpeg_kind(bytes).ok_or(BROKEN)? } else { Kind::InOneGo };
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    let mut limits = Limits::default();
    limits.max_alloc = Some(MOST_MEMORY);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(broken)?;
    // The header alone tells how much will come.
    let (width, height) = decoder.dimensions();
    // Three bytes per pixel. A picture in several scans needs six more to hold the sums of
    // the scans so far.
    let memory = decoder.total_bytes() * if kind == Kind::Progressive { 3 } else { 1 };
    if u64::from(width) * u64::from(height) > MOST_PIXELS || memory > MOST_MEMORY {
        let [width, height] = [width, height].map(|side| words::grouped(usize::try_from(side).unwrap_or(usize::MAX)));
        return Err(format!("This photo is {width} × {height} pixels, which is too large. Choose a smaller photo."));
    }
    let orientation = decoder.orientation().map_err(broken)?;
    let mut image = DynamicImage::from_decoder(decoder).map_err(broken)?;
    image.apply_orientation(orientation);
    Ok(image)
}

/// How a picture is stored in its file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    InOneGo,
    /// In several scans of the whole picture.
    Progressive,
}

/// `None` if a JPEG is cut off: the decoder would fill in the missing part with gray. Markers
/// according to ITU-T T.81, annex B.
fn jpeg_kind(bytes: &[u8]) -> Option<Kind> {
    const PROGRESSIVE: u8 = 0xc2;
    const START_OF_SCAN: u8 = 0xda;
    const END_OF_IMAGE: [u8; 2] = [0xff, 0xd9];
    let (mut at, mut kind) = (2, Kind::InOneGo);
    // Skip all segments before the picture itself, because one of them may hold a small
    // picture with its own end marker.
    while let Some([0xff, marker, high, low]) = bytes.get(at..at + 4) {
        if *marker == START_OF_SCAN {
            return bytes[at..].windows(2).any(|pair| pair == END_OF_IMAGE).then_some(kind);
        }
        if *marker == PROGRESSIVE {
            kind = Kind::Progressive;
        }
        at += if *marker == 0xff { 1 } else { 2 + usize::from(u16::from_be_bytes([*high, *low])) };
    }
    None
}

/// By the first bytes of the file.
fn format(bytes: &[u8]) -> Result<ImageFormat, String> {
    match image::guess_format(bytes) {
        Ok(format @ (ImageFormat::Jpeg | ImageFormat::Png | ImageFormat::WebP)) => return Ok(format),
        _ if bytes.is_empty() => return Err("This file is empty. Choose another photo.".to_owned()),
        _ => {}
    }
    let heif = [b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1", b"avif"];
    let brand = bytes.get(4..8).filter(|kind| kind == b"ftyp").and_then(|_| bytes.get(8..12));
    if brand.is_some_and(|brand| heif.iter().any(|known| *known == brand)) {
        return Err(
            "This is a HEIC photo, which doesn't work here. Set your camera to JPEG (“most compatible”), or save \
                    the photo as a JPEG. Then choose it again."
                .to_owned(),
        );
    }
    Err("This file isn't a photo that works here. Choose a JPEG, PNG or WebP file.".to_owned())
}

/// Without an alpha channel: transparent parts become white, as on paper.
fn flat(image: DynamicImage) -> RgbImage {
    if !image.color().has_alpha() {
        return image.into_rgb8();
    }
    let image = image.into_rgba8();
    RgbImage::from_fn(image.width(), image.height(), |x, y| {
        let [r, g, b, alpha] = image.get_pixel(x, y).0;
        let over_white = |channel: u8| {
            let (channel, alpha) = (u32::from(channel), u32::from(alpha));
            u8::try_from((channel * alpha + 255 * (255 - alpha)) / 255).unwrap_or(u8::MAX)
        };
        Rgb([r, g, b].map(over_white))
    })
}

/// No side longer than this. A smaller picture stays as it is.
fn shrunk(image: &RgbImage, most: u32) -> RgbImage {
    let (width, height) = image.dimensions();
    let longer = width.max(height);
    if longer <= most {
        return image.clone();
    }
    let side = |side: u32| u32::try_from(u64::from(side) * u64::from(most) / u64::from(longer)).unwrap_or(most).max(1);
    image::imageops::thumbnail(image, side(width), side(height))
}

fn jpeg(image: &RgbImage) -> Result<Vec<u8>, String> {
    let mut bytes = Vec::new();
    let written = JpegEncoder::new_with_quality(&mut bytes, QUALITY).encode_image(image);
    written.map(|()| bytes).map_err(|_| "This photo can't be saved. Take another.".to_owned())
}

#[cfg(test)]
mod tests {
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
        assert!(
            pictures(&only_a_header(7_000, 7_000, 16)).unwrap_err().contains("7,000 × 7,000"),
            "16 bits per channel"
        );
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
}
