//! Adding a contact at an outlet, with phone and email.

use super::form::OutletForm;
use super::routes::{found, view};
use super::{Outlet, store};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::people::{self, Details, Person};
use crate::press::editor::{PressEditor, event};
use crate::press::matching::{Match, Sought};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::show_as;
use crate::web::path::Path;
use crate::web::words;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use time::OffsetDateTime;

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
pub(super) struct ContactForm {
    pub person: String,
    pub part: String,
    pub phone: String,
    pub mail: String,
    /// The number of the person, or "new".
    pub who: String,
}

/// Someone it may be.
#[derive(Debug)]
pub(super) struct Namesake {
    pub id: i64,
    pub name: String,
    pub beneath: String,
}

impl Namesake {
    fn of(person: &Person) -> Self {
        let details = &person.details;
        let parts = [person.place(), details.mail.clone(), words::phone(&details.phone)];
        let beneath = parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ");
        Self { id: person.id, name: details.name.clone(), beneath }
    }
}

/// What was typed, once it makes sense.
#[derive(Debug, Clone)]
struct Typed {
    name: String,
    part: String,
    phone: String,
    mail: String,
}

/// Who becomes the contact.
#[derive(Debug, Clone)]
enum Whom {
    PressSnapshot(Box<Person>),
    New,
}

impl ContactForm {
    fn read(&self) -> Result<Typed, Mistakes> {
        let mut mistakes = Mistakes::default();
        let name = mistakes.note("person", form::name(&self.person, 100));
        let part = mistakes.note("part", form::optional_line(&self.part, 100));
        let phone = mistakes.note("phone", form::optional_line(&self.phone, 40));
        let mail = if self.mail.trim().is_empty() { Ok(String::new()) } else { form::mail(&self.mail) };
        let mail = mistakes.note("mail", mail);
        match (name, part, phone, mail) {
            (Some(name), Some(part), Some(phone), Some(mail)) => Ok(Typed { name, part, phone, mail }),
            _ => Err(mistakes),
        }
    }

    /// Who it is, or those to choose from.
    fn whom(&self, typed: &Typed, people: &[Person]) -> Result<Whom, Vec<Namesake>> {
        match (Sought { name: &typed.name, mail: &typed.mail }).among(people) {
            Match::Nobody => Ok(Whom::New),
            Match::One(person) => Ok(Whom::PressSnapshot(Box::new(person.clone()))),
            Match::Several(_) if self.who == "new" => Ok(Whom::New),
            Match::Several(all) => match all.iter().find(|person| person.id.to_string() == self.who) {
                Some(person) => Ok(Whom::PressSnapshot(Box::new((*person).clone()))),
                None => Err(all.into_iter().map(Namesake::of).collect()),
            },
        }
    }
}

pub(super) async fn add_contact(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, outlet)): Path<(i64, i64)>,
    Form(form): Form<ContactForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, outlet) = (event(&app, id).await?, found(&app, outlet).await?);
    let people = people::everyone(&mut *app.db.read().acquire().await?).await?;
    let read = form.read().map_err(|mistakes| (mistakes, Vec::new())).and_then(|typed| {
        let mut mistakes = Mistakes::default();
        mistakes.add("who", "You have someone with this name or email already. Choose who it is.");
        form.whom(&typed, &people).map(|whom| (typed, whom)).map_err(|namesakes| (mistakes, namesakes))
    });
    let (typed, whom) = match read {
        Ok(read) => read,
        Err((mistakes, namesakes)) => {
            let outlet_form = (OutletForm::of(&outlet.details, outlet.version), Mistakes::default());
            let page = view(&app, &visit, &event, outlet, outlet_form, (form, mistakes, namesakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let here = format!("/events/{id}/press/outlets/{}", outlet.id);
    let said = says(&typed, &whom, &outlet);
    let actor = visit.user.actor();
    app.db.write(move |tx| Box::pin(async move { put_there(tx, actor, &outlet, (&typed, whom), now).await })).await?;
    Ok(flash::redirect(&here, &said))
}

/// Who is a contact now, and what we knew about them before.
fn says(typed: &Typed, whom: &Whom, outlet: &Outlet) -> String {
    let at = &outlet.details.name;
    let person = match whom {
        Whom::New => return format!("{} is now a contact at {at}.", typed.name),
        Whom::PressSnapshot(person) => &person.details,
    };
    let mut said = format!("{} is now a contact at {at}. They were in People already.", person.name);
    for (what, typed, known) in [("phone", &typed.phone, &person.phone), ("email", &typed.mail, &person.mail)] {
        if !typed.is_empty() && !known.is_empty() && !typed.eq_ignore_ascii_case(known) {
            let known = if what == "phone" { words::phone(known) } else { known.clone() };
            said = format!("{said} Their {what} is still {known}. You can change it in People.");
        }
    }
    said
}

/// Adds a contact, with the phone and email we didn't have yet.
async fn put_there(
    tx: &mut Tx,
    actor: Actor,
    outlet: &Outlet,
    (typed, whom): (&Typed, Whom),
    now: OffsetDateTime,
) -> Result<()> {
    let (person, name) = match whom {
        Whom::PressSnapshot(person) => {
            let known = &person.details;
            let or = |known: &String, typed: &String| if known.is_empty() { typed.clone() } else { known.clone() };
            let new =
                Details { phone: or(&known.phone, &typed.phone), mail: or(&known.mail, &typed.mail), ..known.clone() };
            if new != *known {
                people::change(tx, actor, person.id, &new, person.version, now).await?;
            }
            (person.id, person.details.name.clone())
        }
        Whom::New => {
            let details = Details {
                organization: outlet.details.name.clone(),
                phone: typed.phone.clone(),
                mail: typed.mail.clone(),
                ..Details::of_name(&typed.name)
            };
            (people::add(tx, actor, &details, now).await?, typed.name.clone())
        }
    };
    store::add_contact(tx, actor, (outlet.id, &outlet.details.name), (person, &name), &typed.part, now).await?;
    Ok(())
}
