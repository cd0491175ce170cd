//! A sample file that shows how to lay out an import. Its people are made up.

use super::export;
use crate::people::{Channel, Details};

/// The sample as a table, which can be imported as it is.
pub(super) fn table() -> anyhow::Result<String> {
    export::csv(&people())
}

fn people() -> [Details; 4] {
    let text = str::to_owned;
    [
        Details {
            said: text("pree-ya oh-KAH-for"),
            organization: text("Alder Bend Hardware"),
            office: text("Owner"),
            mail: text("priya@example.org"),
            phone: text("(555) 555-0101"),
            notes: text("Lends the generator."),
            ..Details::of_name("Priya Okafor")
        },
        Details {
            office: text("Commissioner"),
            jurisdiction: text("Alder County"),
            mail: text("commissioner@example.org"),
            phone: text("555-0102"),
            channel: Channel::Letter,
            ..Details::of_name("Dele Aldous")
        },
        Details {
            organization: text("Alder Bend Fire District"),
            phone: text("555-0103 x12"),
            channel: Channel::Phone,
            access_needs: text("A chair at the crowd line."),
            ..Details::of_name("Tomás Brandt")
        },
        Details { mail: text("wren@example.org"), no_mail: true, ..Details::of_name("Wren Ibarra") },
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::directory::{decode, read};

    #[test]
    fn the_whole_sample_can_be_imported() {
        let checked = read(&decode(table().unwrap().as_bytes()).unwrap(), None).unwrap();
        assert!(checked.is_fine() && checked.has_heading, "{:?}", checked.problems);
        assert_eq!(checked.people, people());
        assert!(checked.columns.iter().all(Option::is_some), "every column is known: {:?}", checked.columns);
    }
}
