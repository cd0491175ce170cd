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
mod tests;
