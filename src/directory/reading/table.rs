//! A table of cells (RFC 4180, and the variations spreadsheets write).

use super::limits::{MOST_CELL, MOST_COLUMNS, MOST_ROWS, too_many};
use csv::{ReaderBuilder, StringRecord};

/// A function that takes a row: its line in the file and its cells.
pub(super) type Each<'e> = &'e mut dyn FnMut(u64, &StringRecord);

/// Reads the rows, the heading first.
pub(super) fn rows(text: &str, each: Each<'_>) -> Result<(), String> {
    let (text, separator, skipped) = separator(text);
    quotes(text, separator, skipped)?;
    walk(text, separator, skipped, &mut |line, record| {
        each(line, record);
        true
    })
}

/// The first rows, to see what they are.
pub(super) fn first_rows(text: &str, most: usize) -> Result<Vec<StringRecord>, String> {
    let (text, separator, skipped) = separator(text);
    quotes(text, separator, skipped)?;
    let mut first = Vec::new();
    walk(text, separator, skipped, &mut |_, record| {
        first.push(record.clone());
        first.len() < most
    })?;
    Ok(first)
}

/// Reads rows until `goes_on` says to stop.
fn walk(
    text: &str,
    separator: u8,
    skipped: u64,
    goes_on: &mut dyn FnMut(u64, &StringRecord) -> bool,
) -> Result<(), String> {
    let mut reader =
        ReaderBuilder::new().delimiter(separator).has_headers(false).flexible(true).from_reader(text.as_bytes());
    let mut record = StringRecord::new();
    let (mut count, mut line, mut counted) = (0, 1 + skipped, 0);
    while reader
        .read_record(&mut record)
        .map_err(|error| format!("The file can't be read after line {line}: {error}."))?
    {
        // The reader counts line ends and empty lines as part of the next row.
        let start = record.position().and_then(|position| usize::try_from(position.byte()).ok()).unwrap_or(counted);
        let start = start + text[start..].bytes().take_while(|byte| matches!(byte, b'\n' | b'\r')).count();
        line += breaks(&text[counted..start]);
        counted = start;
        if record.len() > MOST_COLUMNS {
            return Err(format!("Line {line} has {} columns. Leave at most {MOST_COLUMNS}.", record.len()));
        }
        if let Some(column) = record.iter().position(|cell| cell.len() > MOST_CELL) {
            return Err(format!(
                "Line {line}, column {}: this cell is larger than {} KB. Shorten it.",
                column + 1,
                MOST_CELL / 1024
            ));
        }
        if record.iter().all(|cell| cell.trim().is_empty()) {
            continue;
        }
        if count > MOST_ROWS {
            return Err(too_many());
        }
        count += 1;
        if !goes_on(line, &record) {
            break;
        }
    }
    Ok(())
}

/// How many lines end in this text, with any kind of line end.
fn breaks(text: &str) -> u64 {
    let bytes = text.as_bytes();
    let ends = |place: &usize| match bytes[*place] {
        b'\n' => true,
        b'\r' => bytes.get(place + 1) != Some(&b'\n'),
        _ => false,
    };
    u64::try_from((0..bytes.len()).filter(ends).count()).unwrap_or(u64::MAX)
}

/// The separator between cells: named in a first line like "sep=;", or whichever the first line
/// has most of. Also the text after such a line, and how many lines were skipped.
fn separator(text: &str) -> (&str, u8, u64) {
    let first = text.lines().next().unwrap_or_default();
    if let Some(said) = first.strip_prefix("sep=").and_then(|rest| rest.bytes().next()).filter(u8::is_ascii) {
        let rest = text.split_once('\n').map_or("", |(_, rest)| rest);
        return (rest, said, 1);
    }
    let mut counts = [(b',', 0), (b';', 0), (b'\t', 0)];
    let mut quoted = false;
    for byte in text.trim_start_matches(['\r', '\n']).bytes().take(MOST_CELL) {
        match byte {
            b'"' => quoted = !quoted,
            b'\n' | b'\r' if !quoted => break,
            _ if quoted => {}
            _ => counts.iter_mut().filter(|(separator, _)| *separator == byte).for_each(|(_, count)| *count += 1),
        }
    }
    // Of equal counts, the last is the greatest.
    let most = counts.into_iter().rev().max_by_key(|(_, count)| *count).map_or(b',', |(separator, _)| separator);
    (text, most, 0)
}

/// Rejects a cell whose quotation mark is never closed, which would swallow the rest of the
/// file, and one with text after its closing mark.
fn quotes(text: &str, separator: u8, skipped: u64) -> Result<(), String> {
    #[derive(PartialEq)]
    enum At {
        Start,
        Plain,
        Quoted,
        Closed,
    }
    let (mut at, mut line, mut column) = (At::Start, 1 + skipped, 1);
    let mut opened = (line, column);
    let mut bytes = text.bytes().peekable();
    while let Some(byte) = bytes.next() {
        if byte == b'\n' || (byte == b'\r' && bytes.peek() != Some(&b'\n')) {
            line += 1;
        }
        if at == At::Quoted {
            if byte == b'"' {
                at = At::Closed;
            }
            continue;
        }
        match byte {
            b'\n' | b'\r' => (at, column) = (At::Start, 1),
            _ if byte == separator => (at, column) = (At::Start, column + 1),
            b'"' if at == At::Start => (at, opened) = (At::Quoted, (line, column)),
            // A doubled mark means one mark.
            b'"' if at == At::Closed => at = At::Quoted,
            _ if at == At::Closed => {
                return Err(format!(
                    "Line {line}, column {column}: there is text after the closing quotation mark. Inside a cell in \
                     quotation marks, write each quotation mark twice."
                ));
            }
            _ => at = At::Plain,
        }
    }
    if at == At::Quoted {
        let (line, column) = opened;
        return Err(format!("Line {line}, column {column}: the quotation mark that opens this cell is never closed."));
    }
    Ok(())
}

#[cfg(test)]
mod tests;
