use super::{NewStory, Story, store};
use crate::accounts::{SignedIn, Visit};
use crate::calc::coverage::Figures;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::people::Name;
use crate::press::editor::{PressEditor, event};
use crate::press::facts;
use crate::press::outlet_status::PressSnapshot;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use time::Date;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/press/coverage", get(index).merge(post(create)))
        .route("/events/{id}/press/coverage/{story}", get(story).merge(post(change)))
}

/// The numbers of the messages in a story, like "1, 3".
pub(super) fn numbers(carried: u8) -> String {
    let numbers: Vec<String> =
        (0..8_u8).filter(|place| (carried >> place) & 1 == 1).map(|place| (place + 1).to_string()).collect();
    numbers.join(", ")
}

#[derive(Template)]
#[template(path = "press/coverage.html")]
struct Coverage {
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

/// A number with its unit and where it comes from.
struct FigureLine {
    /// Its name among the others.
    figure: String,
    /// Empty if there is none yet.
    number: String,
    /// Out of how many, if it counts some of them.
    of: Option<usize>,
    label: String,
    value: String,
    from: &'static str,
}

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
struct StoryForm {
    outlet: String,
    ran_on: String,
    title: String,
    link: String,
    minutes: String,
    carried: Vec<String>,
    correction: String,
    corrected_on: String,
    version: i64,
}

impl StoryForm {
    fn of(story: &Story) -> Self {
        let details = &story.details;
        Self {
            outlet: story.outlet_id.to_string(),
            ran_on: words::iso(details.ran_on),
            title: details.title.clone(),
            link: details.link.clone(),
            minutes: details.air_seconds.map(minutes).unwrap_or_default(),
            carried: (0..8_u8)
                .filter(|place| (details.carried >> place) & 1 == 1)
                .map(|place| (place + 1).to_string())
                .collect(),
            correction: details.correction.clone(),
            corrected_on: details.corrected_on.map(words::iso).unwrap_or_default(),
            version: story.version,
        }
    }

    fn carries(&self, number: impl std::borrow::Borrow<usize>) -> bool {
        let number = number.borrow().to_string();
        self.carried.contains(&number)
    }

    fn read(&self, outlets: &[Name], messages: usize, today: Date) -> Result<NewStory, Mistakes> {
        let mut mistakes = Mistakes::default();
        let outlet = outlets.iter().find(|outlet| outlet.id.to_string() == self.outlet);
        let outlet = mistakes.note("outlet", outlet.ok_or("Choose the outlet that ran it.".to_owned()));
        let past = |text: &str| match form::day(text)? {
            day if day > today => Err("This is in the future. Give the date when it happened.".to_owned()),
            day => Ok(day),
        };
        let ran_on = mistakes.note("ran_on", past(&self.ran_on));
        let title = mistakes.note("title", form::line(&self.title, 200));
        let link = mistakes.note("link", link(&self.link));
        let air_seconds = mistakes.note("minutes", seconds(&self.minutes));
        let correction = mistakes.note("correction", form::optional_line(&self.correction, 300));
        let corrected_on =
            if self.corrected_on.trim().is_empty() { Ok(None) } else { past(&self.corrected_on).map(Some) };
        let corrected_on = mistakes.note("corrected_on", corrected_on);
        if corrected_on.is_some_and(|on| on.is_some()) && correction.as_deref() == Some("") {
            mistakes.add("correction", "Say what was corrected.");
        }
        let carried =
            (0..messages).filter(|place| self.carries(place + 1)).fold(0_u8, |bits, place| bits | (1 << place));
        match (outlet, ran_on, title, link, air_seconds, correction, corrected_on, mistakes.is_empty()) {
            (
                Some(outlet),
                Some(ran_on),
                Some(title),
                Some(link),
                Some(air_seconds),
                Some(correction),
                Some(corrected_on),
                true,
            ) => Ok(NewStory {
                outlet_id: outlet.id,
                ran_on,
                title,
                link,
                air_seconds,
                carried,
                correction,
                corrected_on,
            }),
            _ => Err(mistakes),
        }
    }
}

/// A web address, or words about where the clipping is.
fn link(text: &str) -> Result<String, String> {
    let text = form::optional_line(text, 500)?;
    let is_address = text.starts_with("https://") || text.starts_with("http://");
    if text.contains(':') && !is_address && !text.contains(' ') {
        return Err("Give a web address that starts with https://, or say where the clipping is.".to_owned());
    }
    Ok(text)
}

/// "1:30" or "2" minutes.
fn seconds(text: &str) -> Result<Option<u32>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let wrong = || "Give minutes and seconds, like 1:30, or leave this empty. It can be up to a day.".to_owned();
    let whole = |text: &str| text.parse::<u32>().map_err(|_| wrong());
    let seconds = match text.split_once(':') {
        Some((minutes, rest)) if rest.len() == 2 => {
            let rest = whole(rest)?;
            if rest > 59 {
                return Err(wrong());
            }
            whole(minutes)?.checked_mul(60).and_then(|all| all.checked_add(rest)).ok_or_else(wrong)?
        }
        Some(_) => return Err(wrong()),
        None => whole(text)?.checked_mul(60).ok_or_else(wrong)?,
    };
    if (1..=86_400).contains(&seconds) { Ok(Some(seconds)) } else { Err(wrong()) }
}

