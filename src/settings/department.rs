//! The department itself.

use crate::accounts::{self, Department, HOME_FIELDS, HomeForm, Officer, Refused};
use crate::error::Result;
use crate::events;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::routes::{get, post};
use crate::zone::{self, Zone};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/settings/department", get(edit).merge(post(update)))
}

#[derive(Template)]
#[template(path = "settings/department.html")]
struct Edit {
    page: Page,
    form: DepartmentForm,
    mistakes: Mistakes,
    zones: Vec<String>,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct DepartmentForm {
    name: String,
    zone: String,
    phone: String,
    #[serde(flatten)]
    home: HomeForm,
    /// As text: fields beside a flattened form are never read as numbers.
    version: String,
}

impl DepartmentForm {
    fn of(department: Department) -> Self {
        let home = HomeForm::of(&department.home);
        let Department { name, zone, phone, version, .. } = department;
        Self { name, zone, phone, home, version: version.to_string() }
    }

    fn read(&self) -> Result<Department, Mistakes> {
        let mut mistakes = Mistakes::default();
        let name = mistakes.note("name", form::line(&self.name, 100));
        let zone = mistakes.note("zone", accounts::zone(&self.zone));
        let phone = mistakes.note("phone", form::optional_line(&self.phone, 40));
        let home = self.home.read(&mut mistakes);
        let (Some(name), Some(zone), Some(phone), Some(home)) = (name, zone, phone, home) else {
            return Err(mistakes);
        };
        Ok(Department { name, zone, phone, home, version: self.version.parse().unwrap_or_default() })
    }
}

async fn edit(State(app): State<App>, Officer(visit): Officer) -> Result<Response> {
    let page = events::page(&app, &visit, None, app.clock.now()).await?.titled("Department");
    let form = DepartmentForm::of(visit.user.department);
    show(&Edit { page, form, mistakes: Mistakes::default(), zones: Zone::names() })
}

async fn update(State(app): State<App>, Officer(visit): Officer, Form(form): Form<DepartmentForm>) -> Result<Response> {
    let now = app.clock.now();
    let page = events::page(&app, &visit, None, now).await?.titled("Department");
    let new = match form.read() {
        Ok(new) => new,
        Err(mistakes) => {
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &Edit { page, form, mistakes, zones: Zone::names() });
        }
    };
    let actor = visit.user.actor();
    let saved =
        app.db.write(move |tx| Box::pin(async move { accounts::save_department(tx, actor, &new, now).await })).await?;
    if saved == Err(Refused::Stale) {
        let stands = accounts::department(app.db.read()).await?.unwrap_or_default();
        return conflict::show(page, &stale(&stands, &form));
    }
    Ok(flash::redirect("/settings", "Saved the department."))
}

/// Both versions of the department, if someone else changed it in the meantime.
fn stale(stands: &Department, form: &DepartmentForm) -> Conflict {
    let mut conflict = Conflict::new(&stands.name, "/settings/department".to_owned(), stands.version);
    conflict.field("name", "Name", &stands.name, &form.name);
    conflict.compare("Time zone", zone::plain(&stands.zone), zone::plain(&form.zone));
    conflict.silent("zone", &form.zone);
    conflict.field("phone", "Phone for questions", &stands.phone, &form.phone);
    let theirs = HomeForm::of(&stands.home);
    for (name, label, _) in HOME_FIELDS {
        conflict.field(name, label, theirs.line(name), form.home.line(name));
    }
    conflict.field("other_places", "Other places you serve", &theirs.other_places, &form.home.other_places);
    conflict
}
