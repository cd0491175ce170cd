use super::form::PersonForm;
use super::story::{self, StoryLine};
use super::{export, store};
use crate::accounts::{self, PeopleKeeper, PeopleReader, Visit, Worker};
use crate::crew;
use crate::db::journal::{self, JournalEntry};
use crate::error::{Error, Result};
use crate::events;
use crate::mail::{Plain, plainly};
use crate::people::{self, Channel, Details, Name, Person, choosing};
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::history::HistoryLine;
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::query::query_escape;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use crate::zone::Zone;
use askama::Template;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Json, Router};
use axum_extra::extract::Query;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/people", get(index))
        .route("/people/names", get(names))
        .route("/people/choices", get(choices))
        .route("/people/new", get(new).merge(post(add)))
        .route("/people/{id}", get(person))
        .route("/people/{id}/edit", get(edit).merge(post(change)))
        .route("/people/export.csv", get(export_csv))
        .route("/people/export.vcf", get(export_vcards))
}

/// How many people one page shows.
const MOST: usize = 100;
/// How many names to suggest while someone types.
const MOST_NAMES: usize = 20;
/// The longest search text.
const LONGEST: usize = 200;

#[derive(Template)]
#[template(path = "directory/index.html")]
struct Index {
    page: Page,
    keeps: bool,
    looked_for: String,
    found: String,
    /// How many people were found.
    count: usize,
    lines: Vec<Line>,
    /// The pages before and after; empty if there are none.
    before: String,
    further: String,
}

struct Line {
    id: i64,
    /// "Ortiz, Ray".
    name: String,
    place: String,
    reached: Vec<String>,
    warnings: Warnings,
}

impl Line {
    fn of(person: &Person) -> Self {
        Self {
            id: person.id,
            place: person.place(),
            reached: reached(&person.details),
            warnings: Warnings::of(person),
            name: person.details.listed(),
        }
    }
}

/// How to contact someone: their preferred way first, then the others.
fn reached(details: &Details) -> Vec<String> {
    let mut ways = vec![details.mail.clone(), words::phone(&details.phone)];
    match details.channel {
        Channel::Mail => {}
        Channel::Phone => ways.reverse(),
        Channel::Letter => ways.insert(0, "by letter".to_owned()),
        Channel::InPerson => ways.insert(0, "in person".to_owned()),
    }
    ways.retain(|way| !way.is_empty());
    ways
}

/// Something to know before contacting someone.
#[derive(Debug, Clone, Copy)]
enum Warning {
    Refused,
    NoMail,
    NoPhone,
    NoAnnouncements,
}

impl Warning {
    fn as_str(self) -> &'static str {
        match self {
            Self::Refused => "refused",
            Self::NoMail => "no-mail",
            Self::NoPhone => "no-phone",
            Self::NoAnnouncements => "no-announcements",
        }
    }

    fn says(self) -> &'static str {
        match self {
            Self::Refused => "email address doesn't work",
            Self::NoMail => "no email address",
            Self::NoPhone => "no phone number",
            Self::NoAnnouncements => "doesn't want announcements",
        }
    }
}

/// All warnings about someone; usually none.
#[derive(Debug)]
struct Warnings(Vec<Warning>);

impl Warnings {
    fn of(person: &Person) -> Self {
        let details = &person.details;
        let mut all = Vec::new();
        if !person.refused.is_empty() {
            all.push(Warning::Refused);
        } else if details.channel == Channel::Mail && details.mail.is_empty() {
            all.push(Warning::NoMail);
        } else if details.channel == Channel::Phone && details.phone.is_empty() {
            all.push(Warning::NoPhone);
        }
        if details.no_mail {
            all.push(Warning::NoAnnouncements);
        }
        Self(all)
    }

    fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// For a `data-` mark.
    fn marks(&self) -> String {
        self.0.iter().map(|one| one.as_str()).collect::<Vec<_>>().join(" ")
    }

