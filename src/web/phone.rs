//! Phone numbers as links that a phone acts on: `tel:` to call (RFC 3966) and `sms:` to
//! write a text message (RFC 5724). Nothing is sent until someone presses Send on the phone.

/// An international number has no more digits (ITU-T E.164).
const MOST_DIGITS: usize = 15;
/// In a text with other words in it, fewer digits in a row are no phone number.
const FEWEST_AMONG_WORDS: usize = 7;
/// The shortest number that can be dialed, such as 911.
const FEWEST: usize = 3;

/// A number to dial.
struct Dialed {
    number: String,
    /// May be empty.
    extension: String,
}

/// The link that calls a number, as it is stored: "tel:+15555550117". None if it can't be
/// dialed.
#[must_use]
pub fn tel(phone: &str) -> Option<String> {
    let Dialed { number, extension } = dialed(phone)?;
    let extension = if extension.is_empty() { extension } else { format!(";ext={extension}") };
    Some(format!("tel:{number}{extension}"))
}

/// The link that opens a text message to a number, with this text in it if there is any.
/// None if the number can't be dialed, or is an extension, which can't be texted.
///
/// The makers disagree on how the text begins. RFC 5724 and Android take "?body=", and
/// iPhones take "&body=" and no "?". Apple documents no text at all. After "?&", both find
/// it: Android's messaging app (AOSP, `LaunchConversationActivity.getBody`) splits what
/// follows the "?" at each "&", and skips an empty part.
#[must_use]
pub fn sms(phone: &str, body: &str) -> Option<String> {
    let Dialed { number, extension } = dialed(phone)?;
    if !extension.is_empty() {
        return None;
    }
    let body = if body.is_empty() { String::new() } else { format!("?&body={}", escaped(&spelled(body))) };
    Some(format!("sms:{number}{body}"))
}

/// A US number is dialed with its country code. One without an area code is dialed as it
/// was typed, which works in its own area (RFC 3966 asks for a context there, which phones
/// don't know).
fn dialed(phone: &str) -> Option<Dialed> {
    let (phone, extension) = without_extension(phone);
    let is_part = |c: char| c.is_ascii_digit() || " ()-./+".contains(c);
    let digits_in = |text: &str| text.chars().filter(char::is_ascii_digit).count();
    let is_number_alone = phone.chars().all(is_part);
    let fewest = if is_number_alone { FEWEST } else { FEWEST_AMONG_WORDS };
    let run = phone.split(|c: char| !is_part(c)).find(|run| digits_in(run) >= fewest)?;
    let is_international = run.trim_start_matches([' ', '(']).starts_with('+');
    // "+44 (0)20": the zero is for callers in that country.
    let run = if is_international { run.replace("(0)", "") } else { run.to_owned() };
    let digits: String = run.chars().filter(char::is_ascii_digit).collect();
    if digits.len() > MOST_DIGITS {
        return None;
    }
    // No area code begins with 0 or 1.
    let is_area_code = |code: &str| !code.starts_with(['0', '1']);
    let number = if is_international {
        format!("+{digits}")
    } else if digits.len() == 10 && is_area_code(&digits) {
        format!("+1{digits}")
    } else if digits.len() == 11 && digits.starts_with('1') && is_area_code(&digits[1..]) {
        format!("+{digits}")
    } else {
        let kept = run.chars().filter(|c| c.is_ascii_digit() || "-.".contains(*c)).collect::<String>();
        kept.trim_matches(['-', '.']).to_owned()
    };
    Some(Dialed { number, extension })
}

/// A number and its extension: "555-0117 ext. 3", "555-0117 x3".
fn without_extension(phone: &str) -> (String, String) {
    let phone = phone.to_ascii_lowercase();
    for mark in ["extension", "ext", "x"] {
        let Some((number, rest)) = phone.split_once(mark) else { continue };
        let extension = rest.trim_start_matches(['.', ':', ' ']).trim_end();
        if !extension.is_empty() && extension.bytes().all(|byte| byte.is_ascii_digit()) {
            return (number.to_owned(), extension.to_owned());
        }
    }
    (phone, String::new())
}

/// The text with a word for each sign that Android's messaging app would read as its own: it
/// takes the text out of the link's escapes before it looks for an "&", and once more after.
fn spelled(body: &str) -> String {
    let mut said = String::with_capacity(body.len());
    let mut rest = body.chars().peekable();
    while let Some(sign) = rest.next() {
        let word = match sign {
            '&' => "and",
            '%' => "percent",
            '+' => "plus",
            other => {
                said.push(other);
                continue;
            }
        };
        if said.chars().next_back().is_some_and(char::is_alphanumeric) {
            said.push(' ');
        }
        said.push_str(word);
        if rest.peek().is_some_and(|next| next.is_alphanumeric()) {
            said.push(' ');
        }
    }
    said
}

