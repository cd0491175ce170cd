//! Importing people from a file: choose it, check it, import it, undo the import.

use super::files::{self, Sent};
use super::reading::{self, Checked, ColumnsWrong, Field, HEADINGS, MOST_BYTES};
use super::sample;
use super::store::{self, Import};
use crate::accounts::{PeopleKeeper, Visit};
use crate::error::{Error, Result};
use crate::events;
use crate::people::{self, Details, fold, phone_digits};
use crate::state::App;
use crate::web::flash::{self, Undo};
use crate::web::form::{self, Form};
use crate::web::form_key;
use crate::web::link::hex;
use crate::web::once::Sent as SentForm;
use crate::web::page::{Page, show, show_as};
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use crate::zone::Zone;
use askama::Template;
use axum::extract::multipart::MultipartRejection;
use axum::extract::{Multipart, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Router};
use axum_extra::extract::Query;
use serde::Deserialize;
use sha2::{Digest, Sha256};
use std::collections::HashSet;
use std::sync::Arc;
use time::OffsetDateTime;

const PATH: &str = "/people/import";

pub(super) fn router() -> Router<App> {
    Router::new()
        .route(PATH, get(index).merge(post(keep)))
        .route("/people/import/undo", post(undo))
        .route("/people/import/sample.csv", get(sample_file))
}

pub(super) fn files_router() -> Router<App> {
    Router::new().route("/people/import/file", post(take))
}

#[derive(Template)]
#[template(path = "directory/import.html")]
struct ImportPage {
    page: Page,
    /// What is wrong with the whole file; empty if nothing is.
    wrong: String,
    most: usize,
    waiting: Option<Waiting>,
    done: Vec<DoneLine>,
}

/// A file being checked.
struct Waiting {
    id: i64,
    file_name: String,
    people: usize,
    columns: Vec<Column>,
    sample: Vec<Vec<String>>,
    columns_wrong: Option<ColumnsWrong>,
    problems: Vec<reading::Problem>,
    more_problems: String,
    is_fine: bool,
    has_heading: bool,
    /// Cards have no columns of their own, only our fields.
    is_cards: bool,
    /// The columns have no headings, and nobody has said yet what they are.
    is_guess: bool,
    /// How many of the people are already here.
    known: usize,
}

struct Column {
    number: usize,
    heading: String,
    field: &'static str,
    example: String,
}

impl Waiting {
    /// The cells of a row, each with what its column is called.
    fn cells<'a>(&'a self, row: &'a [String]) -> impl Iterator<Item = (String, &'a String)> {
        self.columns.iter().map(Column::name).chain(std::iter::repeat_with(String::new)).zip(row)
    }
}

impl Column {
    fn name(&self) -> String {
        if self.heading.is_empty() { self.number.to_string() } else { self.heading.clone() }
    }
}

