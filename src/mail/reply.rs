//! What an email server's reply means, in plain words.

/// A reply as a page shows it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Plain {
    /// What it means; empty if it says nothing but yes.
    pub means: String,
    /// What the server said, for small type after the meaning; may be empty.
    pub said: String,
}

/// What is known of a message, in plain words first, then in the server's words. Our
/// own sentences are plain already.
#[must_use]
pub fn plainly(words: &str) -> Plain {
    if let Some(at) = reply_at(words) {
        let (ours, said) = words.split_at(at);
        let meaning = codes(said).map_or("", |(code, enhanced)| meaning(code, enhanced));
        return Plain { means: format!("{ours}{meaning}").trim().to_owned(), said: said.to_owned() };
    }
    // Our own sentence may have the technical part after it in parentheses.
    match words.split_once(". (").filter(|(_, rest)| rest.ends_with(')')) {
        Some((means, rest)) => Plain { means: format!("{means}."), said: format!("({rest}") },
        None => Plain { means: words.to_owned(), said: String::new() },
    }
}

/// What the server said, without the codes in front.
pub(super) fn without_code(words: &str) -> &str {
    let is_code =
        |word: &str| word.starts_with(['2', '4', '5']) && word.chars().all(|c| c.is_ascii_digit() || c == '.');
    let mut rest = words;
    while let Some((_, after)) = rest.split_once(' ').filter(|(word, _)| is_code(word)) {
        rest = after;
    }
    rest.trim_end_matches('.')
}

/// Where the server's reply begins: at the start, or after a sentence of ours.
fn reply_at(words: &str) -> Option<usize> {
    let sentences = words.match_indices(". ").map(|(end, _)| end + 2);
    std::iter::once(0).chain(sentences).find(|at| codes(&words[*at..]).is_some())
}

/// The code that a reply begins with, and the enhanced one (RFC 3463) behind it.
fn codes(said: &str) -> Option<(u16, Option<(u32, &str)>)> {
    let (code, rest) = said.split_at_checked(3)?;
    let is_code = code.bytes().all(|byte| byte.is_ascii_digit()) && (rest.is_empty() || rest.starts_with(' '));
    let code = code.parse::<u16>().ok().filter(|code| is_code && matches!(code, 200..=299 | 400..=599))?;
    Some((code, enhanced(rest)))
}

/// The class and detail of a reply's enhanced code (RFC 3463), if it has one.
pub(super) fn enhanced(text: &str) -> Option<(u32, &str)> {
    let word = text.split_whitespace().next()?;
    let (class, detail) = word.split_once('.')?;
    let (subject, number) = detail.split_once('.')?;
    let digits = |part: &str| (1..=3).contains(&part.len()) && part.bytes().all(|byte| byte.is_ascii_digit());
    let class = class.parse().ok().filter(|class| matches!(class, 2 | 4 | 5))?;
    (digits(subject) && digits(number)).then_some((class, detail))
}

/// RFC 3463 section 3, RFC 7505 section 4, RFC 4954 section 4; else RFC 5321 section
/// 4.2.2.
fn meaning(code: u16, enhanced: Option<(u32, &str)>) -> &'static str {
    let Some((class @ (4 | 5), detail)) = enhanced else { return plain_meaning(code) };
    let is_final = class == 5;
    match (detail, detail.split('.').next().unwrap_or_default()) {
        ("1.1", _) => "The address doesn't exist.",
        ("1.2", _) => "The part of the address after the @ doesn't exist.",
        ("1.3", _) => "The address isn't written correctly.",
        ("1.6", _) => "The mailbox has moved, and there is no new address.",
        ("1.7" | "1.8", _) => "The server doesn't accept the address we send from.",
        ("1.10", _) => "No email can be sent to this address.",
        ("2.1", _) => "The mailbox is turned off.",
        ("2.2", _) => "The mailbox is full.",
        ("2.3" | "3.4", _) => "The message is too large.",
        ("3.1", _) => "The server is out of space.",
        ("7.8", _) => "The server refused our user name or password.",
        (_, "1") => "The server doesn't accept the address.",
        (_, "2") if is_final => "The mailbox doesn't accept this message.",
        (_, "2") => "The mailbox can't take the message right now.",
        (_, "4") => "The reader's email server can't be reached.",
        (_, "5") => "The two email servers didn't understand each other.",
        (_, "6") => "The server can't handle what is in the message.",
        (_, "7") if is_final => "The server's rules don't allow this message or its sender.",
        _ if is_final => "The server refused the message.",
        _ => "The server can't take the message right now.",
    }
}

/// The same for a reply without an enhanced code.
fn plain_meaning(code: u16) -> &'static str {
    match code {
        200..=299 => "",
        421 => "The server is busy or shutting down.",
        452 => "The server or the mailbox is full right now.",
        400..=499 => "The server can't take the message right now.",
        530 => "The server wants us to sign in first.",
        534 | 535 | 538 => "The server refused our user name or password.",
        550 => "The server refused the address or the message.",
        552 => "The mailbox is full, or the message is too large.",
        553 => "The server doesn't accept the address.",
        _ => "The server refused the message.",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(words: &str) -> (String, String) {
        let Plain { means, said } = plainly(words);
        (means, said)
    }

    #[test]
    fn the_meaning_comes_first_and_the_servers_words_after_it() {
        for words in ["550 5.1.1 no such user", "452 4.2.2 mailbox full", "450 later", "554", "421 4.3.2 going down"] {
            let (means, reply) = said(words);
            assert_eq!(reply, words);
            assert!(means.ends_with('.') && !means.contains(|c: char| c.is_ascii_digit()), "{words}: {means}");
        }
        assert_ne!(said("550 5.1.1 no").0, said("550 5.7.1 no").0);
        assert_ne!(said("550 5.2.0 no").0, said("450 4.2.0 later").0, "for good, and for now");
        assert_eq!(said("550 4.2.0 busy").0, said("450 4.2.0 busy").0, "the enhanced code counts");
        assert_eq!(said("250 2.0.0 taken"), (String::new(), "250 2.0.0 taken".to_owned()));
    }

    #[test]
    fn our_own_sentences_stay_as_they_are() {
        for ours in ["", "Ours alone.", "Ours (in 000001.eml).", "500people came. 12 left"] {
            assert_eq!(said(ours), (ours.to_owned(), String::new()));
        }
        let (means, reply) = said("Ours first. 451 4.3.0 later");
        assert!(means.starts_with("Ours first. ") && means.ends_with('.'), "{means}");
        assert_eq!(reply, "451 4.3.0 later");
        let (means, reply) = said("The password was refused. (535 5.7.8 not you)");
        assert_eq!((means.as_str(), reply.as_str()), ("The password was refused.", "(535 5.7.8 not you)"));
        let words = "550 5.1.1 No such user. (in reply to RCPT)";
        assert_eq!(said(words).1, words);
    }

    #[test]
    fn codes_are_taken_off() {
        assert_eq!(without_code("550 5.7.1 blocked"), "blocked");
        assert_eq!(without_code("554 Not you."), "Not you");
        assert_eq!(without_code("blocked"), "blocked");
        assert_eq!(without_code("554"), "554");
    }
}