/// Percent-encodes all but the unreserved characters (RFC 3986 section 2.3), as RFC 5724
/// wants it of a text.
fn escaped(text: &str) -> String {
    const DIGITS: &[u8; 16] = b"0123456789ABCDEF";
    let mut escaped = String::with_capacity(text.len() * 3 / 2);
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) {
            escaped.push(char::from(byte));
        } else {
            escaped.push('%');
            escaped.push(char::from(DIGITS[usize::from(byte >> 4)]));
            escaped.push(char::from(DIGITS[usize::from(byte & 15)]));
        }
    }
    escaped
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_dialed_with_their_country_code() {
        for (typed, link) in [
            ("(555) 555-0117", "tel:+15555550117"),
            ("555.555.0117", "tel:+15555550117"),
            ("1-555-555-0117", "tel:+15555550117"),
            ("+1 (555) 555-0117", "tel:+15555550117"),
            ("(+1) 555 555 0117", "tel:+15555550117"),
            ("cell: 555-555-0117", "tel:+15555550117"),
            ("555-555-0117 or 555-555-0118", "tel:+15555550117"),
            ("555-555-0117 ext. 3", "tel:+15555550117;ext=3"),
            ("555 555 0117 X12", "tel:+15555550117;ext=12"),
            ("+44 20 7946 0000", "tel:+442079460000"),
            ("+44 (0)20 7946 0000", "tel:+442079460000"),
            // Without an area code it stays as dialed.
            ("555-0135", "tel:555-0135"),
            ("555 0135 (home)", "tel:5550135"),
            ("911", "tel:911"),
            ("0207 946 0000", "tel:02079460000"),
        ] {
            assert_eq!(tel(typed).as_deref(), Some(link), "{typed}");
        }
        for typed in ["", "ask at the desk", "1-800-FLOWERS", "room 12", "12", "5555550117555555011755"] {
            assert_eq!(tel(typed), None, "{typed}");
        }
    }

    /// RFC 3966 section 6, from memory, and Apple's URL Scheme Reference, "Phone Links" (from
    /// memory) and "SMS Links" (2017-09-19).
    #[test]
    fn the_makers_own_examples_come_out_as_they_write_them_or_with_the_country_code() {
        assert_eq!(tel("+1-201-555-0123").as_deref(), Some("tel:+12015550123"));
        assert_eq!(tel("863-1234").as_deref(), Some("tel:863-1234"));
        assert_eq!(tel("1-408-555-5555").as_deref(), Some("tel:+14085555555"));
        assert_eq!(sms("1-408-555-1212", "").as_deref(), Some("sms:+14085551212"));
        // "This parameter can contain the digits 0 through 9 and the plus (+), hyphen (-), and
        // period (.) characters."
        for typed in ["(555) 555-0117", "555.0117", "555/0117", "+44 (0)20 7946 0000"] {
            let link = sms(typed, "").unwrap();
            let number = link.strip_prefix("sms:").unwrap();
            assert!(number.chars().all(|c| c.is_ascii_digit() || "+-.".contains(c)), "{link}");
        }
    }

    /// RFC 5724 section 2.5. Ours has an "&" more, for iPhones.
    #[test]
    fn a_text_is_written_as_the_rfc_writes_it() {
        assert_eq!(sms("+15105550101", "").as_deref(), Some("sms:+15105550101"));
        let ours = sms("+15105550101", "hello there").unwrap();
        assert_eq!(ours, "sms:+15105550101?&body=hello%20there");
        assert_eq!(ours.replace("?&", "?"), "sms:+15105550101?body=hello%20there");
        // RFC 3986 section 2.3 has all the signs that stay.
        let all = sms("911", "-._~ aZ09/?:@!$'()*,;=#\"<é>").unwrap();
        assert_eq!(all, "sms:911?&body=-._~%20aZ09%2F%3F%3A%40%21%24%27%28%29%2A%2C%3B%3D%23%22%3C%C3%A9%3E");
        assert_eq!(sms("555-0117 x3", "hello"), None, "an extension takes no texts");
    }

    /// What a phone makes of the escapes.
    fn unescaped(text: &str) -> String {
        let mut bytes = Vec::new();
        let mut rest = text.as_bytes();
        while let [first, more @ ..] = rest {
            if let (b'%', [high, low, after @ ..]) = (first, more) {
                let digits = [*high, *low];
                let digits = std::str::from_utf8(&digits).unwrap();
                bytes.push(u8::from_str_radix(digits, 16).unwrap());
                rest = after;
            } else {
                bytes.push(*first);
                rest = more;
            }
        }
        String::from_utf8(bytes).unwrap()
    }

    /// As `getBody` does it in `LaunchConversationActivity` of AOSP's Messaging: all escapes
    /// are undone first, then the fields are split, and then the text is read once more as a
    /// form's field, where a "+" is a space and a bare "%" an error.
    fn as_android_reads_it(link: &str) -> Option<String> {
        let link = unescaped(link);
        let fields = link.split_once('?')?.1;
        let body = fields.split('&').find_map(|field| field.strip_prefix("body="))?;
        Some(unescaped(&body.replace('+', " ")))
    }

    /// iPhones take what follows "&body=", which Apple doesn't document: common practice, no
    /// source.
    fn as_iphones_read_it(link: &str) -> Option<String> {
        Some(unescaped(link.split_once("&body=")?.1))
    }

    #[test]
    fn android_and_iphones_read_the_same_text() {
        for (typed, read) in [
            ("hello there", "hello there"),
            ("Answer: https://burn.example.org/answer/aB-9_", "Answer: https://burn.example.org/answer/aB-9_"),
            ("Boots & gloves", "Boots and gloves"),
            ("B&B", "B and B"),
            ("100% cotton, 2+ people", "100 percent cotton, 2 plus people"),
            ("¿Puede ayudar, José? body=no", "¿Puede ayudar, José? body=no"),
        ] {
            let link = sms("(555) 555-0117", typed).unwrap();
            assert_eq!(as_android_reads_it(&link).as_deref(), Some(read), "{link}");
            assert_eq!(as_iphones_read_it(&link).as_deref(), Some(read), "{link}");
        }
    }
}
