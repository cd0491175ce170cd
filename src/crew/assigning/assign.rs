//! Assigning someone on the page of a position.

use super::page::{AssignForm, PostPage};
use super::place::{Placed, Placing};
use super::whom::{Assigned, assign_whom};
use crate::accounts::{self, Visit};
use crate::crew::editor::{CrewEditor, may_decide};
use crate::crew::page::snapshot;
use crate::crew::snapshot::CrewSnapshot;
use crate::crew::{Violation, follow, store};
use crate::error::{Error, Result};
use crate::people;
use crate::people::choosing::{Adding, Find, Line, NewPerson, Whom, who_is_it};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Mistakes, Three};
use crate::web::page::show_as;
use crate::web::path::Path;
use crate::web::routes::post;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use time::OffsetDateTime;

pub(in crate::crew) fn router() -> Router<App> {
    Router::new().route("/events/{id}/crew/positions/{post}/assign", post(assign))
}

const NOBODY: &str = "Choose someone.";

fn nobody() -> Mistakes {
    let mut mistakes = Mistakes::default();
    mistakes.add("person", NOBODY);
    mistakes
}

async fn assign(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path((id, post)): Path<(i64, i64)>,
    Three(form, find, new): Three<AssignForm, Find, NewPerson>,
) -> Result<Response> {
    new.only_if(visit.user.keeps_people())?;
    let snapshot = snapshot(&app, id).await?;
    let accounts = accounts::list(app.db.read()).await?;
    let may_override = may_decide(&visit.user, form.person, &accounts);
    let typed = Typed { app: &app, visit: &visit, snapshot: &snapshot, post_id: post, form, find, new };
    let name = snapshot.post(post).ok_or(Error::NotFound)?.details.name.as_str();
    let (placing, whom) = match typed.read(post, may_override) {
        Ok(read) => read,
        Err(mistakes) => return typed.refuse(mistakes, Vec::new()).await,
    };
    let said = match write(&app, &visit, &snapshot, placing, whom, app.clock.now()).await? {
        Assigned::Unsure(known) => return typed.refuse(who_is_it(), known).await,
        Assigned::Tried { placed, person_id, said } => match placed {
            Placed::Done { rain, .. } => done(&snapshot, name, person_id, &rain, &said),
            Placed::Already => "Nothing changed: they already have this position.".to_owned(),
            Placed::Gone => return typed.refuse(nobody(), Vec::new()).await,
            Placed::Refused(rules) => return typed.against(rules, person_id).await,
        },
    };
    Ok(flash::redirect(&format!("/events/{id}/crew/positions/{post}"), &said))
}

/// Assigns them, and gives them a page of their own. People who were asked earlier get one,
/// too.
async fn write(
    app: &App,
    visit: &Visit,
    snapshot: &CrewSnapshot,
    placing: Placing,
    whom: Whom,
    now: OffsetDateTime,
) -> Result<Assigned> {
    let (actor, event, key) = (visit.user.actor(), snapshot.event.clone(), app.link_key.clone());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let assigned = assign_whom(tx, actor, &event, (&placing, &whom), now).await?;
            if let Assigned::Tried { placed: Placed::Done { .. }, person_id, .. } = &assigned {
                store::add_link(tx, (event.id, *person_id), &key).await?;
                follow::refresh(tx, event.id, now).await?;
            }
            Ok(assigned)
        })
    });
    write.await
}

/// What to say about someone who got the position, given the rules that are broken on the
/// rain date only.
fn done(snapshot: &CrewSnapshot, position: &str, person_id: i64, rain: &[Violation], said: &str) -> String {
    if rain.is_empty() {
        let is_asked = snapshot.requests.iter().any(|one| one.person_id == person_id && snapshot.is_general(one));
        let next = if is_asked { "They were asked before, and that answer counts." } else { "Next, ask them." };
        return format!("Assigned to “{position}”.{said} {next}");
    }
    let words = rain.iter().map(|violation| violation.words.as_str()).collect::<Vec<_>>().join(" ");
    format!("Assigned to “{position}”, but not for the rain date: {words}{said}")
}

/// What was typed on the page of a position.
struct Typed<'a> {
    app: &'a App,
    visit: &'a Visit,
    snapshot: &'a CrewSnapshot,
    post_id: i64,
    form: AssignForm,
    find: Find,
    new: NewPerson,
}

impl Typed<'_> {
    /// Who is assigned and how, and whom that means.
    fn read(&self, post_id: i64, may_override: Result<(), &'static str>) -> Result<(Placing, Whom), Mistakes> {
        let Self { form, new, .. } = self;
        let mut mistakes = Mistakes::default();
        let chosen = if form.person == 0 { String::new() } else { form.person.to_string() };
        let whom = new.whom("person", &chosen, NOBODY, &mut mistakes);
        let reason = mistakes.note("reason", form::optional_line(&form.reason, 300)).unwrap_or_default();
        if let (false, Err(who_may)) = (reason.is_empty(), may_override) {
            mistakes.add("reason", who_may);
        }
        let placing = Placing { post_id, person_id: form.person, is_standby: form.standby == "yes", reason };
        whom.filter(|_| mistakes.is_empty()).map(|whom| (placing, whom)).ok_or(mistakes)
    }

    /// The page again, with what is wrong. Someone new may be one of these.
    async fn refuse(self, mistakes: Mistakes, known: Vec<Line>) -> Result<Response> {
        let Self { app, visit, snapshot, post_id, form, find, new } = self;
        let mut page = PostPage::load(app, visit, snapshot, post_id, form, &find).await?;
        page.adding = Adding::of(new, known, &mistakes, true);
        page.mistakes = mistakes;
        show_as(StatusCode::UNPROCESSABLE_ENTITY, &page)
    }

    /// The page again, with the rules they would break. 0 is someone new.
    async fn against(self, rules: Vec<Violation>, person_id: i64) -> Result<Response> {
        let Self { app, visit, snapshot, post_id, form, find, new } = self;
        let person = people::find(&mut *app.db.read().acquire().await?, person_id).await?;
        let name = person.map_or_else(|| new.new_name.trim().to_owned(), |person| person.details.name);
        let form = AssignForm { person: person_id, ..form };
        let new = if person_id == 0 { new } else { NewPerson::default() };
        let mut page = PostPage::load(app, visit, snapshot, post_id, form, &find).await?;
        page.adding = Adding::of(new, Vec::new(), &Mistakes::default(), true);
        (page.refused, page.refused_name) = (rules, name);
        show_as(StatusCode::UNPROCESSABLE_ENTITY, &page)
    }
}
