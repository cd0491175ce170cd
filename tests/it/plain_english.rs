//! What people read is plain American English: every page, email and print of the demo
//! and of a walked event is held to a list of words and formats that readers stumbled
//! over. Which words, and what to say instead, is common practice, no source.

use crate::pages::addresses;
use crate::support::TestApp;
use crate::support::routes::all;
use crate::{support, who_sees};
use burnday::accounts::Role;
use burnday::demo;
use regex::Regex;
use scraper::{Html, Node};
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::sync::LazyLock;

/// What nobody should read, and what to write instead. Letters' case doesn't matter.
const NOT_PLAIN: &[(&str, &str)] = &[
    (r"\b(ring|rings|rang) (them|him|her|us|up|the|\d)|: ring\b|\bring:|\bto ring\b", "call"),
    (r"\bprogrammes?\b", "program"),
    (r"\bneighbour", "neighbor"),
    (r"\bcentre", "center"),
    (r"\bcolour", "color"),
    (r"\bgrey\b", "gray"),
    (r"\bcancelled\b", "canceled"),
    (r"\blicence", "license"),
    (r"\baluminium\b", "aluminum"),
    (r"\borganis", "organiz"),
    (r"\bafterwards\b", "afterward"),
    (r"\b(centi|milli)?metres?\b", "meter"),
    (r"\bcar park\b", "parking lot"),
    (r"\btorch(es)?\b", "flashlight"),
    (r"\bstewards?\b", "crowd manager"),
    (r"\bstands\b", "is"),
    (r"\b(is|are|was|were) told\b", "tell, or know"),
    (r"\bsees? to it\b|\banswers for it\b", "is responsible"),
    (r"\bforeseen\b", "projected"),
    (r"\bawaited\b", "expected"),
    (r"\bby (themselves|itself)\b", "automatically, or leave it out"),
    (r"\ball the same\b", "anyway, or overridden"),
    (r"\b(which|that) (is|are) no more\b", "(date changed)"),
    (r"\bnot yours to do\b", "You don't have permission"),
    (r"\bperhaps one person\b|\bmake one of two\b", "possible duplicates, merge"),
    (r"\bstill wanted\b", "shopping and donations list"),
    (r"\bstand-?bys?\b", "alternate"),
    (r"\bdays? to spare\b|\bspare days?\b", "slack"),
    (r"\bthe chain\b", "what sets the date"),
    (r"\bsomebody forgets\b|\bforget somebody\b", "erase personal data"),
    (r"\bwho could stand where\b", "staffing proposal"),
    (r"\bis approached\b", "outlets"),
    (r"\blog a word\b", "log a contact"),
    (r"\bnothing leaves the house\b", "email is off"),
    (r"\bfrom memory\b|\bknown from an excerpt\b", "the source, or common practice"),
    (r"\b[ap]\.m\.\.", "one period"),
    (r"\bkept in mind\b|\bto mind\b", "instructions"),
    (r"\b(America|Europe|Africa|Asia|Pacific|Etc)/[A-Z]", "the zone's plain name"),
    (r"\b[245]\d\d[ -][245]\.\d{1,3}\.\d", "what the code means"),
    // Not the minutes before a name: "09:00 Jun Castellane".
    (
        r"(^|[^:\d])\d{1,2} (Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)(uary|ruary|ch|il|e|y|ust|t|tember|ober|ember)?\b",
        "the month before the day",
    ),
];

static RULES: LazyLock<Vec<(Regex, &str)>> = LazyLock::new(|| {
    let rule = |(pattern, instead): &(&str, &'static str)| {
        // Months and zones are written with a capital; "12 may" is no day.
        let case = if pattern.contains("Jan") || pattern.contains("America") { "" } else { "(?i)" };
        (Regex::new(&format!("{case}{pattern}")).unwrap(), *instead)
    };
    NOT_PLAIN.iter().map(rule).collect()
});

/// A time of the 24-hour clock.
static CLOCK: LazyLock<Regex> = LazyLock::new(|| Regex::new(r"\b([01]\d|2[0-3]):[0-5]\d\b").unwrap());

/// Whoever reads it: the department, which knows the 24-hour clock, or everybody.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Reader {
    Department,
    Everybody,
}

/// What is wrong with a text, each with the words around it.
fn stumbles(text: &str, reader: Reader) -> Vec<String> {
    let around = |from: usize, until: usize| {
        let start = text[..from].char_indices().rev().nth(30).map_or(0, |(at, _)| at);
        let end = text[until..].char_indices().nth(30).map_or(text.len(), |(at, _)| until + at);
        text[start..end].to_owned()
    };
    let mut found = Vec::new();
    for (rule, instead) in RULES.iter() {
        found.extend(rule.find_iter(text).map(|hit| format!("“{}”: {instead}", around(hit.start(), hit.end()))));
    }
    if reader == Reader::Everybody {
        for hit in CLOCK.find_iter(text) {
            // "10:30 a.m.", and "(10:30)" beside it on a call sheet.
            let rest = &text[hit.end()..];
            let is_spoken = rest.starts_with(" a.m.") || rest.starts_with(" p.m.");
            let is_second = text[..hit.start()].ends_with(['(', '–']) || rest.starts_with(['–', ')']);
            if !is_spoken && !is_second {
                found.push(format!("“{}”: a.m. or p.m.", around(hit.start(), hit.end())));
            }
        }
    }
    found
}

