//! Files of people: an export can be imported again, and no input crashes the reader.

use burnday::directory::{Checked, Field, csv, decode, read, read_as, vcards};
use burnday::people::{CHANNELS, Channel, Details};
use burnday::web::form;
use proptest::prelude::*;

/// Anything a line of a form can hold.
fn line() -> impl Strategy<Value = String> {
    let text = prop_oneof![
        "\\PC{0,30}",
        "[-=+@'\",;:\\\\ a-z]{0,12}",
        "['=+@-]{1,3}[a-z0-9 ]{0,8}",
        "(\\\\n|\\\\,|BEGIN:VCARD|END:VCARD|é|日本|\u{1f525}){1,4}",
        Just("long ".repeat(18)),
    ];
    text.prop_map(|text| form::optional_line(&text, 100).unwrap_or_default())
}

fn paragraph() -> impl Strategy<Value = String> {
    let lines = proptest::collection::vec(line(), 0..5);
    lines.prop_map(|lines| form::paragraph(&lines.join("\n"), 1_000).unwrap_or_default())
}

fn details() -> impl Strategy<Value = Details> {
    let mail = prop_oneof![Just(String::new()), "[-+a-z][a-z0-9.+-]{0,10}x@[a-z]{1,8}\\.example\\.org"];
    let phone = prop_oneof![Just(String::new()), "[+(]?[0-9]{3}[-) ]?[0-9]{3,8}( x[0-9]{1,3})?"];
    let words = (named(), line(), line(), line(), line());
    (words, mail, phone, 0..CHANNELS.len(), paragraph(), paragraph(), any::<bool>()).prop_map(
        |((named, said, organization, office, jurisdiction), mail, phone, channel, notes, access_needs, no_mail)| {
            Details {
                said,
                organization,
                office,
                jurisdiction,
                mail: form::mail(&mail).unwrap_or_default(),
                phone,
                channel: Channel::ALL[channel],
                notes,
                access_needs,
                no_mail,
                ..named
            }
        },
    )
}

/// A name in one part or two, and how someone is addressed.
fn named() -> impl Strategy<Value = Details> {
    let form = prop_oneof![Just(String::new()), "(Mr|Ms|Dr)\\.", "[-=+@'\",;:\\\\ A-Za-z]{0,8}"];
    let surname = prop_oneof![Just(String::new()), "(de la |van )?[A-Z][a-z]{1,8}(,? (Jr|Sr)\\.| III| MD)?", line()];
    let given = prop_oneof!["[A-Z][a-z]{0,8}( [A-Z]\\.)?", line()];
    (given, surname, form).prop_map(|(given, surname, address_form)| {
        let part = |text: &str| form::optional_name(text, 100).unwrap_or_default();
        let (given, surname) = (part(&given), part(&surname));
        let fits = |one: &Details| (1..=100).contains(&one.name.chars().count());
        let named = Some(Details::of_parts(&given, &surname)).filter(fits);
        let address_form = form::optional_line(&address_form, 40).unwrap_or_default();
        Details { address_form, ..named.unwrap_or_else(|| Details::of_name("Nobody")) }
    })
}

/// What is wrong, for a test's message.
fn told(checked: &Checked) -> String {
    format!("{:?} {:?}", checked.problems, checked.columns_wrong)
}

proptest! {
    #[test]
    fn an_exported_table_reads_back_the_same(people in proptest::collection::vec(details(), 1..6)) {
        let table = csv(&people).unwrap();
        let checked = read(&decode(table.as_bytes()).unwrap(), None).unwrap();
        prop_assert!(checked.is_fine(), "{}", told(&checked));
        prop_assert_eq!(checked.people, people);
    }

    #[test]
    fn exported_cards_read_back_the_same(people in proptest::collection::vec(details(), 1..6)) {
        let cards = vcards(&people);
        // RFC 2426, section 2.6: lines of at most 75 bytes, ending in CR and LF.
        prop_assert!(cards.split("\r\n").all(|line| line.len() <= 75 && !line.contains(['\r', '\n'])));
        let checked = read(&decode(cards.as_bytes()).unwrap(), None).unwrap();
        prop_assert!(checked.is_fine(), "{}", told(&checked));
        prop_assert_eq!(checked.people, people);
    }

    #[test]
    fn no_cell_of_an_exported_table_computes(people in proptest::collection::vec(details(), 1..6)) {
        let table = csv(&people).unwrap();
        let mut reader = ::csv::Reader::from_reader(table.trim_start_matches('\u{feff}').as_bytes());
        for row in reader.records() {
            for cell in &row.unwrap() {
                prop_assert!(!cell.starts_with(['=', '+', '-', '@', '\t', '\r']), "{}", cell);
            }
        }
    }

    #[test]
    fn any_bytes_are_read_or_refused(bytes in proptest::collection::vec(any::<u8>(), 0..2_000)) {
        throw(&bytes);
    }

    #[test]
    fn any_text_like_a_file_is_read_or_refused(
        text in "((BEGIN|END):VCARD\r?\n|FN|N|ORG|;|:|,|\"|\\\\|=|\n |\r|\n|\t|ENCODING=(b|QUOTED-PRINTABLE|BASE64)|CHARSET=|é|\0|x|sep=;\n|name){0,60}",
    ) {
        throw(text.as_bytes());
        throw(format!("BEGIN:VCARD\n{text}\nEND:VCARD\n").as_bytes());
        throw(format!("name{text}").as_bytes());
    }
}

/// Reads it in several ways. It may be refused, but with a message.
fn throw(bytes: &[u8]) {
    let Ok(text) = decode(bytes) else { return };
    for columns in [None, Some(vec![Some(Field::Name)]), Some(vec![Some(Field::Name), None, Some(Field::Notes)])] {
        for has_heading in [None, Some(true), Some(false)] {
            match read_as(&text, columns.as_deref(), has_heading) {
                Ok(checked) => {
                    assert!(checked.people.len() <= checked.rows);
                    assert_eq!(checked.columns.len(), checked.header.len());
                }
                Err(what) => assert!(what.len() > 10 && what.len() < 500, "{what}"),
            }
        }
    }
}
