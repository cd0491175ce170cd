//! Turns the bytes of a file into text.

use super::limits::{MOST_BYTES, MOST_TEXT};
use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252};

/// The text of a file, in whatever encoding it was saved.
///
/// # Errors
/// What to tell the person whose file it is.
pub fn decode(bytes: &[u8]) -> Result<String, String> {
    if bytes.len() > MOST_BYTES {
        return Err(too_large());
    }
    if bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(&[0xd0, 0xcf, 0x11, 0xe0]) {
        let what = "This is a spreadsheet file. Open it, save the sheet as CSV, and choose that file.";
        return Err(what.to_owned());
    }
    let encoding = Encoding::for_bom(bytes).map_or_else(|| guess(bytes), |(encoding, _)| encoding);
    let (text, _, broken) = encoding.decode(bytes);
    if broken {
        return Err(format!("This file can't be read as text ({}). Save it again as CSV in UTF-8.", encoding.name()));
    }
    if text.len() > MOST_TEXT {
        return Err(too_large());
    }
    if text.trim().is_empty() {
        return Err("This file is empty. Choose another one.".to_owned());
    }
    Ok(text.into_owned())
}

fn too_large() -> String {
    format!("This file is too large. The limit is {} MB. Split it into smaller files.", MOST_BYTES / 1024 / 1024)
}

/// The encoding of a file that doesn't name it.
fn guess(bytes: &[u8]) -> &'static Encoding {
    let start = &bytes[..bytes.len().min(4096)];
    let zeros = |odd: usize| start.iter().skip(odd).step_by(2).filter(|byte| **byte == 0).count();
    let half = start.len() / 2;
    if half > 1 && zeros(1) * 10 > half * 8 && zeros(0) * 10 < half {
        UTF_16LE
    } else if half > 1 && zeros(0) * 10 > half * 8 && zeros(1) * 10 < half {
        UTF_16BE
    } else if std::str::from_utf8(bytes).is_ok() {
        UTF_8
    } else {
        WINDOWS_1252
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn utf_16(text: &str, little: bool, mark: bool) -> Vec<u8> {
        let mark = if mark { "\u{feff}" } else { "" };
        let units = mark.encode_utf16().chain(text.encode_utf16());
        units.flat_map(|unit| if little { unit.to_le_bytes() } else { unit.to_be_bytes() }).collect()
    }

    #[test]
    fn every_common_encoding_reads_the_same() {
        let text = "Name,Organization\nTomás Brandt,Café Łódź\n";
        assert_eq!(decode(text.as_bytes()).unwrap(), text);
        assert_eq!(decode(format!("\u{feff}{text}").as_bytes()).unwrap(), text);
        for (little, mark) in [(true, true), (false, true), (true, false), (false, false)] {
            assert_eq!(decode(&utf_16(text, little, mark)).unwrap(), text);
        }
        // "é" and a dash, as Windows writes them.
        assert_eq!(decode(b"Name\nRen\xe9 \x96 Marsh\n").unwrap(), "Name\nRené – Marsh\n");
    }

    #[test]
    fn a_file_that_is_not_text_is_refused() {
        assert!(decode(b"PK\x03\x04rest").unwrap_err().contains("spreadsheet"));
        assert!(decode(b" \n ").unwrap_err().contains("empty"));
        assert!(decode(&utf_16("a", true, true)[..3]).unwrap_err().contains("UTF-16LE"));
        assert!(decode(&vec![b'a'; MOST_BYTES + 1]).unwrap_err().contains("too large"));
        // One byte becomes three.
        assert!(decode(&vec![0x80; MOST_BYTES]).unwrap_err().contains("too large"));
    }
}
