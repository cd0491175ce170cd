//! What someone was asked, what they answered, and what we sent them.

use crate::asks::{self, Request};
use crate::error::Result;
use crate::events;
use crate::mail::{self, MailState, plainly};
use crate::state::App;
use crate::web::words::Reader;
use crate::zone::Zone;
use time::{Date, OffsetDateTime};

/// One line of it, as a page shows it.
#[derive(Debug)]
pub struct StoryLine {
    pub when: String,
    /// What happened, in a few words.
    pub what: String,
    pub detail: String,
    /// Where to read more; may be empty.
    pub href: String,
}

struct Happened {
    at: OffsetDateTime,
    what: String,
    detail: String,
    href: String,
}

/// Everything, newest first: the questions to this person, their answers, and emails.
pub async fn of(app: &App, person: i64, zone: &Zone) -> Result<Vec<StoryLine>> {
    let db = app.db.read();
    let today = zone.today(app.clock.now());
    let mut story = Vec::new();
    for request in asks::of_person(db, person).await? {
        let event = events::find(db, request.event_id).await?.map(|event| event.details.name).unwrap_or_default();
        story.extend(of_request(&request, &event, today));
    }
    for line in mail::of_person(db, person).await? {
        // Why someone canceled it is in their own words.
        let why = if line.state == MailState::Cancelled { line.words } else { plainly(&line.words).means };
        let why = if why.is_empty() { why } else { format!(": {why}") };
        story.push(Happened {
            at: line.at,
            what: line.subject,
            detail: format!("email, {}{why}", line.state.label()),
            href: format!("/mail/{}", line.id),
        });
    }
    story.sort_by_key(|happened| std::cmp::Reverse(happened.at));
    let line = |happened: Happened| StoryLine {
        when: Reader::App.near_moment(zone.wall(happened.at), today),
        what: happened.what,
        detail: happened.detail,
        href: happened.href,
    };
    Ok(story.into_iter().map(line).collect())
}

fn of_request(request: &Request, event: &str, today: Date) -> Vec<Happened> {
    let href = format!("/events/{}/replies/{}", request.event_id, request.id);
    let dates: Vec<String> = request.asks.iter().map(|ask| Reader::App.near_day(ask.for_on, today)).collect();
    let mut story = vec![Happened {
        at: request.asked_at,
        what: request.question.clone(),
        detail: format!("{}, asked for {} · {event}", request.kind.label(), dates.join(" and ")),
        href: href.clone(),
    }];
    for ask in &request.asks {
        let lapsed = if ask.is_lapsed { " (date changed)" } else { "" };
        story.extend(ask.answers.iter().map(|answer| {
            Happened {
                at: answer.at,
                what: format!("Reply for {}{lapsed}: {}", Reader::App.near_day(ask.for_on, today), answer.says()),
                detail: [answer.way.how().to_owned(), answer.note.clone()]
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