    fn says(&self) -> String {
        self.0.iter().map(|one| one.says()).collect::<Vec<_>>().join(", ")
    }
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct LookUp {
    q: String,
    page: usize,
}

async fn index(
    State(app): State<App>,
    PeopleReader(visit): PeopleReader,
    Query(query): Query<LookUp>,
) -> Result<Response> {
    let looked_for: String = query.q.chars().take(LONGEST).collect();
    let number = query.page.clamp(1, 10_000);
    let skip = i64::try_from((number - 1) * MOST)?;
    let page = events::page(&app, &visit, None, app.clock.now()).await?.titled("People");
    let mut db = app.db.read().acquire().await?;
    let (people, count) = people::look_up(&mut db, &looked_for, skip, i64::try_from(MOST)?).await?;
    let found = match (looked_for.trim(), count) {
        ("", 0) => "No one yet.".to_owned(),
        ("", count) => words::count(count, "person", "people"),
        (looked_for, 0) => format!("No one matches “{looked_for}”."),
        (looked_for, count) => format!("{} “{looked_for}”", words::count(count, "person matches", "people match")),
    };
    let at = |number: usize| format!("/people?q={}&page={number}", query_escape(&looked_for));
    let further = if number * MOST < count { at(number + 1) } else { String::new() };
    let before = if number > 1 { at(number - 1) } else { String::new() };
    let lines = people.iter().map(Line::of).collect();
    show(&Index { page, keeps: visit.user.keeps_people(), looked_for, found, count, lines, before, further })
}

#[derive(Template)]
#[template(path = "directory/edit.html")]
struct Edit {
    page: Page,
    heading: String,
    action: String,
    form: PersonForm,
    mistakes: Mistakes,
    /// No one has said where the surname begins.
    asks_surname: bool,
    organizations: Vec<Name>,
}

async fn edit_page(
    app: &App,
    visit: &Visit,
    heading: &str,
    action: String,
    (form, mistakes): (PersonForm, Mistakes),
) -> Result<Edit> {
    let page = events::page(app, visit, None, app.clock.now()).await?.titled(heading);
    let page = if form.version > 0 { page.under(&action, heading) } else { page };
    let organizations = people::organizations(app.db.read()).await?;
    let asks_surname = Details::of_parts(form.given_name.trim(), form.surname.trim()).lacks_surname();
    Ok(Edit { page, heading: heading.to_owned(), action, form, mistakes, asks_surname, organizations })
}

const NEW: &str = "Add a person";

async fn new(State(app): State<App>, PeopleKeeper(visit): PeopleKeeper) -> Result<Response> {
    let form = PersonForm { channel: "mail".to_owned(), ..PersonForm::default() };
    show(&edit_page(&app, &visit, NEW, "/people/new".to_owned(), (form, Mistakes::default())).await?)
}

async fn add(
    State(app): State<App>,
    PeopleKeeper(visit): PeopleKeeper,
    Form(form): Form<PersonForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let details = match form.read() {
        Ok(details) => details,
        Err(mistakes) => {
            let page = edit_page(&app, &visit, NEW, "/people/new".to_owned(), (form, mistakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, name) = (visit.user.actor(), details.name.clone());
    let added = app.db.write(move |tx| Box::pin(async move { people::add(tx, actor, &details, now).await }));
    Ok(flash::redirect(&format!("/people/{}", added.await?), &format!("Saved {name}.")))
}

/// A person by number.
pub(super) async fn find(app: &App, id: i64) -> Result<Person> {
    people::find(&mut *app.db.read().acquire().await?, id).await?.ok_or(Error::NotFound)
}

#[derive(Template)]
#[template(path = "directory/person.html")]
struct PersonPage {
    page: Page,
    keeps: bool,
    person: Person,
    place: String,
    /// Why email to them came back.
    refused: Plain,
    warnings: Warnings,
    /// The role of their account; empty if they have none.
    account: String,
    story: Vec<StoryLine>,
    merges: Vec<MergeLine>,
    /// Their crew positions: the address, the event, the position.
    posts: Vec<(String, String, String)>,
    qualifications: Vec<String>,
    history: Vec<HistoryLine>,
}

/// A merge that can be undone.
struct MergeLine {
    entry: i64,
    name: String,
    when: String,
}

async fn person(State(app): State<App>, PeopleReader(visit): PeopleReader, Path(id): Path<i64>) -> Result<Response> {
    if let Some(now) = people::merged_into(app.db.read(), id).await? {
        return Ok(Redirect::to(&format!("/people/{now}")).into_response());
    }
    let person = find(&app, id).await?;
    let page = events::page(&app, &visit, None, app.clock.now()).await?.titled(&person.details.name);
    let zone = Zone::named(&visit.user.department.zone).ok_or(Error::NotFound)?;
    let mut history = journal::of(app.db.read(), "person", id).await?;
    let merges = merges(&app, id, &history, &zone).await?;
    if let Some(import) = store::import_of(app.db.read(), id).await? {
        history.extend(journal::of(app.db.read(), "file", import).await?);
    }
    let history = app.history.lines(history, &zone);
    let account = accounts::of_person(&mut *app.db.read().acquire().await?, id).await?;
    let account = account.map(|account| {
        let disabled = if account.disabled { ", disabled" } else { "" };
        format!("{}{disabled}", account.role)
    });
    let (posts, qualifications) = in_crews(&app, id).await?;
    show(&PersonPage {
        page,
        keeps: visit.user.keeps_people(),
        place: person.place(),
        refused: plainly(&person.refused),
        warnings: Warnings::of(&person),
        account: account.unwrap_or_default(),
        story: story::of(&app, id, &zone).await?,
        merges,
        posts,
        qualifications,
        history,
        person,
    })
}

/// Someone's crew positions, and their qualifications.
async fn in_crews(app: &App, id: i64) -> Result<(Vec<(String, String, String)>, Vec<String>)> {
    let mut db = app.db.read().acquire().await?;
    let posts = crew::posts_of(&mut db, id).await?.into_iter();
    let posts = posts.map(|(event, name, post)| (format!("/events/{event}/crew/people/{id}"), name, post)).collect();
    Ok((posts, crew::qualifications_of(&mut db, id).await?))
}

async fn merges(app: &App, id: i64, history: &[JournalEntry], zone: &Zone) -> Result<Vec<MergeLine>> {
    let today = zone.today(app.clock.now());
    let mut db = app.db.read().acquire().await?;
    let same = people::same_as(&mut db, id).await?;
    let mut lines = Vec::new();
    for history in history.iter().filter(|history| history.verb == "merged") {
        let Some((_, before)) = journal::kept(&mut db, history.id, "person", "merged").await? else { continue };
        let still = before["undo"]["gone"].as_i64().is_some_and(|gone| same.contains(&gone));
        let name = history.changes.iter().find(|change| change.field == "was also");
        let name = name.map(|change| change.after.clone()).unwrap_or_default();
        if still && !lines.iter().any(|line: &MergeLine| line.name == name) {
            lines.push(MergeLine {
                entry: history.id,
                name,
                when: Reader::App.near_moment(zone.wall(history.at), today),
            });
        }
    }
    Ok(lines)
}

async fn edit(State(app): State<App>, PeopleKeeper(visit): PeopleKeeper, Path(id): Path<i64>) -> Result<Response> {
    let person = find(&app, id).await?;
    let form = PersonForm::of(&person.details, person.version);
    let page = edit_page(&app, &visit, &person.details.name, format!("/people/{id}"), (form, Mistakes::default()));
    show(&page.await?)
}

async fn change(
    State(app): State<App>,
    PeopleKeeper(visit): PeopleKeeper,
    Path(id): Path<i64>,
    Form(form): Form<PersonForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let person = find(&app, id).await?;
    let details = match form.read() {
        Ok(details) => details,
        Err(mistakes) => {
            let action = format!("/people/{id}");
            let page = edit_page(&app, &visit, &person.details.name, action, (form, mistakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, version, name) = (visit.user.actor(), form.version, details.name.clone());
    let change =
        app.db.write(move |tx| Box::pin(async move { people::change(tx, actor, id, &details, version, now).await }));
    if change.await? {
        return Ok(flash::redirect(&format!("/people/{id}"), &format!("Saved {name}.")));
    }
    let page = events::page(&app, &visit, None, now).await?;
    conflict::show(page, &stale(&find(&app, id).await?, &form))
}

fn stale(person: &Person, mine: &PersonForm) -> Conflict {
    let theirs = PersonForm::of(&person.details, person.version);
    let mut conflict = Conflict::new(&person.details.name, format!("/people/{}/edit", person.id), person.version);
    for field in FORM {
        let (theirs, mine) = ((field.of)(&theirs), (field.of)(mine));
        conflict.silent(field.name, mine);
        conflict.compare(field.label, &field.shown(theirs), &field.shown(mine));
    }
    conflict
}

/// A field of the form, for showing two versions side by side.
pub(super) struct FormField {
    pub name: &'static str,
    pub label: &'static str,
    pub of: fn(&PersonForm) -> &String,
}

impl FormField {
    /// The field's value as people read it.
    pub fn shown(&self, value: &str) -> String {
        match value.parse::<Channel>() {
            Ok(channel) if self.name == "channel" => channel.label().to_owned(),
            _ => value.to_owned(),
        }
    }
}

/// All fields, in the form's order.
pub(super) const FORM: [FormField; 13] = [
    FormField { name: "given_name", label: "Given name", of: |form| &form.given_name },
    FormField { name: "surname", label: "Surname", of: |form| &form.surname },
    FormField { name: "address_form", label: "Form of address", of: |form| &form.address_form },
    FormField { name: "said", label: "Pronunciation", of: |form| &form.said },
    FormField { name: "organization", label: "Organization", of: |form| &form.organization },
    FormField { name: "office", label: "Office", of: |form| &form.office },
    FormField { name: "jurisdiction", label: "Jurisdiction", of: |form| &form.jurisdiction },
    FormField { name: "mail", label: "Email", of: |form| &form.mail },
    FormField { name: "phone", label: "Phone", of: |form| &form.phone },
    FormField { name: "channel", label: "Preferred contact", of: |form| &form.channel },
    FormField { name: "notes", label: "Notes", of: |form| &form.notes },
    FormField { name: "access_needs", label: "Access needs", of: |form| &form.access_needs },
    FormField { name: "no_mail", label: "No announcements", of: |form| &form.no_mail },
];

#[derive(Deserialize, Default)]
#[serde(default)]
struct Begun {
    q: String,
}

/// Names that contain what is being typed, for fields that take a name.
async fn names(State(app): State<App>, Worker(_): Worker, Query(begun): Query<Begun>) -> Result<Response> {
    let mut db = app.db.read().acquire().await?;
    Ok(Json(choosing::names(&mut db, &begun.q, MOST_NAMES).await?).into_response())
}

/// People who match what is being typed, for fields in which someone is chosen. The search
/// goes through emails and phones too.
async fn choices(
    State(app): State<App>,
    PeopleReader(_): PeopleReader,
    Query(begun): Query<Begun>,
) -> Result<Response> {
    let mut db = app.db.read().acquire().await?;
    Ok(Json(choosing::suggested(&mut db, &begun.q, MOST_NAMES).await?).into_response())
}

async fn everybody(app: &App) -> Result<Vec<Details>> {
    let people = people::everyone(&mut *app.db.read().acquire().await?).await?;
    Ok(people.into_iter().map(|person| person.details).collect())
}

fn file(kind: &'static str, name: &'static str, body: String) -> Response {
    let saved = format!("attachment; filename=\"{name}\"");
    ([(header::CONTENT_TYPE, kind.to_owned()), (header::CONTENT_DISPOSITION, saved)], body).into_response()
}

async fn export_csv(State(app): State<App>, PeopleReader(_): PeopleReader) -> Result<Response> {
    Ok(file("text/csv; charset=utf-8", "people.csv", export::csv(&everybody(&app).await?)?))
}

async fn export_vcards(State(app): State<App>, PeopleReader(_): PeopleReader) -> Result<Response> {
    Ok(file("text/vcard; charset=utf-8", "people.vcf", export::vcards(&everybody(&app).await?)))
}