/// All that somebody reads of a page, or hears read: its text, and what stands for a
/// picture or a field.
fn read(body: &str) -> String {
    let page = Html::parse_document(body);
    let mut text = String::new();
    for node in page.tree.nodes() {
        match node.value() {
            Node::Text(words) => {
                let is_left_out = node.ancestors().filter_map(|above| above.value().as_element()).any(|above| {
                    // The zones of the world have no plain names; a code has its own small place.
                    matches!(above.name(), "script" | "style" | "code") || above.attr("id") == Some("zone")
                });
                if !is_left_out {
                    text.push_str(words);
                }
            }
            Node::Element(element) => {
                for name in ["aria-label", "alt", "title", "placeholder"] {
                    if let Some(words) = element.attr(name) {
                        text.extend([" ", words, " "]);
                    }
                }
                if matches!(
                    element.name(),
                    "p" | "li" | "td" | "th" | "dt" | "dd" | "div" | "h1" | "h2" | "h3" | "option"
                ) {
                    text.push(' ');
                }
            }
            _ => {}
        }
    }
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn check(found: &mut BTreeSet<String>, place: &str, text: &str, reader: Reader) {
    found.extend(stumbles(text, reader).into_iter().map(|stumble| format!("{place}: {stumble}")));
}

#[tokio::test]
async fn every_page_and_email_of_the_demo_is_plain() {
    let test = TestApp::empty().await;
    let links = demo::fill(&test.app, support::NOW).await.unwrap();
    let secret = &links.iter().find(|(role, _)| *role == Role::EducationOfficer).unwrap().1;
    let mut priya = test.stranger();
    assert_eq!(priya.post(&format!("/enter/{}", secret.reveal()), &[]).await.status, 303);
    let mut found = BTreeSet::new();
    for path in who_sees::paths(&mut priya, &test).await {
        let answer = priya.get(&path).await;
        if answer.header("content-type").starts_with("text/html") {
            let reader = if path.ends_with("/reading") { Reader::Everybody } else { Reader::Department };
            check(&mut found, &who_sees::kind_of(&path), &read(&answer.body), reader);
        }
    }
    let mails = test.dump().lines().filter(|line| line.starts_with("INSERT INTO mail VALUES")).count();
    assert!(mails > 20, "the demo has written {mails} emails");
    for id in 1..=i64::try_from(mails).unwrap() {
        let mail = test.mail(id).await;
        check(&mut found, "an email", &format!("{}\n{}", mail.subject, mail.text), Reader::Everybody);
    }
    assert!(found.is_empty(), "{} places:\n{}", found.len(), found.into_iter().collect::<Vec<_>>().join("\n"));
}

#[tokio::test]
async fn every_page_of_a_walked_event_and_of_a_link_is_plain() {
    let test = TestApp::walked().await;
    let mut olga = test.olga().await;
    let mut found = BTreeSet::new();
    for (route, path) in addresses(&test).await {
        let answer = olga.get(&path).await;
        if answer.header("content-type").starts_with("text/html") {
            let reader = if route.path.contains("{secret}") { Reader::Everybody } else { Reader::Department };
            check(&mut found, &route.path, &read(&answer.body), reader);
        }
    }
    assert!(found.is_empty(), "{} places:\n{}", found.len(), found.into_iter().collect::<Vec<_>>().join("\n"));
}

/// Letters that other tests keep whole, as people review them.
#[test]
fn every_letter_that_is_kept_whole_is_plain() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/it/snapshots");
    let mut found = BTreeSet::new();
    for file in fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()) {
        let text = fs::read_to_string(&file).unwrap();
        // After the lines that say which test it is from, and of a remedy what was typed.
        let text = text.splitn(3, "---\n").nth(2).unwrap_or_default().lines();
        let text: Vec<&str> = text.map(|line| line.split_once(" → ").map_or(line, |(_, remedy)| remedy)).collect();
        let text = text.join("\n");
        let name = file.file_stem().unwrap().to_string_lossy().into_owned();
        let letters =
            ["letter", "mailed", "corrected", "question", "invitation", "deputy", "receipt", "thank-you", "offer"];
        let is_letter = letters.iter().any(|kind| name.contains(kind));
        check(&mut found, &name, &text, if is_letter { Reader::Everybody } else { Reader::Department });
    }
    assert!(found.is_empty(), "{} places:\n{}", found.len(), found.into_iter().collect::<Vec<_>>().join("\n"));
}

