//! Reads files of people from any bytes: `cargo +nightly fuzz run people_files`.
//! What was read must come back the same from a file of ours.
#![no_main]

use burnday::directory::{Field, csv, decode, read, read_as, vcards};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(text) = decode(bytes) else { return };
    let _ = read(&text, Some(&[Some(Field::Name)]));
    for has_heading in [true, false] {
        let _ = read_as(&text, None, Some(has_heading));
    }
    let Ok(checked) = read(&text, None) else { return };
    if !checked.is_fine() {
        return;
    }
    let table = csv(&checked.people).expect("memory takes a table");
    for file in [table, vcards(&checked.people)] {
        let again = read(&decode(file.as_bytes()).expect("our own file is text"), None).expect("our own file is read");
        assert_eq!(again.people, checked.people);
    }
});
