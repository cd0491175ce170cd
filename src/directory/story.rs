//! What somebody was asked, what they answered, what was written to them.

use crate::asks::{self, Request};
use crate::error::Result;
use crate::events;
use crate::mail;
use crate::state::App;
use crate::web::words;
use crate::zone::Zone;
use time::OffsetDateTime;

/// One line of it.
#[derive(Debug)]
pub struct StoryLine {
    pub when: String,
    /// In a few words.
    pub what: String,
    pub detail: String,
    /// Where more is; may be empty.
    pub href: String,
}

struct Happened {
    at: OffsetDateTime,
    what: String,
    detail: String,
    href: String,
}

/// All of it, the newest first: questions, answers and mail of whoever this
/// person is.
///
/// # Errors
/// The store's.
pub async fn of(app: &App, person: i64, zone: &Zone) -> Result<Vec<StoryLine>> {
    let db = app.db.read();
    let mut story = Vec::new();
    for request in asks::of_person(db, person).await? {
        let event = events::find(db, request.event_id).await?.map(|event| event.details.name).unwrap_or_default();
        story.extend(of_request(&request, &event));
    }
    for line in mail::of_person(db, person).await? {
        let words = if line.words.is_empty() { String::new() } else { format!(": {}", line.words) };
        story.push(Happened {
            at: line.at,
            what: line.subject,
            detail: format!("mail, {}{words}", line.state),
            href: format!("/mail/{}", line.id),
        });
    }
    story.sort_by_key(|happened| std::cmp::Reverse(happened.at));
    let line = |happened: Happened| StoryLine {
        when: words::moment(zone.wall(happened.at)),
        what: happened.what,
        detail: happened.detail,
        href: happened.href,
    };
    Ok(story.into_iter().map(line).collect())
}

fn of_request(request: &Request, event: &str) -> Vec<Happened> {
    let href = format!("/events/{}/asks/{}", request.event_id, request.id);
    let dates: Vec<String> = request.asks.iter().map(|ask| words::day(ask.for_on)).collect();
    let mut story = vec![Happened {
        at: request.asked_at,
        what: request.question.clone(),
        detail: format!("asked for {}, {}, {event}", request.kind, dates.join(" and ")),
        href: href.clone(),
    }];
    for ask in &request.asks {
        let lapsed = if ask.is_lapsed { " (date changed)" } else { "" };
        story.extend(ask.answers.iter().map(|answer| {
            Happened {
                at: answer.at,
                what: format!("said {} to {}{lapsed}", answer.says(), words::day(ask.for_on)),
                detail: [format!("by {}", answer.way), answer.note.clone()]
                    .into_iter()
                    .filter(|part| !part.is_empty())
                    .collect::<Vec<_>>()
                    .join(" · "),
                href: href.clone(),
            }
        }));
    }
    story
}