struct DoneLine {
    id: i64,
    file_name: String,
    people: String,
    who: String,
    when: String,
    undone: bool,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Which {
    file: i64,
}

async fn index(
    State(app): State<App>,
    PeopleKeeper(visit): PeopleKeeper,
    Query(which): Query<Which>,
) -> Result<Response> {
    if which.file == 0 {
        return show(&view(&app, &visit, String::new(), None).await?);
    }
    let now = app.clock.now();
    let Some(import) = store::waiting(app.db.read(), which.file, visit.user.account_id).await? else {
        return Ok(flash::redirect(PATH, "That file is no longer here. Choose it again."));
    };
    match check_file(&app, &import, now).await? {
        Ok(checked) => {
            let known = known(&app, &checked.people).await?.len();
            let waiting = waiting(&import, checked, known);
            show(&view(&app, &visit, String::new(), Some(waiting)).await?)
        }
        Err(wrong) => show_as(StatusCode::UNPROCESSABLE_ENTITY, &view(&app, &visit, wrong, None).await?),
    }
}

async fn view(app: &App, visit: &Visit, wrong: String, waiting: Option<Waiting>) -> Result<ImportPage> {
    let page = events::page(app, visit, None, app.clock.now()).await?.titled("Import people");
    let zone = Zone::named(&visit.user.department.zone).ok_or(Error::NotFound)?;
    let today = zone.today(app.clock.now());
    let line = |done: store::Done| DoneLine {
        id: done.id,
        people: words::count(usize::try_from(done.people).unwrap_or(0), "person", "people"),
        file_name: done.file_name,
        who: done.who,
        when: Reader::App.near_moment(zone.wall(done.at), today),
        undone: done.undone,
    };
    let done = store::done(app.db.read()).await?.into_iter().map(line).collect();
    Ok(ImportPage { page, wrong, most: MOST_BYTES / 1024 / 1024, waiting, done })
}

fn waiting(import: &Import, checked: Checked, known: usize) -> Waiting {
    let example = |place: usize| checked.sample.iter().filter_map(|row| row.get(place)).find(|cell| !cell.is_empty());
    let column = |(place, heading): (usize, &String)| Column {
        number: place + 1,
        heading: heading.clone(),
        field: checked.columns[place].map_or("", Field::as_str),
        example: example(place).cloned().unwrap_or_default(),
    };
    let more = checked.problem_count - checked.problems.len();
    Waiting {
        id: import.id,
        file_name: import.file_name.clone(),
        people: checked.rows,
        columns: checked.header.iter().enumerate().map(column).collect(),
        is_fine: checked.is_fine(),
        has_heading: checked.has_heading,
        is_cards: checked.is_cards,
        is_guess: checked.is_guess,
        more_problems: if more > 0 { format!("and {} more like these", words::grouped(more)) } else { String::new() },
        known,
        sample: checked.sample,
        columns_wrong: checked.columns_wrong,
        problems: checked.problems,
    }
}

/// Reads a waiting file, off the threads that serve pages.
async fn check_file(app: &App, import: &Import, now: OffsetDateTime) -> Result<Result<Checked, String>> {
    let gone = || Err("That file is no longer here. Files are deleted after an hour. Choose it again.".to_owned());
    if now - import.created_at > files::WAITS {
        files::remove(app, &import.key).await;
        return Ok(gone());
    }
    let Some(bytes) = files::read(app, &import.key).await else { return Ok(gone()) };
    let (columns, has_heading) = (import.columns.clone(), import.has_heading);
    let read = tokio::task::spawn_blocking(move || {
        let text = reading::decode(&bytes)?;
        drop(bytes);
        reading::read_as(&text, columns.as_deref(), has_heading)
    });
    Ok(read.await?)
}

/// The indexes of people who are already here: someone has the same name and the same email,
/// or the same phone and organization.
async fn known(app: &App, people: &[Details]) -> Result<HashSet<usize>> {
    if people.is_empty() {
        return Ok(HashSet::new());
    }
    let same = |details: &Details| {
        let reached = if details.mail.is_empty() {
            format!("{} {}", phone_digits(&details.phone), fold(&details.organization))
        } else {
            details.mail.to_lowercase()
        };
        (fold(&details.name), reached)
    };
    let there = people::everyone(&mut *app.db.read().acquire().await?).await?;
    let there: HashSet<_> = there.iter().map(|person| same(&person.details)).collect();
    Ok(people
        .iter()
        .enumerate()
        .filter(|(_, details)| there.contains(&same(details)))
        .map(|(place, _)| place)
        .collect())
}

async fn take(
    State(app): State<App>,
    PeopleKeeper(visit): PeopleKeeper,
    sent: Option<Extension<SentForm>>,
    parts: Result<Multipart, MultipartRejection>,
) -> Result<Response> {
    let broken = || Error::BadRequest("No file arrived. Go back and choose one.".to_owned());
    let now = app.clock.now();
    let mut parts = parts.map_err(|_| broken())?;
    let mut form_key = String::new();
    let field = loop {
        match parts.next_field().await {
            Ok(Some(field)) if field.name() == Some("file") => break field,
            Ok(Some(field)) if field.name() == Some(form_key::FIELD) => {
                form_key = field.text().await.map_err(|_| broken())?;
            }
            Ok(Some(_)) => {}
            Err(error) if files::is_too_large(&error) => return Ok(StatusCode::PAYLOAD_TOO_LARGE.into_response()),
            Ok(None) | Err(_) => return Err(broken()),
        }
    };
    let name: String = field.file_name().unwrap_or_default().chars().take(100).collect();
    let name = form::line(&name, 100).unwrap_or_else(|_| "File without a name".to_owned());
    let key = match files::take(&app, field).await? {
        Sent::Waits(key) => key,
        Sent::TooLarge => return Ok(StatusCode::PAYLOAD_TOO_LARGE.into_response()),
        Sent::Broken => return Err(broken()),
    };
    if let Some(Extension(sent)) = sent {
        let content = files::read(&app, &key).await.unwrap_or_default();
        let fields = [(form_key::FIELD, form_key), ("name", name.clone()), ("file", hex(&Sha256::digest(&content)))];
        if let Err(answer) = sent.read(&fields.map(|(name, value)| (name.to_owned(), value))).await {
            files::remove(&app, &key).await;
            return if answer.status() == StatusCode::CONFLICT {
                let reason =
                    "You already sent a different file with this form. Reload the page and choose this file again.";
                Err(Error::BadRequest(reason.to_owned()))
            } else {
                Ok(answer)
            };
        }
    }
    let account = visit.user.account_id;
    let kept = app.db.write(move |tx| {
        Box::pin(async move {
            store::drop_waiting(tx, now - files::WAITS).await?;
            store::keep_file(tx, account, &key, &name, now).await
        })
    });
    Ok(Redirect::to(&format!("{PATH}?file={}", kept.await?)).into_response())
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct KeepForm {
    file: i64,
    column: Vec<String>,
    /// Is the first row a heading, "yes" or "no": as chosen.
    heading: String,
    /// The same as it was when the page was shown.
    heading_seen: String,
    act: String,
    /// "out" leaves out people who are already here.
    known: String,
}

async fn keep(
    State(app): State<App>,
    PeopleKeeper(visit): PeopleKeeper,
    Form(form): Form<KeepForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let Some(mut import) = store::waiting(app.db.read(), form.file, visit.user.account_id).await? else {
        let done = store::done(app.db.read()).await?.into_iter().any(|done| done.id == form.file);
        return if done { Ok(flash::redirect(PATH, "That file was already imported.")) } else { Err(Error::NotFound) };
    };
    let (id, again) = (import.id, format!("{PATH}?file={}", import.id));
    if form.heading != form.heading_seen && matches!(form.heading.as_str(), "yes" | "no") {
        // What was chosen for the columns was about different rows.
        let has_heading = form.heading == "yes";
        app.db.write(move |tx| Box::pin(async move { store::choose_heading(tx, id, has_heading).await })).await?;
        return Ok(Redirect::to(&again).into_response());
    }
    if !form.column.is_empty() {
        import.columns = Some(form.column.iter().map(|name| name.parse().ok()).collect());
    }
    // What was chosen is saved with the people who are imported, or alone if none are.
    let next = if form.act == "keep" {
        match check_file(&app, &import, now).await? {
            Ok(checked) if checked.is_fine() => {
                let mut people = checked.people;
                if form.known == "out" {
                    let known = known(&app, &people).await?;
                    let mut place = 0..;
                    people.retain(|_| place.next().is_none_or(|place| !known.contains(&place)));
                }
                if !people.is_empty() {
                    return bring_in(&app, &visit, import, people, now).await;
                }
                flash::redirect(&again, "Everyone in this file is already here. No one was added.")
            }
            Ok(checked) => {
                let view = view(&app, &visit, String::new(), Some(waiting(&import, checked, 0))).await?;
                return show_as(StatusCode::UNPROCESSABLE_ENTITY, &view);
            }
            Err(wrong) => return show_as(StatusCode::UNPROCESSABLE_ENTITY, &view(&app, &visit, wrong, None).await?),
        }
    } else {
        Redirect::to(&again).into_response()
    };
    if let Some(columns) = import.columns.filter(|_| !form.column.is_empty()) {
        app.db.write(move |tx| Box::pin(async move { store::choose_columns(tx, id, &columns).await })).await?;
    }
    Ok(next)
}

async fn bring_in(
    app: &App,
    visit: &Visit,
    import: Import,
    people: Vec<Details>,
    now: OffsetDateTime,
) -> Result<Response> {
    let (actor, id, key) = (visit.user.actor(), import.id, import.key.clone());
    let said = words::count(people.len(), "person", "people");
    // The write may run twice, and the people shouldn't be copied for that.
    let people = Arc::new(people);
    let kept = app.db.write(move |tx| {
        Box::pin(async move {
            let count = i64::try_from(people.len())?;
            if let Some(columns) = &import.columns {
                store::choose_columns(tx, import.id, columns).await?;
            }
            let first = store::settle(tx, actor, &import, count, now).await?;
            if first {
                people::add_all(tx, import.id, &people, now).await?;
            }
            Ok(first)
        })
    });
    if !kept.await? {
        return Ok(flash::redirect(PATH, "That file was already imported."));
    }
    files::remove(app, &key).await;
    let undo = Undo { action: "/people/import/undo".to_owned(), fields: vec![("import".to_owned(), id.to_string())] };
    Ok(flash::redirect_with_undo("/people", &format!("Added {said}."), &undo))
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct UndoForm {
    import: i64,
}

async fn undo(
    State(app): State<App>,
    PeopleKeeper(visit): PeopleKeeper,
    Form(form): Form<UndoForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (actor, id) = (visit.user.actor(), form.import);
    if !store::done(app.db.read()).await?.into_iter().any(|done| done.id == id) {
        return Err(Error::NotFound);
    }
    let undone = app.db.write(move |tx| {
        Box::pin(async move {
            if !people::remove_all(tx, id).await? {
                return Ok(None);
            }
            Ok(Some(store::unsettle(tx, actor, id, now).await?))
        })
    });
    let said = match undone.await? {
        None => "Someone in this file was changed, merged, or used since. The import was not undone.".to_owned(),
        Some(None) => "This import was already undone.".to_owned(),
        Some(Some(people)) => {
            let people = usize::try_from(people).unwrap_or(0);
            format!("Import undone. {} removed.", words::count(people, "person was", "people were"))
        }
    };
    Ok(flash::redirect(PATH, &said))
}

async fn sample_file(PeopleKeeper(_): PeopleKeeper) -> Result<Response> {
    let saved = [
        (header::CONTENT_TYPE, "text/csv; charset=utf-8"),
        (header::CONTENT_DISPOSITION, "attachment; filename=\"people-sample.csv\""),
    ];
    Ok((saved, sample::table()?).into_response())
}

/// Each field with the column names we know for it. British spellings work too, but aren't
/// listed.
fn known_columns() -> impl Iterator<Item = (&'static str, Vec<&'static str>)> {
    let is_listed = |name: &&str| !name.starts_with("Organis");
    HEADINGS.into_iter().map(move |(field, names)| (field.label(), names.iter().copied().filter(is_listed).collect()))
}

/// What a column can be, as a value and a label.
fn choices() -> impl Iterator<Item = (&'static str, &'static str)> {
    std::iter::once(("", "leave out")).chain(Field::ALL.map(|field| (field.as_str(), field.label())))
}