#[test]
fn the_list_finds_what_it_is_for_and_nothing_else() {
    for text in [
        "Sat 9 Jan 2027",
        "2 have no email: ring",
        "The programme",
        "America/Chicago",
        "550 5.1.1 unknown",
        "the chain",
        "It is sent by itself.",
    ] {
        assert!(!stumbles(text, Reader::Department).is_empty(), "{text}");
    }
    assert!(!stumbles("at 09:30", Reader::Everybody).is_empty());
    for text in [
        "Sat, Jan 9, 2027, 09:30",
        "8:30 a.m. (08:30)",
        "10:30 a.m. to noon (10:30–12:00)",
        "a string of lights, during the spring",
        "program, color, Central Time",
    ] {
        let reader = if text.starts_with("Sat") { Reader::Department } else { Reader::Everybody };
        assert_eq!(stumbles(text, reader), Vec::<String>::new(), "{text}");
    }
}

/// Wherever an assertion compares with three words or more that the program says, changing
/// a sentence changes a test. What tests type into forms comes back on pages; that is
/// their own.
#[test]
fn few_assertions_hold_on_to_words() {
    let said = all_text(&["src", "templates"]);
    assert!(said.len() > 100_000 && all().len() > 25);
    let tests = all_text(&["tests/it", "tests/browser"]);
    let spans = asserted(&tests);
    let mut typed = tests.clone();
    for (from, until) in &spans {
        typed.replace_range(*from..*until, &" ".repeat(until - from));
    }
    let held: BTreeSet<&str> = spans.iter().map(|(from, until)| &tests[*from..*until]).collect();
    let held: Vec<&str> = held.into_iter().filter(|words| pins(words, &said, &typed)).collect();
    assert!(held.len() < 60, "{} assertions hold on to words:\n{}", held.len(), held.join("\n"));
}

/// Everything in these folders, with any space as one.
fn all_text(folders: &[&str]) -> String {
    fn collect(folder: &Path, into: &mut String) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            let is_ours = !path.ends_with("node_modules") && !path.ends_with("snapshots");
            if path.is_dir() && is_ours {
                collect(&path, into);
            } else if is_ours
                && !path.ends_with("plain_english.rs")
                && let Ok(text) = fs::read_to_string(&path)
            {
                let text = text.replace("\\\n", "");
                into.push_str(&text.split_whitespace().collect::<Vec<_>>().join(" "));
                into.push(' ');
            }
        }
    }
    let mut text = String::new();
    for folder in folders {
        collect(&Path::new(env!("CARGO_MANIFEST_DIR")).join(folder), &mut text);
    }
    text
}

/// Three words in a row, not all of them names, that the program says and no test types.
fn pins(words: &str, said: &str, typed: &str) -> bool {
    let list: Vec<&str> = words.split_whitespace().collect();
    let is_word = |word: &&str| word.chars().all(|c| c.is_alphabetic() || ".,:;'“”?".contains(c));
    let is_query = ["select ", "update ", "person where "].iter().any(|start| words.starts_with(start));
    !is_query
        && list.windows(3).any(|three| {
            let plain = three.iter().filter(|word| word.starts_with(char::is_lowercase)).count();
            let three_words = three.join(" ");
            three.iter().all(is_word) && plain >= 2 && said.contains(&three_words) && !typed.contains(&three_words)
        })
}

/// Where the strings are that assertions compare with: those in the arguments of `assert!`
/// and its like before the reason, and in the lists that a `for` walks through.
fn asserted(text: &str) -> Vec<(usize, usize)> {
    let mut found = Vec::new();
    for (start, arguments) in [("assert!(", 1), ("assert_eq!(", 2), ("assert_ne!(", 2), (" in [", usize::MAX)] {
        for (at, _) in text.match_indices(start) {
            let from = at + start.len();
            let spans = literals(&text[from..], arguments).into_iter();
            found.extend(spans.map(|(start, end)| (from + start, from + end)));
        }
    }
    found
}

/// Where the string literals are in the first so many arguments of a call whose bracket is
/// open.
fn literals(text: &str, arguments: usize) -> Vec<(usize, usize)> {
    let (mut found, mut depth, mut commas) = (Vec::new(), 0_usize, 0);
    let mut letters = text.char_indices();
    while let Some((at, letter)) = letters.next() {
        match letter {
            '(' | '[' | '{' => depth += 1,
            ')' | ']' | '}' if depth == 0 => break,
            ')' | ']' | '}' => depth -= 1,
            ',' if depth == 0 => {
                commas += 1;
                if commas >= arguments {
                    break;
                }
            }
            '"' => {
                let mut escaped = false;
                let end = letters.find(|(_, c)| {
                    let is_end = *c == '"' && !escaped;
                    escaped = *c == '\\' && !escaped;
                    is_end
                });
                let Some((end, _)) = end else { break };
                found.push((at + 1, end));
            }
            // A quote as a letter opens no string.
            '\'' if text[at..].starts_with("'\"'") => {
                letters.nth(1);
            }
            _ => {}
        }
    }
    found
}
