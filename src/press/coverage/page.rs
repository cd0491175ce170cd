//! The page of the coverage: the stories, the figures, and the form.

use super::Story;
use super::figures::{FigureLine, figures};
use super::form::{StoryForm, minutes};
use crate::accounts::Visit;
use crate::error::Result;
use crate::events::{self, Event};
use crate::people::Name;
use crate::press::facts;
use crate::press::snapshot::PressSnapshot;
use crate::state::App;
use crate::web::form::Mistakes;
use crate::web::page::Page;
use crate::web::words::{self, Reader};
use askama::Template;
use time::Date;

#[derive(Template)]
#[template(path = "press/coverage.html")]
pub(super) struct Coverage {
    page: Page,
    event_id: i64,
    keeps: bool,
    lines: Vec<StoryLine>,
    figures: Vec<FigureLine>,
    outlets: Vec<Name>,
    messages: Vec<String>,
    form: StoryForm,
    mistakes: Mistakes,
    action: String,
    is_change: bool,
}

struct StoryLine {
    id: i64,
    title: String,
    link: String,
    beneath: String,
    /// "wanted" or "done"; empty if nothing is wrong in the story.
    correction_state: &'static str,
    correction: String,
    corrected_on: String,
    ran: String,
}

/// The page with what was typed, to add a story or change the one with this number.
pub(super) async fn view(
    app: &App,
    visit: &Visit,
    event: &Event,
    (form, mistakes): (StoryForm, Mistakes),
    changes: Option<i64>,
) -> Result<Coverage> {
    let title = if changes.is_some() { "Edit a story" } else { "Coverage" };
    let page = events::page(app, visit, Some(event), app.clock.now()).await?.titled(title);
    let known = PressSnapshot::load(app, event).await?;
    let messages = facts::of_event(&mut *app.db.read().acquire().await?, event.id).await?.messages;
    let here = format!("/events/{}/press/coverage", event.id);
    Ok(Coverage {
        page,
        event_id: event.id,
        keeps: visit.user.keeps_people(),
        lines: known.stories.iter().map(|story| line(story, event.today(app.clock.now()))).collect(),
        figures: figures(&known, &messages),
        outlets: known.outlet_names(),
        messages,
        form,
        mistakes,
        action: changes.map_or_else(|| here.clone(), |story| format!("{here}/{story}")),
        is_change: changes.is_some(),
    })
}

fn line(story: &Story, today: Date) -> StoryLine {
    let details = &story.details;
    let mut parts = vec![story.outlet.clone()];
    parts.extend(details.air_seconds.map(|seconds| format!("{} min on air", minutes(seconds))));
    let carried = details.carried_numbers().join(", ");
    parts.push(if carried.is_empty() { "no key messages".to_owned() } else { format!("key messages: {carried}") });
    let is_link = details.link.starts_with("http");
    if !is_link && !details.link.is_empty() {
        parts.push(details.link.clone());
    }
    let (correction_state, correction) = match details.corrected_on {
        Some(on) => ("done", format!("corrected {}: {}", Reader::App.near_day(on, today), details.correction)),
        None if details.correction.is_empty() => ("", String::new()),
        None => ("wanted", format!("correction to ask for: {}", details.correction)),
    };
    StoryLine {
        id: story.id,
        title: details.title.clone(),
        link: if is_link { details.link.clone() } else { String::new() },
        beneath: parts.join(" · "),
        correction_state,
        correction,
        corrected_on: details.corrected_on.map(words::iso).unwrap_or_default(),
        ran: Reader::App.near_day(details.ran_on, today),
    }
}
