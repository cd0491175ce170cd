//! Approving a release, or releasing it though no one else has read it.

mod store;

use super::approvers::is_alone;
use super::page::show_refused;
use super::refusals::{Refusal, Why};
use super::snapshot::PaperSnapshot;
use crate::accounts::Visit;
use crate::error::Result;
use crate::press::editor::PressEditor;
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::path::Path;
use crate::web::routes::post;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;

pub use self::store::{Reader, Seen, approve};

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/press/releases/{paper}/approve", post(approve_text))
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct ApproveForm {
    version: i64,
    /// Tells which text was read.
    read: String,
    /// "nobody" if it is released without anyone else reading it.
    read_by: String,
    sure: String,
}

impl ApproveForm {
    fn is_unread(&self) -> bool {
        self.read_by == "nobody"
    }
}

async fn approve_text(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, paper)): Path<(i64, i64)>,
    Form(form): Form<ApproveForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = PaperSnapshot::load(&app, id, paper).await?;
    let refused = refusal(&app, &visit, &snapshot, &form).await?;
    if refused.is_some() {
        return show_refused(&app, &visit, snapshot, refused).await;
    }
    let (by, is_unread, department) = (visit.user.account_id, form.is_unread(), visit.user.department.name.clone());
    let reader = if is_unread { Reader::Nobody(by) } else { Reader::Account(by) };
    let approve = app.db.write(move |tx| {
        Box::pin(async move {
            let seen = Seen::OnPage(Some(form.version), Some(&form.read));
            approve(tx, reader, (id, &department), (paper, seen), now).await
        })
    });
    let label = snapshot.paper.kind.label();
    let said = match approve.await? {
        Some(version) if is_unread => format!("The {label} v{version} is released. No one else has read it."),
        Some(version) => format!("The {label} v{version} is approved. You can email it now."),
        None => "Nothing was approved: someone changed the text just now. Read it again.".to_owned(),
    };
    Ok(flash::redirect(&snapshot.href(), &said))
}

/// Why the text can't be approved as this person read it; none if it can.
async fn refusal(app: &App, visit: &Visit, snapshot: &PaperSnapshot, form: &ApproveForm) -> Result<Option<Refusal>> {
    if snapshot.is_approved() {
        return Ok(Some(Refusal::new(Why::Approved, "This text is already approved.")));
    }
    if snapshot.paper.version != form.version || form.read != snapshot.filled().digest() {
        let says = "Nothing was approved: the text changed after you read it. Read it again.";
        return Ok(Some(Refusal::new(Why::Changed, says)));
    }
    if let Some(refused) = Refusal::by(&snapshot.check(), "Nothing was approved.") {
        return Ok(Some(refused));
    }
    if form.is_unread() {
        return unread_refusal(app, visit, form).await;
    }
    let is_own = snapshot.paper.edited_by == visit.user.account_id;
    let says = "You edited this text last, so someone else must approve it.";
    Ok(is_own.then(|| Refusal::new(Why::OwnText, says)))
}

/// Why a text can't be released unread; none if it can.
async fn unread_refusal(app: &App, visit: &Visit, form: &ApproveForm) -> Result<Option<Refusal>> {
    Ok(if !is_alone(app, visit).await? {
        let says = "Someone else with an account can read this. Ask them to approve it.";
        Some(Refusal::new(Why::OtherReader, says))
    } else if form.sure == "yes" {
        None
    } else {
        Some(Refusal::new(Why::NotSure, "Nothing was released. Check the box to say that no one else has read it."))
    })
}