fn minutes(seconds: u32) -> String {
    format!("{}:{:02}", seconds / 60, seconds % 60)
}

fn outlet_names(known: &PressSnapshot) -> Vec<Name> {
    known.outlets.iter().map(|outlet| Name { id: outlet.id, name: outlet.details.name.clone() }).collect()
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let event = event(&app, id).await?;
    let form = StoryForm { ran_on: words::iso(event.today(app.clock.now())), ..StoryForm::default() };
    show(&view(&app, &visit, &event, (form, Mistakes::default()), None).await?)
}

async fn view(
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
        outlets: outlet_names(&known),
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
    parts.push(match numbers(details.carried) {
        none if none.is_empty() => "no key messages".to_owned(),
        numbers => format!("key messages: {numbers}"),
    });
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

fn figures(known: &PressSnapshot, messages: &[String]) -> Vec<FigureLine> {
    let stories: Vec<u8> = known.stories.iter().map(|story| story.details.carried).collect();
    let found = Figures::of(&known.outlet_figures(), &stories, messages.len(), &known.hours_to_reply());
    let outlets = |figure: &str, label: &str, number: usize, from| FigureLine {
        figure: figure.to_owned(),
        number: number.to_string(),
        of: None,
        label: label.to_owned(),
        value: words::count(number, "outlet", "outlets"),
        from,
    };
    let mut lines = vec![
        outlets("approached", "Contacted", found.approached, "asked to cover the burn, or in the contact log"),
        outlets("replied", "Replied", found.replied, "by a reply in the log or to the question"),
        outlets("came", "Came", found.came, "checked in on burn day"),
        outlets("ran", "Ran a story", found.ran, "with a story on this page"),
    ];
    for (number, (message, carried)) in (1..).zip(messages.iter().zip(&found.carried)) {
        lines.push(FigureLine {
            figure: format!("message {number}"),
            number: carried.to_string(),
            of: Some(found.stories),
            label: message.clone(),
            value: format!("{carried} of {}", words::count(found.stories, "story", "stories")),
            from: "as marked for each story",
        });
    }
    let hours = found.median_hours.map(|hours| format!("{hours:.1}"));
    lines.push(FigureLine {
        figure: "hours to reply".to_owned(),
        number: hours.clone().unwrap_or_default(),
        of: None,
        label: "Median time to reply".to_owned(),
        value: hours.map_or("no reply to an advisory yet".to_owned(), |hours| format!("{hours} hours")),
        from: "from the first advisory in the log to the first reply after it, for outlets that replied",
    });
    lines
}

async fn create(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path(id): Path<i64>,
    Form(form): Form<StoryForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let known = PressSnapshot::load(&app, &event).await?;
    let messages = facts::of_event(&mut *app.db.read().acquire().await?, id).await?.messages.len();
    let new = match form.read(&outlet_names(&known), messages, event.today(now)) {
        Ok(new) => new,
        Err(mistakes) => {
            let page = view(&app, &visit, &event, (form, mistakes), None).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let actor = visit.user.actor();
    app.db.write(move |tx| Box::pin(async move { store::add(tx, actor, id, &new, now).await })).await?;
    Ok(flash::redirect(&format!("/events/{id}/press/coverage"), "The story is saved."))
}

/// A story of this event.
async fn found(app: &App, event_id: i64, id: i64) -> Result<(Event, Story)> {
    let event = event(app, event_id).await?;
    let stories = store::of_event(app.db.read(), event_id).await?;
    Ok((event, stories.into_iter().find(|story| story.id == id).ok_or(Error::NotFound)?))
}

async fn story(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, story)): Path<(i64, i64)>,
) -> Result<Response> {
    let (event, story) = found(&app, id, story).await?;
    let typed = (StoryForm::of(&story), Mistakes::default());
    show(&view(&app, &visit, &event, typed, Some(story.id)).await?)
}

async fn change(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, story)): Path<(i64, i64)>,
    Form(form): Form<StoryForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, story) = found(&app, id, story).await?;
    let known = PressSnapshot::load(&app, &event).await?;
    let messages = facts::of_event(&mut *app.db.read().acquire().await?, id).await?.messages.len();
    let new = match form.read(&outlet_names(&known), messages, event.today(now)) {
        Ok(new) => new,
        Err(mistakes) => {
            let page = view(&app, &visit, &event, (form, mistakes), Some(story.id)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, version, number) = (visit.user.actor(), form.version, story.id);
    let save = app
        .db
        .write(move |tx| Box::pin(async move { store::change(tx, actor, id, &story, (&new, version), now).await }));
    if save.await? {
        return Ok(flash::redirect(&format!("/events/{id}/press/coverage"), "The story is saved."));
    }
    let (event, story) = found(&app, id, number).await?;
    let page = events::page(&app, &visit, Some(&event), now).await?;
    conflict::show(page, &stale(&story, &form, id))
}

fn stale(story: &Story, mine: &StoryForm, event_id: i64) -> Conflict {
    let theirs = StoryForm::of(story);
    let action = format!("/events/{event_id}/press/coverage/{}", story.id);
    let mut conflict = Conflict::new(&theirs.title, action, story.version);
    conflict.silent("outlet", &mine.outlet);
    conflict.field("ran_on", "Ran on", &theirs.ran_on, &mine.ran_on);
    conflict.field("title", "Title", &theirs.title, &mine.title);
    conflict.field("link", "Link", &theirs.link, &mine.link);
    conflict.field("minutes", "Minutes on air", &theirs.minutes, &mine.minutes);
    conflict.list("carried", "Key messages in it", &theirs.carried, &mine.carried);
    conflict.field("correction", "Correction to ask for", &theirs.correction, &mine.correction);
    conflict.field("corrected_on", "Corrected on", &theirs.corrected_on, &mine.corrected_on);
    conflict
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn minutes_on_air_are_read_in_two_ways() {
        assert_eq!(seconds(" ").unwrap(), None);
        assert_eq!(seconds("1:30").unwrap(), Some(90));
        assert_eq!(seconds("2").unwrap(), Some(120));
        for wrong in ["0", "0:00", "1:75", "1:3", "-1", "x", "99999999999", "1441", "1,5"] {
            assert!(seconds(wrong).is_err(), "{wrong}");
        }
        assert_eq!(minutes(90), "1:30");
    }

    #[test]
    fn a_link_is_one_of_the_web_or_words() {
        assert!(
            link("https://news.example.org/a").is_ok() && link("clipping in the folder").is_ok() && link("").is_ok()
        );
        assert!(link("javascript:alert(1)").is_err());
        assert_eq!(numbers(0b101), "1, 3");
    }
}
