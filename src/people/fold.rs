//! Names and numbers reduced to what matters for comparing them.

use crate::calc::letters::fold;

/// The words of a search, without accents and capitals. A comma ends a word too, so that
/// "Ortiz, Ray" finds the person whom a list shows like that.
#[must_use]
pub fn search_words(text: &str) -> Vec<String> {
    let folded = fold(text);
    let words = folded.split(|letter: char| letter == ',' || letter.is_whitespace());
    words.filter(|word| !word.is_empty()).map(str::to_owned).collect()
}

/// A phone number as digits only, with the country code. Ten digits count as a number in the
/// United States or Canada. An extension after "x" or "ext" is left out.
#[must_use]
pub fn phone_digits(phone: &str) -> String {
    let number = phone.split(['x', 'X', ';', ',']).next().unwrap_or_default();
    let digits: String = number.chars().filter(char::is_ascii_digit).collect();
    match (number.trim_start().starts_with('+'), digits.len()) {
        (false, 10) => format!("1{digits}"),
        (false, _) if digits.starts_with("00") => digits[2..].to_owned(),
        (false, _) if digits.starts_with("011") && digits.len() > 11 => digits[3..].to_owned(),
        _ => digits,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_search_is_cut_at_spaces_and_commas() {
        assert_eq!(search_words(" Ortíz, Ray ,jr. "), ["ortiz", "ray", "jr."]);
        assert!(search_words(" , ").is_empty());
    }

    #[test]
    fn a_number_is_the_same_however_it_is_written() {
        for phone in [
            "(312) 555-0117",
            "312.555.0117",
            "+1 312 555 0117",
            "1-312-555-0117",
            "3125550117 ext. 12",
            "001 312 555 0117",
        ] {
            assert_eq!(phone_digits(phone), "13125550117", "{phone}");
        }
        assert_eq!(phone_digits("555-0117"), "5550117");
        assert_eq!(phone_digits("+44 20 7946 0018"), "442079460018");
        assert_eq!(phone_digits("011 44 20 7946 0018"), "442079460018");
        assert_eq!(phone_digits("555-0117 x9"), "5550117");
        assert_eq!(phone_digits("none"), "");
    }
}
