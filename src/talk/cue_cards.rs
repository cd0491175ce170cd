//! The talk on cue cards of 4 by 6 inches.

use super::page::under;
use super::snapshot::TalkSnapshot;
use super::{budget, says, shown_line};
use crate::accounts::SignedIn;
use crate::calc::talk::Part;
use crate::error::Result;
use crate::fire;
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::words::Reader;
use askama::Template;
use axum::extract::State;
use axum::response::Response;

/// A card holds about so many words.
const WORDS: usize = 60;
/// The small line above each one takes the room of so many.
const ABOVE: usize = 10;

/// One card.
struct Card {
    number: usize,
    part: &'static str,
    /// What the fires leave for the part.
    leaves: String,
    lines: Vec<CardLine>,
}

struct CardLine {
    facts: String,
    words: String,
}

#[derive(Template)]
#[template(path = "talk/cards.html")]
struct Cards {
    page: Page,
    name: String,
    printed: String,
    cards: Vec<Card>,
    decides: &'static str,
}

pub(super) async fn cards(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = TalkSnapshot::load(&app, id).await?;
    let page = under(&app, &visit, &snapshot.event, "Talk cue cards").await?;
    show(&Cards {
        page,
        name: snapshot.event.details.name.clone(),
        printed: Reader::App.moment(snapshot.event.details.zone.wall(now)),
        cards: all_cards(&snapshot),
        decides: fire::DECIDES,
    })
}

fn all_cards(snapshot: &TalkSnapshot) -> Vec<Card> {
    let mut cards: Vec<Card> = Vec::new();
    for part in Part::sequence(snapshot.is_both()).iter().chain(&Part::BRANCHES) {
        let leaves = budget::on_card(snapshot, *part);
        let name = says::name(*part, snapshot.event.details.format);
        let mut room = 0;
        for (at, timed) in snapshot.of_part(*part) {
            let cue = shown_line::cue(snapshot, timed);
            for (piece, words) in pieces(&timed.line.words).into_iter().enumerate() {
                let count = words.split_whitespace().count() + ABOVE;
                if count > room {
                    let number = cards.len() + 1;
                    cards.push(Card { number, part: name, leaves: leaves.clone(), lines: Vec::new() });
                    room = WORDS + ABOVE;
                }
                room = room.saturating_sub(count);
                let goes_on = if piece > 0 { ", continued" } else { "" };
                let facts = format!("{} · {} · {cue}{goes_on}", at + 1, timed.line.audience);
                if let Some(card) = cards.last_mut() {
                    card.lines.push(CardLine { facts, words });
                }
            }
        }
    }
    cards
}

/// Words in pieces that fit on a card, broken after a sentence where there is one.
fn pieces(words: &str) -> Vec<String> {
    let mut pieces: Vec<String> = vec![String::new()];
    let mut count = 0;
    let mut sentence: Vec<&str> = Vec::new();
    let mut add = |sentence: &mut Vec<&str>| {
        for chunk in sentence.chunks(WORDS) {
            if count > 0 && count + chunk.len() > WORDS {
                pieces.push(String::new());
                count = 0;
            }
            count += chunk.len();
            if let Some(last) = pieces.last_mut() {
                if !last.is_empty() {
                    last.push(' ');
                }
                last.push_str(&chunk.join(" "));
            }
        }
        sentence.clear();
    };
    for word in words.split_whitespace() {
        sentence.push(word);
        if word.ends_with(['.', '?', '!']) {
            add(&mut sentence);
        }
    }
    add(&mut sentence);
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_lines_go_on_on_another_card_after_a_sentence() {
        assert_eq!(pieces("Get low. Get out."), ["Get low. Get out."]);
        let sentence = format!("{}end.", "word ".repeat(39));
        assert_eq!(pieces(&format!("{sentence} {sentence}")), [sentence.clone(), sentence]);
        let endless = "word ".repeat(100);
        let counts: Vec<usize> = pieces(&endless).iter().map(|piece| piece.split_whitespace().count()).collect();
        assert_eq!(counts, [60, 40]);
    }
}
