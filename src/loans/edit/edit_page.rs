//! The page of the form.

use crate::accounts::Visit;
use crate::countdown;
use crate::error::Result;
use crate::events;
use crate::loans::choices::{Free, Insured};
use crate::loans::form::LoanForm;
use crate::loans::loan::Loan;
use crate::loans::snapshot::LoanSnapshot;
use crate::loans::{page, store};
use crate::people::choosing::{Adding, Chooser, WithPerson};
use crate::people::{self, Name};
use crate::state::App;
use crate::web::fold::Fold;
use crate::web::form::Mistakes;
use crate::web::page::Page;
use crate::web::words::Reader;
use askama::Template;

/// Something to choose from.
#[derive(Debug)]
pub(super) struct Choice {
    pub id: String,
    pub name: String,
}

impl Choice {
    pub fn new(id: i64, name: String) -> Self {
        Self { id: id.to_string(), name }
    }
}

#[derive(Template)]
#[template(path = "loans/edit.html")]
pub(super) struct Edit {
    pub page: Page,
    pub heading: String,
    pub action: String,
    pub burn_day: String,
    pub rain_day: String,
    pub form: LoanForm,
    pub mistakes: Mistakes,
    /// Someone sent the form and sees it again.
    pub is_again: bool,
    pub lenders: Chooser,
    /// A lender who isn't in People yet.
    pub adding: Adding,
    pub tasks: Vec<Choice>,
    pub backups: Vec<Choice>,
    pub elsewhere: Vec<Choice>,
    pub names: Vec<Name>,
    /// Answers to choose from: as they are saved, and as people read them.
    pub frees: Vec<(&'static str, &'static str)>,
    pub insured: Vec<(&'static str, &'static str)>,
}

impl Edit {
    /// The part with these fields.
    fn fold(&self, names: &[&str]) -> Fold {
        let usual = LoanForm::fresh("");
        Fold::compared(
            names,
            |name| self.form.get(name).to_owned(),
            |name| usual.get(name).to_owned(),
            &self.mistakes,
            self.is_again,
        )
    }
}

/// The form with everything there is to choose from.
pub(super) async fn edit_page(
    app: &App,
    visit: &Visit,
    (snapshot, loan): (&LoanSnapshot, Option<&Loan>),
    sent: WithPerson<LoanForm>,
) -> Result<Edit> {
    let heading = if loan.is_some() { "Edit loan" } else { "Add a loan" };
    let action =
        loan.map_or(format!("/events/{}/loans/new", snapshot.event.id), |loan| format!("{}/edit", loan.href()));
    let page = page::page(app, visit, &snapshot.event, heading).await?;
    let page = if let Some(loan) = loan { page.under(loan.href(), loan.title()) } else { page };
    let names = people::list(app.db.read()).await?;
    let mut db = app.db.read().acquire().await?;
    let (find, lender) = (&sent.find, sent.form.get("lender").parse().ok());
    let lenders = Chooser::load(&mut db, action.clone(), find, lender.as_slice(), &[], people::Person::place).await?;
    let tasks = countdown::tasks_in(&mut db, snapshot.event.id).await?;
    let others = store::elsewhere(&mut db, snapshot.event.id).await?;
    drop(db);
    let events = events::list(app.db.read()).await?;
    let own = loan.map(|loan| loan.id);
    let backups = snapshot.loans.iter().filter(|other| Some(other.id) != own);
    let elsewhere = others.into_iter().map(|other| {
        let event = events.iter().find(|event| event.id == other.event_id);
        let event = event.map(|event| event.details.name.as_str()).unwrap_or_default();
        Choice::new(other.id, format!("{}, {} · {event}", other.what, other.lender))
    });
    Ok(Edit {
        page,
        heading: heading.to_owned(),
        action,
        burn_day: Reader::App.near_day(snapshot.event.details.burn_on, snapshot.today),
        rain_day: snapshot.event.details.rain_on.map(|on| Reader::App.near_day(on, snapshot.today)).unwrap_or_default(),
        lenders,
        tasks: tasks.iter().map(|task| Choice::new(task.id, task.details.title.clone())).collect(),
        backups: backups.map(|other| Choice::new(other.id, other.details.what.clone())).collect(),
        elsewhere: elsewhere.collect(),
        names,
        frees: Free::ALL.map(|free| (free.as_str(), free.label())).to_vec(),
        insured: Insured::ALL.map(|insured| (insured.as_str(), insured.label())).to_vec(),
        is_again: sent.is_again(),
        adding: sent.adding(),
        form: sent.form,
        mistakes: sent.mistakes,
    })
}
